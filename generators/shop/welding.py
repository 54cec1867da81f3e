"""What is welded to what, in which order, and how it is held meanwhile."""

from collections.abc import Iterable
from dataclasses import dataclass

from generators.pieces import Part, Piece

BENCH, BODY, INSIDE, CLOSING, FLANGE, TUBES, FITTINGS = "bench", "body", "inside", "closing", "flange", "tubes", "fittings"

STAGES = {
    BENCH: "flat on the bench, before the walls are joined: hinges with a pin in their bores, stops with the flap held against them; the pin must turn "
           "freely when all is cold",
    BODY: "fold or roll, tack every 25 to 40 mm from the middle outwards, then weld in short runs, each back towards the last (back-step)",
    INSIDE: "stitch, about 25 mm on and 75 off, while it can still be reached; leave drain gaps open",
    CLOSING: "tack all round, weld opposite sides in turn; start and stop off the corners",
    FLANGE: "bolt the flange through all its holes to a flat block of 15 to 20 mm, tack, weld opposite sides in turn from the middle outwards; let it go "
            "cold before it comes off, and face it after",
    TUBES: "tack, see that it points where it should and that its mouth keeps its gap, then weld all round",
    FITTINGS: "last, with a plug in each thread; weld in two halves so that it stays square; chase the thread after",
}
"""Stages of welding in their order, and how each is done (common practice)."""

ON_THE_BENCH = ("knuckle", "stop")
"""What is fitted to walls while they still lie flat, by the last word of its name."""

RAIL_FLANGE = "flange"
"""The piece that carries the bolts of a pan."""

CUT_KINDS = ("folded", "rolled", "plate")


@dataclass(frozen=True)
class WeldStep:
    """Seams of one kind between two pieces: how many, their length in all (mm), leg (mm), whether they must hold oil, and the stage that they
    belong to."""

    part: str
    order: int
    a: str
    b: str
    seams: int
    length: float
    leg: float
    leak_tight: bool
    stage: str


def weld_steps(part: Part) -> tuple[WeldStep, ...]:
    """The seams of a part in the order in which they are welded, like ones together."""
    groups: dict[tuple, list] = {}
    for seam in part.seams:
        groups.setdefault((seam.a, seam.b, seam.leg, seam.leak_tight), []).append(seam)
    place, order = {p.name: i for i, p in enumerate(part.pieces)}, list(STAGES)
    found = []
    for (a, b, leg, tight), seams in groups.items():
        stage = _stage(part.piece(a), part.piece(b), leak_tight=tight)
        found.append(((order.index(stage), *sorted((place[a], place[b]), reverse=True)), a, b, seams, leg, tight, stage))
    found.sort(key=lambda f: f[0])
    return tuple(WeldStep(part.name, i, a, b, len(seams), sum(s.length for s in seams), leg, tight, stage)
                 for i, (_, a, b, seams, leg, tight, stage) in enumerate(found, start=1))


def _stage(one: Piece, other: Piece, *, leak_tight: bool) -> str:
    """Which stage a seam belongs to, by what it joins."""
    kinds, names = {one.kind, other.kind}, (one.name, other.name)
    if one.loose or other.loose or any(n.rpartition("_")[2] in ON_THE_BENCH for n in names):
        return BENCH
    if RAIL_FLANGE in names:
        return FLANGE
    if not kinds <= set(CUT_KINDS):
        return FITTINGS if kinds & set(CUT_KINDS) else TUBES
    if not leak_tight:
        return INSIDE
    return BODY if one.name == other.name or kinds == {"folded"} else CLOSING


FILLERS = {
    "aluminium": "5356 or 4043 wire by the alloy; where oil keeps it over 65 degC, 4043 or 5554 rather than 5356 (from memory, unverified: "
                 "the wire maker's chart decides)",
    "steel": "a mild-steel wire of the ER70S-6 kind (from memory, unverified)",
    "stainless": "a wire of the 308L kind for 304 (from memory, unverified)",
}
"""What it is welded with, by family of material."""


def weld_lengths(steps: Iterable[WeldStep]) -> tuple[float, float]:
    """Length of all leak-tight and of all stitched seams, mm."""
    steps = tuple(steps)
    return sum(s.length for s in steps if s.leak_tight), sum(s.length for s in steps if not s.leak_tight)
