"""How many gates, how large, in a cell of what size, where the file leaves it to the tool. mm."""

import itertools
import math
from collections.abc import Iterator
from dataclasses import replace

from generators.findings import Sized
from generators.oil.gates import DISCHARGE, GRAVITY
from generators.parts.gate_baffle.flow import MM, Feed, heads_of
from generators.parts.gate_baffle.foot import around_cell
from generators.parts.gate_baffle.hinge import refuse
from generators.parts.gate_baffle.plan import Choice
from generators.parts.gate_baffle.stand import BESIDE_PAN_MM, DrainInTheWay, Stand, before_drain, middle_of

USUAL = Choice(1, 60.0, 40.0, 1.2, 110.0, 130.0)
"""One gate on each wall, its opening and flap, the cell's inside length and width (common practice)."""

FLAPS = (1.2, 1.0, 0.8, 0.6, 0.5)
"""Sheets for flaps: light enough to swing, stiff enough to seal (common practice)."""

SHARE_TO_CRACK = 0.6
"""Share of the allowed head that may go into lifting a flap off its seat: the rest is left to open it and to pass the oil."""

STEP_MM = 5.0
"""Sizes that the tool chooses are a multiple of this."""

COUNTS = (1, 2, 3)
WIDTHS = tuple(STEP_MM * i for i in range(4, 21))
HEIGHTS = tuple(STEP_MM * i for i in range(3, 15))
"""What is tried: flaps of 20 to 100 by 15 to 70 mm, up to three a wall (common practice)."""

SHAPES = (1.0, 3.0)
"""Least and greatest width of an opening over its height (common practice: a tall flap needs a deep cell, a wide one bends)."""

ANOTHER_GATE = 0.5
"""How much farther from the usual each gate more is counted: as much as an opening 1.65 times as wide."""

BLANK_WALL = 0.4
"""How much farther from the usual a cell counts whose pickup stands so close to one end that this has no gates."""

LARGEST_CELL_MM = 300.0
"""Larger than this no cell is sized on a floor whose edges are not known."""

GROWS = ("gate_baffle.cell.", "gate_baffle.open_angle", "gate_baffle.opening.width")
"""Refusals that a larger cell may get round."""


def chosen(parameters, stand: Stand, feed: Feed, lay_out) -> tuple[object, list[Sized]]:
    """The dimensions of the gates nearest to the usual ones that fit and that lose no more head than is allowed, with a
    reason for each value that the file leaves open; where none holds the head, of those that lose least.

    `lay_out(parameters, stand, choice)` gives the dimensions of a choice. Raises its ValueError where nothing fits."""
    baffle, refusal, best = parameters.gate_baffle, None, None
    flap = baffle.flap_thickness or flap_thickness(parameters.sheet.density, feed)
    tried = candidates(baffle, flap, near=near_end(stand) if not baffle.gates_per_side else 0)
    for asked in sorted(tried, key=lambda choice: _orifice_head(choice, feed) > feed.limit):
        if best is not None and _orifice_head(asked, feed) >= best[1].worst:
            continue  # flaps only add to it
        try:
            made = _in_least_cell(parameters, stand, asked, lay_out)
        except ValueError as bad:
            refusal = refusal or bad
            continue
        if feed.flow is None:
            return made, _because(baffle, made, feed, None)
        heads = heads_of(made, feed)
        if heads.worst <= feed.limit:
            return made, _because(baffle, made, feed, heads)
        if best is None or heads.worst < best[1].worst:
            best = made, heads
    if best is None:
        raise refusal
    return best[0], _because(baffle, best[0], feed, best[1])


def flap_thickness(density: float, feed: Feed) -> float:
    """The thickest of FLAPS whose weight in oil, with the cornering that presses it shut, takes no more than its share of
    the allowed head to lift; the thinnest where none does. `density` of the metal, kg/m3.

    A flap as large as its opening, hung at its edge: (metal - oil) / oil x thickness x the share of the pull that is
    square to the wall."""
    if feed.flow is None:
        return USUAL.flap_thickness
    pull = feed.cornering / math.hypot(feed.cornering, GRAVITY)
    heads = {t: (density - feed.density) / feed.density * t * pull for t in FLAPS}
    return next((t for t, head in heads.items() if head <= SHARE_TO_CRACK * feed.limit), FLAPS[-1])


def _orifice_head(choice: Choice, feed: Feed) -> float:
    """Head (mm), square to the oil's surface, that the openings of one wall lose in a corner at the least, flaps or none: a
    bound that spares laying out what cannot do."""
    if feed.flow is None:
        return 0.0
    pull = math.hypot(feed.cornering, GRAVITY)
    return (feed.flow / (DISCHARGE * choice.area * MM**2)) ** 2 / (2 * pull) / MM


def near_end(stand: Stand) -> int:
    """The end of the sump (1 front, -1 rear) that the pickup is nearer to; 0 where to none."""
    if stand.room is None:
        return 0
    off = stand.x - sum(stand.room.x) / 2
    return 0 if abs(off) < STEP_MM else int(math.copysign(1, off))


def candidates(baffle, flap: float, *, near: int = 0) -> list[Choice]:
    """Gates to try, the nearest to the usual first; what the file gives stays as it is. Their cells are the usual. `near` is
    the end whose wall may go without gates."""
    opening, length, width = baffle.opening, baffle.cell.length or USUAL.length, baffle.cell.width or USUAL.width
    counts = (baffle.gates_per_side,) if baffle.gates_per_side else COUNTS
    widths = (opening.width,) if opening.width else WIDTHS
    heights = (opening.height,) if opening.height else HEIGHTS
    both_free = len(widths) > 1 and len(heights) > 1
    blanks = (0, near) if near else (0,)
    found = [Choice(n, w, h, flap, length, width, blank) for n, w, h, blank in itertools.product(counts, widths, heights, blanks)
             if not both_free or SHAPES[0] <= w / h <= SHAPES[1]]
    return sorted(found, key=_from_usual)


def _from_usual(choice: Choice) -> tuple[float, float]:
    """How far from the usual, in logarithms of size; of two as far the larger first."""
    off = abs(math.log(choice.opening_width / USUAL.opening_width)) + abs(math.log(choice.opening_height / USUAL.opening_height))
    return round(off + ANOTHER_GATE * (choice.count - 1) + BLANK_WALL * abs(choice.blank), 6), -choice.area


def _in_least_cell(parameters, stand: Stand, asked: Choice, lay_out):
    """Laid out in the cell as given or, from the usual size on, in the least that it fits in steps of STEP_MM. Raises the
    ValueError of the largest cell that was tried where it fits in none: what a larger one does not get round."""
    cell, refusal = parameters.gate_baffle.cell, None
    for length, width in _cells(cell, stand, over=around_cell(parameters, stand, asked), wall=parameters.sheet.thickness):
        try:
            made = lay_out(parameters, stand, _sized(asked, length, width))
        except ValueError as bad:
            if refusal is None or not isinstance(bad, DrainInTheWay):  # what made it grow that far says more
                refusal = bad
            if not str(bad).startswith(GROWS):
                break
            continue
        return _shrunk(parameters, stand, asked, made, lay_out)
    raise refusal


def _sized(choice: Choice, length: float, width: float) -> Choice:
    return replace(choice, length=length, width=width)


def _cells(cell, stand: Stand, *, over: tuple[float, float], wall: float) -> Iterator[tuple[float, float]]:
    """Insides to try: the usual (or what the sump holds of it), then both ways longer step by step."""
    most = (LARGEST_CELL_MM, LARGEST_CELL_MM)
    if stand.room:
        most = tuple(STEP_MM * math.floor((m - 2 * (o + BESIDE_PAN_MM)) / STEP_MM) for m, o in zip(stand.room.size, over, strict=True))
    for key, given, m in (("length", cell.length, most[0]), ("width", cell.width, most[1])):
        if not given and m <= STEP_MM:
            refuse(f"cell.{key}", f"the sump has {max(m, 0.0):.1f} mm for a cell: a larger one would do")
    starts = _starts(cell, most)
    if not cell.length and _is_on_the_drain(stand, starts, over=over, wall=wall):
        before = STEP_MM * math.floor(before_drain(stand, over=over[0], wall=wall) / STEP_MM)
        most = (before if before > STEP_MM else most[0], most[1])
        starts = _starts(cell, most)
    before = None
    for i in itertools.count():
        here = tuple(
            g or min(s + i * STEP_MM, m) for g, s, m in zip((cell.length, cell.width), starts, most, strict=True)
        )
        if here == before:
            return
        yield here
        before = here


def _starts(cell, most: tuple[float, float]) -> tuple[float, float]:
    """The usual inside, as far as it is not given and there is room for it."""
    return tuple(g or min(u, m) for g, u, m in zip((cell.length, cell.width), (USUAL.length, USUAL.width), most, strict=True))


def _is_on_the_drain(stand: Stand, size: tuple[float, float], *, over: tuple[float, float], wall: float) -> bool:
    """Whether a cell of that inside has no place beside the drain but before it."""
    try:
        middle_of(stand, length=size[0], width=size[1], around=over, wall=wall)
    except DrainInTheWay:
        return True
    except ValueError:
        return False
    return False


def _shrunk(parameters, stand: Stand, asked: Choice, made, lay_out):
    """The same with length and then width taken back, where the tool chose them, as far as it still fits."""
    cell = parameters.gate_baffle.cell
    for key, given, least in (("length", cell.length, USUAL.length), ("width", cell.width, USUAL.width)):
        while not given and getattr(made, key) - STEP_MM >= least:
            size = {"length": made.length, "width": made.width, key: getattr(made, key) - STEP_MM}
            try:
                made = lay_out(parameters, stand, _sized(asked, **size))
            except ValueError:
                break
    return made


# ---------------------------------------------------------------- why


def _because(baffle, made, feed: Feed, heads) -> list[Sized]:
    """A reason for each value that the file leaves open."""
    values = [
        ("gates_per_side", baffle.gates_per_side, f"{len(made.side_gates)}"),
        ("opening.width", baffle.opening.width, f"{made.opening_width:.1f} mm"),
        ("opening.height", baffle.opening.height, f"{made.opening_height:.1f} mm"),
    ]
    why = _why_gates(made, feed, heads)
    out = [Sized(f"gate_baffle.{key}", value, why) for key, given, value in values if not given]
    if made.blank:
        out.append(Sized("gate_baffle.gateless_wall", "front" if made.blank > 0 else "rear",
                         "the pickup stands so near this end of the sump that a flap would not clear its bell; the other walls feed it"))
    if not baffle.flap_thickness:
        out.append(Sized("gate_baffle.flap_thickness", f"{made.flap.thickness:.1f} mm", _why_flap(made, feed)))
    for key, given, usual in (("length", baffle.cell.length, USUAL.length), ("width", baffle.cell.width, USUAL.width)):
        if not given:
            size = getattr(made, key)
            out.append(Sized(f"gate_baffle.cell.{key}", f"{size:.1f} mm", _why_cell(size, usual)))
    return out


def _why_flap(made, feed: Feed) -> str:
    if made.flap.thickness == USUAL.flap_thickness:
        return "not given; light enough to swing, stiff enough to seal (common practice)"
    return (f"not given; {USUAL.flap_thickness:g} mm is usual, but so heavy a flap of {made.density:.0f} kg/m3 takes more than "
            f"{SHARE_TO_CRACK:g} of the {feed.limit:g} mm of head to lift against {feed.cornering / GRAVITY:.2f} g")


def _why_cell(size: float, usual: float) -> str:
    if size == usual:
        return "not given; common practice, and all flaps swing clear of each other and of the pickup's bell"
    if size > usual:
        return (f"not given; the least, in steps of {STEP_MM:g} mm, in which all flaps swing clear of each other and of the pickup's "
                "bell")
    return f"not given; {usual:.0f} mm is usual, this is what the sump holds with room for oil to come to the gates"


def _why_gates(made, feed: Feed, heads) -> str:
    usual = (len(made.side_gates), made.opening_width, made.opening_height) == (
        USUAL.count, USUAL.opening_width, USUAL.opening_height)
    if heads is None:
        return "not given; common practice" if usual else "not given; nearest to common practice that fits; the pump's draw is not known"
    flow, worst = f"{feed.flow * LITRES_A_MINUTE:.1f} L/min", heads.worst
    if worst <= feed.limit:
        which = "common practice, which" if usual else "nearest to common practice that fits and"
        return f"not given; {which} loses {worst:.2f} mm of head at {flow}, {feed.limit:g} mm is allowed"
    return f"not given; loses least head of all that fit, {worst:.2f} mm at {flow}: more than the {feed.limit:g} mm that are allowed"


LITRES_A_MINUTE = 60000.0
"""In a m3/s."""
