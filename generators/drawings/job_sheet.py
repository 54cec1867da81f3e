"""The job sheet: all that a shop is asked to do for a design, in the order in which it is done, on paper: order, cut, bend, weld, bolt."""

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

import cadquery as cq
import numpy as np
from OCP.Bnd import Bnd_OBB
from OCP.BRepBndLib import BRepBndLib

from generators import __version__
from generators.drawings.frame import Title, draw_frame, draw_title
from generators.drawings.tables import Table, draw_tables
from generators.nest import Nest
from generators.outlines import flattened
from generators.paper.pages import Page, Pages
from generators.parameters import Parameters
from generators.pieces import Part, Piece, Tube
from generators.shop.bolting import bolt_steps
from generators.shop.cautions import CAUTIONS
from generators.shop.pack import Pack, astray_note
from generators.shop.sayings import as_words
from generators.shop.welding import FILLERS, STAGES
from generators.standards import Unknown, material

MM_IN_M = 1e3

TITLE = "Job sheet"

FROM_BAR = ("turned", "tube")
"""Kinds of pieces that are made of bar or tube."""


@dataclass(frozen=True)
class JobSheet:
    """The file's bytes, and its pages with the words on them."""

    pdf: bytes = field(repr=False)
    pages: tuple[Page, ...] = field(repr=False)


def job_sheet(parameters: Parameters, parts: Sequence[Part], pack: Pack, nests: Sequence[Nest], *, failing: Sequence[tuple[str, str]] = ()) -> JobSheet:
    """The job sheet of all parts; `failing` are title and name of the checks that the design fails."""
    title, asked = parameters.title or "Untitled", parameters.drawings
    tables = [t for t in (_failing(failing), *_tables(parts, pack, nests)) if t.rows]
    sheets = len(draw_tables(Pages(title), tables, lambda page, sheet: None))
    materials = dict.fromkeys(p.material for part in parts for p in part.pieces if p.kind != "bought")
    said = Title(title, TITLE, "all parts", "", "-", f"{sum(p.mass for p in parts):.3f} kg", ", ".join(materials), asked.owner, asked.drawn_by,
                 asked.revision, f"sumpwright {__version__}")
    document = Pages(f"{title}: {TITLE.lower()}")

    def finish(page: Page, i: int) -> None:
        draw_frame(page)
        draw_title(page, replace(said, sheet=f"{i} of {sheets}"), asked.projection)

    draw_tables(document, tables, finish)
    return JobSheet(document.pdf(), tuple(document.pages))


def _tables(parts: Sequence[Part], pack: Pack, nests: Sequence[Nest]) -> Iterator[Table]:
    """What is asked for, in its order."""
    yield _parts(parts, pack)
    yield _stock(nests, pack)
    yield _bar(parts, pack)
    yield _tubes([p for p in parts if p.name not in pack.astray])
    yield _bought(pack)
    for part in parts:
        yield _cut(part)
    for part in parts:
        yield _bend(part, pack)
    yield _stages(pack)
    for name in pack.welds:
        yield _weld(next(p for p in parts if p.name == name), pack)
    yield _bolt(parts, pack)
    yield _cautions()


def _failing(failing: Sequence[tuple[str, str]]) -> Table:
    return Table("Do not make this as it is", (("What falls short", 0.6), ("Check", 0.4)), tuple(failing), "The report tells why, and what would cure it.")


def _parts(parts: Sequence[Part], pack: Pack) -> Table:
    rows = tuple((p.name, str(sum(q.quantity for q in p.pieces)), f"{p.mass:.3f}", f"{p.name}/{p.name}.pdf", f"{p.name}/{p.name}.step") for p in parts)
    return Table("What is made", (("Part", 0.22), ("Pieces", 0.1), ("kg", 0.1), ("Drawing", 0.29), ("Model", 0.29)), rows,
                 "Follow this sheet from top to bottom: order, cut, bend, weld, bolt. mm and degrees unless said. The drawings hold sizes and tolerances; "
                 "templates.pdf beside each is at full size." + "".join(f" {note}" for p in parts if (note := astray_note(pack, p.name))))


def _stock(nests: Sequence[Nest], pack: Pack) -> Table:
    rows = tuple((n.material, f"{n.thickness:.5g}", str(len(n.sheets)), f"{n.length:g} x {n.width:g}", str(sum(map(len, n.sheets))), _reach(n),
                  ", ".join(n.unplaced) or "-") for n in nests)
    return Table("1 Order: sheet", (("Material", 0.16), ("t", 0.08), ("Sheets", 0.08), ("Of size", 0.16), ("Pieces", 0.09), ("Last used over", 0.2), ("Fits on none", 0.23)),
                 rows, "Laid out for estimate in shop/sheets/. Where little of the last sheet is used, ask for an offcut of that size, with the grain as "
                       f"told.{_only_astray(nests, pack)}")


def _only_astray(nests: Sequence[Nest], pack: Pack) -> str:
    """How many pieces of each stock are for parts that have no place under this engine."""
    said = []
    for n in nests:
        every = [laid.part for sheet in n.sheets for laid in sheet]
        astray = [part for part in every if part in pack.astray]
        if astray:
            said.append(f"{len(astray)} of {len(every)} in {n.material} of {n.thickness:.5g} mm ({', '.join(dict.fromkeys(astray))})")
    return f" Pieces for parts that are not for this engine: {'; '.join(said)}." if said else ""


def _reach(nest: Nest) -> str:
    """Length and width of the last sheet that its pieces take, with the margin all round, mm."""
    if not nest.sheets:
        return "-"
    long, wide = nest.used(len(nest.sheets) - 1)
    return f"{long:.0f} along x {wide:.0f} across" if nest.grain else f"{long:.0f} x {wide:.0f}"


def _bar(parts: Sequence[Part], pack: Pack) -> Table:
    rows = tuple((f"{part.name} / {p.name}", str(p.quantity), p.material, _tube(p.stock) if p.stock else _around(p.solids[0]),
                  f"not for this engine; {p.note}" if part.name in pack.astray else p.note)
                 for part in parts for p in part.pieces if p.kind in FROM_BAR)
    return Table("1 Order: bar and tube", (("Piece", 0.25), ("Off", 0.06), ("Material", 0.12), ("Finished size", 0.2), ("What", 0.37)), rows,
                 "Turned and cut to the model; the size is that of the tightest box round the finished piece, of a tube what it is cut from, its length "
                 "before ends are coped and mitres cut.")


def _tube(stock: Tube) -> str:
    return f"ø{stock.outer:.2f}, bore {stock.bore:.2f}, {stock.length:.1f} long"


SAW_MM = 3.0
"""Lost by each cut through a tube, with what is faced off (common practice)."""


def _tubes(parts: Sequence[Part]) -> Table:
    """How much tube of each size is needed."""
    lengths: dict[tuple[str, float, float], list[float]] = {}
    mitred: Counter = Counter()
    for p in (p for part in parts for p in part.pieces if p.stock):
        key = (p.material, round(p.stock.outer, 2), round(p.stock.bore, 2))
        lengths.setdefault(key, []).extend([p.stock.length] * p.quantity)
        mitred[key] += p.quantity * sum(end.name.startswith("mitre") for end in p.ends)
    rows = tuple((material, f"{outer:.2f}", f"{bore:.2f}", str(len(all_)), f"{sum(all_) + SAW_MM * len(all_) + mitred[key] * SAW_MM * math.sqrt(2):.0f}") for key, all_ in lengths.items() for material, outer, bore in [key])
    return Table("1 Order: tube by its length", (("Material", 0.25), ("Outside, mm", 0.2), ("Bore, mm", 0.2), ("Pieces", 0.15), ("Length in all, mm", 0.2)), rows,
                 f"With {SAW_MM:g} mm for each cut, along the tube at a mitre {SAW_MM * math.sqrt(2):.1f}, for what has a place under this engine. A bore that no tube has is reamed or bored from the next smaller one.")


def _around(solid: cq.Solid) -> str:
    """Sides of the tightest box round a solid, mm, the largest last."""
    box = Bnd_OBB()
    BRepBndLib.AddOBB_s(solid.wrapped, box, True, True, False)
    return " x ".join(f"{2 * half:.1f}" for half in sorted((box.XHSize(), box.YHSize(), box.ZHSize())))


def _bought(pack: Pack) -> Table:
    rows = tuple((b.part, b.name, str(b.quantity), b.note) for b in pack.bought)
    return Table("1 Order: what is bought", (("For", 0.2), ("Item", 0.18), ("Off", 0.06), ("What", 0.56)), rows)


def _cut(part: Part) -> Table:
    rows = tuple((p.name, str(p.quantity), p.material, f"{p.thickness:.5g}", _size(p), f"{p.flat.cut_length / MM_IN_M:.2f}", str(1 + len(p.flat.holes)), p.note)
                 for p in part.pieces if p.flat is not None)
    return Table(f"2 Cut: {part.name}", (("Piece", 0.18), ("Off", 0.05), ("Material", 0.11), ("t", 0.075), ("Flat", 0.14), ("Cut, m", 0.08), ("Pierces", 0.095), ("Then", 0.27)), rows,
                 f"A drawing of each in {part.name}/flat/, with nothing but what is cut in {part.name}/flat/cut_only/. Kerf is not applied.")


def _size(piece: Piece) -> str:
    wide, high = np.ptp(flattened(piece.flat.outer), axis=0)
    return f"{wide:.1f} x {high:.1f}"


def _bend(part: Part, pack: Pack) -> Table:
    rows = []
    for plan in pack.bends.get(part.name, ()):
        for step, b in enumerate(plan.bends, start=1):
            w = as_words(b)
            rows.append((plan.piece, str(step), str(b.number), w.way + (", turn over" if b.turned_over else ""), w.angle, w.radius, w.length, w.allowance,
                         w.deduction, w.die, w.force, w.gauge, b.against))
    columns = (("Piece", 0.155), ("Step", 0.06), ("Bend", 0.065), ("Way", 0.08), ("Angle", 0.075), ("R", 0.055), ("Long", 0.07), ("BA", 0.06),
               ("BD", 0.06), ("V", 0.045), ("kN", 0.055), ("Gauge", 0.08), ("Against", 0.14))
    return Table(f"3 Bend: {part.name}", columns, tuple(rows),
                 "Angles are turned from flat; bends are numbered as on the flats, up is towards who looks at them. R: inside radius, BA: allowance, BD: "
                 "deduction, V: opening of the die; gauge: from the middle of the bend. Where legs stand up at the ends of "
                 "a bend already, punch and die are no longer than it (segments). Bend a strip of the same sheet first: the shop's own deductions can stand in the parameter file.")


def _weld(part: Part, pack: Pack) -> Table:
    steps = pack.welds.get(part.name, ())
    rows = tuple((str(s.order), f"{s.a} + {s.b}" if s.a != s.b else f"{s.a}, butt", str(s.seams), f"{s.length:.0f}", f"{s.leg:.3g}",
                  "leak-tight" if s.leak_tight else "stitch", s.stage) for s in steps)
    return Table(f"4 Weld: {part.name}", (("Step", 0.07), ("Pieces", 0.39), ("Seams", 0.09), ("Length", 0.1), ("Leg", 0.07), ("Kind", 0.14), ("Stage", 0.14)),
                 rows, f"{astray_note(pack, part.name)} {_filler(part)}".strip())


def _stages(pack: Pack) -> Table:
    """How each stage that the parts' welds belong to is done."""
    used = {s.stage for steps in pack.welds.values() for s in steps}
    return Table("4 Weld: how, stage by stage", (("Stage", 0.14), ("How", 0.86)), tuple((stage, how) for stage, how in STAGES.items() if stage in used),
                 "What stands in a pan is finished before the pan. In the lists that follow steps are done in their order.")


def _filler(part: Part) -> str:
    """What the part's sheet is welded with."""
    for piece in part.pieces:
        try:
            family = material(piece.material).family
        except Unknown:
            continue
        return f"Filler for {piece.material}: {FILLERS[family]}." if family in FILLERS else ""
    return ""


def _bolt(parts: Sequence[Part], pack: Pack) -> Table:
    steps = bolt_steps(parts, pack.bought, elsewhere=pack.astray)
    return Table("5 Bolt up", (("Step", 0.07), ("Part", 0.22), ("What", 0.71)), tuple((str(i), s.part, s.what) for i, s in enumerate(steps, start=1)))


def _cautions() -> Table:
    return Table("Before, while and after", (("What", 0.22), ("How", 0.78)), tuple(CAUTIONS.items()))
