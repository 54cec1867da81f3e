"""What a shop can cut, bend and weld: least sizes by thickness, with where each comes from.

Lengths in mm. `thickness` is the sheet's, `bend_radius` the inside radius. Functions that give a Limit are for checks.
"""

import math

from generators.standards.tables import Limit, Span, require_positive

DIN_K_AT_ONE, DIN_K_SLOPE, DIN_K_MOST = 0.65, 0.5, 1.0
"""DIN 6935: k = 0.65 + 0.5 lg(r/s), at most 1 (constants from memory; r/s = 1 and 5 agree with secondary copies)."""

LEAST_DIN_RATIO = 10 ** (-DIN_K_AT_ONE / DIN_K_SLOPE)
"""Radius over thickness (0.05) below which that fit goes negative; no sheet bends so sharply."""

DIE_RATIOS = ((2.5, 6), (8, 8), (10, 10), (math.inf, 12))
"""(thickness up to, V opening in thicknesses): air-bending force chart for mild steel, read in a secondary copy."""

FLANGE_DIE_SHARE = 0.7
FLANGE_THICKNESSES = 3
HOLE_THICKNESSES, SLOT_THICKNESSES = 2.5, 4
RELIEF_LEAST = 1.5
FORMED_EDGE_THICKNESSES = 2
HINGE_WIDE = 60
ALIKE = 1e-6
"""mm. Sizes nearer than this are the same, though one was told in inches."""

PIN_NARROW, PIN_WIDE = 3.0, 5.0
BOLT_LAND = 3.0

HARD_FEATURE_SHARE = Limit(0.7, "a cutter's absolute least hole or web over the thickness: 0.7 t, a laser shop's guide")

SLOT_LENGTH_CLEARANCE = Span(0.2, 0.25, 0.3, "slot longer than its tab, mm: common practice")
SLOT_WIDTH_CLEARANCE = Span(0.1, 0.15, 0.2, "slot wider than the sheet in it, mm: common practice")

BOSS_HOLE_CLEARANCE = Span(0.1, 0.2, 0.25, "hole over a weld-in boss's spigot, on diameter, mm: common practice")

KNUCKLE_CLEARANCE = Span(0.10, 0.15, 0.20, "hinge knuckle bore over its pin, on diameter, mm: common practice")
HINGE_FLOAT = Span(0.3, 0.5, 0.8, "axial float of a hinge, in all, mm: common practice")
FLAP_SIDE_GAP = Span(0.5, 0.75, 1.0, "flap edge to frame, mm: common practice")
SEAT_OVERLAP = Span(2.0, 2.5, 3.0, "flap over its opening all round, mm: common practice")
CLOSED_LEAN = Span(math.radians(2), math.radians(3), math.radians(5),
                   "lean of a closed flap past the vertical, rad, so that gravity shuts it: common practice")
SILL_GAP = Span(0.0, 0.4, 0.5, "drain gap under a flap, mm: common practice")
GATE_AREA_RATIO = Limit(1.5, "opening of the gates over the way that they feed: common practice")


def din_k(radius_over_thickness: float) -> float:
    """DIN 6935 correction factor k, 0 to 1, of half the thickness; not the K-factor, see din_k_factor.
    Raises ValueError below LEAST_DIN_RATIO."""
    require_positive("radius over thickness", radius_over_thickness)
    if radius_over_thickness < LEAST_DIN_RATIO:
        raise ValueError(f"DIN 6935 gives no k for a radius of {radius_over_thickness:g} thicknesses")
    return min(DIN_K_AT_ONE + DIN_K_SLOPE * math.log10(radius_over_thickness), DIN_K_MOST)


def din_k_factor(radius_over_thickness: float) -> float:
    """K-factor by DIN 6935: the neutral line's place over the whole thickness, K = k / 2."""
    return din_k(radius_over_thickness) / 2


def v_die(thickness: float) -> float:
    """V opening, mm, that an air bend in this thickness is made over."""
    require_positive("thickness", thickness)
    return next(ratio for most, ratio in DIE_RATIOS if thickness <= most) * thickness


USUAL_DIES_MM = (4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0, 32.0, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0)
"""Openings of the dies that a shop has (common practice)."""


def usual_die(thickness: float) -> float:
    """Opening, mm, of the usual die that is nearest, in proportion, to `v_die`."""
    wanted = v_die(thickness)
    return min(USUAL_DIES_MM, key=lambda v: abs(math.log(v / wanted)))


BEND_FORCE_FACTOR = 1.42
"""Of the air bend: 1.33 classic, 1.42 for a die of 8 t, 1.6 with friction and margin (press-brake guides, read in secondary copies)."""


def bend_force(*, strength: float, length: float, thickness: float, die: float, factor: float = BEND_FORCE_FACTOR) -> float:
    """Force, N, of an air bend `length` mm long in sheet of tensile `strength` Pa over a die of opening `die` mm: C Rm L t^2 / V."""
    for what, value in (("strength", strength), ("length", length), ("thickness", thickness), ("die", die)):
        require_positive(what, value)
    return factor * strength * 1e-6 * length * thickness**2 / die


def flange_over_die(v: float) -> float:
    """Least outside flange, mm, that still lies on both shoulders of the opening `v`."""
    require_positive("V opening", v)
    return FLANGE_DIE_SHARE * v


def least_flange(thickness: float, *, bend_radius: float) -> Limit:
    """Least outside height of a bent flange, mm: it must reach over its die and keep some straight beyond the bend."""
    over_die = flange_over_die(v_die(thickness))
    straight = FLANGE_THICKNESSES * thickness + bend_radius
    if over_die > straight:
        return Limit(over_die, "0.7 V with V by thickness: air-bending force chart, read in a secondary copy")
    return Limit(straight, "3 t + r: sheet-metal design guides")


def least_hole_to_bend(thickness: float, *, bend_radius: float) -> Limit:
    """Least distance, mm, on the formed part from the outer mould line of a 90 degree bend to the edge of a hole."""
    require_positive("thickness", thickness)
    return Limit(HOLE_THICKNESSES * thickness + bend_radius,
                 "2.5 t + r from the mould line (3 t + r to be safe): sheet-metal design guides")


def least_hole_to_tangent(thickness: float) -> Limit:
    """Least distance, mm, from the line where a bend begins to the edge of a hole: least_hole_to_bend less the setback
    r + t of a 90 degree bend. The same for every bend angle, so that a shallow bend is not held to
    its far mould line."""
    require_positive("thickness", thickness)
    return Limit((HOLE_THICKNESSES - 1) * thickness,
                 "1.5 t from the bend tangent: 2.5 t + r less the 90 degree setback")


def least_slot_to_bend(thickness: float, *, bend_radius: float) -> Limit:
    """As least_hole_to_bend, for a slot that runs along the bend."""
    require_positive("thickness", thickness)
    return Limit(SLOT_THICKNESSES * thickness + bend_radius, "4 t + r from the mould line: from memory, unverified")


def least_hole(thickness: float) -> Limit:
    """Least diameter of a cut hole, mm."""
    require_positive("thickness", thickness)
    return Limit(thickness, "hole of at least 1 t: laser-cutting design guides")


def least_web(thickness: float) -> Limit:
    """Least metal between two cuts, mm."""
    require_positive("thickness", thickness)
    return Limit(thickness, "web of at least 1 t: laser-cutting design guides")


def least_hole_to_edge(thickness: float, *, formed: bool = False) -> Limit:
    """Least metal between a hole and the outline, mm; `formed` for a hole near an edge that is bent up."""
    require_positive("thickness", thickness)
    return Limit((FORMED_EDGE_THICKNESSES if formed else 1) * thickness,
                 "hole to edge 1 t, 2 t in formed parts: laser-cutting design guides")


def relief_width(thickness: float) -> Limit:
    """Least width of a bend relief, mm."""
    require_positive("thickness", thickness)
    return Limit(max(thickness, RELIEF_LEAST),
                 "relief at least t wide (shop guide) and 1.5 mm, so that a cut can turn in it")


def least_channel(thickness: float) -> Limit:
    """Least outside base, mm, between two bends that turn the same way."""
    return Limit(v_die(thickness) + 2 * thickness, "base between two bends V + 2 t: common practice")


def least_offset(thickness: float) -> Limit:
    """Least step, mm, between two bends that turn opposite ways."""
    return Limit(v_die(thickness) / 2 + thickness, "offset V/2 + t: common practice")


def hinge_pin_diameter(flap_width: float) -> Limit:
    """Hinge pin for a flap of that width, mm: stainless or hard drawn steel, as aluminium galls in aluminium."""
    require_positive("flap width", flap_width)
    return Limit(PIN_NARROW if flap_width <= HINGE_WIDE + ALIKE else PIN_WIDE,
                 "3 to 4 mm for flaps to 60 mm wide, 5 mm beyond: common practice")


def least_bolt_land() -> Limit:
    """Least sealing face, mm, on each side of a bolt hole."""
    return Limit(BOLT_LAND, "sealing land of 3 mm each side of a hole: common practice")
