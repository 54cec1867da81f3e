"""What a shop is told of bending, welding and buying: lists as a spreadsheet reads them."""

import csv
import itertools
from collections.abc import Iterable, Sequence
from pathlib import Path

from generators.exports import names
from generators.nest import Nest, drawing
from generators.pieces import Part
from generators.shop.bending import PlannedBend
from generators.shop.hardware import Bought
from generators.shop.pack import Pack
from generators.shop.sayings import as_words
from generators.shop.welding import STAGES

BENDS = ("part", "piece", "step", "bend", "way", "turn_over", "angle_deg", "inside_radius_mm", "length_mm", "allowance_mm", "deduction_mm",
         "die_mm", "force_kN", "gauge_mm", "gauge_against", "beside_punch_mm")
MM_IN_M = 1e3

SEAMS = ("part", "step", "a", "b", "seams", "length_mm", "leg_mm", "kind", "stage", "how")
SHEETS = ("material", "thickness_mm", "sheets", "sheet_mm", "pieces", "used_of_sheets", "used_of_what_is_cut", "cut_length_m", "pierces", "mass_kg",
          "fit_on_none", "of_parts")
HARDWARE = ("part", "item", "quantity", "what")


def bend_rows(part: Part, pack: Pack) -> Iterable[tuple]:
    """A row for each bend of the part's pieces, in the order in which it is made."""
    for plan in pack.bends[part.name]:
        for step, b in enumerate(plan.bends, start=1):
            yield (part.name, plan.piece, step, *_bend(b))


def _bend(b: PlannedBend) -> tuple:
    said = as_words(b)
    return (b.number, said.way, "yes" if b.turned_over else "", said.angle, said.radius, said.length, said.allowance, said.deduction, said.die,
            said.force, said.gauge, b.against, said.beside)


def seam_rows(pack: Pack) -> Iterable[tuple]:
    """A row for the seams of one kind between two pieces, in the order in which parts and seams are welded."""
    for s in itertools.chain.from_iterable(pack.welds.values()):
        yield (s.part, s.order, s.a, s.b, s.seams, f"{s.length:.0f}", f"{s.leg:.3g}", "leak-tight" if s.leak_tight else "stitch", s.stage, STAGES[s.stage])


def hardware_rows(bought: Iterable[Bought]) -> Iterable[tuple]:
    """A row for each thing to buy."""
    return ((b.part, b.name, b.quantity, b.note) for b in bought)


def sheet_rows(nests: Iterable[Nest]) -> Iterable[tuple]:
    """A row for the stock of each material and thickness."""
    for n in nests:
        yield (n.material, f"{n.thickness:.5g}", len(n.sheets), f"{n.length:g} x {n.width:g}", sum(map(len, n.sheets)), f"{n.part_of_sheets:.3f}",
               f"{n.part_of_used:.3f}", f"{n.cut_length / MM_IN_M:.2f}", n.pierces, f"{n.mass:.1f}", " ".join(n.unplaced),
               " ".join(dict.fromkeys(laid.part for sheet in n.sheets for laid in sheet)))


def write_sheets(nests: Sequence[Nest], root: Path, file: Path) -> None:
    """Write the list of sheets to `file`, and each sheet as a drawing below `root`."""
    _write(file, SHEETS, sheet_rows(nests))
    for nest in nests:
        for i in range(len(nest.sheets)):
            (root / names.nest_drawing(nest.name, i)).parent.mkdir(parents=True, exist_ok=True)
            (root / names.nest_drawing(nest.name, i)).write_text(drawing.text(nest, i), encoding="utf-8")


def write(parts: Sequence[Part], pack: Pack, *, bends: Path, seams: Path, hardware: Path) -> None:
    """Write the three lists."""
    _write(bends, BENDS, (row for part in parts for row in bend_rows(part, pack)))
    _write(seams, SEAMS, seam_rows(pack))
    _write(hardware, HARDWARE, hardware_rows(pack.bought))


def _write(file: Path, columns: Sequence[str], rows: Iterable[tuple]) -> None:
    file.parent.mkdir(parents=True, exist_ok=True)
    with file.open("w", newline="", encoding="utf-8") as stream:
        table = csv.writer(stream)
        table.writerow(columns)
        table.writerows(rows)
