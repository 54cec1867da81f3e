"""The sheets of tables behind a drawing: pieces, bolt holes, and where fittings stand."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib

from generators import standards
from generators.drawings.frame import BLOCK_MM, BORDER_MM, FILING_MM, space
from generators.drawings.mounts import mounting_holes
from generators.paper.pages import NARROW, WIDE, Page, Pages, broken, fitted
from generators.paper.sizes import paper
from generators.pieces import Part
from generators.shop.rail_holes import bolt_holes

ROW_MM, WORDS_MM, HEAD_MM, HEADING_MM = 5.0, 2.3, 3.5, 2.53


@dataclass(frozen=True)
class Table:
    """A heading, the names of columns with the share of the width that each takes, rows of words, and a line under the heading."""

    heading: str
    columns: tuple[tuple[str, float], ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""


def pieces_table(part: Part, note: str = "") -> Table:
    """Every piece under the number of its balloon; `note` stands over them."""
    rows = tuple((str(i), p.name, str(p.quantity), p.kind, p.material, "" if p.thickness is None else f"{p.thickness:.5g}", f"{p.mass * 1e3:.0f}")
                 for i, p in enumerate(part.pieces, start=1))
    return Table("Pieces", (("No", 0.07), ("Piece", 0.33), ("Off", 0.08), ("Kind", 0.13), ("Material", 0.17), ("t, mm", 0.1), ("g each", 0.12)), rows,
                 note)


def bolts_table(part: Part, *, size: str) -> Table | None:
    """The holes for bolts of that size by their numbers; None where the part has none."""
    holes = bolt_holes(part)
    rows = tuple((str(i), f"{x:.2f}", f"{y:.2f}", f"{d:.2f}") for i, (x, y, d) in enumerate(holes, start=1))
    if not rows:
        return None
    round_ = standards.hole_position(size, hole=min(d for _, _, d in holes)).value
    return Table("Bolt holes, from the rear end of the rail (x forward) and the crank axis (y to the left)",
                 (("No", 0.16), ("x, mm", 0.28), ("y, mm", 0.28), ("ø, mm", 0.28)), rows,
                 f"The middle of each hole within a round of {round_:.2f} mm, whatever the general tolerance: half the play of {size} in it, the other "
                 "half is left to the block's threads.")


def fittings_table(part: Part) -> Table | None:
    """The middle of each turned piece and of each hole that bolts the part to the car; None where it has none."""
    rows = [(f"{h.piece}, hole", *(f"{v:.1f}" for v in h.middle), f"ø{h.diameter:.1f}, bolts it to the car") for h in mounting_holes(part)]
    for piece in part.pieces:
        if piece.kind == "turned" and not piece.loose:
            for solid in piece.solids:
                c = solid.BoundingBox().center
                rows.append((piece.name, f"{c.x:.1f}", f"{c.y:.1f}", f"{c.z:.1f}", piece.note))
    if not rows:
        return None
    return Table(f"Middles of fittings, mm from {_origin(part)}", (("Fitting", 0.25), ("x", 0.1), ("y", 0.1), ("z", 0.1), ("What", 0.45)), tuple(rows))


def _origin(part: Part) -> str:
    return "the middle of the straight shell's lower end" if part.own_frame else "the crank axis at the rear end of the rail"


def places_table(part: Part) -> Table | None:
    """From where to where each sheet piece reaches, as it is welded in; None where nothing is joined."""
    rows = []
    for piece in part.pieces:
        if piece.thickness is not None and not piece.loose:
            for solid in piece.solids:
                rows.append((piece.name, *(f"{round(v, 1) + 0.0:.1f}" for v in piece_box(solid))))
    if len(rows) < FEW:
        return None
    heads = tuple((f"{axis}, {end}", 0.11) for axis in "xyz" for end in ("from", "to"))
    return Table(f"Where sheet pieces stand, mm from {_origin(part)} (x forward, y to the left, z up)" if not part.own_frame else
                 f"Where sheet pieces stand, mm from {_origin(part)} (z up, the brackets at -x)", (("Piece", 0.34), *heads), tuple(rows),
                 "From edge to edge of each as it is welded in, before any dressing.")


def piece_box(solid) -> tuple[float, ...]:
    """From and to of a kernel's solid along x, y and z, mm: of its surfaces themselves, not of a mesh of them."""
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(solid.wrapped, box, False, False)
    low, high = box.CornerMin(), box.CornerMax()
    return tuple(end for a, b in zip((low.X(), low.Y(), low.Z()), (high.X(), high.Y(), high.Z()), strict=True) for end in (a, b))


FEW = 2
"""Fewer sheet pieces have no places to tell."""

FROM_MM = 6.0
"""Smaller sizes than the first row of the table of general tolerances tells of are not drawn."""

LENGTHS_MM, LEGS_MM = (30.0, 120.0, 400.0, 1000.0, 2000.0), (10.0, 50.0, 120.0, 400.0, 4000.0)
"""Where rows of general tolerances end: of lengths, and of the shorter legs of angles."""


def tolerances_table(part: Part) -> Table:
    """What sizes without a tolerance of their own may be off by, up to the size of the part, as it is cut, bent and welded."""
    boxes = [s.BoundingBox() for p in part.pieces for s in p.solids]
    ends = [(max(getattr(b, a + "max") for b in boxes) - min(getattr(b, a + "min") for b in boxes)) for a in "xyz"]
    bent, welded = any(p.flat is not None and p.flat.bends for p in part.pieces), bool(part.seams)
    columns = [("Cut", standards.CUT, "length"), *([("Bent", standards.BENT, "length")] if bent else []),
               *([("Welded", standards.WELDED, "length"), ("Flat, welded", standards.WELDED_FLAT, "flatness")] if welded else [])]
    rows, above = [], FROM_MM
    for up_to in LENGTHS_MM:
        rows.append((f"{above:g} to {up_to:g}", *(_deviation(up_to, *asked, of=of) for _, asked, of in columns)))
        above = up_to
        if up_to >= max(ends):
            break
    share = 0.75 / len(columns)
    heads = (("Over, up to", 0.25), *((f"{name}, ±" if of == "length" else name, share) for name, _, of in columns))
    legs = "; ".join(f"{name} mm {_angle(up_to)}" for name, up_to in _legs()) if bent else ""
    return Table("General tolerances, mm, of what has none of its own", heads, tuple(rows), f"Angles of bends, by their shorter leg: {legs}." if bent else "")


def _deviation(size: float, standard: str, grade: str, *, of: str) -> str:
    try:
        return f"{standards.general_tolerance(size, standard=standard, grade=grade, of=of):g}"
    except standards.Unknown:
        return "-"


def _legs() -> list[tuple[str, float]]:
    return [*((f"up to {up_to:g}", up_to) for up_to in LEGS_MM[:-1]), (f"over {LEGS_MM[-2]:g}", LEGS_MM[-1])]


def _angle(leg: float) -> str:
    """The tolerance of a bend, in degrees and minutes."""
    standard, grade = standards.BENT
    degrees, minutes = divmod(round(math.degrees(standards.general_tolerance(leg, standard=standard, grade=grade, of="angle")) * 60), 60)
    return "±" + " ".join([*([f"{degrees}°"] if degrees else []), *([f"{minutes}'"] if minutes else [])])


LINE_MM = 3.6
"""From one line of words to the next within a cell or a note."""


def draw_tables(document: Pages, tables: Sequence[Table], finish) -> list[Page]:
    """The tables on as many A4 pages as they take; `finish` draws frame and title block on each, told its number."""
    pages: list[Page] = []
    y = 0.0
    for table in tables:
        rows, whole = [_broken(cells, table) for cells in table.rows], table
        while rows:
            if not pages or y - _head(table) - sum(map(_tall, rows[:FIRST_ROWS])) < _lowest(pages[-1]):
                pages.append(document.page(paper("A4").portrait()))
                finish(pages[-1], len(pages))
                y = space(pages[-1].paper)[3] - 4.0
            y = _draw_head(pages[-1], table, y)
            table = replace(whole, heading=f"{whole.heading}, continued", note="")
            while rows and (y - _tall(rows[0]) >= _lowest(pages[-1]) or _tall(rows[0]) > ROW_MM * LONGEST_ROW):
                y = _draw_row(pages[-1], table, rows.pop(0), y)
            y -= 2 * ROW_MM
    return pages


FIRST_ROWS = 3
"""A table is begun where there is room for so many of its rows, or for all."""

LONGEST_ROW = 30
"""A row of more lines would stand on no page, and is drawn over its end rather than never."""

WIDE_MM = paper("A4").width - FILING_MM - BORDER_MM - 6.0
"""Room for a table across an A4 sheet."""


def _lowest(page: Page) -> float:
    return space(page.paper)[1] + BLOCK_MM[1] + 4.0


def _broken(cells: tuple[str, ...], table: Table) -> tuple[list[str], ...]:
    """Each cell of a row in the lines that it takes."""
    return tuple(broken(words, WIDE_MM * share - 1.6, WORDS_MM) for words, (_, share) in zip(cells, table.columns, strict=True))


def _tall(row: tuple[list[str], ...]) -> float:
    return ROW_MM + LINE_MM * (max(len(lines) for lines in row) - 1)


def _note(table: Table) -> list[str]:
    return broken(table.note, WIDE_MM, WORDS_MM) if table.note else []


def _heading(table: Table) -> list[str]:
    return broken(table.heading, WIDE_MM, HEADING_MM, bold=True)


def _head(table: Table) -> float:
    return HEAD_MM * len(_heading(table)) + LINE_MM * len(_note(table)) + 2.0 + ROW_MM


def _draw_head(page: Page, table: Table, y: float) -> float:
    """Heading, note and names of columns from `y` mm downwards; where they end."""
    left = space(page.paper)[0] + 3.0
    for line in _heading(table):
        y -= HEAD_MM
        page.text((left, y), line, height=HEADING_MM, bold=True)
    for line in _note(table):
        y -= LINE_MM
        page.text((left, y), line, height=WORDS_MM)
    names = tuple([fitted(name, WIDE_MM * share - 1.6, WORDS_MM, bold=True)] for name, share in table.columns)
    return _draw_row(page, table, names, y - 2.0, bold=True)


def _draw_row(page: Page, table: Table, row: tuple[list[str], ...], y: float, *, bold: bool = False) -> float:
    """One row from `y` mm downwards with a line under it; where it ends."""
    left = x = space(page.paper)[0] + 3.0
    for lines, (_, share) in zip(row, table.columns, strict=True):
        for i, line in enumerate(lines):
            page.text((x + 0.8, y - ROW_MM + 1.4 - i * LINE_MM), line, height=WORDS_MM, bold=bold)
        x += WIDE_MM * share
    y -= _tall(row)
    page.line([(left, y), (left + WIDE_MM, y)], width=WIDE if bold else NARROW / 2)
    return y
