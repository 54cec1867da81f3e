"""Flat patterns as drawings that a laser shop accepts: closed outlines on one layer, nothing cut twice, 1:1 in mm."""

import math
import textwrap
from collections.abc import Callable
from contextlib import contextmanager
from io import StringIO

import ezdxf
import numpy as np
from ezdxf import colors, options, path, units
from ezdxf.document import Drawing
from ezdxf.entities import LWPolyline
from ezdxf.enums import TextEntityAlignment
from shapely.geometry import Polygon

from generators.outlines import CHORD_MM, Loop, flattened
from generators.pieces import Piece
from generators.sheet.flat import BendLine, FlatPattern
from generators.shop.etching import Marks

CUT, BEND_UP, BEND_DOWN, ETCH, NOTE = "CUT", "BEND_UP", "BEND_DOWN", "ETCH", "NOTE"
LAYER_COLOURS = {CUT: colors.WHITE, BEND_UP: colors.GREEN, BEND_DOWN: colors.BLUE, ETCH: colors.YELLOW, NOTE: colors.GRAY}

TEXT_SHARE = 1 / 60
TEXT_LIMITS_MM = (2.5, 10.0)
"""Height of text as a share of the part's longer side, and what it stays between: read on a screen that shows the whole
part, and on the part itself."""

CHARACTER_SHARE = 0.8
"""Room that a character takes along the line over the height of text, in the common drawing fonts."""

LINE_SPACING = 1.6
"""Distance from one line of text to the next, in text heights."""

LINE_CHARACTERS = 40
"""Lines below a narrow part are not broken shorter than this."""

BEND_TEXT_SHARE = 0.9
"""Of a bend line's length that its text may take: the text keeps off the cut edges at its ends."""

PLACES = 21
"""Places along a bend line at which its text is tried."""

BESIDE_MM = 10.0
"""Room between the part and the lines of text below it."""


def text_height(flat: FlatPattern) -> float:
    """Height of the notes on a flat, mm."""
    return float(np.clip(TEXT_SHARE * np.ptp(flattened(flat.outer), axis=0).max(), *TEXT_LIMITS_MM))


def add_loop(space, loop: Loop) -> None:
    """Draw a loop that is cut: a circle, or a closed polyline."""
    round_ = loop.as_circle()
    if round_:
        space.add_circle(round_[0], round_[1], dxfattribs={"layer": CUT})
        return
    starts = sorted(range(len(loop.vertices)), key=lambda i: loop.vertices[i - 1][2] != 0)
    for start in starts:
        vertices = [*loop.vertices[start:], *loop.vertices[:start]]
        line = space.add_lwpolyline(vertices, format="xyb", close=True, dxfattribs={"layer": CUT})
        if start == starts[-1] or _closes(line):
            return
        space.delete_entity(line)


def _closes(line: LWPolyline) -> bool:
    """Whether a reader that turns the arcs into chords gets a loop that does not cross itself where it closes: the end that
    it reckons for a last arc may lie a rounding error beyond the start. A loop that closes with a straight side always does."""
    return Polygon([(p.x, p.y) for p in path.make_path(line).flattening(CHORD_MM)]).is_valid


def bend_words(bend: BendLine, number: int) -> str:
    """What a press brake needs to know: the bend's number in the report, its way, angle in degrees turned from flat,
    inside radius and allowance in mm."""
    degrees, radius = round(math.degrees(abs(bend.angle)), 1), round(bend.radius, 2)
    return f"{number}: {'UP' if bend.angle > 0 else 'DOWN'} {degrees:g} deg R{radius:g} BA {bend.allowance:.2f}"


def _free_place(bend: BendLine, words: str, height: float, holes: list[Polygon]) -> np.ndarray:
    """Where on the bend line (2,) the words stand: as near its middle as leaves every hole clear, else there."""
    start, end = np.array(bend.start), np.array(bend.end)
    along = (end - start) / bend.length
    above = np.array([-along[1], along[0]]) * (1 if _upright(bend) == _direction(bend) else -1)
    half = CHARACTER_SHARE * len(words) * height / 2
    for share in sorted(np.linspace(0, 1, PLACES), key=lambda k: (abs(k - 1 / 2), k)):
        place = start + along * (half + share * (bend.length - 2 * half))
        square = ((-1, 0), (1, 0), (1, 1), (-1, 1))
        box = Polygon([place + i * half * along + j * LINE_SPACING * height * above for i, j in square])
        if not any(box.intersects(hole) for hole in holes):
            return place
    return (start + end) / 2


def _direction(bend: BendLine) -> float:
    return math.degrees(math.atan2(bend.end[1] - bend.start[1], bend.end[0] - bend.start[0]))


def _upright(bend: BendLine) -> float:
    """Turn (degrees) of text along the bend that is not upside down."""
    turn = math.remainder(_direction(bend), 180)
    return turn if abs(turn) < 90 else 90.0


LEAST_TEXT_MM = 1.8
"""Smaller words are not read (ISO 3098 begins at this height)."""


def _is_read(bend: BendLine, words: str) -> bool:
    """Whether the words stand on the bend in a height that is read; else its number alone does, and they stand in the notes."""
    return BEND_TEXT_SHARE * bend.length / (CHARACTER_SHARE * len(words)) >= LEAST_TEXT_MM


def _add_bend(space, bend: BendLine, words: str, height: float, holes: list[Polygon]) -> None:
    space.add_line(bend.start, bend.end, dxfattribs={"layer": BEND_UP if bend.angle > 0 else BEND_DOWN})
    if not _is_read(bend, words):
        words = words.partition(":")[0]
    height = min(height, BEND_TEXT_SHARE * bend.length / (CHARACTER_SHARE * len(words)))
    text = space.add_text(words, height=height, rotation=_upright(bend), dxfattribs={"layer": NOTE})
    text.set_placement(tuple(_free_place(bend, words, height, holes)), align=TextEntityAlignment.BOTTOM_CENTER)


def notes(part_name: str, piece: Piece, *, grain: bool = True) -> tuple[str, ...]:
    """The lines beside the part: what it is, of what, how many, and how the drawing is meant; `grain`: it lies across the longest bend."""
    what = f"{piece.material}  t = {round(piece.thickness, 3):g} mm  quantity {piece.quantity}"
    meant = ["mm, 1:1, kerf not applied"]
    if piece.flat.bends:
        meant.append("bends: angles turned from flat, radii inside, UP towards you" + ("; grain across the longest bend" if grain else "; grain free"))
    told = [bend_words(bend, i) for i, bend in enumerate(piece.flat.bends, start=1)]
    short = [f"bend {words}" for bend, words in zip(piece.flat.bends, told, strict=True) if not _is_read(bend, words)]
    return (f"{part_name} / {piece.name}", what, *meant, *short, *((piece.note,) if piece.note else ()))


def _add_notes(space, lines: tuple[str, ...], flat: FlatPattern, height: float) -> None:
    points = flattened(flat.outer)
    low, high = points.min(axis=0), points.max(axis=0)
    width = max(LINE_CHARACTERS, int((high[0] - low[0]) / (CHARACTER_SHARE * height)))
    for i, line in enumerate(short for whole in lines for short in textwrap.wrap(whole, width)):
        y = float(low[1]) - BESIDE_MM - i * LINE_SPACING * height
        text = space.add_text(line, height=height, dxfattribs={"layer": NOTE})
        text.set_placement((float(low[0]), y), align=TextEntityAlignment.TOP_LEFT)


def drawing(part_name: str, piece: Piece, *, cut_only: bool = False, marks: Marks | None = None, grain: bool = True) -> Drawing:
    """The drawing of the piece's flat pattern: CUT alone, or with bend lines, etched lines and notes on layers of their own; with
    `marks` those are etched too."""
    document = ezdxf.new("R2010", units=units.MM)
    document.header["$MEASUREMENT"] = 1
    for name in (CUT,) if cut_only else LAYER_COLOURS:
        document.layers.add(name, color=LAYER_COLOURS[name])
    space = document.modelspace()
    for loop in (piece.flat.outer, *piece.flat.holes):
        add_loop(space, loop)
    if not cut_only:
        height = text_height(piece.flat)
        holes = [Polygon(flattened(hole)) for hole in piece.flat.holes]
        for i, bend in enumerate(piece.flat.bends, start=1):
            _add_bend(space, bend, bend_words(bend, i), height, holes)
        for mark in piece.flat.marks:
            space.add_lwpolyline(mark, dxfattribs={"layer": ETCH})
        for stroke in marks.strokes if marks else ():
            space.add_lwpolyline([tuple(map(float, p)) for p in stroke], dxfattribs={"layer": ETCH})
        _add_notes(space, (*notes(part_name, piece, grain=grain), *(marks.missing if marks else ())), piece.flat, height)
    return document


@contextmanager
def _same_file_for_same_input():
    """Without the time of writing and fresh random identifiers."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def text(part_name: str, piece: Piece, *, cut_only: bool = False, marks: Marks | None = None, grain: bool = True) -> str:
    """`drawing` as the text of a DXF file."""
    return as_text(lambda: drawing(part_name, piece, cut_only=cut_only, marks=marks, grain=grain))


def as_text(draw: Callable[[], Drawing]) -> str:
    """A document, made by `draw`, as the text of a DXF file; the same for the same content."""
    with _same_file_for_same_input():
        document = draw()
        for name in sorted(document.entitydb.dxf_types_in_use()):
            document.classes.add_class(name)
        stream = StringIO()
        document.write(stream)
    return stream.getvalue()
