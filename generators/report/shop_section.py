"""What the page says of bending, welding and buying."""

from collections.abc import Iterator
from html import escape

from generators.exports import names
from generators.report.elements import NONE, breakable, link, number, table
from generators.shop.welding import FILLERS, STAGES
from generators.standards import Unknown, material


def bends_table(part: dict) -> str:
    """The bends of a part's folded pieces in the order in which they are made; nothing where there is none."""
    rows = [row for p in part["pieces"] for row in _bends(p)]
    if not rows:
        return ""
    heads = ("Piece", "Step", "Bend", "Way", "Angle from flat, °", "Inside radius", "Length", "Allowance", "Deduction", "by DIN 6935", "Die", "Force, kN",
             "Gauge", "Against")
    return ("<h3>Bends, in their order</h3>" + table(heads, rows, numbers=(1, 4, 5, 6, 7, 8, 9, 10, 11, 12))
            + f'<p class="soft">Numbers of bends are those on the flats; gauge: from the middle of the bend. {link(names.BENDS)}. A test bend on the '
              "shop's own press decides: its deductions can stand in the parameter file.</p>")


def _bends(piece: dict) -> Iterator[tuple[str, ...]]:
    numbered = sorted(enumerate(piece["bends"], start=1), key=lambda pair: pair[1].get("step", pair[0]))
    for i, b in numbered:
        way = ("up" if b["angle_deg"] > 0 else "down") + (", turn over" if b.get("turn_over") else "")
        force = b.get("force_N")
        yield (escape(piece["name"]), str(b.get("step", i)), str(i), way, number(abs(b["angle_deg"]), 1), number(b["radius_mm"], 2),
               number(b["length_mm"], 1), number(b["allowance_mm"], 2), number(b["deduction_mm"], 2), number(b["din_6935_deduction_mm"], 2),
               number(b.get("die_mm")), number(force / 1e3 if force else None, 1), number(b.get("gauge_mm"), 1), escape(b.get("gauge_against") or NONE))


def seams_table(part: dict) -> str:
    """The seams of a part in the order in which they are welded; nothing where there is none."""
    rows = [(str(s["step"]), f'{breakable(s["a"])} + {breakable(s["b"])}' if s["a"] != s["b"] else f'{breakable(s["a"])}, butt', str(s["seams"]),
             number(s["length_m"] * 1e3, 0), number(s["leg_mm"], 1), "leak-tight" if s["leak_tight"] else "stitch", escape(s["stage"]))
            for s in part["seams"]]
    if not rows:
        return ""
    tight = sum(s["length_m"] for s in part["seams"] if s["leak_tight"])
    stitched = sum(s["length_m"] for s in part["seams"] if not s["leak_tight"])
    how = "; ".join(f"<strong>{escape(stage)}</strong>: {escape(STAGES[stage])}" for stage in dict.fromkeys(s["stage"] for s in part["seams"]))
    return ("<h3>Welds, in their order</h3>" + table(("Step", "Pieces", "Seams", "Length", "Leg", "Kind", "Stage"), rows, numbers=(0, 2, 3, 4))
            + f'<p class="soft">{how}. {number(tight, 2)} m leak-tight, {number(stitched, 2)} m stitched over its length. {escape(_filler(part))} {link(names.SEAMS)}.</p>')


def _filler(part: dict) -> str:
    """What the part's sheet is welded with."""
    for p in part["pieces"]:
        try:
            family = material(p["material"]).family
        except Unknown:
            continue
        return f"Filler for {p['material']}: {FILLERS[family]}." if family in FILLERS else ""
    return ""


def hardware_table(hardware: list[dict]) -> str:
    """What is bought; nothing where all is made."""
    rows = [(breakable(h["part"]), breakable(h["item"]), str(h["quantity"]), escape(h["what"])) for h in hardware]
    if not rows:
        return ""
    return ("<h2>To buy</h2>" + table(("For", "Item", "Quantity", "What"), rows, numbers=(2,))
            + f"<p>{link(names.HARDWARE)}; {link(names.JOB_SHEET)} has all that is ordered, cut, bent, welded and bolted on paper, in that order</p>")
