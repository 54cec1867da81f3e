"""Both reports of a run, with their pictures."""

from pathlib import Path

import numpy as np

from generators.exports import names
from generators.exports.step import COLOURS
from generators.pieces import Part
from generators.report import fit_views, html, json_report, stock_section, surge_plots, surge_section, surge_views
from generators.report.elements import Drawing
from generators.report.levels import oil_below
from generators.report.picture import (
    ABOVE,
    BELOW,
    FROM_FRONT,
    FROM_RIGHT,
    OIL_COLOUR,
    OIL_OPACITY,
    Body,
    Cut,
    bodies,
    picture,
)
from generators.report.picture import pictures as several
from generators.report.record import Run
from generators.surge import Surge
from generators.vessels import Vessel

FULL = 255


def css_colours(part: Part) -> dict[str, str]:
    """The colour of each piece in the pictures, as a page names it."""
    return {p.name: f"rgb({', '.join(str(round(c * FULL)) for c in COLOURS[i % len(COLOURS)])})"
            for i, p in enumerate(part.pieces)}


def pictures(run: Run, part: Part) -> list[tuple[str, bytes]]:
    """Views (caption, PNG) of one part: from above, from below, and of a vessel what `sections` shows."""
    above, below = several(bodies(run.meshes[part.name]), views=(ABOVE, BELOW))
    views = [("From above, its right side towards you", above), ("From below", below)]
    return views + [view for v in run.vessels if v.name == part.name for view in sections(run, v)]


def sections(run: Run, vessel: Vessel) -> list[tuple[str, bytes]]:
    """A vessel with all that stands in it cut lengthwise, and where a cell does also across, with its oil at rest."""
    height = json_report.level_of(vessel, vessel.part.oil)
    if height is None:
        return []
    shown = [b for name in (vessel.name, *vessel.guests) if name in run.meshes for b in bodies(run.meshes[name])]
    oil = Body(oil_below(vessel.oil_space, height=height), OIL_COLOUR, OIL_OPACITY)
    middle = np.mean(vessel.oil_space.bounds, axis=0)
    if vessel.part.mouths and vessel.compartments:
        middle = np.mean(vessel.part.mouths[0].rim, axis=0)
    lengthwise = Cut((0.0, 1.0, 0.0), float(middle[1]))
    views = [("Cut lengthwise, with the oil at rest", picture([*shown, oil], view=FROM_RIGHT, cut=lengthwise))]
    if vessel.compartments:
        across = Cut((-1.0, 0.0, 0.0), -float(middle[0]))
        views.append(("Cut across at the pickup, with the oil at rest", picture([*shown, oil], view=FROM_FRONT, cut=across)))
    return views


def drawings(run: Run, surge: Surge, summary: dict) -> list[Drawing]:
    """How the oil of one vessel moves: its picture at the worst point, and the plots, with the words of its `summary`."""
    pictured = surge_section.picture_words(summary, is_along=surge_views.is_seen_along(surge))
    made = [Drawing(summary["picture"], pictured, surge_views.tilted(run, surge))]
    if summary["together"]:
        made.append(Drawing(summary["together"]["plot"], surge_section.serving_words(summary), surge_plots.serving_plot(surge)))
    made += [Drawing(p["plot"], surge_section.cover_words(summary, p), surge_plots.cover_plot(surge, cover))
             for cover, p in zip(surge.covers, summary["pickups"], strict=True)]
    return made


def write(run: Run, root: Path) -> dict:
    """Write report.json, report.html and the drawings in it that are files too below `root`; the report as written."""
    found = json_report.report(run)
    json_report.write(found, root / names.REPORT_JSON)
    shown = {p.name: pictures(run, p) for p in run.parts}
    shown |= {v.name: sections(run, v) for v in run.vessels if v.name not in shown}
    moving = {s.name: drawings(run, s, summary) for s, summary in zip(run.surges, found["surge_summary"], strict=True)}
    fitting, stock = fit_views.drawings(run), stock_section.shown(run.nests)
    for drawing in (*fitting, *stock, *(d for drawn in moving.values() for d in drawn)):
        file = root / drawing.file
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(drawing.content)
    page = html.page(found, shown, {p.name: css_colours(p) for p in run.parts}, moving, fitting, stock)
    html.write(page, root / names.REPORT_HTML)
    return found
