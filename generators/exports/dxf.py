"""Flat patterns as drawings that a laser shop accepts: closed outlines on one layer, nothing cut twice, 1:1 in mm."""

import math
from contextlib import contextmanager
from pathlib import Path

import ezdxf
from ezdxf import colors, options, path, units
from ezdxf.document import Drawing
from ezdxf.entities import LWPolyline
from ezdxf.enums import TextEntityAlignment
from shapely.geometry import Polygon

from generators.outlines import CHORD_MM, Loop
from generators.pieces import Piece
from generators.sheet.flat import BendLine, FlatPattern

CUT, BEND_UP, BEND_DOWN, ETCH, NOTE = "CUT", "BEND_UP", "BEND_DOWN", "ETCH", "NOTE"
LAYER_COLOURS = {CUT: colors.WHITE, BEND_UP: colors.GREEN, BEND_DOWN: colors.BLUE, ETCH: colors.YELLOW, NOTE: colors.GRAY}

TEXT_MM = 3.0
LINE_SPACING = 1.6
"""Distance from one line of text to the next, in text heights."""

BESIDE_MM = 10.0
"""Room between the part and the lines of text below it."""


def _add_loop(space, loop: Loop) -> None:
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


def bend_words(bend: BendLine) -> str:
    """What a press brake needs to know, angle in degrees turned from flat, inside radius in mm."""
    return f"{'UP' if bend.angle > 0 else 'DOWN'} {math.degrees(abs(bend.angle)):.1f} deg R{bend.radius:.2f}"


def _add_bend(space, bend: BendLine) -> None:
    space.add_line(bend.start, bend.end, dxfattribs={"layer": BEND_UP if bend.angle > 0 else BEND_DOWN})
    middle = [(a + b) / 2 for a, b in zip(bend.start, bend.end, strict=True)]
    along = math.degrees(math.atan2(bend.end[1] - bend.start[1], bend.end[0] - bend.start[0]))
    upright = math.remainder(along, 180)
    text = space.add_text(bend_words(bend), height=TEXT_MM, rotation=upright, dxfattribs={"layer": NOTE})
    text.set_placement(middle, align=TextEntityAlignment.BOTTOM_CENTER)


def notes(part_name: str, piece: Piece) -> tuple[str, ...]:
    """The lines beside the part: what it is, of what, how many, and how the drawing is meant."""
    return (f"{part_name} / {piece.name}", f"{piece.material}  t = {piece.thickness:g} mm  quantity {piece.quantity}",
            "mm, 1:1, kerf not applied; bend angles are turned from flat, radii inside",
            *((piece.note,) if piece.note else ()))


def _add_notes(space, lines: tuple[str, ...], flat: FlatPattern) -> None:
    low = flat.outer.points.min(axis=0)
    reach = max((abs(b) for b in flat.outer.bulges), default=0.0) and _bulge_reach(flat.outer)
    for i, line in enumerate(lines):
        y = float(low[1]) - reach - BESIDE_MM - i * LINE_SPACING * TEXT_MM
        text = space.add_text(line, height=TEXT_MM, dxfattribs={"layer": NOTE})
        text.set_placement((float(low[0]), y), align=TextEntityAlignment.TOP_LEFT)


def _bulge_reach(loop: Loop) -> float:
    """How far an arc of the loop can stand out beyond its corners, mm: the tallest sagitta, half chord x bulge."""
    return max(float(math.dist(a, b)) / 2 * abs(bulge) for a, b, bulge in loop.segments())


def drawing(part_name: str, piece: Piece, *, cut_only: bool = False) -> Drawing:
    """The drawing of the piece's flat pattern: CUT alone, or with bend lines, marks and notes on layers of their own."""
    document = ezdxf.new("R2010", units=units.MM)
    document.header["$MEASUREMENT"] = 1
    for name in (CUT,) if cut_only else LAYER_COLOURS:
        document.layers.add(name, color=LAYER_COLOURS[name])
    space = document.modelspace()
    for loop in (piece.flat.outer, *piece.flat.holes):
        _add_loop(space, loop)
    if not cut_only:
        for bend in piece.flat.bends:
            _add_bend(space, bend)
        for mark in piece.flat.marks:
            space.add_lwpolyline(mark, dxfattribs={"layer": ETCH})
        _add_notes(space, notes(part_name, piece), piece.flat)
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


def write(part_name: str, piece: Piece, file: Path, *, cut_only: bool = False) -> None:
    """Write the piece's flat pattern to `file`."""
    with _same_file_for_same_input():
        document = drawing(part_name, piece, cut_only=cut_only)
        for name in sorted(document.entitydb.dxf_types_in_use()):
            document.classes.add_class(name)
        document.saveas(file)
