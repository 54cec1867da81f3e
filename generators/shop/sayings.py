"""A planned bend in the figures that a shop reads."""

import math
from dataclasses import dataclass

from generators.shop.bending import PlannedBend

NEWTONS_IN_KN = 1e3


@dataclass(frozen=True)
class BendWords:
    """Figures of a bend as text: degrees, mm, kN; empty where there is none."""

    way: str
    angle: str
    radius: str
    length: str
    allowance: str
    deduction: str
    die: str
    force: str
    gauge: str
    beside: str


def as_words(b: PlannedBend) -> BendWords:
    """The figures of a planned bend."""
    line = b.bend
    return BendWords("up" if line.angle > 0 else "down", f"{math.degrees(abs(line.angle)):.1f}", f"{line.radius:.2f}", f"{line.length:.1f}",
                     f"{line.allowance:.2f}", f"{line.deduction:.2f}", f"{b.die:g}", f"{b.force / NEWTONS_IN_KN:.1f}" if b.force else "",
                     f"{b.gauge:.1f}" if b.gauge is not None else "", f"{b.room.punch:.0f}" if math.isfinite(b.room.punch) else "")
