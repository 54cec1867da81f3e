"""Flat patterns as files."""

from pathlib import Path

from generators.pieces import Piece
from generators.shop.flat_drawing import text


def write(part_name: str, piece: Piece, file: Path, *, cut_only: bool = False) -> None:
    """Write the piece's flat pattern to `file`."""
    file.write_text(text(part_name, piece, cut_only=cut_only), encoding="utf-8")
