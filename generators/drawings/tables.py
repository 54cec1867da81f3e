"""The sheets of tables behind a drawing: pieces, bolt holes, and where fittings stand."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from generators.drawings.frame import BLOCK_MM, space
from generators.paper.pages import NARROW, WIDE, Page, Pages, text_width
from generators.paper.sizes import paper
from generators.pieces import Part

ROW_MM, WORDS_MM, HEAD_MM = 5.0, 2.3, 3.5


@dataclass(frozen=True)
class Table:
    """A heading, the names of columns with the share of the width that each takes, and rows of words."""

    heading: str
    columns: tuple[tuple[str, float], ...]
    rows: tuple[tuple[str, ...], ...]


def pieces_table(part: Part) -> Table:
    """Every piece under the number of its balloon."""
    rows = tuple((str(i), p.name, str(p.quantity), p.kind, p.material, "" if p.thickness is None else f"{p.thickness:.3g}", f"{p.mass * 1e3:.0f}")
                 for i, p in enumerate(part.pieces, start=1))
    return Table("Pieces", (("No", 0.07), ("Piece", 0.33), ("Off", 0.08), ("Kind", 0.13), ("Material", 0.17), ("t, mm", 0.1), ("g each", 0.12)), rows)


RAIL = ("flange", "scraper")
"""Pieces whose round holes take the pan's bolts."""


def bolt_holes(part: Part) -> list[tuple[float, float, float]]:
    """Round holes of the piece that lies on the rail, as it is cut: x, y of the middle in the engine's frame and diameter, mm; clockwise as seen
    from above from the one at the rear on the left."""
    for piece in part.pieces:
        if piece.name in RAIL and piece.flat is not None:
            found = [(x, y, 2 * r) for (x, y), r in filter(None, (hole.as_circle() for hole in piece.flat.holes))]
            if not found:
                return []
            mx, my = sum(f[0] for f in found) / len(found), sum(f[1] for f in found) / len(found)
            first = min(found, key=lambda f: f[0] - f[1])
            start = math.atan2(first[1] - my, first[0] - mx)
            return sorted(found, key=lambda f: round((start - math.atan2(f[1] - my, f[0] - mx)) % (2 * math.pi), 9) % round(2 * math.pi, 9))
    return []


def bolts_table(part: Part) -> Table | None:
    """The bolt holes by their numbers; None where the part has none."""
    rows = tuple((str(i), f"{x:.2f}", f"{y:.2f}", f"{d:.2f}") for i, (x, y, d) in enumerate(bolt_holes(part), start=1))
    if not rows:
        return None
    return Table("Bolt holes, from the rear end of the rail (x forward) and the crank axis (y to the left)",
                 (("No", 0.16), ("x, mm", 0.28), ("y, mm", 0.28), ("ø, mm", 0.28)), rows)


def fittings_table(part: Part) -> Table | None:
    """The middle of each turned piece; None where the part has none."""
    rows = []
    for piece in part.pieces:
        if piece.kind == "turned" and not piece.loose:
            for solid in piece.solids:
                c = solid.BoundingBox().center
                rows.append((piece.name, f"{c.x:.1f}", f"{c.y:.1f}", f"{c.z:.1f}", piece.note))
    if not rows:
        return None
    where = "the middle of the straight shell's lower end" if part.own_frame else "the crank axis at the rear end of the rail"
    return Table(f"Middles of fittings, mm from {where}", (("Fitting", 0.25), ("x", 0.1), ("y", 0.1), ("z", 0.1), ("What", 0.45)), tuple(rows))


def draw_tables(document: Pages, tables: Sequence[Table], finish) -> list[Page]:
    """The tables on as many A4 pages as they take; `finish` draws frame and title block on each, told its number."""
    pages: list[Page] = []
    y = 0.0
    for table in tables:
        rows = list(table.rows)
        while rows:
            if not pages or y - 4 * ROW_MM < _lowest(pages[-1]):
                pages.append(document.page(paper("A4").portrait()))
                finish(pages[-1], len(pages))
                y = space(pages[-1].paper)[3] - 4.0
            count = max(1, min(len(rows), int((y - _lowest(pages[-1]) - 3 * ROW_MM) / ROW_MM)))
            y = _draw(pages[-1], table, rows[:count], y)
            rows = rows[count:]
    return pages


def _lowest(page: Page) -> float:
    return space(page.paper)[1] + BLOCK_MM[1] + 4.0


def _draw(page: Page, table: Table, rows: Sequence[tuple[str, ...]], y: float) -> float:
    """Some rows of a table from `y` mm downwards; where it ends."""
    x0, _, x1, _ = space(page.paper)
    left, wide = x0 + 3.0, x1 - x0 - 6.0
    y -= HEAD_MM
    page.text((left, y), table.heading, height=WORDS_MM * 1.1, bold=True)
    y -= 2.0
    for number, cells in enumerate([tuple(name for name, _ in table.columns), *rows]):
        y -= ROW_MM
        x = left
        for words, (_, share) in zip(cells, table.columns, strict=True):
            page.text((x + 0.8, y + 1.4), _fitting(words, wide * share - 1.6), height=WORDS_MM, bold=number == 0)
            x += wide * share
        page.line([(left, y), (left + wide, y)], width=WIDE if number == 0 else NARROW / 2)
    return y - 2 * ROW_MM


def _fitting(words: str, room: float) -> str:
    while words and text_width(words, WORDS_MM) > room:
        words = words[:-2].rstrip() + "…" if len(words) > 2 else ""
    return words
