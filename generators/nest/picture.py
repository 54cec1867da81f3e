"""A laid-out sheet as a picture."""

import io

import numpy as np

from generators.nest import Laid, Nest
from generators.outlines import flattened

WIDE_IN, WORDS_IN, FONT_PT = 9.0, 0.5, 8.0
"""Width of the picture and height of the words under it, inches; size of letters."""

SHOWN, TALLEST_IN = 1.1, 7.0
"""So much of the length that is used is shown, no more than the whole and at least half a square; and how tall the picture is at most, inches."""

COLOURS = ("#b9cbd9", "#dcc9a4", "#b7d2ba", "#d9b9b9", "#c4bcdb", "#b1d3d6")
INK, SOFT, PALE = "#1d2733", "#5b6876", "#f4f5f6"

GROUND = {"facecolor": "white", "alpha": 0.7, "linewidth": 0, "pad": 1.0}
"""Behind names, so that holes do not run through them."""

ROOM_FOR_NAME = 0.75
"""Width of a letter over its height."""

SETTINGS = {"svg.hashsalt": "sumpwright", "svg.fonttype": "path", "font.family": "DejaVu Sans", "font.size": FONT_PT, "text.color": INK}


def svg(nest: Nest, sheet: int) -> bytes:
    """The sheet with its pieces, each part in its colour, as SVG; large pieces carry their names."""
    import matplotlib
    from matplotlib.figure import Figure

    parts = list(dict.fromkeys(laid.part for pieces in nest.sheets for laid in pieces))
    with matplotlib.rc_context(SETTINGS):
        shown = min(nest.length, max(SHOWN * nest.used_length(sheet), nest.width / 2))
        tall = min(WIDE_IN * nest.width / shown, TALLEST_IN)
        figure = Figure(figsize=(WIDE_IN, tall + WORDS_IN))
        axes = figure.add_axes((0.005, WORDS_IN / (tall + WORDS_IN), 0.99, 1 - WORDS_IN / (tall + WORDS_IN)))
        axes.set(xlim=(-10, shown + 10), ylim=(-10, nest.width + 10), aspect="equal")
        axes.axis("off")
        axes.fill(*np.transpose([(0, 0), (nest.length, 0), (nest.length, nest.width), (0, nest.width)]), facecolor=PALE, edgecolor=SOFT, linewidth=1)
        unit = min(WIDE_IN / shown, tall / nest.width) * 72  # points in a mm of the sheet
        for laid in nest.sheets[sheet]:
            _add(axes, laid, COLOURS[parts.index(laid.part) % len(COLOURS)], unit)
        if nest.grain:
            axes.annotate("", xy=(0.99, 0.95), xytext=(0.87, 0.95), xycoords="axes fraction",
                          arrowprops={"arrowstyle": "->", "color": SOFT, "linewidth": 1.2})
            axes.text(0.93, 0.965, "grain", ha="center", va="bottom", color=SOFT, transform=axes.transAxes)
        said = (f"{nest.material}, {nest.thickness:.5g} mm, {nest.length:g} x {nest.width:g} mm, sheet {sheet + 1} of {len(nest.sheets)}: "
                f"{len(nest.sheets[sheet])} pieces, used up to {nest.used_length(sheet):.0f} mm")
        figure.text(0.01, 0.26 / (tall + WORDS_IN), said)
        figure.text(0.01, 0.08 / (tall + WORDS_IN), "; ".join(f"{p}: {c}" for p, c in zip(parts, _colour_names(parts), strict=True))
                    + "; layout for estimate only", color=SOFT)
        stream = io.BytesIO()
        figure.savefig(stream, format="svg", metadata={"Date": None, "Creator": "sumpwright"})
    return stream.getvalue()


NAMES = ("blue", "sand", "green", "rose", "violet", "teal")


def _colour_names(parts: list[str]) -> list[str]:
    return [NAMES[i % len(NAMES)] for i in range(len(parts))]


def _add(axes, laid: Laid, colour: str, unit: float) -> None:
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path

    vertices, codes = [], []
    for loop in laid.loops():
        points = flattened(loop, 0.5)
        vertices += [*points, points[0]]
        codes += [Path.MOVETO, *[Path.LINETO] * (len(points) - 1), Path.CLOSEPOLY]
    axes.add_patch(PathPatch(Path(np.array(vertices), codes), facecolor=colour, edgecolor=INK, linewidth=0.5))
    x0, y0, x1, y1 = laid.ground.bounds
    wide, high, name = (x1 - x0) * unit, (y1 - y0) * unit, laid.piece.name
    needed = len(name) * FONT_PT * ROOM_FOR_NAME
    if needed < wide and high > 1.5 * FONT_PT:
        axes.text((x0 + x1) / 2, (y0 + y1) / 2, name, ha="center", va="center", bbox=GROUND)
    elif needed < high and wide > 1.5 * FONT_PT:
        axes.text((x0 + x1) / 2, (y0 + y1) / 2, name, ha="center", va="center", rotation=90, bbox=GROUND)
