"""The parts list: one row a piece, as a spreadsheet reads it."""

import csv
from collections.abc import Iterable
from pathlib import Path

from generators.exports import names
from generators.pieces import Part, Piece

COLUMNS = ("part", "piece", "kind", "quantity", "material", "thickness_mm", "mass_g", "file", "note")
GRAMS_IN_KG = 1000.0


def row(part: Part, piece: Piece) -> dict[str, object]:
    """One row; the mass is that of one copy, the file is what the piece is made from, the note what its maker
    or buyer has to know."""
    thickness = "" if piece.thickness is None else f"{piece.thickness:g}"
    return dict(zip(COLUMNS, (part.name, piece.name, piece.kind, piece.quantity, piece.material, thickness,
                              f"{piece.mass * GRAMS_IN_KG:.1f}", names.made_from(part, piece), piece.note), strict=True))


def write(parts: Iterable[Part], file: Path) -> None:
    """Write the list to `file`."""
    with file.open("w", newline="", encoding="utf-8") as stream:
        table = csv.DictWriter(stream, COLUMNS)
        table.writeheader()
        table.writerows(row(part, piece) for part in parts for piece in part.pieces)
