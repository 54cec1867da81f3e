"""Two invented parts, small enough to reckon by hand: a bracket with a loose pin, and an open trough that holds oil."""

import math

import numpy as np

from generators.findings import Sized
from generators.outlines import circle, rectangle, without_repeats
from generators.pieces import Mouth, Part, Piece, Seam
from generators.sheet.channel import Channel
from generators.sheet.folded import Bend, FoldedSheet, Region, flat_of, plate
from generators.sheet.frames import frame
from generators.sheet.solids import folded_solid, prism, tube

DENSITY = 2680.0
K_FACTOR = 0.42
TROUGH_LENGTH, TROUGH_WIDTH, TROUGH_DEPTH = 150.0, 100.0, 60.0


def bracket() -> Part:
    """A folded angle on a base plate, and a pin that sits loose in the plate's hole, touching its rim at a line."""
    angle = FoldedSheet(2.0, K_FACTOR, (
        Region("foot", rectangle(x0=0, y0=0, x1=80, y1=40), (circle(x=20, y=15, radius=4),)),
        Region("wall", rectangle(x0=0, y0=0, x1=80, y1=30)),
    ), (Bend("foot", "wall", 2, math.pi / 2, 3.0),))
    base = plate(outer=rectangle(x0=-10, y0=-10, x1=90, y1=60, corner=8), thickness=6.0,
                 holes=(circle(x=75, y=52, radius=3),), k_factor=K_FACTOR)
    on_base = frame(origin=(0, 0, 6), x=(1, 0, 0), z=(0, 0, 1))
    pieces = (
        Piece("angle", "folded", "5052-H32", DENSITY, (folded_solid(angle, where=on_base),), 2.0, flat_of(angle)),
        Piece("base", "plate", "5052-H32", DENSITY, (folded_solid(base),), 6.0, flat_of(base)),
        Piece("pin", "turned", "5052-H32", DENSITY, tuple(
            tube(outer=4, bore=0, length=20, where=frame(origin=(20 + 20 * i, 15, 6), x=(1, 0, 0), z=(0, 0, 1)))
            for i in (0, 1)), loose=True),
    )
    weld = Seam("angle", "base", np.array([[0, 0, 6], [80, 0, 6]]), 2.0)
    return Part("bracket", pieces, {"foot": 40.0}, (Sized("bracket.foot", "40 mm", "wide <enough> for the pin & its hole"),),
                (weld,))


def trough() -> Part:
    """A U channel along x with an end plate welded to each end; open at the top, z = 0; oil stands 20 mm deep in it."""
    half, depth, length = TROUGH_WIDTH / 2, TROUGH_DEPTH, TROUGH_LENGTH
    channel = Channel(((-half, 0.0), (-half, -depth), (half, -depth), (half, 0.0)), 2.0, 3.0, length, K_FACTOR)
    sheet = channel.sheet()
    root = channel.root(origin=(0, 0, 0), u=(0, 1, 0), v=(0, 0, 1))
    end = plate(outer=rectangle(x0=-half - 2, y0=-depth - 2, x1=half + 2, y1=0, corner=0.5), thickness=2.0, k_factor=K_FACTOR)
    ends = tuple(folded_solid(end, where=frame(origin=(x, 0, 0), x=(0, 1, 0), z=(1, 0, 0))) for x in (-2.0, length))
    inside = without_repeats(channel.path())
    cavity = prism(inside, height=length, where=frame(origin=(0, 0, 0), x=(0, 1, 0), z=(1, 0, 0)))
    corner_line = [(u, v) for u, v, _ in channel.path()]
    seams = tuple(Seam("channel", "end", np.array([[x, u, v] for u, v in corner_line]), 2.0) for x in (0.0, length))
    pieces = (
        Piece("channel", "folded", "5052-H32", DENSITY, (folded_solid(sheet, where=root),), 2.0, flat_of(sheet)),
        Piece("end", "plate", "5052-H32", DENSITY, ends, 2.0, flat_of(end)),
    )
    rim = np.column_stack([75 + 10 * np.cos(np.arange(12)), 10 * np.sin(np.arange(12)), np.full(12, -55.0)])
    oil = oil_section(20.0) * length * 1e-9
    return Part("trough", pieces, {"depth": depth}, (), seams, cavity=cavity, full_mark=-20.0, oil=oil,
                mouths=(Mouth("pickup", rim),))


def oil_section(level: float) -> float:
    """Area (mm2) of the trough's inside up to `level` mm above its floor: a rectangle less its two corner fillets."""
    return TROUGH_WIDTH * level - 2 * 3.0**2 * (1 - math.pi / 4)
