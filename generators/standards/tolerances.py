"""What a size may be off by where its drawing says no more: general tolerances, and how far a bolt hole may stray."""

import math
from functools import cache

from generators.standards.tables import Limit, Unknown, require_positive, rows
from generators.standards.threads import bolt

CUT, BENT, WELDED, WELDED_FLAT = ("ISO 2768", "m"), ("ISO 2768", "c"), ("ISO 13920", "A"), ("ISO 13920", "E")
"""Standard and class that a piece is cut and bent to, and that a part is welded to in its sizes and in how flat it is (common practice)."""


def general_tolerance(size: float, *, standard: str, grade: str, of: str = "length") -> float:
    """By how much (+-) a size in mm may be off: a "length", or how "flat" a face of that length is, in mm; an "angle" whose shorter leg
    is `size` mm long, in rad. Raises Unknown for a class that the standard does not have, or a size beyond its table."""
    require_positive("size", size)
    classes = _classes()
    if (standard, of, grade) not in classes:
        raise Unknown("general tolerance", f"{standard} {of} {grade}", [" ".join(key) for key in classes])
    spans = classes[standard, of, grade]
    for above, up_to, deviation in spans:
        if above < size <= up_to:
            return math.radians(deviation / 60) if of == "angle" else deviation
    raise Unknown(f"{standard} {of} tolerance for a size, mm, of", f"{size:g}", [f"over {spans[0][0]:g} up to {spans[-1][1]:g}"])


@cache
def _classes() -> dict[tuple[str, str, str], tuple[tuple[float, float, float], ...]]:
    out: dict[tuple[str, str, str], list] = {}
    for row in rows("tolerances"):
        key = row["standard"], row["of"], row["class"]
        out.setdefault(key, []).append((float(row["above"]), float(row["up_to"]), float(row["deviation"])))
    return {key: tuple(spans) for key, spans in out.items()}


def hole_position(size: str, *, hole: float) -> Limit:
    """Diameter (mm) of the round in which the middle of each `hole` (diameter, mm) for that bolt must lie so that every bolt finds its
    thread: half of the play between hole and bolt, the other half being the threads' own. Raises Unknown, and ValueError where the bolt
    does not pass."""
    play = hole - bolt(size).diameter
    require_positive("play of a bolt in its hole", play)
    return Limit(play / 2, "fixed fastener formula, play shared alike between hole and thread (ASME Y14.5 annex, from memory, unverified)")
