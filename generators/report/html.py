"""The report for people: one page that opens without a network and prints well."""

from collections.abc import Iterable, Sequence
from html import escape
from importlib.resources import files
from pathlib import Path
from string import Template

from generators.exports import names
from generators.report import fit_section, mass_section, mockup_section, shop_section, stock_section, surge_section
from generators.report.elements import (
    NONE,
    WORDS,
    Drawing,
    breakable,
    facts,
    figures,
    key_name,
    link,
    number,
    quantity,
    status,
    style,
    table,
)
from generators.shop.cautions import CAUTIONS

POINT_DECIMALS = 4
"""Decimals of a plain number on the page: a tenth of a micrometre."""

def verdict(checks: list[dict]) -> str:
    """One sentence on all checks."""
    if not checks:
        return '<p class="verdict not-assessed">Nothing was checked.</p>'
    counts = {word: sum(c["status"] == word for c in checks) for word in WORDS}
    worst = next(word for word in WORDS if counts[word])
    said = {"fail": f"{counts['fail']} of {len(checks)} checks fail{'s' * (counts['fail'] == 1)}: do not make these parts as they are.",
            "caution": f"No check fails; {counts['caution']} of {len(checks)} leave{'s' * (counts['caution'] == 1)} little margin.",
            "not assessed": f"Nothing that was checked fails; {counts['not assessed']} of {len(checks)} checks could not be made.",
            "pass": f"All {len(checks)} checks pass."}[worst]
    also = ", ".join(f"{counts[word]} {word}" for word in WORDS if counts[word])
    return f'<p class="verdict {worst.replace(" ", "-")}">{said} <span class="soft">({also})</span></p>'


def _worst_first(checks: list[dict]) -> list[dict]:
    order = list(WORDS)
    return sorted(checks, key=lambda c: order.index(c["status"]))


def checks_table(checks: list[dict]) -> str:
    """Every check in a line, the worst first."""
    rows = [(status(c["status"]), escape(c["title"]), f'<span class="id">{escape(c["id"])}</span>', quantity(c["value"], c["unit"]),
             NONE if c["limit"] is None else f'{"≥" if c["sense"] == ">=" else "≤"} {quantity(c["limit"], c["unit"])}',
             quantity(c["margin"], c["unit"])) for c in _worst_first(checks)]
    return table(("Status", "Check", "Name", "Value", "Limit", "Margin"), rows, numbers=(3, 4, 5))


def methods_table(checks: list[dict]) -> str:
    """How each check was measured, and where its limit is from."""
    rows = [(f'{escape(c["title"])}<br><span class="id">{escape(c["id"])}</span>', escape(c["method"]), escape(c["source"]))
            for c in _worst_first(checks)]
    return table(("Check", "How it was found", "Where the limit is from"), rows)


def overview(pictures: dict[str, list[tuple[str, bytes]]]) -> str:
    """The first picture of each part."""
    return figures([(name, shown[0][1]) for name, shown in pictures.items() if shown])


def pieces_table(part: dict, colours: dict[str, str]) -> str:
    """The pieces of a part with the file to make each from."""
    rows = [(f'<span class="swatch" style="background:{colours.get(p["name"], "#fff")}"></span>{breakable(p["name"])}',
             escape(p["kind"]), str(p["quantity"]), key_name(p["material"]), number(p["thickness_mm"]),
             number(p["mass_kg"] * 1e3, 0), number(p["cut_length_m"], 2), _made_from(part, p))
            for p in part["pieces"]]
    return table(("Piece", "Kind", "Quantity", "Material", "Thickness", "Mass each, g", "Cut, m", "Make from"), rows,
                 numbers=(2, 4, 5, 6))


def _made_from(part: dict, piece: dict) -> str:
    """The file to make a piece from, and what its maker or buyer has to know."""
    file = "" if piece["kind"] == "bought" else link(piece["flat"] or part["files"]["step"])
    note = f'<span class="soft">{escape(piece["note"])}</span>' if piece["note"] else ""
    return "<br>".join(words for words in (file, note) if words) or NONE


def part_section(part: dict, pictures: Iterable[tuple[str, bytes]], colours: dict[str, str]) -> str:
    """All that the page says of one part."""
    low, high = part["bounding_box_mm"]
    size = " × ".join(number(b - a, 1) for a, b in zip(low, high, strict=True))
    files_ = ", ".join(link(path) for path in part["files"].values())
    known = [("Mass", f'{number(part["mass_kg"], 3)} kg'), ("Size x, y, z", f"{size} mm"),
             ("Pieces", str(sum(p["quantity"] for p in part["pieces"])))]
    if part["weld_length_m"]:
        known.append(("Weld", f'{number(part["weld_length_m"], 2)} m'))
    return (f'<section class="new-sheet"><h2>{escape(part["name"])}</h2>{figures(pictures)}{facts(known)}'
            + f"<p>Files: {files_}</p>" + pieces_table(part, colours) + shop_section.bends_table(part) + shop_section.seams_table(part) + "</section>")


def vessels_table(vessels: list[dict]) -> str:
    """What each vessel holds."""
    if not vessels:
        return "<p>No part here holds oil.</p>"
    rows = [(escape(v["name"]), quantity(v["oil_space_m3"], "m3"), quantity(v["oil_m3"], "m3"), number(v["level_z_mm"], 1),
             number(v["full_mark_z_mm"], 1), quantity(v["running_oil_m3"], "m3"), number(v["running_level_z_mm"], 1),
             quantity(v["displaced_m3"], "m3"), escape(", ".join(p["name"] for p in v["pickups"])) or NONE) for v in vessels]
    held = table(("Vessel", "Oil space", "Oil at rest", "Level, z in the part's frame", "Full mark at most, z", "Oil running", "Level running",
                  "Taken by pieces", "Pickups and outlets"), rows, numbers=(1, 2, 3, 4, 5, 6, 7))
    return held + f"<p>{DIPSTICK}</p>" + compartments_table(vessels)


DIPSTICK = ("A dipstick's or a sight glass's full mark belongs at the level of the oil at rest. The full mark at most is the highest that the "
            "part allows: oil filled up to it may be more than the engine's.")


def compartments_table(vessels: list[dict]) -> str:
    """What each compartment holds with the gates shut; nothing where no vessel is divided."""
    rows = [(escape(v["name"]), escape(c["name"]), quantity(c["oil_space_m3"], "m3"), quantity(c["at_full_mark_m3"], "m3"),
             quantity(c["running_m3"], "m3"), link(c["file"])) for v in vessels for c in v["compartments"]]
    if not rows:
        return ""
    return "<h3>Compartments, gates shut</h3>" + table(("Vessel", "Compartment", "Oil space", "Below the highest full mark", "Running", "File"),
                                                     rows, numbers=(2, 3, 4))


def parameters_tables(parameters: dict) -> str:
    """Every table of the parameter file."""
    rows = [(key_name(key), escape(text)) for key, text in _flat(parameters) if text != NONE]
    return table(("Key", "Value"), rows)


def unused_note(keys: list[str]) -> str:
    """What was read and changed nothing; nothing where all of the file had its effect."""
    named = ", ".join(key_name(k) for k in keys)
    return f'<p class="soft">Read, but nothing that was made or checked here depends on it yet: {named}.</p>' if keys else ""


def _flat(value: object, key: str = "") -> Iterable[tuple[str, str]]:
    if isinstance(value, dict) and value:
        for name, item in value.items():
            yield from _flat(item, f"{key}.{name}" if key else str(name))
    elif isinstance(value, list) and value and isinstance(value[0], dict):
        for i, item in enumerate(value, start=1):
            yield from _flat(item, f"{key}[{i}]")
    else:
        yield key, _words(value)


def _words(value: object) -> str:
    """A value as text; floats in lists to POINT_DECIMALS, which the report for programs gives in full."""
    if isinstance(value, list):
        return f"[{', '.join(_words(v) for v in value)}]"
    if isinstance(value, float):
        return f"{value:.{POINT_DECIMALS}f}".rstrip("0").rstrip(".")
    return NONE if value is None else str(value)


def _crank(crank: dict) -> str:
    return facts((("Largest swept radius", f'{number(crank["swept_radius_mm"], 2)} mm'), ("Lowest point, z", f'{number(crank["lowest_mm"], 2)} mm'),
                  ("Half breadth", f'{number(crank["half_breadth_mm"], 2)} mm'), ("Rising side", escape(crank["rising_side"]))))


def _masses(mass: dict) -> str:
    """Masses, and their centre where every part has its place: with a part set beside the engine it would tell nothing."""
    told = [("Parts", f'{number(mass["parts_kg"], 2)} kg'), ("Oil at rest", f'{number(mass["oil_kg"], 2)} kg')]
    if mass["centre_mm"] is not None and not mass["set_beside"]:
        told.append(("Centre of both", ", ".join(number(c, 0) for c in mass["centre_mm"]) + " mm"))
    return facts(told) + f'<p class="soft">{escape(mass["frame"])}</p>'


def _of_no_part(report: dict, pictures: dict[str, list[tuple[str, bytes]]]) -> list[tuple[str, bytes]]:
    """Pictures of vessels that are there already and so are no parts."""
    made = {p["name"] for p in report["parts"]}
    return [view for name, views in pictures.items() if name not in made for view in views]


def page(report: dict, pictures: dict[str, list[tuple[str, bytes]]], colours: dict[str, dict[str, str]],
         drawings: dict[str, list[Drawing]], fitting: Sequence[Drawing] = (), stock: Sequence[Drawing] = ()) -> str:
    """The page for a JSON report. `pictures` by part: (caption, PNG); `colours` by part and piece: CSS colours; `drawings` by
    vessel: how its oil moves; `fitting`: how all of it fits the vehicle; `stock`: the sheets that it is cut from."""
    sized = [(key_name(s["key"]), escape(s["value"]), escape(s["because"])) for s in report["sized"]]
    template = Template((files("generators") / "data" / "report.html").read_text(encoding="utf-8"))
    return template.substitute(
        style=style(), title=escape(report["title"] or report["source"]), source=escape(report["source"]), version=escape(report["sumpwright"]),
        verdict=verdict(report["checks"]),
        facts=_masses(report["mass"]),
        overview=overview(pictures), checks=checks_table(report["checks"]), methods=methods_table(report["checks"]),
        parts="\n".join(part_section(p, pictures.get(p["name"], ())[1:], colours.get(p["name"], {})) for p in report["parts"]),
        stock=stock_section.section(report["stock"], list(stock)),
        mockup=mockup_section.section(report["mockup"]),
        hardware=shop_section.hardware_table(report["hardware"]),
        vessels=vessels_table(report["vessels"]) + figures(_of_no_part(report, pictures)), crank=_crank(report["crank"]),
        fit=fit_section.section(report["fit"], report["fit_summary"], fitting, (names.ASSEMBLY, names.ASSEMBLY_GLB)),
        mass=mass_section.section(report["mass"]),
        surge=surge_section.section(report["surge_summary"], drawings),
        sized=table(("Key", "Value", "Because"), sized), parameters=unused_note(report["unused"]) + parameters_tables(report["parameters"]),
        safety="<ul>" + "".join(f"<li><strong>{escape(h)}.</strong> {escape(w)}</li>" for h, w in CAUTIONS.items()) + "</ul>")


def write(text: str, file: Path) -> None:
    """Write the page to `file`."""
    file.write_text(text, encoding="utf-8")
