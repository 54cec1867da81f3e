"""How far pickups and outlets are under the oil in every corner, stop and start, as drawings on a level road.

                speeding up          Accelerations in g as seen from above, the vehicle's front at the top of the page: what the
              .-----+-----.          oil does is the opposite.
      turning |  .' | '.  | turning
        left  +-----+-----+ right
              |  '. | .'  |
              '-----+-----'
                 braking
"""

import io
import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from generators.driving.envelope import LEVELS
from generators.surge import Cover, Surge
from generators.units import GRAVITY

WIDTH = 5.2
"""Inches: shown at about this size on the page, so that its letters are as large as those round it."""

LEFT, RIGHT, TOP, BOTTOM = 0.72, 0.4, 0.58, 0.5
"""Inches round the axes for ticks and words."""

FONT_PT, LINE = 8.5, 0.165
"""Size of letters, and inches from one line of the legend to the next."""

ROOM = 1.08
"""The axes reach this much further than what is shown."""

BARED_BY, BARED_OPEN = "bared by more than this, held", "bared by more, crankcase open"

BEYOND = 1.4
"""What bares a mouth is drawn out to so many times the largest acceleration that the vehicle pulls."""

LEAST_G, SLIMMEST = 0.1, 0.6
"""The axes reach at least so far (g) each way, and one of them is at least this share of the other: words stand beside both."""

CLEAR, FLATTER = 0.035, 0.55
"""A height is written on its line where it is further than this share of the drawing's width from all else, sideways counting less,
for words are broad; nowhere if there is no such place."""

BANDS = 9
"""Of cover, about."""

INK, SOFT = "#1d2733", "#5b6876"
WET, DRY, FAINT_DRY = "#c98a1b", "#8d96a3", "#e4e7ea"
PALE = "#fff6df"
HATCH = "///"

REGIONS = (("#d99a2b", "//"), ("#5f93b5", ".."), ("#8aa65a", "\\\\"), ("#b87a8c", "xx"), ("#8f86b8", "--"), ("#7c9a94", "++"))
"""Colour and hatching by which one mouth is told from another."""

HALF_PALE = 0.3
"""Opacity where the best covered of several is bare too."""

FINER = 2
"""Each triangle is halved so often before which of several covers is the largest is looked for."""

WHERE = {"crest": "over a crest", "level": "on the level", "compression": "in a dip"}
"""Each of LEVELS in words."""

BOUNDARY_STYLE = {"color": INK, "linewidth": 0.9}
BARE_STYLE = {"color": INK, "linewidth": 1.2, "linestyle": (0, (5, 2))}
ZERO_STYLE = {"color": INK, "linewidth": 2.2}
LAYER_STYLES = {"crest": {"color": INK, "linewidth": 1.2, "linestyle": ":"},
                "compression": {"color": INK, "linewidth": 1.0, "linestyle": (0, (1, 1, 4, 1))}}
WORST_STYLE = {"color": INK, "marker": "o", "markersize": 8, "markerfacecolor": "white", "markeredgewidth": 1.8, "linestyle": "none"}

SETTINGS = {"svg.hashsalt": "sumpwright", "svg.fonttype": "path", "font.family": "DejaVu Sans", "font.size": FONT_PT, "hatch.linewidth": 0.6,
            "axes.edgecolor": SOFT, "axes.linewidth": 0.6, "xtick.color": SOFT, "ytick.color": SOFT, "text.color": INK, "axes.labelcolor": INK}
"""The same drawing for the same numbers: names inside the file are made from its content, letters are drawn as outlines."""


@dataclass(frozen=True, eq=False)
class Plan:
    """The envelope's accelerations at one of its LEVELS, seen from above: `places` (k, 2) g to the right and ahead, the
    shares' rings from the inside and last the middle; `triangles` (m, 3) between them; `which` (k,) of the envelope's points
    they are."""

    places: np.ndarray = field(repr=False)
    triangles: np.ndarray = field(repr=False)
    which: np.ndarray = field(repr=False)


def seen(points: np.ndarray) -> np.ndarray:
    """Places (n, 2) g on the page, to the right and ahead, of accelerations (n, 3) m/s2."""
    return np.column_stack([-points[:, 1], points[:, 0]]) / GRAVITY


def plan(surge: Surge, level: str) -> Plan:
    """The plan of one of LEVELS."""
    _, rings, count, _ = surge.envelope.grid.shape
    layer, size = LEVELS.index(level), rings * count
    which = np.append(np.arange(layer * size, (layer + 1) * size), len(LEVELS) * size + layer)
    here, after = np.arange(count), (np.arange(count) + 1) % count
    fans = [np.column_stack([np.full(count, size), here, after])]
    for ring in range(rings - 1):
        a, b, c, d = ring * count + here, ring * count + after, (ring + 1) * count + after, (ring + 1) * count + here
        fans += [np.column_stack([a, d, c]), np.column_stack([a, c, b])]
    return Plan(seen(surge.envelope.points[which]), np.vstack(fans), which)


# ---------------------------------------------------------------- one mouth


def cover_plot(surge: Surge, cover: Cover) -> bytes:
    """SVG of the cover that counts of one mouth: bands on a level road, where it is bared, and what bares it beyond the driving."""
    return _svg(cover_figure(surge, cover))


def cover_figure(surge: Surge, cover: Cover):
    """The same before it is written."""
    return _paper(lambda axes: _cover(axes, surge, cover), _extent(surge, [cover]), f"{_words(cover).capitalize()}: mm under the oil on a level road")


def _extent(surge: Surge, covers: Sequence[Cover]) -> tuple[np.ndarray, np.ndarray]:
    """Lowest and highest place (2,) g of the axes: round the envelope, and on to what bares a mouth if that is not far."""
    rim = plan(surge, "level").places[_rim(surge)]
    most = BEYOND * np.linalg.norm(rim, axis=1).max()
    bared = [p for c in covers for p in _bared(c) if np.linalg.norm(p) <= most]
    shown = np.vstack([rim, *bared])
    low, high = np.minimum(ROOM * shown.min(axis=0), -LEAST_G), np.maximum(ROOM * shown.max(axis=0), LEAST_G)
    wide, tall = SLIMMEST * (high - low)
    return np.minimum(low, (-tall / 2, -wide / 2)), np.maximum(high, (tall / 2, wide / 2))


def _bared(cover: Cover) -> np.ndarray:
    """Places (j, 2) g of the largest steady accelerations that leave the mouth covered; nan where it never bares, or always is."""
    found = np.where(np.isfinite(cover.bares) & (cover.bares > 0), cover.bares, np.nan)
    return seen(found[:, None] * np.column_stack([np.cos(cover.bare_angles), np.sin(cover.bare_angles), np.zeros(len(found))]))


def _cover(axes, surge: Surge, cover: Cover) -> list:
    """Draw it; the legend's entries."""
    level = plan(surge, "level")
    values = cover.judged[level.which]
    net = _net(level)
    bands = _bands(values)
    axes.tricontourf(net, values, bands, colors=_band_colours(bands))
    heights = [b for b in bands[1:-1] if b]
    lines = axes.tricontour(net, values, heights, colors=INK, linewidths=0.5, linestyles="solid") if heights else None
    entries = [axes.plot(*_round(level.places[_rim(surge)]), label="all that the vehicle pulls", **BOUNDARY_STYLE)[0]]
    if values.min() < 0:
        _shade(axes, net, values)
    if values.min() < 0 < values.max():
        axes.tricontour(net, values, [0], colors=INK, linewidths=ZERO_STYLE["linewidth"])
        entries.append(_line(ZERO_STYLE, "just bare, level road"))
    entries += _other_levels(axes, surge, cover)
    entries += _bare_line(axes, cover)
    entries += _worst(axes, surge, cover.judged)
    if lines:
        _label(axes, lines)
    return entries


def _worst(axes, surge: Surge, covers: np.ndarray) -> list:
    """Ring the least of the covers (n,)."""
    i = int(np.argmin(covers))
    place = seen(surge.envelope.points[[i]])[0]
    return axes.plot(*place, label=f"least of all, {_level_of(surge, i)}: {covers[i]:.0f} mm".replace("-", MINUS), zorder=5, **WORST_STYLE)


def _level_of(surge: Surge, i: int) -> str:
    """On which of the LEVELS a point is, in words."""
    return next(WHERE[level] for level in LEVELS if i in plan(surge, level).which)


def _rim(surge: Surge) -> np.ndarray:
    """The outer ring of a plan."""
    _, rings, count, _ = surge.envelope.grid.shape
    return np.arange((rings - 1) * count, rings * count)


def _round(points: np.ndarray) -> np.ndarray:
    """A closed line through points (n, 2), as (2, n + 1)."""
    return np.vstack([points, points[:1]]).T


def _net(level: Plan):
    from matplotlib.tri import Triangulation

    return Triangulation(*level.places.T, level.triangles)


def _bands(values: np.ndarray) -> np.ndarray:
    """Round heights, mm, that take in all of the values, with 0 among them where they have both signs."""
    from matplotlib.ticker import MaxNLocator

    low, high = float(values.min()), float(values.max())
    if high - low < FLAT_MM:
        low, high = low - FLAT_MM, high + FLAT_MM
    return MaxNLocator(BANDS, steps=(1, 2, 2.5, 5, 10)).tick_values(low, high)


FLAT_MM = 0.5
"""Covers that differ by less than this are one."""


def _band_colours(bands: np.ndarray) -> list:
    """Under the oil from pale to its colour, bare from pale to grey, the further the deeper."""
    from matplotlib.colors import LinearSegmentedColormap

    wet, dry = (LinearSegmentedColormap.from_list("cover", pair) for pair in ((PALE, WET), (FAINT_DRY, DRY)))
    middles = (bands[:-1] + bands[1:]) / 2
    return [wet(m / max(bands[-1], FLAT_MM)) if m > 0 else dry(m / min(bands[0], -FLAT_MM)) for m in middles]


def _shade(axes, net, values: np.ndarray) -> None:
    """Hatch what is bare."""
    axes.tricontourf(net, values, [min(values.min(), 0) - FLAT_MM, 0], colors="none", hatches=[HATCH])


def _label(axes, lines) -> None:
    """Write each height on its line where there is most room round it, on white."""
    low, high = axes.get_xlim()
    taken = np.vstack([axes.transData.inverted().transform(line.get_transform().transform(line.get_xydata())) for line in axes.get_lines()]
                      + [p.vertices for c in axes.collections if c is not lines and not np.size(c.get_facecolor()) for p in c.get_paths() if len(p)])
    taken = taken[np.isfinite(taken).all(axis=1)]
    for height, path in zip(lines.levels, lines.get_paths(), strict=True):
        if not len(path):
            continue
        room = np.linalg.norm((path.vertices[:, None] - taken) * (FLATTER, 1), axis=2).min(axis=1)
        best = int(np.argmax(room))
        if room[best] > CLEAR * (high - low):
            axes.text(*path.vertices[best], f"{height:g}".replace("-", MINUS), fontsize=FONT_PT - 1, ha="center", va="center", zorder=4,
                      bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.8, "alpha": 0.9})
            taken = np.vstack([taken, path.vertices[[best]]])


def _line(style: dict, words: str):
    from matplotlib.lines import Line2D

    return Line2D([], [], label=words, **style)


def _other_levels(axes, surge: Surge, cover: Cover) -> list:
    """Where the mouth is just bare over a crest and in a dip, as far as it is anywhere."""
    made, heights = [], surge.envelope.points[:, 2]
    for level, style in LAYER_STYLES.items():
        other = plan(surge, level)
        values = cover.judged[other.which]
        is_other = np.abs(heights[other.which] - heights[plan(surge, "level").which]).max() > 0
        if is_other and values.min() < 0 < values.max():
            axes.tricontour(_net(other), values, [0], colors=INK, linewidths=style["linewidth"], linestyles=[style["linestyle"]])
            made.append(_line(style, f"just bare, {WHERE[level]}"))
    return made


def _bare_line(axes, cover: Cover) -> list:
    """The largest steady acceleration that leaves the mouth covered, open where none up to the largest looked for bares it;
    nothing where none of it is in sight."""
    found = _bared(cover)
    low, high = np.array([axes.get_xlim(), axes.get_ylim()]).T
    if not np.any(np.all((found > low) & (found < high), axis=1)):
        return []
    return axes.plot(*_round(found), label=BARED_BY if cover.risen is None else BARED_OPEN, **BARE_STYLE)


# ---------------------------------------------------------------- several


def serving_plot(surge: Surge) -> bytes:
    """SVG of which of several mouths is the best covered on a level road, and where none is covered."""
    return _svg(serving_figure(surge))


def serving_figure(surge: Surge):
    """The same before it is written."""
    return _paper(lambda axes: _serving(axes, surge), _extent(surge, []), "The best covered pickup, on a level road")


def _serving(axes, surge: Surge) -> list:
    from matplotlib.patches import Patch

    level = plan(surge, "level")
    net, covers = _finer(level, np.array([c.judged[level.which] for c in surge.covers]))
    best = covers.max(axis=0)
    entries = []
    for i, (cover, values) in enumerate(zip(surge.covers, covers, strict=True)):
        colour, hatch = REGIONS[i % len(REGIONS)]
        ahead = values - np.delete(covers, i, axis=0).max(axis=0)
        for part, how in ((np.minimum(ahead, -best), {"alpha": HALF_PALE}), (np.minimum(ahead, best), {"hatches": [hatch]})):
            if part.max() > 0:
                axes.tricontourf(net, part, [0, part.max() + FLAT_MM], colors=[colour], **how)
        entries.append(Patch(facecolor=colour, hatch=hatch, edgecolor=INK, linewidth=0.4, label=_words(cover)))
        if ahead.min() < 0 < ahead.max():
            axes.tricontour(net, ahead, [0], colors=INK, linewidths=0.6)
    if best.min() < 0:
        entries.append(Patch(facecolor=FAINT_DRY, edgecolor=INK, linewidth=0.4, label="pale, not hatched: the nearest, but bare"))
    if best.min() < 0 < best.max():
        axes.tricontour(net, best, [0], colors=INK, linewidths=ZERO_STYLE["linewidth"])
        entries.append(_line(ZERO_STYLE, "just bare, level road"))
    axes.plot(*_round(level.places[_rim(surge)]), **BOUNDARY_STYLE)
    return entries + _worst(axes, surge, surge.best)


def _words(cover: Cover) -> str:
    return cover.mouth.name.replace("_", " ")


def _finer(level: Plan, covers: np.ndarray):
    """A finer net, and the covers (j, k) mm on it, as straight between the points as before."""
    from matplotlib.tri import Triangulation

    points, triangles = np.vstack([level.places.T, covers]).T, level.triangles
    for _ in range(FINER):
        points, triangles = halved(points, triangles)
    return Triangulation(*points[:, :2].T, triangles), points[:, 2:].T


def halved(points: np.ndarray, triangles: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Triangles (m, 3) on points (n, k) cut into four each at the middles of their sides: all points, and the triangles (4 m,
    3)."""
    sides = np.sort(np.stack([triangles, np.roll(triangles, -1, axis=1)], axis=2).reshape(-1, 2), axis=1)
    sides, where = np.unique(sides, axis=0, return_inverse=True)
    (a, b, c), (ab, bc, ca) = triangles.T, (where.reshape(-1, 3) + len(points)).T
    return (np.vstack([points, points[sides].mean(axis=1)]),
            np.column_stack([a, ab, ca, ab, b, bc, ca, bc, c, ab, bc, ca]).reshape(-1, 3))


# ---------------------------------------------------------------- the paper


def _paper(draw, extent: tuple[np.ndarray, np.ndarray], title: str):
    """A figure of axes from the lowest to the highest place (2,) g, with what `draw` puts on them and a legend of the entries
    that it hands back under them."""
    from matplotlib import rc_context
    from matplotlib.figure import Figure

    low, high = extent
    across = WIDTH - LEFT - RIGHT
    up = across * (high[1] - low[1]) / (high[0] - low[0])
    with rc_context(SETTINGS):
        figure = Figure()
        axes = figure.add_axes((0, 0, 1, 1))
        axes.set(xlim=(low[0], high[0]), ylim=(low[1], high[1]))
        entries = draw(axes)
        under = BOTTOM + LINE * (math.ceil(len(entries) / LEGEND_COLUMNS) + 1)
        height = under + up + TOP
        figure.set_size_inches(WIDTH, height)
        axes.set_position((LEFT / WIDTH, under / height, across / WIDTH, up / height))
        _frame(axes, title)
        figure.legend(handles=entries, loc="lower center", ncols=LEGEND_COLUMNS, frameon=False, fontsize=FONT_PT - 0.5, borderaxespad=0.2,
                      handlelength=2.4, columnspacing=1.4)
    return figure


def _svg(figure) -> bytes:
    from matplotlib import rc_context

    out = io.BytesIO()
    with rc_context(SETTINGS):
        figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None})
    return out.getvalue()


LEGEND_COLUMNS = 2
MINUS = "\N{MINUS SIGN}"


def _frame(axes, title: str) -> None:
    """Cross-hairs, ticks that say how much either way, words at the four ends, and a title."""
    from matplotlib.ticker import MaxNLocator

    axes.axhline(0, color=SOFT, linewidth=0.5, zorder=3)
    axes.axvline(0, color=SOFT, linewidth=0.5, zorder=3)
    for axis in (axes.xaxis, axes.yaxis):
        axis.set_major_locator(MaxNLocator(8, steps=(1, 2, 5, 10)))
        axis.set_major_formatter(lambda value, _: f"{abs(value):.3g} g" if abs(value) > 1e-9 else "0")
    for words, at, shift, across, up, turned in ENDS:
        axes.annotate(words, at, xytext=shift, **OFF, ha=across, va=up, rotation=turned, fontweight="bold")
    axes.annotate(title, (0, 1), xytext=(0, 24), **OFF, ha="left", va="bottom", fontsize=FONT_PT + 1)


OFF = {"xycoords": "axes fraction", "textcoords": "offset points"}


ENDS = (
    ("speeding up", (0.5, 1), (0, 6), "center", "bottom", 0), ("braking", (0.5, 0), (0, -20), "center", "top", 0),
    ("turning left", (0, 0.5), (-38, 0), "right", "center", 90), ("turning right", (1, 0.5), (10, 0), "left", "center", 90))
"""Words at the ends of the axes: where (share of the axes), how far off (points), how set and turned."""
