"""What the page says of the sheets that the pieces are cut from."""

from html import escape

from generators.exports import names
from generators.nest import Nest, picture
from generators.report.elements import NONE, Drawing, drawings, key_name, link, number, table


def entries(nests: tuple[Nest, ...]) -> list[dict]:
    """The sheets as the report for programs holds them: mm, kg; shares from 0 to 1."""
    return [{"material": n.material, "thickness_mm": n.thickness, "sheet_mm": [n.length, n.width], "grain_along_length": n.grain,
             "sheets": [{"pieces": len(s), "used_length_mm": n.used_length(i), "drawing": names.nest_drawing(n.name, i),
                         "picture": names.nest_picture(n.name, i)} for i, s in enumerate(n.sheets)],
             "share_of_sheets": n.part_of_sheets, "share_of_used": n.part_of_used, "cut_length_m": n.cut_length / 1e3, "pierces": n.pierces,
             "mass_kg": n.mass, "unplaced": list(n.unplaced)} for n in nests]


def shown(nests: tuple[Nest, ...]) -> list[Drawing]:
    """A picture of each sheet."""
    return [Drawing(names.nest_picture(n.name, i), f"{n.material}, {n.thickness:.5g} mm, sheet {i + 1} of {len(n.sheets)}.", picture.svg(n, i))
            for n in nests for i in range(len(n.sheets))]


def section(stock: list[dict], pictures: list[Drawing]) -> str:
    """Sheets by material and thickness; nothing where no piece is cut from sheet."""
    if not stock:
        return ""
    rows = [(key_name(s["material"]), number(s["thickness_mm"], 2), str(len(s["sheets"])), " × ".join(number(v, 0) for v in s["sheet_mm"]),
             str(sum(i["pieces"] for i in s["sheets"])), number(100 * s["share_of_sheets"], 1), number(100 * s["share_of_used"], 1),
             number(s["cut_length_m"], 2), str(s["pierces"]), number(s["mass_kg"], 1),
             ", ".join(link(i["drawing"]) for i in s["sheets"]) or NONE, escape(", ".join(s["unplaced"])) or NONE) for s in stock]
    heads = ("Material", "Thickness", "Sheets", "Of size", "Pieces", "Of sheets, %", "Of what is used, %", "Cut, m", "Pierces", "Sheets weigh, kg", "Layout",
             "Fit on none")
    return ("<h2>Sheet to order</h2>" + table(heads, rows, numbers=(1, 2, 4, 5, 6, 7, 8, 9)) + drawings(pictures)
            + f'<p class="soft">Laid out for estimate, whole sheets; a shop lays out its own, and openings are not filled. {link(names.SHEETS)}</p>')
