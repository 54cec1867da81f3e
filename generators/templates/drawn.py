"""What a template shows, in mm from its lower left corner: lines, loops and words, drawn on any page and anywhere on it."""

import math
from dataclasses import dataclass

import numpy as np
from shapely.geometry import LineString, Polygon, box

from generators.outlines import Loop, flattened, moved
from generators.paper.pages import CHAIN, NARROW, WIDE, Page, text_width
from generators.pieces import Part, Piece
from generators.sheet.branches import TubeEnd
from generators.shop.rail_holes import bolt_holes

EDGE_MM = 3.0
"""Room round what is drawn."""

PAPER_MM = 0.1
"""Thickness of paper, half of which a wrapped template stands off the tube."""

FLAP_MM = 10.0
"""What a wrapped template overlaps itself by."""

CROSS_MM = 4.0
"""How far a centre cross stands out over its hole, at most."""

WORDS_MM = 2.5

SAME_MM = 1e-6
"""Sizes that differ by less are one, also where they lie half way between two figures."""

FROM_REAR = ("flange", "scraper")
"""Flats that are drawn as they lie on the engine: x forward, seen from above."""


@dataclass(frozen=True)
class Line:
    """A line through points (n, 2)."""

    points: np.ndarray
    width: float = NARROW
    dash: tuple[float, ...] = ()


@dataclass(frozen=True)
class Words:
    """Words in the middle over a point, turned by `angle` rad; `height` mm."""

    said: str
    at: tuple[float, float]
    angle: float = 0.0
    height: float = WORDS_MM

    @property
    def ground(self) -> Polygon:
        """What they cover."""
        return Page(None, None).ground(self.at, self.said, height=self.height, anchor="middle", angle=self.angle)


@dataclass(frozen=True)
class Template:
    """A template `width` x `height` mm: its name, words on what it is of, how large that is by itself (mm), the lines and loops on it."""

    name: str
    about: str
    size: tuple[float, float]
    width: float
    height: float
    loops: tuple[Loop, ...]
    lines: tuple[Line, ...]
    words: tuple[Words, ...]

    def has_ink(self, x0: float, y0: float, x1: float, y1: float) -> bool:
        """Whether a line runs through the window between two corners."""
        window = box(x0, y0, x1, y1)
        rims = [LineString([*(p := flattened(loop)), p[0]]) for loop in self.loops]
        return any(window.intersects(rim) for rim in (*rims, *(LineString(line.points) for line in self.lines)))

    def draw(self, page: Page, x: float, y: float, *, scale: float = 1.0) -> None:
        """Draw it on a page with its lower left corner at x, y mm; its words are put where they are read."""
        for loop in self.loops:
            page.loop(_placed(loop, x, y, scale), width=WIDE * min(1.0, max(scale, 0.4)))
        for line in self.lines:
            page.line(line.points * scale + (x, y), width=line.width * min(1.0, max(scale, 0.4)), dash=line.dash if scale == 1.0 else ())


def _placed(loop: Loop, x: float, y: float, scale: float) -> Loop:
    grown = Loop(tuple((px * scale, py * scale, b) for px, py, b in loop.vertices)) if scale != 1.0 else loop
    return moved(grown, x=x, y=y)


def _made(name: str, about: str, loops, lines, words) -> Template:
    """The template of what is drawn anywhere, moved so that all of it lies in its frame."""
    points = np.vstack([*(flattened(loop) for loop in loops), *(line.points for line in lines)])
    size = tuple(float(v) for v in np.ptp(points, axis=0))
    points = np.vstack([points, *(np.array(w.ground.exterior.coords) for w in words)])
    low, high = points.min(axis=0) - EDGE_MM, points.max(axis=0) + EDGE_MM
    return Template(name, about, size, *(float(v) for v in high - low), tuple(moved(loop, x=-low[0], y=-low[1]) for loop in loops),
                    tuple(Line(line.points - low, line.width, line.dash) for line in lines),
                    tuple(Words(w.said, (w.at[0] - low[0], w.at[1] - low[1]), w.angle, w.height) for w in words))


def flat_template(part: Part, piece: Piece) -> Template:
    """A flat with its holes' centres, and its bends with their way."""
    flat = piece.flat
    lines, words, short = [], [], []
    rounds = [(i, loop.as_circle()) for i, loop in enumerate(flat.holes)]
    sizes = {i: round(2 * found[1] + SAME_MM, 2) for i, found in rounds if found}
    for i, found in rounds:
        if found is None:
            continue
        (x, y), radius = found
        reach = radius + min(CROSS_MM, radius / 2)
        lines += [Line(np.array([(x - reach, y), (x + reach, y)])), Line(np.array([(x, y - reach), (x, y + reach)]))]
        if radius > FLAP_MM or i == next(j for j, size in sizes.items() if size == sizes[i]):
            words.append(Words(f"ø{sizes[i]:g}", (x, y + reach + 1.0)))
    for number, bend in enumerate(flat.bends, start=1):
        points = np.array([bend.start, bend.end])
        lines.append(Line(points, dash=CHAIN))
        angle = math.remainder(math.atan2(*(points[1] - points[0])[::-1]), math.pi)
        off = np.array([-math.sin(angle), math.cos(angle)])
        said = f"{number}: {'up' if bend.angle > 0 else 'down'} {math.degrees(abs(bend.angle)):.1f}°, R{bend.radius:.3g} inside"
        if text_width(said, WORDS_MM) > bend.length:
            short.append(f"bend {said}")
            said = str(number)
        words.append(Words(said, tuple(points.mean(axis=0) + off), angle))
    if piece.name in FROM_REAR:
        words, lines = _with_front(part, flat, words, lines)
    lines += [Line(np.array(mark)) for mark in flat.marks]
    what = f"{piece.material}, {piece.thickness:.5g} mm, {piece.quantity} off" + (", bend lines in the middle of each bend" if flat.bends else "") + "".join(f"; {s}" for s in short)
    return _made(piece.name, what, (flat.outer, *flat.holes), lines, _apart(words))


def _with_front(part: Part, flat, words: list[Words], lines: list[Line]) -> tuple[list[Words], list[Line]]:
    """With an arrow in the opening towards the engine's front, and numbers at the bolts, seen from above."""
    x0, y0, x1, y1 = Polygon(flattened(flat.outer)).bounds
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    numbers = [Words(str(i), (hx, hy + (CROSS_MM + WORDS_MM / 2 if hy < y else -CROSS_MM - 1.5 * WORDS_MM - 1.0)))
               for i, (hx, hy, _) in enumerate(bolt_holes(part), start=1)]
    arrow = [Line(np.array([(x - 20, y), (x + 20, y)])), Line(np.array([(x + 12, y + 4), (x + 20, y), (x + 12, y - 4)]))]
    return [*words, *numbers, Words("to the front, seen from above", (x, y + 3))], [*lines, *arrow]


def _apart(words: list[Words]) -> list[Words]:
    """The words, those that would lie over others left out: sizes repeat, and a bend tells its number first."""
    kept: list[Words] = []
    for w in sorted(words, key=lambda w: -len(w.said)):
        if not any(w.ground.intersects(other.ground) for other in kept):
            kept.append(w)
    return kept


def wrap_template(piece: Piece, end: TubeEnd) -> Template:
    """A strip to be wound round a tube: its curve is where the tube ends, developed on the middle of the paper; centre lines every quarter."""
    around = 2 * math.pi * (end.radius + PAPER_MM / 2)
    back = np.array([*end.back, end.back[0]])
    curve = np.column_stack([np.linspace(0, around, len(back)), back.max() - back])
    foot = -25.0
    lines = [Line(curve, width=WIDE), Line(np.array([(0, foot), (around + FLAP_MM, foot)])), Line(np.array([(0, foot), (0, curve[0, 1])]), width=WIDE),
             Line(np.array([(around, foot), (around, curve[-1, 1])]), width=WIDE), Line(np.array([(around + FLAP_MM, foot), (around + FLAP_MM, 0)])),
             Line(np.array([(around, 0), (around + FLAP_MM, 0)]))]
    quarters = [Line(np.array([(around * k / 4, foot), (around * k / 4, float(np.interp(around * k / 4, *curve.T)))]), dash=CHAIN) for k in (1, 2, 3)]
    words = [Words("start", (around / 16, foot + 2)), *(Words(f"{90 * k}°", (around * k / 4 + 5, foot + 2)) for k in (1, 2, 3) if around > 60),
             Words("glue", (around + FLAP_MM / 2, foot / 2), math.pi / 2)]
    about = (f"wind round the {2 * end.radius:.2f} mm tube, edge to edge, start at {end.start}; the curve is the end of the tube, cut back "
             f"{back.max():.1f} mm at most; {piece.note.partition(';')[0]}")
    return _made(f"{piece.name}, {end.name}", about, (), [*lines, *quarters], words)
