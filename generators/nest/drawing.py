"""A laid-out sheet as a drawing: for a look and an estimate, not for the cutter."""

import ezdxf
from ezdxf import colors, units
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment

from generators.nest import Nest
from generators.shop.flat_drawing import CUT, NOTE, add_loop, as_text

SHEET, GRAIN = "SHEET", "GRAIN"
LAYERS = {SHEET: colors.GRAY, GRAIN: colors.BLUE, CUT: colors.WHITE, NOTE: colors.GRAY}

TEXT_MM, ARROW_MM = 12.0, 200.0
ESTIMATE = "layout for estimate only: each piece has its own file for the cutter"


def drawing(nest: Nest, sheet: int) -> Drawing:
    """Sheet number `sheet` (from 0) with what is laid on it, mm."""
    document = ezdxf.new("R2010", units=units.MM)
    document.header["$MEASUREMENT"] = 1
    for name, colour in LAYERS.items():
        document.layers.add(name, color=colour)
    space = document.modelspace()
    corners = [(0, 0), (nest.length, 0), (nest.length, nest.width), (0, nest.width)]
    space.add_lwpolyline(corners, close=True, dxfattribs={"layer": SHEET})
    if nest.grain:
        for line in ([(0, -60), (ARROW_MM, -60)], [(ARROW_MM - 20, -52), (ARROW_MM, -60), (ARROW_MM - 20, -68)]):
            space.add_lwpolyline(line, dxfattribs={"layer": GRAIN})
    for laid in nest.sheets[sheet]:
        for loop in laid.loops():
            add_loop(space, loop)
        at = laid.ground.representative_point()
        text = space.add_text(laid.piece.name, height=TEXT_MM / 2, dxfattribs={"layer": NOTE})
        text.set_placement((at.x, at.y), align=TextEntityAlignment.MIDDLE_CENTER)
    for i, words in enumerate((f"{nest.material}  t = {nest.thickness:.5g} mm  {nest.length:g} x {nest.width:g} mm  sheet {sheet + 1} of {len(nest.sheets)}",
                               "grain along the arrow" if nest.grain else "grain free", ESTIMATE)):
        text = space.add_text(words, height=TEXT_MM, dxfattribs={"layer": NOTE})
        text.set_placement((ARROW_MM + 30, -40 - 22 * i), align=TextEntityAlignment.MIDDLE_LEFT)
    return document


def text(nest: Nest, sheet: int) -> str:
    """`drawing` as the text of a DXF file."""
    return as_text(lambda: drawing(nest, sheet))
