"""A workshop drawing of each part: views, section and dimensions on a standard sheet, tables behind it."""

from dataclasses import dataclass, field, replace

from generators import __version__
from generators.drawings.dimensions import Dimension
from generators.drawings.frame import Title, draw_frame, draw_title, scale_words
from generators.drawings.numbers import draw_numbers
from generators.drawings.sheet import draw_views, large_enough, shown
from generators.drawings.tables import (
    bolts_table,
    draw_tables,
    fittings_table,
    pieces_table,
    places_table,
    tolerances_table,
)
from generators.paper.pages import Page, Pages
from generators.paper.sizes import paper
from generators.parameters import Parameters
from generators.pieces import Part


@dataclass(frozen=True)
class PartDrawing:
    """A part's drawing: the file's bytes, its pages with the words on them, every dimension, and the scale (paper over part)."""

    pdf: bytes = field(repr=False)
    pages: tuple[Page, ...] = field(repr=False)
    dimensions: tuple[Dimension, ...]
    scale: float


def part_drawing(part: Part, parameters: Parameters, *, number: int, of: int, note: str = "") -> PartDrawing:
    """The drawing of part `number` of `of`. On the paper asked for, or the next larger that shows it at a usual
    scale; `note` stands over the table of its pieces. Raises ValueError where none does."""
    asked = parameters.drawings
    title = parameters.title or "Untitled"
    tables = [t for t in (pieces_table(part, note), bolts_table(part, size=parameters.pan_rail.bolt_size), fittings_table(part), places_table(part),
                          tolerances_table(part)) if t is not None]
    sheets = 1 + len(draw_tables(Pages(title), tables, lambda page, sheet: None))
    what = shown(part, asked.projection)
    name = large_enough(what, asked.projection, asked.paper)
    document = Pages(f"{title}: {part.name}")
    page = document.page(paper(name).landscape())
    drawn = draw_views(page, part, what, asked.projection, name)
    draw_numbers(page, part, what, drawn.layout)
    materials = dict.fromkeys(p.material for p in part.pieces if p.kind != "bought")
    said = Title(title, part.name, f"{number} of {of}", "", scale_words(drawn.layout.scale), f"{part.mass:.3f} kg", ", ".join(materials), asked.owner,
                 asked.drawn_by, asked.revision, f"sumpwright {__version__}")

    def finish(sheet: Page, i: int) -> None:
        draw_frame(sheet)
        draw_title(sheet, replace(said, sheet=f"{i} of {sheets}"), asked.projection)

    finish(page, 1)
    draw_tables(document, tables, lambda sheet, i: finish(sheet, i + 1))
    return PartDrawing(document.pdf(), tuple(document.pages), drawn.dimensions, drawn.layout.scale)
