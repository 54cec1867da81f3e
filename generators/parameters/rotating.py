"""The crank and its rods as measured."""

import itertools
import math
from typing import Annotated, Literal

from pydantic import Field, StrictInt

from generators.parameters.fields import Angle, Inconsistent, Length, Points, Positions, Record, Rotation
from generators.units import echo

SWING_MM = (10.0, 500.0)
"""Smallest and largest swing of any engine this is meant for: a model engine, a ship's."""

REDLINE_RAD_S = (500 * math.pi / 30, 30_000 * math.pi / 30)
"""500 and 30000 rpm."""

MEASURED = ("stroke", "rod_length", "throws", "big_end", "counterweight")
"""What the swept region takes when it is made from measured detail."""

AROUND_PIN = (
    "does not go once round the crank pin, which is its origin (0, 0): give the corners in order, u sideways, v "
    "towards the small end"
)


class BigEnd(Record):
    """The big end of a rod. Rod frame: origin at the crank pin's centre, v towards the small end, u sideways (mm)."""

    width: Length
    """Along the crank, one rod."""
    cap_depth: Length | None = None
    """From the pin's centre to the bottom of the cap."""
    half_breadth: Length | None = None
    """From the pin's centre sideways to the outermost point of cap or bolt."""
    outline: Points | None = None
    """(u, v) of the corners, where it was traced instead."""

    def model_post_init(self, context: object, /) -> None:
        simple = [k for k in ("cap_depth", "half_breadth") if getattr(self, k) is not None]
        if self.outline is not None and simple:
            raise Inconsistent(
                [("outline", f"is given together with {simple[0]}: give either the outline or the two sizes")]
            )
        if self.outline is None and len(simple) < 2:
            raise Inconsistent([("", "needs cap_depth and half_breadth, or an outline in the rod frame")])
        if self.outline is not None and not _surrounds_pin(self.outline):
            raise Inconsistent([("outline", AROUND_PIN)])

    @property
    def reach(self) -> float:
        """Farthest point from the pin's centre, mm."""
        if self.outline is None:
            return math.hypot(self.cap_depth, self.half_breadth)
        return max(math.hypot(u, v) for u, v in self.outline)


def _surrounds_pin(outline) -> bool:
    turn = 0.0
    for (u0, v0), (u1, v1) in zip(outline, outline[1:] + outline[:1], strict=True):
        turn += math.atan2(u0 * v1 - v0 * u1, u0 * u1 + v0 * v1)
    return math.isclose(abs(turn), 2 * math.pi, rel_tol=1e-6)


class Counterweight(Record):
    """The counterweights: `radius` from the crank axis, `width` of each along the crank (mm)."""

    radius: Length
    width: Length


class Crank(Record):
    """The crank: one swing_radius for everything, or the measured detail of MEASURED, or both."""

    swing_radius: Length | None = None
    """The largest radius that anything on crank or rods sweeps, mm."""
    rotation: Literal["clockwise", "anticlockwise"] = Field(
        "clockwise", description="most engines turn clockwise seen from the front (common practice)"
    )
    redline: Rotation | None = None
    stroke: Length | None = None
    rod_length: Length | None = None
    """Between the centres of the two eyes, mm."""
    throws: Positions | None = None
    """x of each crank pin's centre, mm."""
    big_end: BigEnd | None = None
    counterweight: Counterweight | None = None
    bank_angle: Angle | None = None
    """Between the two banks of a vee, rad; None for an inline engine."""
    rods_per_throw: Annotated[StrictInt, Field(ge=1, le=2)] | None = Field(
        None, description="two where a bank_angle is given, else one"
    )

    def model_post_init(self, context: object, /) -> None:
        if self.rods_per_throw is None:
            object.__setattr__(self, "rods_per_throw", 1 if self.bank_angle is None else 2)
        problems = [*_missing(self), *_sizes(self), *_rods(self), *_pins(self)]
        if problems:
            raise Inconsistent(problems)

    @property
    def measured(self) -> bool:
        """Whether the whole detail is there, so that the swept region can follow it."""
        return all(getattr(self, key) is not None for key in MEASURED)

    @property
    def reach(self) -> float:
        """No point of crank, big end or counterweight goes farther from the crank axis than this, mm."""
        if not self.measured:
            return self.swing_radius
        return max(self.counterweight.radius, self.stroke / 2 + self.big_end.reach)


def _missing(crank: Crank):
    if crank.swing_radius is None and not crank.measured:
        lacking = [k for k in MEASURED if getattr(crank, k) is None]
        what = "swing_radius" if len(lacking) == len(MEASURED) else f"swing_radius, or {', '.join(lacking)} as well"
        yield "", f"needs {what} (the measured detail is {', '.join(MEASURED)})"


def _sizes(crank: Crank):
    low, high = SWING_MM
    if crank.swing_radius is not None and not low <= crank.swing_radius <= high:
        yield "swing_radius", f"must lie between {low:g} and {high:g} mm: is the unit right?"
    low, high = REDLINE_RAD_S
    if crank.redline is not None and not low <= crank.redline <= high:
        yield "redline", "must lie between 500 and 30000 rpm: is the unit right?"
    if crank.swing_radius is None:
        return
    for key, radius in (
        ("stroke", crank.stroke and crank.stroke / 2),
        ("counterweight.radius", crank.counterweight and crank.counterweight.radius),
    ):
        if radius and radius > crank.swing_radius:
            yield (
                key,
                (
                    f"reaches {echo(radius, 'length')} from the axis, more than swing_radius "
                    f"{echo(crank.swing_radius, 'length')}, which is to be the largest: measure both again"
                ),
            )


def _rods(crank: Crank):
    if crank.stroke and crank.rod_length and crank.rod_length <= crank.stroke / 2:
        yield (
            "rod_length",
            (
                f"is not longer than the throw (half the stroke, {echo(crank.stroke / 2, 'length')}), so the "
                "crank cannot turn: measure between the centres of the two eyes"
            ),
        )
    if crank.bank_angle is not None and crank.bank_angle > math.pi:
        yield "bank_angle", "must not be more than 180 deg"
    if crank.rods_per_throw == 2 and crank.bank_angle is None:
        yield "rods_per_throw", 'is 2, so the engine has two banks: give bank_angle too, e.g. "90 deg"'


def _pins(crank: Crank):
    throws = crank.throws
    if throws is None:
        return
    if any(b <= a for a, b in itertools.pairwise(throws)):
        yield "throws", "must run from the rear end forwards, each position larger than the one before"
    elif crank.big_end is not None and len(throws) > 1:
        pitch = min(b - a for a, b in itertools.pairwise(throws))
        needed = crank.rods_per_throw * crank.big_end.width
        single = ", or give rods_per_throw = 1 where each pin carries one rod" if crank.rods_per_throw > 1 else ""
        if needed > pitch:
            yield (
                "big_end.width",
                (
                    f"{crank.rods_per_throw} x {echo(crank.big_end.width, 'length')} is more than the "
                    f"{echo(pitch, 'length')} between neighbouring throws: measure both again{single}"
                ),
            )
