"""The first page of a part's templates: what there is, how its sheets lie together, and how to print it."""

from generators.paper.pages import GREY, NARROW, Page, Pages, broken, fitted
from generators.paper.sizes import Paper, paper
from generators.templates.drawn import Template
from generators.templates.sheets import MARGIN_MM, Tiling, draw_bars, tile_name

HOW = ("Print at 100 %, without fitting to the page: both bars of every sheet must measure 100 mm.",
       "Cut each sheet along its upper and right marks, lay it on its neighbour so that the crosses meet, tape.",
       "Sheets without a line are not printed. Kerf is not applied; check against the engine before you cut.")

PLAN_MM, ROW_MM, LINE_MM, HEAD_MM = (44.0, 34.0), 44.0, 4.6, 4.0
"""Room for a key plan; height of a row with it; of a line of words; of the heading."""

TEXT_MM = 2.3


def draw_cover(document: Pages, laid: list[tuple[Template, Tiling]], name: str, *, heading: str) -> None:
    """As many pages as it takes for all templates."""
    upright = paper(name).portrait()
    page, y = _fresh(document, upright, heading)
    for template, tiled in laid:
        if y - ROW_MM < MARGIN_MM + 4:
            page, y = _fresh(document, upright, heading)
        _draw_row(page, template, tiled, y)
        y -= ROW_MM


def _fresh(document: Pages, upright: Paper, heading: str) -> tuple[Page, float]:
    page = document.page(upright)
    draw_bars(page)
    y, room = upright.height - MARGIN_MM, upright.width - 2 * MARGIN_MM
    for line in broken(f"{heading}, templates at full size", room, HEAD_MM, bold=True):
        y -= 1.5 * HEAD_MM
        page.text((MARGIN_MM, y), line, height=HEAD_MM, bold=True)
    for line in (line for said in HOW for line in broken(said, room, TEXT_MM)):
        y -= LINE_MM
        page.text((MARGIN_MM, y), line, height=TEXT_MM, colour=GREY)
    return page, y - LINE_MM


def _draw_row(page: Page, template: Template, tiled: Tiling, top: float) -> None:
    """A template's key plan with the names of its sheets, and what it is of."""
    step, size = tiled.step, tiled.window(tiled.across - 1, tiled.up - 1)[2:]
    scale = min(PLAN_MM[0] / size[0], PLAN_MM[1] / size[1])
    x, y = MARGIN_MM, top - 2 - PLAN_MM[1]
    template.draw(page, x, y, scale=scale)
    for column in range(tiled.across):
        for row in range(tiled.up):
            x0, y0 = x + column * step[0] * scale, y + row * step[1] * scale
            wide, high = (step[0] if column < tiled.across - 1 else size[0] - column * step[0]), (step[1] if row < tiled.up - 1 else size[1] - row * step[1])
            page.line([(x0, y0), (x0 + wide * scale, y0), (x0 + wide * scale, y0 + high * scale), (x0, y0 + high * scale)], closed=True, width=NARROW / 2,
                      colour=GREY)
            if tiled.across * tiled.up > 1:
                page.text((x0 + 0.6, y0 + 0.8), tile_name(column, row), height=min(2.0, high * scale / 3, wide * scale / 5), colour=GREY)
    words = x + PLAN_MM[0] + 6
    room = page.paper.width - MARGIN_MM - words
    page.text((words, top - 8), fitted(template.name, room, TEXT_MM * 1.2, bold=True), height=TEXT_MM * 1.2, bold=True)
    said = [f"{template.size[0]:.1f} x {template.size[1]:.1f} mm, {tiled.across} x {tiled.up} sheets of {tiled.paper.name}", *broken(template.about, room, TEXT_MM)]
    for i, line in enumerate(said):
        page.text((words, top - 8 - LINE_MM * (i + 1)), line, height=TEXT_MM)
