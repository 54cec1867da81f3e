"""The holes for the pan's bolts, numbered: drawings, tables and templates name them alike."""

import math

from generators.pieces import Part

RAIL = ("flange", "scraper")
"""Pieces whose round holes take the pan's bolts."""


def bolt_holes(part: Part) -> list[tuple[float, float, float]]:
    """Round holes of the piece that lies on the rail, as it is cut: x, y of the middle in the engine's frame and diameter, mm; clockwise as seen
    from above from the one at the rear on the left."""
    for piece in part.pieces:
        if piece.name in RAIL and piece.flat is not None:
            found = [(x, y, 2 * r) for (x, y), r in filter(None, (hole.as_circle() for hole in piece.flat.holes))]
            if not found:
                return []
            mx, my = sum(f[0] for f in found) / len(found), sum(f[1] for f in found) / len(found)
            first = min(found, key=lambda f: f[0] - f[1])
            start = math.atan2(first[1] - my, first[0] - mx)
            return sorted(found, key=lambda f: round((start - math.atan2(f[1] - my, f[0] - mx)) % (2 * math.pi), 9) % round(2 * math.pi, 9))
    return []
