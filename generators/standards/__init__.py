"""Standards and trade practice as frozen records: materials, stock, threads and holes, what a shop can make.

Each number carries where it comes from: in the heading of its table in data/, or in the record's `source`.
"Secondary copy" means read in a document that quotes the standard; nothing here was read in a bought standard.
"""

from generators.standards.limits import (
    BOSS_HOLE_CLEARANCE, BOSS_SPIGOT, BOX_DEPTH, CLOSED_LEAN, CORNER_GAP, FLAP_SIDE_GAP, GATE_AREA_RATIO,
    HARD_FEATURE_SHARE, HINGE_FLOAT, KNUCKLE_CLEARANCE, LEAST_PART, OPEN_ANGLE, SEAT_OVERLAP, SILL_GAP,
    SLOT_LENGTH_CLEARANCE, SLOT_WIDTH_CLEARANCE, TAB_PITCH, TAB_PROJECTION_EXTRA,
    air_bend_radius, corner_hole, din_k, din_k_factor, flange_over_die, greatest_bolt_pitch, greatest_tab_length,
    hinge_pin_diameter, least_bolt_land, least_channel, least_flange, least_hole, least_hole_to_bend,
    least_hole_to_edge, least_hole_to_tangent, least_offset, least_perforation_pitch, least_slot_to_bend,
    least_tab_width, least_web, relief_depth, relief_width, v_die,
)
from generators.standards.materials import (
    Material, least_bend_radius, least_bend_radius_source, material, material_names,
)
from generators.standards.stock import families, gauge_thickness, sheet_sizes, stock_thicknesses
from generators.standards.tables import Limit, Span, Unknown
from generators.standards.threads import (
    FITS, Bolt, Flare, PipeThread, Plug, basic_minor, bolt, bolt_sizes, boss_diameter, bspp, bspp_names,
    clearance_hole, drain_plug, drain_plug_names, flare, flare_dashes, flare_for_bore,
)

__all__ = [
    "BOSS_HOLE_CLEARANCE", "BOSS_SPIGOT", "BOX_DEPTH", "CLOSED_LEAN", "CORNER_GAP", "FLAP_SIDE_GAP", "FITS",
    "GATE_AREA_RATIO", "HARD_FEATURE_SHARE", "HINGE_FLOAT", "KNUCKLE_CLEARANCE", "LEAST_PART", "OPEN_ANGLE",
    "SEAT_OVERLAP", "SILL_GAP", "SLOT_LENGTH_CLEARANCE", "SLOT_WIDTH_CLEARANCE", "TAB_PITCH", "TAB_PROJECTION_EXTRA",
    "Bolt", "Flare", "Limit", "Material", "PipeThread", "Plug", "Span", "Unknown",
    "air_bend_radius", "basic_minor", "bolt", "bolt_sizes", "boss_diameter", "bspp", "bspp_names", "clearance_hole",
    "corner_hole", "din_k", "din_k_factor", "drain_plug", "drain_plug_names", "families", "flange_over_die", "flare",
    "flare_dashes", "flare_for_bore", "gauge_thickness", "greatest_bolt_pitch", "greatest_tab_length",
    "hinge_pin_diameter", "least_bend_radius", "least_bend_radius_source", "least_bolt_land", "least_channel",
    "least_flange", "least_hole", "least_hole_to_bend", "least_hole_to_edge", "least_hole_to_tangent", "least_offset",
    "least_perforation_pitch", "least_slot_to_bend", "least_tab_width", "least_web", "material", "material_names",
    "relief_depth", "relief_width", "sheet_sizes", "stock_thicknesses", "v_die",
]
