"""Where a part is bolted to the car: the middles of the holes in its brackets, as they stand in the part."""

from dataclasses import dataclass

import numpy as np
from shapely.geometry import Point, Polygon

from generators.outlines import flattened
from generators.pieces import Part

BRACKETS = ("bracket",)
"""Pieces that bolt a part to the car."""


@dataclass(frozen=True)
class MountingHole:
    """A hole: the piece that it is in, its middle (3,) in the part's frame, and its diameter, mm."""

    piece: str
    middle: np.ndarray
    diameter: float


def mounting_holes(part: Part) -> tuple[MountingHole, ...]:
    """The round holes in the roots of the part's brackets, copy by copy."""
    out = []
    for piece in part.pieces:
        if piece.name not in BRACKETS or piece.flat is None or piece.flat.root is None:
            continue
        root = Polygon(flattened(piece.flat.root))
        holes = [found for found in (hole.as_circle() for hole in piece.flat.holes) if found and root.contains(Point(found[0]))]
        out += [MountingHole(piece.name, where.points([(*middle, piece.thickness / 2)])[0], 2 * r) for where in piece.laid for middle, r in holes]
    return tuple(out)
