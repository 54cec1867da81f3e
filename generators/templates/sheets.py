"""A template spread over sheets of paper that are taped together."""

import math
from dataclasses import dataclass, replace

import numpy as np
from shapely.geometry import box

from generators.paper.pages import GREY, NARROW, Page, Pages, fitted, text_width
from generators.paper.sizes import Paper, paper
from generators.templates.drawn import Template, Words

MARGIN_MM, OVERLAP_MM = 10.0, 10.0
"""What printers leave white along each edge, and what neighbouring sheets have in common (common practice)."""

BAR_MM, BAR_INSET_MM, TICK_MM = 100.0, 5.5, 10.0
"""The bars that prove the scale, how far from the paper's edge they lie, and the steps on them."""

MARK_MM = 3.0
"""Half the size of a registration cross."""

SMALL_MM = 2.2
"""Height of the words in the margin."""


@dataclass(frozen=True)
class Tiling:
    """A template on `across` x `up` sheets of `paper` as it lies."""

    paper: Paper
    across: int
    up: int

    @property
    def step(self) -> tuple[float, float]:
        """From one sheet's corner to the next's on the template, mm."""
        return self.paper.width - 2 * MARGIN_MM - OVERLAP_MM, self.paper.height - 2 * MARGIN_MM - OVERLAP_MM

    def window(self, column: int, row: int) -> tuple[float, float, float, float]:
        """What a sheet shows of the template: x0, y0, x1, y1 mm; rows count from the lowest."""
        x, y = column * self.step[0], row * self.step[1]
        return x, y, x + self.step[0] + OVERLAP_MM, y + self.step[1] + OVERLAP_MM


def sheets_along(extent: float, room: float) -> int:
    """How many sheets with `room` mm each cover `extent` mm, neighbours overlapping by OVERLAP_MM."""
    return 1 if extent <= room else math.ceil((extent - OVERLAP_MM) / (room - OVERLAP_MM))


def tiling(width: float, height: float, name: str) -> Tiling:
    """The tiling of width x height mm on the paper called `name`, lying so that it takes fewer sheets; upright among equals."""
    found = []
    for lying in (paper(name).portrait(), paper(name).landscape()):
        found.append(Tiling(lying, sheets_along(width, lying.width - 2 * MARGIN_MM), sheets_along(height, lying.height - 2 * MARGIN_MM)))
    return min(found, key=lambda t: t.across * t.up)


def tile_name(column: int, row: int) -> str:
    """A sheet's name: a letter for its column, a number for its row from the lowest."""
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return f"{letters}{row + 1}"


def draw_tiles(document: Pages, template: Template, tiled: Tiling, *, heading: str) -> tuple[tuple[int, int], ...]:
    """A page for each sheet on which something is drawn, the upper row first; which those are."""
    inked = tuple((c, r) for r in reversed(range(tiled.up)) for c in range(tiled.across) if template.has_ink(*tiled.window(c, r)) or words_on(template, tiled, c, r))
    for column, row in inked:
        page = document.page(tiled.paper)
        _draw_window(page, template, tiled, column, row)
        _draw_margin(page, template, tiled, column, row, heading)
    return inked


def _draw_window(page: Page, template: Template, tiled: Tiling, column: int, row: int) -> None:
    x0, y0, x1, y1 = tiled.window(column, row)
    with page.clipped(MARGIN_MM, MARGIN_MM, x1 - x0, y1 - y0):
        template.draw(page, MARGIN_MM - x0, MARGIN_MM - y0)
        for w in words_on(template, tiled, column, row):
            page.text((w.at[0] + MARGIN_MM - x0, w.at[1] + MARGIN_MM - y0), w.said, height=w.height, anchor="middle", angle=w.angle)
    half = OVERLAP_MM / 2
    for x, y in ((x0 + half, y0 + half), (x1 - half, y0 + half), (x0 + half, y1 - half), (x1 - half, y1 - half)):
        if tiled.across * tiled.up > 1:
            draw_mark(page, x - x0 + MARGIN_MM, y - y0 + MARGIN_MM)


def words_on(template: Template, tiled: Tiling, column: int, row: int) -> list[Words]:
    """The words that a sheet shows: those that lie on it whole; those that lie on none whole where their middle is, moved until they do."""
    here = (column, row)
    windows = {(c, r): box(*tiled.window(c, r)) for c in range(tiled.across) for r in range(tiled.up)}
    out = []
    for w in template.words:
        if windows[here].contains(w.ground):
            out.append(w)
        elif not any(window.contains(w.ground) for window in windows.values()) and _home(w, tiled) == here:
            out.append(_onto(w, windows[here].bounds))
    return out


def _home(w: Words, tiled: Tiling) -> tuple[int, int]:
    """The sheet that the middle of the words lies on."""
    middle = w.ground.centroid
    return (min(int(middle.x // tiled.step[0]), tiled.across - 1), min(int(middle.y // tiled.step[1]), tiled.up - 1))


def _onto(w: Words, window: tuple[float, float, float, float]) -> Words:
    """The words moved into a window."""
    low, high = w.ground.bounds[:2], w.ground.bounds[2:]
    move = [max(0.0, window[i] - low[i]) - max(0.0, high[i] - window[i + 2]) for i in (0, 1)]
    return replace(w, at=(w.at[0] + move[0], w.at[1] + move[1]))


def draw_mark(page: Page, x: float, y: float) -> None:
    """A registration cross in a circle at x, y mm."""
    page.line([(x - MARK_MM, y), (x + MARK_MM, y)], width=NARROW / 2)
    page.line([(x, y - MARK_MM), (x, y + MARK_MM)], width=NARROW / 2)
    page.circle((x, y), MARK_MM / 2, width=NARROW / 2)


def draw_bars(page: Page) -> None:
    """A bar of BAR_MM along the lower edge and one along the left, ticked."""
    for along, across in (((1, 0), (0, 1)), ((0, 1), (1, 0))):
        start = np.array([MARGIN_MM, MARGIN_MM]) * along + np.array([BAR_INSET_MM, BAR_INSET_MM]) * across
        page.line([start, start + np.array(along) * BAR_MM])
        for k in range(int(BAR_MM / TICK_MM) + 1):
            at = start + np.array(along) * k * TICK_MM
            page.line([at, at + np.array(across) * (2.5 if k % 5 == 0 else 1.5)])


def _draw_margin(page: Page, template: Template, tiled: Tiling, column: int, row: int, heading: str) -> None:
    """What a sheet is, and the bars that prove its scale."""
    draw_bars(page)
    size, sheets = page.paper, tiled.across * tiled.up
    right = size.width - MARGIN_MM
    name = f"{tile_name(column, row)} of {tile_name(tiled.across - 1, tiled.up - 1)}" if sheets > 1 else "one sheet"
    room = right - MARGIN_MM - text_width(name, SMALL_MM * 1.4, bold=True) - 4.0
    page.text((MARGIN_MM, size.height - 6.5), fitted(f"{heading}: {template.name}", room, SMALL_MM, bold=True), height=SMALL_MM, bold=True)
    page.text((right, size.height - 6.5), name, height=SMALL_MM * 1.4, anchor="end", bold=True)
    page.text((right, 4.0), f"{size.name}, 100 %: both bars 100 mm", height=SMALL_MM, anchor="end", colour=GREY)
