"""All sheet pieces of a design laid out on the sheets that they are cut from: how many it takes, and how well they are used. For estimate:
a shop lays out its own sheets."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from shapely.geometry import Polygon

from generators.nest.laying import Shape, lay_out
from generators.outlines import Loop, flattened, moved
from generators.parameters import Sheet
from generators.pieces import Part, Piece

CUT_KINDS = ("folded", "rolled", "plate")

MARGIN_MM = 10.0
"""Sheet left uncut along each edge: clamps and skewed edges (common practice)."""

CHORD_MM = 0.5
"""How near the polygons that are laid out are to the outlines; they are drawn outside of them."""

SAME_MM = 1e-6
"""Thicknesses nearer than this are the same."""

QUARTERS = (0.0, 90.0, 180.0, 270.0)


@dataclass(frozen=True)
class Laid:
    """One copy of a piece on a sheet: turned by `turn` rad, then shifted by `x`, `y` mm from its flat."""

    part: str
    piece: Piece
    copy: int
    turn: float
    x: float
    y: float

    def loops(self) -> tuple[Loop, ...]:
        """Its outline and its holes on the sheet, mm."""
        return tuple(moved(loop, x=self.x, y=self.y, angle=self.turn) for loop in (self.piece.flat.outer, *self.piece.flat.holes))

    @property
    def ground(self) -> Polygon:
        """What it covers of the sheet, its holes too."""
        return Polygon(flattened(self.loops()[0]))


@dataclass(frozen=True)
class Nest:
    """Pieces of one material and `thickness` (mm) on sheets of `width` x `length` mm, each a list of what is laid on it; `unplaced` fit on none, of
    which `freed` would if the grain let them be turned.
    The rolling direction runs along the length where `grain` is set."""

    material: str
    thickness: float
    density: float
    width: float
    length: float
    grain: bool
    sheets: tuple[tuple[Laid, ...], ...]
    unplaced: tuple[str, ...]
    freed: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """What its files are called."""
        return f"{self.material.lower().replace('-', '_').replace(' ', '_')}_{self.thickness:.2f}mm".replace(".", "p", 1)

    def metal(self, sheet: int) -> float:
        """Area of the pieces on one sheet, mm2."""
        return sum(laid.piece.flat.area for laid in self.sheets[sheet])

    def used(self, sheet: int) -> tuple[float, float]:
        """How far along and across one sheet its pieces reach, with the margin, mm."""
        return tuple(max(laid.ground.bounds[i] for laid in self.sheets[sheet]) + MARGIN_MM for i in (2, 3))

    def used_length(self, sheet: int) -> float:
        """How far along one sheet its pieces reach, with the margin, mm."""
        return self.used(sheet)[0]

    @property
    def part_of_sheets(self) -> float:
        """Area of all pieces over that of all sheets."""
        return sum(self.metal(i) for i in range(len(self.sheets))) / (len(self.sheets) * self.width * self.length) if self.sheets else 0.0

    @property
    def part_of_used(self) -> float:
        """Area of all pieces over that of the sheets up to where the pieces end: what is left of the last can be kept."""
        used = sum(self.used_length(i) for i in range(len(self.sheets))) * self.width
        return sum(self.metal(i) for i in range(len(self.sheets))) / used if used else 0.0

    @property
    def cut_length(self) -> float:
        """Length of all cuts, mm."""
        return sum(laid.piece.flat.cut_length for sheet in self.sheets for laid in sheet)

    @property
    def pierces(self) -> int:
        """How often the cutter starts: once a loop."""
        return sum(1 + len(laid.piece.flat.holes) for sheet in self.sheets for laid in sheet)

    @property
    def mass(self) -> float:
        """Mass of the whole sheets, kg."""
        return len(self.sheets) * self.width * self.length * self.thickness * 1e-9 * self.density


def nests(parts: Sequence[Part], sheet: Sheet) -> tuple[Nest, ...]:
    """The sheet pieces of the parts by material and thickness, in the order in which they come up, on stock as `sheet` names it."""
    groups: dict[tuple[str, float], list[tuple[str, Piece]]] = {}
    for part in parts:
        for piece in part.pieces:
            if piece.kind in CUT_KINDS:
                key = next((k for k in groups if k[0] == piece.material and abs(k[1] - piece.thickness) < SAME_MM), (piece.material, piece.thickness))
                groups.setdefault(key, []).append((part.name, piece))
    return tuple(_nest(pieces, sheet) for pieces in groups.values())


def _nest(pieces: list[tuple[str, Piece]], sheet: Sheet) -> Nest:
    first, grain = pieces[0][1], sheet.grain == "length"
    shapes = [Shape(i, _around(piece), piece.quantity, turns(piece, grain=grain)) for i, (_, piece) in enumerate(pieces)]
    spacing = sheet.spacing if sheet.spacing is not None else usual_spacing(first.thickness)
    found, left = lay_out(shapes, width=sheet.stock.width - 2 * MARGIN_MM, length=sheet.stock.length - 2 * MARGIN_MM, spacing=spacing,
                          seconds=sheet.nest_time)
    sheets = tuple(tuple(_laid(pieces, place) for place in places) for places in found)
    names = {i: f"{pieces[i][0]}/{pieces[i][1].name}" for i in left}
    freed = tuple(name for i, name in names.items() if grain and _fits(pieces[i][1], sheet))
    return Nest(first.material, first.thickness, first.density, sheet.stock.width, sheet.stock.length, grain, sheets, tuple(names.values()), freed)


def _fits(piece: Piece, sheet: Sheet) -> bool:
    """Whether one copy fits the stock in quarter turns, as if it had no grain."""
    extents, room = np.ptp(_around(piece), axis=0), np.array([sheet.stock.length, sheet.stock.width]) - 2 * MARGIN_MM
    return bool((np.sort(extents) <= np.sort(room) + SAME_MM).all())


def _laid(pieces, place) -> Laid:
    part, piece = pieces[place.shape]
    return Laid(part, piece, place.copy, math.radians(place.turn), place.x + MARGIN_MM, place.y + MARGIN_MM)


LEAST_SPACING_MM = 5.0


def usual_spacing(thickness: float) -> float:
    """Room between pieces, mm: the thickness, and no less than 5 mm (common practice)."""
    return max(LEAST_SPACING_MM, thickness)


def turns(piece: Piece, *, grain: bool) -> tuple[float, ...]:
    """By how many degrees (deg) a piece may be turned on its sheet: where the grain counts, so that its longest bend lies across it."""
    bends = piece.flat.bends
    if not (grain and bends):
        return QUARTERS
    longest = max(bends, key=lambda b: b.length)
    direction = math.degrees(math.atan2(longest.end[1] - longest.start[1], longest.end[0] - longest.start[0]))
    square = round((90.0 - direction) % 180.0, 9)
    return square, square + 180.0


def _around(piece: Piece) -> np.ndarray:
    """Corners (n, 2) of a polygon round the outline, nowhere inside it and CHORD_MM outside at most, mm."""
    grown = Polygon(flattened(piece.flat.outer, CHORD_MM / 4)).buffer(CHORD_MM / 2, join_style="mitre").simplify(CHORD_MM / 4)
    return np.array(grown.exterior.coords)[:-1]
