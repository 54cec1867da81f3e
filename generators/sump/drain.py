"""Where the drain of a sump that is made stands. mm, engine frame."""

import math

from generators import standards
from generators.sump.draw import WELD_LEG_MM
from generators.sump.inside import Inside

DRAIN_THREAD = "M18x1.5"
"""A usual plug for a sump that is drained often (common practice)."""

HOLE_TO_BEND_THICKNESSES = 1.5
"""From a bend's tangent to a hole that does not draw: 2.5 t + r from the mould line (press brake guides)."""


def at_front(inside: Inside) -> bool:
    """Whether the drain stands at the front: the temperature boss has the rear, unless a notch leaves one end to both."""
    return not (inside.notch and inside.notch.at_front)


def boss_radius() -> float:
    """Of the drain's boss inside the sump."""
    return standards.drain_plug(DRAIN_THREAD).boss_diameter / 2


def drain_of(inside: Inside) -> tuple[float, float]:
    """Its x, and how far up the floor's slope it stands from the low bend: in the corner, with room for its weld, its hole
    clear of the bend."""
    around = boss_radius() + max(WELD_LEG_MM, HOLE_TO_BEND_THICKNESSES * inside.thickness)
    return (inside.x1 - around if at_front(inside) else inside.x0 + around), around


def drain_place(inside: Inside, along: float) -> tuple[float, float]:
    """(s, z) on the floor's inside, `along` mm up the slope from where its flat begins at the low bend."""
    (s, z), _ = inside.channel.faces()[inside.floor_index]
    return s + along * math.cos(inside.floor_slope), z + along * math.sin(inside.floor_slope)


def drain_in_plan(inside: Inside) -> tuple[float, float]:
    """Its x and y."""
    x, along = drain_of(inside)
    return x, inside.side * drain_place(inside, along)[0]
