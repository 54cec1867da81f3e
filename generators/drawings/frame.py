"""The sheet of a drawing: border and centring marks, title block, projection symbol."""

from dataclasses import dataclass

import numpy as np

from generators import standards
from generators.outlines import polygon_loop
from generators.paper.pages import CHAIN, NARROW, WIDE, Page, broken, fitted, text_width
from generators.paper.sizes import Paper

FILING_MM, BORDER_MM = 20.0, 10.0
"""ISO 5457: border on the left, where sheets are filed, and on the other sides (from memory, unverified)."""

BORDER_LINE_MM, MARK_LINE_MM, MARK_IN_MM = 0.7, 0.7, 5.0
"""ISO 5457: width of the border's line and of the centring marks, which reach 5 mm into the drawing (from memory, unverified)."""

BLOCK_MM = (180.0, 45.0)
"""Title block: 180 mm wide by ISO 7200, which fits A4 (from memory, unverified)."""

FIRST_ANGLE, THIRD_ANGLE = "first angle", "third angle"


@dataclass(frozen=True)
class Title:
    """What the title block says."""

    title: str
    part: str
    number: str
    sheet: str
    scale: str
    mass: str
    material: str
    owner: str
    drawn_by: str
    revision: str
    program: str


def space(paper: Paper) -> tuple[float, float, float, float]:
    """Drawing space of a sheet as it lies: x0, y0, x1, y1 mm."""
    return FILING_MM, BORDER_MM, paper.width - BORDER_MM, paper.height - BORDER_MM


def draw_frame(page: Page) -> None:
    """Border and centring marks."""
    x0, y0, x1, y1 = space(page.paper)
    page.line([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], width=BORDER_LINE_MM, closed=True)
    middle_x, middle_y = page.paper.width / 2, page.paper.height / 2
    deep = 0.0 if page.paper.name == "A4" else MARK_IN_MM  # there they would run through words
    for start, end in (((middle_x, 0), (middle_x, y0 + deep)), ((middle_x, page.paper.height), (middle_x, y1 - deep)),
                       ((0, middle_y), (x0 + deep, middle_y)), ((page.paper.width, middle_y), (x1 - deep, middle_y))):
        page.line([start, end], width=MARK_LINE_MM)


TOLERANCES = ((f"Cut {'-'.join(standards.CUT)}, bent {'-'.join(standards.BENT)}, welded {'-'.join(standards.WELDED)}{standards.WELDED_FLAT[1]}; "
              "flange faced to 0.1 in 100 mm."),
              "Deburr, break sharp edges. Try it on the engine before the last weld.", "Lengths in mm. Do not scale: contours are those of flats and model.")

LABEL_MM, SAID_MM = 1.8, 2.8


def draw_title(page: Page, title: Title, projection: str) -> None:
    """The title block in the lower right corner."""
    _, y0, x1, _ = space(page.paper)
    left, wide, high = x1 - BLOCK_MM[0], *BLOCK_MM
    page.line([(left, y0), (left, y0 + high), (x1, y0 + high)], width=WIDE)
    rows = (((("Title", title.title, 0.62), ("Number", title.number, 0.38)), 10.0), ((("Part", title.part, 0.62), ("Material", title.material, 0.38)), 9.5),
            ((("Owner", title.owner, 0.31), ("Drawn by", title.drawn_by, 0.31), ("Revision", title.revision, 0.12), ("Made with", title.program, 0.26)), 8.0),
            ((("Scale", title.scale, 0.16), ("Mass", title.mass, 0.2), ("Sheet", title.sheet, 0.14)), 8.0))
    y = y0 + high
    for cells, tall in rows:
        y -= tall
        page.line([(left, y), (x1, y)])
        x = left
        for label, said, share in cells:
            page.text((x + 1.5, y + tall - 1.2 - LABEL_MM), label, height=LABEL_MM)
            _say(page, said, (x + 1.5, y + 1.6), wide * share - 3.0)
            x += wide * share
            if x < x1 - 1:
                page.line([(x, y), (x, y + tall)])
    draw_symbol(page, x1 - 31.0, y + 4.0, projection)
    for i, words in enumerate(TOLERANCES):
        page.text((left + 1.5, y - 2.9 - 2.7 * i), words, height=LABEL_MM)
    page.text((left + wide * 0.5 + 2.0, y + 2.6), f"{projection} projection", height=LABEL_MM)


def _say(page: Page, said: str, at: tuple[float, float], room: float) -> None:
    """What a cell of the title block says: in one line, smaller where it is long, in two lines where it is longer still."""
    height = next((h for h in (SAID_MM, 2.3, LABEL_MM) if text_width(said, h) <= room), None)
    if height:
        page.text(at, said, height=height)
        return
    lines = broken(said, room, LONG_MM)
    first, rest = lines[0], " ".join(lines[1:])
    page.text((at[0], at[1] + 1.0), first, height=LONG_MM)
    page.text((at[0], at[1] - 1.0), fitted(rest, room, LONG_MM), height=LONG_MM)


LONG_MM = 1.5
"""Height of long words in a cell."""

CONE_MM = (6.0, 1.5, 3.0)
"""The cone of the symbol: its length, and the radii of its ends."""

SYMBOL_HALF_MM = 5.5
"""From the symbol's middle to those of its two views."""


def symbol_parts(projection: str) -> tuple[np.ndarray, tuple[float, float]]:
    """The projection symbol (ISO 5456-2) about its middle, mm: corners (4, 2) of the cone's side view, small end to the left, and the middle of its
    circles: in first angle the view from its small end stands on the far side, in third angle on the near one."""
    long, small, large = CONE_MM
    way = -1.0 if projection == FIRST_ANGLE else 1.0
    x = way * SYMBOL_HALF_MM
    cone = np.array([(x - long / 2, -small), (x + long / 2, -large), (x + long / 2, large), (x - long / 2, small)])
    return cone, (-way * SYMBOL_HALF_MM, 0.0)


def draw_symbol(page: Page, x: float, y: float, projection: str) -> None:
    """The projection symbol about x + 15, y mm."""
    middle = np.array([x + 15.0, y])
    cone, circles = symbol_parts(projection)
    page.loop(polygon_loop(cone + middle), width=NARROW)
    for radius in CONE_MM[1:]:
        page.circle(middle + circles, radius, width=NARROW)
    axis = [(cone[:, 0].min() - 1.0, 0.0), (cone[:, 0].max() + 1.0, 0.0)]
    page.line(np.array(axis) + middle, dash=CHAIN, width=NARROW / 2)
    reach = CONE_MM[2] + 0.7
    for way in ((1, 0), (0, 1)):
        page.line(np.array([np.multiply(way, -reach), np.multiply(way, reach)]) + middle + circles, dash=CHAIN, width=NARROW / 2)


def scale_words(scale: float) -> str:
    """A scale (paper over part, both mm) as ISO 5455 writes it."""
    return f"{scale:g}:1" if scale >= 1 else f"1:{1 / scale:g}"


SCALES = tuple(s * 10.0**e for e in (1, 0, -1, -2) for s in (5.0, 2.0, 1.0))
"""ISO 5455: 1, 2 and 5 times powers of ten, the largest first (from memory, unverified)."""


def usual_scale(most: float) -> float:
    """The largest usual scale (paper over part, both mm) that is no larger than `most`. Raises ValueError where even the smallest is."""
    for scale in SCALES:
        if scale <= most * (1 + 1e-9):
            return scale
    raise ValueError(f"no usual scale is as small as {most:g}")
