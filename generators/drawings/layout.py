"""Where the views of a part stand on its sheet, and at which scale.

      square            row                      First angle: the view from above lies under the main view, that from the left to its right;
     +----+ +--+       +--+ +--+ +--+ +--+       third angle: above, and that from the right to its right. In a row, where a tall part's views
     |main| |end|      |  | |  | |  | |  |       stand side by side, each says from where it is seen.
     +----+ +--+       |  | |  | |  | |  |
     |plan| |A-A|      +--+ +--+ +--+ +--+
     +----+ +--+       main end  A-A  plan
"""

from dataclasses import dataclass

import numpy as np

from generators.drawings.frame import BLOCK_MM, FIRST_ANGLE, space, usual_scale
from generators.paper.sizes import Paper

GAP_MM, ROUND_MM = 26.0, 20.0
"""Between views, and round all of them: for dimensions and names."""

MAIN, END, SECTION, PLAN = "main", "end", "section", "plan"


@dataclass(frozen=True)
class Layout:
    """The scale, and the lower left corner of each view's box on the paper, mm."""

    paper: Paper
    scale: float
    corners: dict[str, tuple[float, float]]
    in_a_row: bool


def lay_out(sizes: dict[str, tuple[float, float]], paper: Paper, projection: str) -> Layout:
    """The layout of views of the given sizes (width, height in mm of the model) that shows them largest. Raises ValueError where no usual scale
    is small enough."""
    room = _room(paper)
    square, row = _square(sizes, projection), _row(sizes)
    best = max((square, row), key=lambda grid: _most(grid, sizes, room))
    scale = usual_scale(_most(best, sizes, room))
    return Layout(paper, scale, _places(best, sizes, room, scale), best is row)


def _room(paper: Paper) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = space(paper)
    return x0 + ROUND_MM, y0 + BLOCK_MM[1] + ROUND_MM, x1 - ROUND_MM, y1 - ROUND_MM


def _square(sizes, projection: str) -> list[list[str]]:
    """Rows from the top; the section stands where the square has a place left."""
    rows = [[MAIN, END], [PLAN, SECTION]]
    if projection != FIRST_ANGLE:
        rows.reverse()
    return [[name for name in row if name in sizes] for row in rows]


def _row(sizes) -> list[list[str]]:
    return [[name for name in (MAIN, END, SECTION, PLAN) if name in sizes]]


def _columns(grid: list[list[str]], sizes) -> list[float]:
    count = max(map(len, grid))
    return [max(sizes[row[i]][0] for row in grid if i < len(row)) for i in range(count)]


def _most(grid, sizes, room) -> float:
    """The largest scale at which a grid of views fits."""
    wide, tall = sum(_columns(grid, sizes)), sum(max(sizes[n][1] for n in row) for row in grid if row)
    across = room[2] - room[0] - GAP_MM * (max(map(len, grid)) - 1)
    upwards = room[3] - room[1] - GAP_MM * (len([row for row in grid if row]) - 1)
    return min(across / wide, upwards / tall)


def _places(grid, sizes, room, scale: float) -> dict[str, tuple[float, float]]:
    """Corners of the views, columns lined up on their left, rows on their lower edge; spare room spread round."""
    columns = _columns(grid, sizes)
    rows = [row for row in grid if row]
    heights = [max(sizes[n][1] for n in row) for row in rows]
    spare_x = room[2] - room[0] - sum(columns) * scale - GAP_MM * (len(columns) - 1)
    spare_y = room[3] - room[1] - sum(heights) * scale - GAP_MM * (len(rows) - 1)
    gap_x, gap_y = GAP_MM + spare_x / (len(columns) + 1), GAP_MM + spare_y / (len(rows) + 1)
    corners, y = {}, room[3] - (gap_y - GAP_MM)
    for row, height in zip(rows, heights, strict=True):
        y -= height * scale
        x = room[0] + (gap_x - GAP_MM)
        for name, wide in zip(row, columns, strict=False):
            corners[name] = (float(np.round(x, 3)), float(np.round(y, 3)))
            x += wide * scale + gap_x
        y -= gap_y
    return corners
