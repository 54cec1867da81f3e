"""Both reports of a run, with their pictures."""

from pathlib import Path

import numpy as np

from generators.exports import names
from generators.exports.step import COLOURS
from generators.pieces import Part
from generators.report import html, json_report
from generators.report.levels import oil_below
from generators.report.picture import ABOVE, BELOW, FROM_RIGHT, OIL_COLOUR, OIL_OPACITY, Body, Cut, bodies, picture
from generators.report.picture import pictures as several
from generators.report.record import Run

FULL = 255


def css_colours(part: Part) -> dict[str, str]:
    """The colour of each piece in the pictures, as a page names it."""
    return {p.name: f"rgb({', '.join(str(round(c * FULL)) for c in COLOURS[i % len(COLOURS)])})"
            for i, p in enumerate(part.pieces)}


def pictures(run: Run, part: Part) -> list[tuple[str, bytes]]:
    """Views (caption, PNG) of one part: from above, from below, and for a vessel a lengthwise section with oil at rest."""
    shown = bodies(run.meshes[part.name])
    above, below = several(shown, views=(ABOVE, BELOW))
    views = [("From above, its right side towards you", above), ("From below", below)]
    height = json_report.level_of(run, part, part.oil) if part.cavity is not None else None
    if height is not None:
        space = run.meshes[part.name].oil_space
        oil = Body(oil_below(space, height=height), OIL_COLOUR, OIL_OPACITY)
        cut = Cut((0.0, 1.0, 0.0), float(np.mean(space.bounds[:, 1])))
        views.append(("Cut lengthwise, with the oil at rest", picture([*shown, oil], view=FROM_RIGHT, cut=cut)))
    return views


def write(run: Run, root: Path) -> dict:
    """Write report.json and report.html below `root`; the report as written."""
    found = json_report.report(run)
    json_report.write(found, root / names.REPORT_JSON)
    shown = {p.name: pictures(run, p) for p in run.parts}
    page = html.page(found, shown, {p.name: css_colours(p) for p in run.parts})
    html.write(page, root / names.REPORT_HTML)
    return found
