"""What is welded to what, in which order, and how it is held meanwhile."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from generators.pieces import PAN, Part, Piece, Seam

BENCH, STOPS, TUBES, CORNERS, CELL, BOSSES, PICKUPS, HOODS = "bench", "stops", "tubes", "corners", "cell", "bosses", "pickups", "hoods"
BODY, INSIDE, CLOSING, OUTSIDE, FLANGE, FEET, TABS = "body", "inside", "closing", "outside", "flange", "feet", "tabs"
FITTINGS, STRUT = "fittings", "strut"

STAGES = {
    BENCH: "flat on the bench, before the walls are joined: hinges, the flap's part first, then the wall's with a pin in their bores; the pin must "
           "turn freely when all is cold",
    STOPS: "the flap hung, before the walls are joined: each stop from inside into its slot, the flap held against it, welded outside",
    TUBES: "on the bench: tack, see that it points where it should, then weld all round",
    CORNERS: "on the bench: close the open corner between two folds",
    CELL: "into the folded sump by itself, open above and at its ends: stand the finished cell in, each flap held shut, tack its corners, stitch from "
          "outside the cell, about 25 mm on and 75 off",
    BOSSES: "into the folded sheet by itself, before anything stands over it: a plug in each thread, weld in two halves so that it stays square, from inside "
            "round the spigot where a shelf is in the torch's way outside; chase the thread after. A tube that goes through a cell's lid stands in there "
            "first, and its boss is pushed over its end from outside",
    PICKUPS: "from inside, while the sheet is still open above and at its ends: tube home in its boss, its mouth's gap to the floor held by a strip of that "
             "thickness, tack, weld what is listed; measure the gap again when all is cold",
    HOODS: "only when the tube under it is welded and all is washed out there: stitch, about 25 mm on and 75 off",
    BODY: "fold or roll, tack every 25 to 40 mm from the middle outwards, then weld in short runs, each back towards the last (back-step)",
    INSIDE: "the innermost first: stitch, about 25 mm on and 75 off, while it can still be reached; leave drain gaps open",
    CLOSING: "tack all round, weld opposite sides in turn; start and stop off the corners",
    OUTSIDE: "line them up on a straight bar, tack, then stitch",
    FLANGE: "bolt the flange through all its holes to a flat block of 15 to 20 mm, tack, weld opposite sides in turn from the middle outwards; let it go "
            "cold before it comes off; face it when all else is welded",
    FEET: "on the floor of the pan, washed and dried as the cautions say: tack, weld toe and sides of each foot, or bolt it to studs welded in the "
          "floor",
    TABS: "with the tray as jig at its height under the flange: tack the tabs, take the tray out, weld both sides and the foot of each leg",
    FITTINGS: "with a plug or screw in each thread; weld in two halves so that it stays square; chase the thread after",
    STRUT: "last of all, so that it pulls nothing aside",
}
"""Stages of welding in their order, and how each is done (common practice)."""

BY_NAME = {"knuckle": BENCH, "stop": STOPS, "bracket": OUTSIDE, "strainer": TUBES, "screen": HOODS, "strut": STRUT}
"""Pieces that go in at a stage of their own, by the last word of their names: hinges while the walls lie flat, hoods over what they cover."""

INTO = {"tab": TABS, "foot": FEET}
"""Of a part that stands in a pan, what is welded there later than its body."""

RAIL_FLANGE = "flange"
"""The piece that carries the bolts of a pan: bosses go into the sheet of one before it is closed over them."""

CUT_KINDS = ("folded", "rolled", "plate")


@dataclass(frozen=True)
class WeldStep:
    """Seams of one kind between two pieces: how many, their length in all (mm), leg (mm), whether they must hold oil, and the stage that they
    belong to. A piece of another part is told with its part."""

    part: str
    order: int
    a: str
    b: str
    seams: int
    length: float
    leg: float
    leak_tight: bool
    stage: str


@dataclass(frozen=True)
class _Weld:
    """Seams alike, their stage and where they stand in it."""

    seams: tuple[Seam, ...]
    a: str
    b: str
    stage: str
    place: tuple[int, ...]


def weld_steps(part: Part, stands_in: Sequence[Part] = (), *, told_by_pan: bool = False) -> tuple[WeldStep, ...]:
    """The seams of a part in the order in which they are welded, like ones together; with those that hold the parts of `stands_in` in it, and
    those that hold it in a pan unless they are `told_by_pan`."""
    found = [*_own(part), *(w for other in stands_in for w in _standing(part, other)), *(() if told_by_pan else _standing(None, part))]
    found.sort(key=lambda w: (w.b == PAN, list(STAGES).index(w.stage), w.place))
    return tuple(WeldStep(part.name, i, w.a, w.b, len(w.seams), sum(s.length for s in w.seams), w.seams[0].leg, w.seams[0].leak_tight, w.stage)
                 for i, w in enumerate(found, start=1))


def _own(part: Part) -> list[_Weld]:
    place, hung = {p.name: i for i, p in enumerate(part.pieces)}, _hung(part)
    out = []
    for (a, b, _, tight), seams in _alike((s.a, s.b, s) for s in part.seams).items():
        stage = PICKUPS if frozenset((a, b)) in hung else _stage(part, part.piece(a), part.piece(b), leak_tight=tight)
        out.append(_Weld(seams, a, b, stage, tuple(sorted((place[a], place[b]), reverse=True)) if a != b else (-1, place[a])))
    return out


def _standing(pan: Part | None, other: Part) -> list[_Weld]:
    """The welds that hold `other` in the pan, each to the piece of the pan that is nearest to it."""
    place = {p.name: i for i, p in enumerate(other.pieces)}
    named = ((f"{other.name}/{s.a}", _nearest(pan, s), s) if pan else (s.a, s.b, s) for s in other.into)
    return [_Weld(seams, a, b, INTO.get(seams[0].a, CELL), (place[seams[0].a], 0)) for (a, b, *_), seams in _alike(named).items()]


def _alike(named: Iterable[tuple[str, str, Seam]]) -> dict[tuple, tuple[Seam, ...]]:
    """Seams by the names of what they join, leg (mm) and whether they hold oil."""
    groups: dict[tuple, list] = {}
    for a, b, seam in named:
        groups.setdefault((a, b, seam.leg, seam.leak_tight), []).append(seam)
    return {key: tuple(seams) for key, seams in groups.items()}


def _nearest(pan: Part, seam: Seam) -> str:
    """The sheet piece of the pan that a seam's middle is nearest to."""
    i = len(seam.path) // 2
    middle = np.mean(seam.path[i - 1:i + 1], axis=0)
    return min((p for p in pan.pieces if p.kind in CUT_KINDS), key=lambda p: p.distance(middle)).name


def _hung(part: Part) -> set[frozenset[str]]:
    """Pairs of a boss in a wall and a tube that it alone holds: the tube goes in from inside once the boss is welded."""
    sheet = {p.name for p in part.pieces if p.kind in CUT_KINDS}
    in_wall = {n for s in part.seams if s.leak_tight and {s.a, s.b} & sheet for n in {s.a, s.b} if part.piece(n).kind == "turned"}
    pairs = (frozenset((s.a, s.b)) for s in part.seams)
    return {pair for pair in pairs if not pair & sheet and len(pair & in_wall) == 1}


def _last_word(name: str) -> str:
    return name.rpartition("_")[2]


def _stage(part: Part, one: Piece, other: Piece, *, leak_tight: bool) -> str:
    """Which stage a seam belongs to, by what it joins."""
    kinds, names = {one.kind, other.kind}, (one.name, other.name)
    if one is other and not leak_tight:
        return CORNERS
    by_name = [BY_NAME[_last_word(n)] for n in names if _last_word(n) in BY_NAME]
    if by_name:
        return max(by_name, key=list(STAGES).index)
    if one.loose or other.loose:
        return BENCH
    if RAIL_FLANGE in names:
        return FLANGE
    if not kinds <= set(CUT_KINDS):
        if not kinds & set(CUT_KINDS):
            return TUBES
        return BOSSES if any(p.name == RAIL_FLANGE for p in part.pieces) else FITTINGS
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
