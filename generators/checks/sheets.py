"""Whether a shop can cut, bend and lay out each sheet piece: measured on the flat patterns."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from generators.checks.flats import (
    NEVER,
    Shape,
    between_bends,
    hole_to_tangent,
    least_hole,
    legs,
    narrowest,
    shape,
)
from generators.findings import CAUTION, PASS, Check, judged, not_assessed
from generators.nest import Nest
from generators.outlines import flattened
from generators.pieces import Part, Piece
from generators.standards import (
    HARD_FEATURE_SHARE,
    Limit,
    Unknown,
    least_bend_radius,
    least_bend_radius_source,
    least_bolt_land,
    least_channel,
    least_flange,
    least_hole_to_tangent,
    least_offset,
    least_web,
    sheet_sizes,
)
from generators.standards import least_hole as least_hole_limit

RIGHT_ANGLE = math.pi / 2

SAFE_HOLE_SHARE = 2 / 1.5
"""3 t + r from the mould line to be safe, against the least 2.5 t + r: 2 t against 1.5 t from the tangent."""

ROUNDING = 1e-6
"""A ratio that misses 1 by less does so by rounding."""

SEARCHED = 3.0
"""Narrow metal is looked for up to this many thicknesses."""

STOCK_MARGIN_MM = 10.0
"""Sheet left uncut along each edge: clamps and skewed edges (common practice)."""

TURNS = 720
"""Turns, over half a circle, in which a flat is tried on the stock, besides those along its own sides."""


@dataclass(frozen=True)
class Ratio:
    """A measured length over the least that the `rule` allows, and over what it prefers."""

    least: float
    preferred: float
    rule: str
    piece: str


def leg_as_flange(leg: float, *, bend, thickness: float) -> float:
    """Outside height (mm) of the flange that a leg would make in a 90 degree bend; `leg` is its width from the bend
    line.

    It is the leg on the flat that lies over the die, whatever the angle that it is then bent to."""
    right = bend.allowance * RIGHT_ANGLE / abs(bend.angle)
    return leg - right / 2 + bend.radius + thickness


def bend_radii(piece: Piece, form: Shape) -> Iterator[Ratio]:
    """Each inside radius over the material's least. Raises Unknown for a material without a table."""
    least = least_bend_radius(piece.material, thickness=piece.thickness) if form.bends else 0
    source = least_bend_radius_source(piece.material, thickness=piece.thickness) if form.bends else ""
    for bend in form.bends if least else ():
        ratio = bend.radius / least
        yield Ratio(ratio, ratio, f"bend radius {bend.radius:.2f} of {least:.2f} mm ({source})", piece.name)


def flanges(piece: Piece, form: Shape) -> Iterator[Ratio]:
    """The narrower leg of each bend, as the flange that it makes, over the least flange."""
    for bend in form.bends:
        limit = least_flange(piece.thickness, bend_radius=bend.radius)
        height = leg_as_flange(min(legs(form, bend, end=limit.value)), bend=bend, thickness=piece.thickness)
        yield Ratio(
            height / limit.value,
            height / limit.value,
            f"flange {height:.2f} of {limit.value:.2f} mm ({limit.source})",
            piece.name,
        )


def bases(piece: Piece, form: Shape) -> Iterator[Ratio]:
    """The base between neighbouring parallel bends, as if both were right angles, over the least channel or offset."""
    for i, one in enumerate(form.bends):
        for other in form.bends[:i]:
            flat = between_bends(one, other)
            if flat is None:
                continue
            same = one.angle * other.angle > 0
            limit = least_channel(piece.thickness) if same else least_offset(piece.thickness)
            base = flat + one.radius + other.radius + (2 if same else 1) * piece.thickness
            yield Ratio(
                base / limit.value,
                base / limit.value,
                f"{'base' if same else 'step'} between bends {base:.2f} of {limit.value:.2f} mm ({limit.source})",
                piece.name,
            )


def holes_to_bends(piece: Piece, form: Shape) -> Iterator[Ratio]:
    """Each bend's nearest hole over the least distance from the tangent."""
    limit = least_hole_to_tangent(piece.thickness)
    for bend in form.bends:
        found = hole_to_tangent(form, bend)
        ratio = found / limit.value
        yield Ratio(
            ratio,
            ratio / SAFE_HOLE_SHARE,
            f"hole to bend {found:.2f} of {limit.value:.2f} mm ({limit.source})",
            piece.name,
        )


def webs(piece: Piece, form: Shape) -> Iterator[Ratio]:
    """The narrowest metal, over what a cutter can leave at all and over what it prefers. In thick plate a bolt's
    land is metal enough."""
    t, land = piece.thickness, least_bolt_land()
    limit, found = least_web(t), narrowest(form, most=SEARCHED * t)
    if HARD_FEATURE_SHARE.value * t > land.value:
        yield Ratio(
            found / land.value,
            found / land.value,
            f"narrowest metal {found:.2f} of {land.value:.2f} mm (in thick plate a {land.source})",
            piece.name,
        )
    else:
        yield _cut("narrowest metal", found, limit, piece)


def holes(piece: Piece, form: Shape) -> Iterator[Ratio]:
    """The least hole, over what a cutter can do at all and over what it prefers."""
    yield _cut("least hole", least_hole(form), least_hole_limit(piece.thickness), piece)


def _cut(what: str, found: float, limit: Limit, piece: Piece) -> Ratio:
    hard = limit.value * HARD_FEATURE_SHARE.value
    rule = (
        f"{what} {found:.2f} of {hard:.2f} mm ({HARD_FEATURE_SHARE.source}; preferred {limit.value:.2f}: "
        f"{limit.source})"
    )
    return Ratio(found / hard, found / limit.value, rule, piece.name)


RULES = (bend_radii, flanges, bases, holes_to_bends, webs, holes)


def sheet_pieces(part: Part) -> list[Piece]:
    """Pieces cut from sheet."""
    return [p for p in part.pieces if p.kind in ("folded", "rolled", "plate")]


def ratios_of(part: Part) -> tuple[list[Ratio], list[str]]:
    """Every ratio of every sheet piece, and what could not be judged."""
    found, unjudged = [], []
    for piece in sheet_pieces(part):
        form = shape(piece.flat)
        for rule in RULES:
            try:
                found.extend(r for r in rule(piece, form) if r.least < NEVER)
            except Unknown as unknown:
                unjudged.append(f"{piece.name}: {unknown}")
    return found, unjudged


def sheet_limits(part: Part) -> Check:
    """Worst ratio of a bend radius, flange, base, hole distance, web or hole to the least that a shop can make."""
    words = {
        "id": f"{part.name}.sheet_limits",
        "title": "Worst bend, flange, hole or web against its least",
        "unit": "1",
        "sense": ">=",
    }
    found, unjudged = ratios_of(part)
    if not found:
        return not_assessed(**words, reason="; ".join(unjudged) or "no sheet pieces", source="trade limits")
    worst = min(found, key=lambda r: r.least)
    wary = min(found, key=lambda r: r.preferred)
    value = 1.0 if abs(worst.least - 1) < ROUNDING else worst.least
    check = judged(
        **words,
        value=float(value),
        limit=1.0,
        source=f"{worst.rule}",
        method=f"on the flats of {len(sheet_pieces(part))} sheet pieces: {len(found)} ratios of bend radius, "
        f"flange, base "
        f"between bends, hole to bend, narrowest metal and least hole; worst: {worst.piece}, {worst.rule}"
        + (f"; below what is preferred: {wary.piece}, {wary.rule}" if wary.preferred < 1 - ROUNDING else "")
        + (f"; not judged: {'; '.join(unjudged)}" if unjudged else ""),
    )
    is_wary = check.status == PASS and (wary.preferred < 1 - ROUNDING or unjudged)
    return replace(check, status=CAUTION) if is_wary else check


def stock_ratio(points: np.ndarray, *, width: float, length: float) -> float:
    """Largest, over all turns, of the least ratio of the stock's usable side to the extent (n, 2) mm of a flat along
    it."""
    sides = np.diff(np.vstack([points, points[:1]]), axis=0)
    angles = np.concatenate([np.pi * np.arange(TURNS) / TURNS, np.arctan2(sides[:, 1], sides[:, 0])])
    along = points @ np.stack([np.cos(angles), np.sin(angles)])
    across = points @ np.stack([-np.sin(angles), np.cos(angles)])
    ratios = [
        np.minimum(long / np.ptp(along, axis=0), wide / np.ptp(across, axis=0))
        for long, wide in ((length, width), (width, length))
    ]
    return float(np.max(ratios))


def hull(points: np.ndarray) -> np.ndarray:
    """Corners of the convex hull, (k, 2)."""
    from shapely import MultiPoint

    return np.array(MultiPoint(points).convex_hull.exterior.coords)[:-1]


def stock(part: Part, *, width: float, length: float) -> Check:
    """Worst ratio of the stock's usable sides (mm) to a flat."""
    words = {"id": f"{part.name}.stock", "title": "Each flat fits the stock sheet", "unit": "1", "sense": ">="}
    pieces = sheet_pieces(part)
    if not pieces:
        return not_assessed(**words, reason="no sheet pieces", source="the sheet as bought")
    hulls = {p.name: hull(flattened(p.flat.outer)) for p in pieces}
    value, worst = min((sheet_ratio(points, width=width, length=length), name) for name, points in hulls.items())
    return judged(
        **words,
        value=value,
        limit=1.0,
        source=f"stock sheet {width:g} x {length:g} mm less {STOCK_MARGIN_MM:g} mm along each edge (common practice)",
        method=(
            f"outline of each of {len(pieces)} flats on the sheet in {TURNS} turns and along its own sides; "
            f"largest: {worst}{_larger(hulls[worst]) if value < 1 else ''}"
        ),
    )


def layouts(nests: tuple[Nest, ...]) -> list[Check]:
    """How many of the sheet pieces fit on no stock sheet as the grain lets them be turned; nothing where nothing was laid out."""
    if not nests:
        return []
    left, freed = [name for n in nests for name in n.unplaced], [name for n in nests for name in n.freed]
    sheets = sum(len(n.sheets) for n in nests)
    check = judged(id="sheets.laid_out", title="Pieces that fit on no stock sheet as they may lie on it", value=float(len(left)), limit=0.0, unit="1",
                   sense="<=", source="each piece on its stock, longest bend across the grain (common practice)",
                   method=f"true outlines laid out on {sheets} sheets of {len(nests)} stocks, then held against edges, spacing and turns by a polygon library"
                          + (f"; none holds {', '.join(left)}: a larger sheet would" if left else "")
                          + (f"; {', '.join(freed)} would fit turned: sheet.grain = \"none\", with a radius that bends along the grain too" if freed else ""))
    return [replace(check, status=CAUTION) if left else check]


def sheet_ratio(points: np.ndarray, *, width: float, length: float) -> float:
    """`stock_ratio` of a flat's hull (n, 2) on a sheet of width x length mm as bought, its margins left uncut."""
    return stock_ratio(points, width=width - 2 * STOCK_MARGIN_MM, length=length - 2 * STOCK_MARGIN_MM)


def _larger(points: np.ndarray) -> str:
    """The usual sheets that a flat (hull (n, 2) mm) does fit."""
    fitting = [f"{w:g} x {h:g}" for w, h in sheet_sizes() if sheet_ratio(points, width=w, length=h) >= 1]
    return f"; it fits a usual sheet of {' or '.join(fitting)} mm" if fitting else "; it fits no usual sheet: join it of two"
