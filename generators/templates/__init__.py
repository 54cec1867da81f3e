"""Templates at full size: flats, bolt patterns and the cuts of tube ends, on as many sheets of the user's paper as it takes."""

from dataclasses import dataclass, field

from generators.paper.pages import Page, Pages
from generators.parameters import Parameters
from generators.pieces import Part
from generators.templates.cover import draw_cover
from generators.templates.drawn import Template, flat_template, wrap_template
from generators.templates.sheets import Tiling, draw_tiles, tiling


@dataclass(frozen=True)
class PartTemplates:
    """The document of one part: its bytes, pages with what is written on them, and for each template how it is tiled and which tiles (column,
    row) were printed."""

    pdf: bytes = field(repr=False)
    pages: tuple[Page, ...] = field(repr=False)
    templates: tuple[tuple[Template, Tiling, tuple[tuple[int, int], ...]], ...]


def templates_of(part: Part) -> tuple[Template, ...]:
    """The flats of a part's sheet pieces and the ends of its tubes that are not cut square, each once."""
    flats = [flat_template(part, p) for p in part.pieces if p.flat is not None]
    return (*flats, *(wrap_template(p, end) for p in part.pieces for end in p.ends))


def part_templates(part: Part, parameters: Parameters) -> PartTemplates | None:
    """The templates of a part; None where it has nothing to cut by hand."""
    found = templates_of(part)
    if not found:
        return None
    name, title = parameters.templates.paper, parameters.title or part.name
    document = Pages(f"{title}: {part.name}, templates at full size")
    laid = [(template, tiling(template.width, template.height, name)) for template in found]
    draw_cover(document, laid, name, heading=f"{title}: {part.name}")
    done = tuple((template, tiled, draw_tiles(document, template, tiled, heading=f"{part.name}")) for template, tiled in laid)
    return PartTemplates(document.pdf(), tuple(document.pages), done)
