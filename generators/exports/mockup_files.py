"""The mock-up as files for a printer, and the list of its pieces."""

import csv
from pathlib import Path

from generators.exports import names, stl
from generators.mockup import Mockup, Printed
from generators.mockup.three_mf import file_of

COLUMNS = ("group", "piece", "mark", "size_mm", "joints", "thinnest_mm", "volume_cm3", "file", "note")


def row(piece: Printed) -> tuple:
    """One piece as a row of the list."""
    return (piece.group, piece.name, piece.mark, " x ".join(f"{v:.1f}" for v in piece.size), piece.joints, f"{piece.thinnest:.2f}",
            f"{piece.mesh.volume / 1e3:.2f}", names.printed_mesh(piece.group, piece.name), piece.note)


def write(made: Mockup, root: Path, *, title: str) -> None:
    """Every piece as STL, each part's pieces and the gauges as one 3MF file, and the list, below `root`."""
    for group in dict.fromkeys(p.group for p in made.pieces):
        here = [p for p in made.pieces if p.group == group]
        (root / names.printed_mesh(group, "x")).parent.mkdir(parents=True, exist_ok=True)
        (root / names.printed_file(group)).write_bytes(file_of([(p.name, p.mesh) for p in here], f"{title}: {group}"))
        for piece in here:
            stl.write(piece.mesh, root / names.printed_mesh(group, piece.name))
    with (root / names.PRINTED).open("w", newline="", encoding="utf-8") as stream:
        table = csv.writer(stream)
        table.writerow(COLUMNS)
        table.writerows(row(p) for p in made.pieces)
