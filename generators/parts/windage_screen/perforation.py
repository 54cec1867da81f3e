"""How many slots or holes, and where, so that the tray is as open as asked. Pure arithmetic.

    one facet, flat; x along the crank     |<- end ->|
     ---------------------------------------------- bend
     margin     (______)  (______)  (______)        row, row pitch >= width + thickness
                (______)  (______)  (______)
     ---------------------------------------------- bend
                |<- pitch ->|  length
"""

import math
from dataclasses import dataclass, replace

from generators import standards
from generators.outlines import Loop, circle, slot
from generators.parts.windage_screen.section import Metal

SLOT_WIDTHS = 6.0
"""A slot is about this many widths long: long enough to drain, short enough that the strip beside it does not ring."""

LONGEST_WIDTHS, LONGEST_MM = 12.0, 60.0
"""No slot is longer than the larger of these: the strips between longer ones ring (common practice)."""

ALONG_SHARE = 0.8
"""Share of its length that a row of slots is open for, where the number of rows is free."""

MOST_SLOTS, MOST_HOLES = 200, 1200
"""More cuts than this cost more than they strip; slots then grow longer."""

SAFE_HOLE_THICKNESSES = 2.0
"""Hole to bend: 3 t + r from the mould line, to be safe, is 2 t from where the bend begins."""

ROUND_MM = 0.1
"""Slot lengths are rounded to this, so that drawings carry short numbers."""

DRAIN_LENGTH_MM, DRAIN_PITCH_MM = 40.0, 65.0
"""Drain slots: length, and how far apart at most."""

DRAIN_SHARE = 0.5
"""The drain slots take no more than this of the open area where that is small; then there are fewer."""


@dataclass(frozen=True)
class Row:
    """`count` equal slots (holes where length = width) in a row on one face of the tray, mm: `y` across the face, `first`
    the first one's middle along the tray, `pitch` to the next."""

    face: int
    y: float
    first: float
    pitch: float
    count: int
    length: float
    width: float

    @property
    def area(self) -> float:
        """Of all together, mm2."""
        return self.count * obround(self.length, width=self.width)

    def loops(self) -> tuple[Loop, ...]:
        """The cuts in the face's own frame."""
        places = [self.first + i * self.pitch for i in range(self.count)]
        if self.length > self.width:
            return tuple(slot(x=x, y=self.y, length=self.length, width=self.width) for x in places)
        return tuple(circle(x=x, y=self.y, radius=self.width / 2) for x in places)


def obround(length: float, *, width: float) -> float:
    """Area, mm2, of a slot with round ends of overall `length` and `width` mm: a rectangle and a circle."""
    return (length - width) * width + math.pi / 4 * width**2


def open_share(rows, flats, *, length: float) -> float:
    """Open area: all that is cut out of the facets (drain slots too) over the facets' flat stretches between the bends,
    `flats` (n,) mm wide and `length` mm long. The lips do not count. Dimensionless share."""
    return sum(r.area for r in rows) / (sum(flats) * length)


def drains(flats, *, share: float, width: float, length: float, end: float) -> Row:
    """The drain slots in the middle of the first facet (face 1); `flats` (n,) mm are the facets between their bends, `share`
    the open area asked, for a tray of `length` mm with `end` mm left at both ends. Raises ValueError where not one fits."""
    usable = length - 2 * end
    long = min(DRAIN_LENGTH_MM, usable)
    if long <= width:
        raise ValueError(f"windage_screen.make: a tray {length:.0f} mm long has no room for a drain slot of {width:.0f} mm; "
                         "make = false leaves it out")
    most = int(DRAIN_SHARE * share * sum(flats) * length / obround(long, width=width))
    count = max(1, min(most, math.ceil(usable / DRAIN_PITCH_MM)))
    while count > 1 and usable / count < long + width:
        count -= 1
    return Row(1, flats[0] / 2, end + usable / count / 2, usable / count, count, long, width)


def lip_drains(drain: Row, flats, *, covered: float, metal: Metal) -> tuple[Row, ...]:
    """Slots as those of `drain` in the lips too, where these are wide enough: between the tabs, which cover them up to
    `covered` mm from their edges, and the bend. `flats`: face -> the lip's flat, mm; face 0 begins at its edge, others
    at the bend."""
    out = []
    for face, flat in flats.items():
        free = flat - covered - metal.slot_margin
        if free >= drain.width:
            from_edge = covered + free / 2
            out.append(replace(drain, face=face, y=flat - from_edge if face else from_edge))
    return tuple(out)


def perforation(flats, drain: Row, metal: Metal, *, kind: str, share: float, length: float, end: float) -> tuple[Row, ...]:
    """Rows of "slots" or "holes" on all facets but the one with the `drain` slots, as near to the open `share` as they come;
    `flats` (n,) mm between the facets' bends. Raises ValueError, naming both shares, where they do not come to it."""
    area = sum(flats) * length
    wanted = share * area - drain.area
    margin = metal.slot_margin if kind == "slots" else SAFE_HOLE_THICKNESSES * metal.thickness
    most = [0, *(_most_rows(f, margin, metal) for f in flats[1:])]
    if not any(most):
        raise ValueError(f"windage_screen.hole: the widest facet has {max(flats[1:]) - 2 * margin:.1f} mm between its bends, less what "
                         f"they need beside them; {metal.hole:g} mm does not fit")
    if wanted < obround(metal.hole, width=metal.hole):
        raise ValueError(f"windage_screen.open_area: {share:.3f} of {area:.0f} mm2 less the drain slots' {drain.area:.0f} mm2 is no "
                         f"whole cut of {metal.hole:g} mm; at least {(drain.area + obround(metal.hole, width=metal.hole)) / area:.3f} "
                         "or a smaller hole would do")
    count, long, rows = _laid(kind, flats, most, wanted, metal, length - 2 * end)
    if not count:
        reached = (drain.area + _fullest(kind, sum(most), metal, length - 2 * end)) / area
        raise ValueError(f"windage_screen.open_area: {share:.3f} was asked for, {reached:.3f} is the most that leaves webs of "
                         f"{metal.thickness:g} mm and the bends clear with no more than {MOST_SLOTS if kind == 'slots' else MOST_HOLES} "
                         f"{kind}; a smaller share, or another hole or perforation would do")
    pitch = (length - 2 * end) / count
    return tuple(Row(i + 1, y, end + pitch / 2, pitch, count, long, metal.hole)
                 for i, flat in enumerate(flats) for y in _heights(flat, rows[i], margin, metal))


def _most_rows(flat: float, margin: float, metal: Metal) -> int:
    """Rows that fit a facet with a web of one thickness between them."""
    usable = flat - 2 * margin - metal.hole
    return 0 if usable < 0 else int(usable / (metal.hole + standards.least_web(metal.thickness).value)) + 1


def _heights(flat: float, rows: int, margin: float, metal: Metal) -> list[float]:
    """Middles of the rows across a facet: evenly, and no nearer to its bends than the margin."""
    pitch = min(flat / rows, (flat - 2 * margin - metal.hole) / max(1, rows - 1)) if rows else 0.0
    return [flat / 2 + (i - (rows - 1) / 2) * pitch for i in range(rows)]


def _fullest(kind: str, rows: int, metal: Metal, usable: float) -> float:
    """The most that can be cut from up to `rows` rows, mm2, with no more cuts in all than are made."""
    web, w = standards.least_web(metal.thickness).value, metal.hole
    if kind == "holes":
        return min(MOST_HOLES, rows * int(usable / (w + web))) * obround(w, width=w)
    laid = [(r * n, min(_longest(w), usable / n - web)) for r in range(1, rows + 1) for n in range(1, max(1, MOST_SLOTS // r) + 1)]
    return max((cuts * obround(long, width=w) for cuts, long in laid if long > w), default=0.0)


def _longest(width: float) -> float:
    return max(LONGEST_WIDTHS * width, LONGEST_MM)


def _laid(kind: str, flats, most: list[int], wanted: float, metal: Metal, usable: float) -> tuple[int, float, list[int]]:
    """Cuts in a row, their length (mm) and the rows on each facet; no cuts where they do not come to `wanted` mm2. Bridges
    between the ends of slots are as long as a slot is wide where that can be."""
    web = standards.least_web(metal.thickness).value
    for bridge in (max(web, metal.hole), web) if kind == "slots" else (web,):
        rows = _rows(kind, flats, most, wanted, metal, usable)
        while not (laid := _cuts(kind, sum(rows), wanted, metal, usable, bridge))[0]:
            spare = [i for i, n in enumerate(rows) if n < most[i]]
            if not spare:
                break
            i = max(spare, key=lambda k: flats[k] / (rows[k] + 1))
            rows = [n + (k == i) for k, n in enumerate(rows)]
        if laid[0]:
            break
    return *laid, rows


def _cuts(kind: str, rows: int, wanted: float, metal: Metal, usable: float, bridge: float) -> tuple[int, float]:
    lay = _slots if kind == "slots" else _holes
    return lay(rows, wanted, metal.hole, usable, bridge)


def _rows(kind: str, flats, most: list[int], wanted: float, metal: Metal, usable: float) -> list[int]:
    """Rows on each facet to begin from: as many as leave a facet evenly open."""
    perforated = [f if m else 0.0 for f, m in zip(flats, most, strict=True)]
    dense = wanted / (sum(perforated) * usable)
    if kind == "slots":
        apart = ALONG_SHARE * metal.hole / dense
    else:
        apart = math.sqrt(obround(metal.hole, width=metal.hole) / dense)
    return [min(m, max(1, round(f / apart))) if m else 0 for f, m in zip(perforated, most, strict=True)]


def _slots(rows: int, wanted: float, w: float, usable: float, bridge: float) -> tuple[int, float]:
    """Slots in a row and their length (mm), nearest to SLOT_WIDTHS widths, so that all rows come to `wanted` mm2; 0 where
    none do."""
    best, found = math.inf, (0, 0.0)
    for count in range(1, max(1, MOST_SLOTS // rows) + 1):
        long = round(((wanted / (rows * count) - math.pi / 4 * w**2) / w + w) / ROUND_MM) * ROUND_MM
        if w < long <= min(_longest(w), usable / count - bridge) and abs(long - SLOT_WIDTHS * w) < best:
            best, found = abs(long - SLOT_WIDTHS * w), (count, long)
    return found


def _holes(rows: int, wanted: float, w: float, usable: float, bridge: float) -> tuple[int, float]:
    """Holes in a row, and their diameter (mm); 0 where they do not come to `wanted` mm2. Raises ValueError for too many."""
    count = max(1, round(wanted / obround(w, width=w) / rows))
    if count * rows > MOST_HOLES:
        raise ValueError(f"windage_screen.hole: {count * rows} holes of {w:g} mm would be needed, at most {MOST_HOLES} are cut; larger "
                         'holes, a smaller open_area or perforation = "slots" would do')
    return (count, w) if count * (w + bridge) <= usable else (0, w)
