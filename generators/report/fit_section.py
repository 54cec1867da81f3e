"""How a design fits its vehicle, as a person reads it."""

from collections.abc import Sequence
from html import escape

from generators.report.elements import Drawing, drawings, facts, link, number, table

GAP, PLACE = 2, 0
"""Decimals of a gap and of a place, mm."""

CAUTION = ("Gaps are of the shapes as they were given. Heat, hoses, brackets, dents and what was left out need their own room: put the parts to the "
           "vehicle before you weld the last seam, and turn the wheels from lock to lock.")


def section(rows: Sequence[dict], summary: dict, shown: Sequence[Drawing], files: Sequence[str]) -> str:
    """The whole section: `rows` and `summary` as in the report for programs, the pictures, and the files of the assembly."""
    if not summary["assessed"]:
        return f'<p class="soft">Not looked at: {escape(summary["why_not"])}.</p><p>Assembly: {", ".join(map(link, files))}</p>'
    blocks = [_facts(summary), drawings(shown[:2]), gaps_table(rows, summary), cures(rows, summary), tools(summary), drawings(shown[2:])]
    left = "".join(f"<p>{escape(label)} is not in assembly.step: {escape(why)}.</p>" for label, why in summary["not_in_step"].items())
    return "".join(blocks) + left + f'<p>Assembly with the obstacles: {", ".join(map(link, files))}</p><p class="soft">{CAUTION}</p>'


def _facts(summary: dict) -> str:
    said = []
    if ground := summary["ground"]:
        sunk = f", springs down {number(ground['suspension_travel_mm'], 0)} mm" if ground["suspension_travel_mm"] else ""
        said.append(("Least over the ground", f"{number(ground['clearance_mm'], 1)} mm, {number(ground['required_mm'], 0)} wanted"))
        said.append(("There", f"{escape(ground['part'])} {escape(ground['piece'])}, engine {escape(ground['pose']['words'])}{sunk}"))
    if summary["depth_below_rail_mm"] is not None:
        said.append(("Deepest below the rail", f"{number(summary['depth_below_rail_mm'], 1)} mm"))
    drop = summary["engine_can_drop_mm"]
    if drop is not None:
        way = f"{number(drop, 1)} mm down" if drop >= 0 else f"{number(-drop, 1)} mm up, it must"
        said.append(("The engine can go", f"{way}; then {escape(summary['drop_stops_at'])}" if drop >= 0 else f"{way}: {escape(summary['drop_stops_at'])}"))
    if tank := summary["reservoir_to_engine"]:
        said.append(("Tank to the engine", f"{number(tank['gap_mm'], 1)} mm"))
    return facts(said)


def gaps_table(rows: Sequence[dict], summary: dict) -> str:
    """The nearest part of each obstacle, the least room to spare first."""
    if not rows:
        return "<p>No obstacle is in the file.</p>"
    first = {}
    for row in rows:
        first.setdefault(row["label"], row)
    said = {o["label"]: o for o in summary["obstacles"]}
    lines = [(("✗ " if _is_short(r) else "✓ ") + escape(r["obstacle"]), f"{escape(r['part'])} {escape(r['piece'])}", _gap(r), number(r["required_mm"], 1),
              number(r["at_rest_mm"], GAP), escape(r["pose"]["words"]), ", ".join(number(c, PLACE) for c in r["nearest_mm"][0]),
              f'<span class="soft">{escape(said[r["label"]]["from"])}, moves with the {said[r["label"]]["moves_with"]}</span>')
             for r in sorted(first.values(), key=lambda r: _left(r) - r["required_mm"])]
    return table(("Obstacle", "Nearest", "Gap, mm", "Wanted", "At rest", "Engine then", "Where x, y, z", "Shape"), lines, numbers=(2, 3, 4))


def _left(row: dict) -> float:
    return row["gap_mm"] - (row["depth_mm"] or 0.0)


def _is_short(row: dict) -> bool:
    return _left(row) < row["required_mm"] - row["tolerance_mm"]


def _gap(row: dict) -> str:
    if row["gap_mm"] > 0:
        return number(row["gap_mm"], GAP)
    deep = "" if row["depth_mm"] is None else f" {number(row['depth_mm'], 1)} mm deep, {number((row['interference_mm3'] or 0) / 1e3, 1)} cm³"
    return f"they meet{deep}"


def cures(rows: Sequence[dict], summary: dict) -> str:
    """What would make each obstacle hold that is too near."""
    names = {r["label"]: r["obstacle"] for r in rows}
    out = []
    for label, found in summary["cures"].items():
        lines = "".join(f"<li>{escape(c['words'])}" + (f" - but then short: {escape('; '.join(c['then']))}" if c["then"] else "") + "</li>" for c in found)
        out.append(f"<h3>What would clear the {escape(names[label])}</h3>" + (f"<ul>{lines}</ul>" if lines else "<p>Nothing that was tried.</p>"))
    return "".join(out)


def tools(summary: dict) -> str:
    """Which bolts a socket does not reach."""
    found = summary["tool_access"]
    short = [a for a in found if a["free_mm"] < a["wanted_mm"]]
    if not found:
        return ""
    if not short:
        return f"<p>A socket on a short extension reaches all {len(found)} bolts from below, with the engine at rest.</p>"
    lines = [(number(a["x_mm"], 0), number(a["y_mm"], 0), number(a["free_mm"], 1), number(a["wanted_mm"], 1), escape(a["nearest"])) for a in short]
    return (f"<h3>Bolts that no socket reaches from below: {len(short)} of {len(found)}</h3>"
            + table(("x on the engine, mm", "y", "Free radius", "Wanted", "In the way"), lines, numbers=(0, 1, 2, 3)))
