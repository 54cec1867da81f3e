"""Pure arithmetic: parameters and swept region -> the sizes of the windage screen, each with its reason."""

import math
from dataclasses import dataclass, replace

import numpy as np

from generators import standards
from generators.crank import SweptRegion
from generators.findings import Sized
from generators.parts.windage_screen.perforation import Row, drains, lip_drains, open_share, perforation
from generators.parts.windage_screen.section import (
    SPARE_MM,
    WALL_GAP_MM,
    Metal,
    Room,
    Section,
    channel,
    facet_flats,
    section,
)
from generators.rail import Opening, pan_opening, pan_top, rail_pan
from generators.sheet.channel import Channel
from generators.sump import Inside, inside_of

SCREW = "M5"

WASHER_MM = 1.0
"""Thickness of the M5 washer (ISO 7089, from memory)."""

WASHER_BORE_MM = 5.3
"""Bore of the M5 washer (ISO 7089, from memory)."""

SCREW_LENGTHS_MM = (8.0, 10.0, 12.0, 16.0, 20.0, 25.0, 30.0)
"""Socket head cap screws on the shelf (ISO 4762, from memory)."""

THREAD_SHARE, BOSS_SHARE = 1.2, 1.6
"""Thread taken hold of, and height of the boss at least, over the screw's diameter: light metal (common practice)."""

TIP_MM = 0.5
"""From the screw's tip to the end of its boss at least."""

BELOW_FLANGE_MM = 1.0
"""The lips lie this far under the flange, clear of the welds there."""

HEAD_GAP_MM = 2.0
"""From a screw's head up to the gasket face at least: a scraper may lie there."""

END_GAP_MM = 3.0
"""The tray's ends to the end walls of the pan's body."""

BEYOND_SWING_MM = 10.0
"""How far the tray reaches beyond the first and the last thing that swings: oil leaves a web or a cheek sideways too."""

WALL_FIT_MM = 0.05
"""A tab is drawn this far off the wall that it is welded to."""

WELD_MM = 1.0
"""Flat metal left round a boss for its weld."""

TAB_WIDTH_MM, TAB_LEG_MM, TAB_PITCH_MM, LEAST_TABS = 20.0, 12.0, 120.0, 3
"""Tabs: width, height of the leg on the wall (less in a shallow tray, but no less than can be bent), how far apart at most,
least on a side."""

FLOOR_GAP_MM = 3.0
"""The body's floor to whatever of the screen is lowest: oil must run off under it."""

EDGE_THICKNESSES = 2.0
"""A cut stays this many thicknesses off the tray's ends (formed parts)."""


TAB_HOLE_THICKNESSES = 1.5
"""From the tab's bend, where it begins, to the screw's hole: 2.5 t + r from the mould line (press brake guides)."""


USUAL_SHARE, LEAST_SHARE, SHARE_STEP = 0.25, 0.05, 0.01
"""Open share of a tray where the file does not say (common practice), and the steps in which less is tried where webs and
bends leave no room for so much."""


@dataclass(frozen=True)
class WindageScreenDimensions:
    """All sizes in mm; z from the crank axis, s across it from the rising side (negative) to the falling side, x along it.
    `bolts` are the screws' x. `open_area` is the share of the facets that is cut out, `aimed` what was to be. `past_pipe`: the pickup hangs from the
    engine's own pump, and its pipe has to pass the tray."""

    material: str
    density: float
    metal: Metal
    tab_thickness: float
    tab_radius: float
    k_factor: float
    opening: Opening
    side: int
    x0: float
    x1: float
    section: Section
    room: Room
    drain: Row
    lip_drains: tuple[Row, ...]
    rows: tuple[Row, ...]
    open_area: float
    aimed: float
    bolts: tuple[float, ...]
    tab_leg: float
    boss_diameter: float
    boss_height: float
    screw_length: float
    sized: tuple[Sized, ...]
    past_pipe: bool = False

    @property
    def length(self) -> float:
        """Of the tray along the crank, mm."""
        return self.x1 - self.x0

    @property
    def channel(self) -> Channel:
        """The tray's section and length."""
        return channel(self.section.corners, self.metal, self.length)

    @property
    def lip(self) -> float:
        """Height of the lips' tops, mm."""
        return self.section.corners[0][1]

    @property
    def seat(self) -> float:
        """Height of the tabs' tops under the lips, mm."""
        return self.lip - self.metal.thickness

    @property
    def lowest(self) -> float:
        """Height of the lowest metal, mm: tray, tabs or bosses."""
        tray = min(z for _, z in self.section.corners) - self.metal.thickness
        return min(tray, self.foot, self.seat - self.tab_thickness - self.boss_height)

    @property
    def foot(self) -> float:
        """Height of the ends of the tabs' legs on the walls, mm."""
        return self.seat - self.tab_leg


def dimension(parameters, region: SweptRegion) -> WindageScreenDimensions:
    """Size the screen. Raises ValueError, naming key, numbers and remedy, where no such tray can be made."""
    want, sheet = parameters.windage_screen, parameters.sheet
    open_ = pan_opening(parameters, region)
    side = 1 if region.rising_side == "right" else -1
    radius, radius_why = _bend_radius(sheet, want.thickness)
    metal = Metal(want.thickness, radius, want.clearance, want.hole, sheet.k_factor)
    room = _room(parameters, open_, side)
    made = section(region, side=side, room=room, metal=metal)
    x0, x1 = _stretch(region, open_)
    flats = _flats(made, metal)
    end = EDGE_THICKNESSES * want.thickness
    aimed, drain, rows = _cut(flats, metal, want, drain=made.drain, length=x1 - x0, end=end)
    share = open_share((drain, *rows), flats, length=x1 - x0)
    bolts = _bolts(x0, x1)
    screw, boss = _screw(want.thickness, sheet.thickness)
    leg = max(standards.least_flange(sheet.thickness, bend_radius=sheet.bend_radius).value,
              min(TAB_LEG_MM, made.corners[0][1] - min(z for _, z in made.corners)))
    d = WindageScreenDimensions(
        material=sheet.material, density=sheet.density, metal=metal, tab_thickness=sheet.thickness, tab_radius=sheet.bend_radius,
        k_factor=sheet.k_factor, opening=open_, side=side, x0=x0, x1=x1, section=made, room=room, drain=drain,
        lip_drains=_lip_drains(made, room, metal, drain), rows=rows,
        open_area=share, aimed=aimed, bolts=bolts, tab_leg=leg, boss_diameter=standards.boss_diameter(standards.bolt(SCREW).diameter),
        boss_height=boss, screw_length=screw, sized=())
    pan = _pan_under(parameters, region)
    if pan is not None:
        _over_floor(parameters, pan, d)
        d = replace(d, past_pipe=pan.leads_up or not pan.is_made)
    return _with_reasons(d, parameters, flats, radius_why)


def _cut(flats, metal: Metal, want, *, drain: float, length: float, end: float) -> tuple[float, Row, tuple[Row, ...]]:
    """The open share aimed at, the drain slots and the rows: the share as asked, else the usual or the most below it that can be
    cut. Raises ValueError where none can."""
    refusal = None
    for share in (want.open_area,) if want.open_area else np.arange(USUAL_SHARE, LEAST_SHARE, -SHARE_STEP):
        slots = drains(flats, share=float(share), width=drain, length=length, end=end)
        try:
            return float(share), slots, perforation(flats, slots, metal, kind=want.perforation, share=float(share), length=length, end=end)
        except ValueError as bad:
            refusal = refusal or bad
    raise refusal


def _aimed_why(want, d: WindageScreenDimensions) -> str:
    if want.open_area:
        return "asked"
    return "not given, common practice," if d.aimed > USUAL_SHARE - SHARE_STEP / 2 else (
        f"not given, {USUAL_SHARE:g} is usual but webs and bends leave no more,")


def _bend_radius(sheet, thickness: float) -> tuple[float, str]:
    try:
        least = standards.least_bend_radius(sheet.material, thickness=thickness)
    except standards.Unknown:
        return max(sheet.bend_radius, thickness), "no less than the thickness, and the sheet's own: the material is in no table of radii"
    return max(least, thickness), f"no less than the thickness; {standards.least_bend_radius_source(sheet.material, thickness=thickness)}"


def _room(parameters, open_: Opening, side: int) -> Room:
    """What walls, flange, tabs and screws leave to the tray."""
    sheet, screw = parameters.sheet, standards.bolt(SCREW)
    boss = standards.boss_diameter(screw.diameter) / 2 + WELD_MM
    off = max(boss, standards.clearance_hole(SCREW) / 2 + TAB_HOLE_THICKNESSES * sheet.thickness)
    axis = max(WALL_FIT_MM + sheet.thickness + sheet.bend_radius + off, screw.tool_radius)
    head = screw.head_height + WASHER_MM
    underside = pan_top(parameters) - rail_pan(parameters).flange_thickness
    walls = (open_.y0, open_.y1) if side > 0 else (-open_.y1, -open_.y0)
    return Room(walls, min(underside - BELOW_FLANGE_MM, pan_top(parameters) - head - HEAD_GAP_MM), axis, axis + boss,
                (screw.washer_diameter / 2, head))


def _stretch(region: SweptRegion, open_: Opening) -> tuple[float, float]:
    """Where the tray begins and ends along the crank."""
    return (max(open_.x0 + END_GAP_MM, min(b.x0 for b in region.bands) - BEYOND_SWING_MM),
            min(open_.x1 - END_GAP_MM, max(b.x1 for b in region.bands) + BEYOND_SWING_MM))


def _flats(made: Section, metal: Metal) -> list[float]:
    step = 2 * made.steepest / (made.facets - 1)
    return facet_flats(made.corners, [-made.steepest + i * step for i in range(made.facets)], metal)


def _lip_drains(made: Section, room: Room, metal: Metal, drain: Row) -> tuple[Row, ...]:
    faces = channel(made.corners, metal, drain.length).faces()
    flats = {i: abs(float(faces[i][1][0] - faces[i][0][0])) for i in (0, len(faces) - 1)}
    return lip_drains(drain, flats, covered=room.reach - WALL_GAP_MM + standards.least_web(metal.thickness).value, metal=metal)


def _bolts(x0: float, x1: float) -> tuple[float, ...]:
    """The screws' x, a tab's width inside both ends and evenly between. Raises ValueError where the tray is too short."""
    first, last = x0 + TAB_WIDTH_MM, x1 - TAB_WIDTH_MM
    count = max(LEAST_TABS, math.ceil((last - first) / TAB_PITCH_MM) + 1)
    pitch = (last - first) / (count - 1)
    if pitch < TAB_WIDTH_MM + 2 * WELD_MM:
        raise ValueError(f"windage_screen.make: {count} tabs of {TAB_WIDTH_MM:g} mm on each side need a tray of "
                         f"{(count - 1) * (TAB_WIDTH_MM + 2 * WELD_MM) + 2 * TAB_WIDTH_MM:.0f} mm, it is {x1 - x0:.0f} mm long; "
                         "make = false leaves it out")
    return tuple(first + i * pitch for i in range(count))


def _screw(lip: float, tab: float) -> tuple[float, float]:
    """Length of the screws under the head and height of their bosses, mm."""
    held, diameter = WASHER_MM + lip + tab, standards.bolt(SCREW).diameter
    length = next((n for n in SCREW_LENGTHS_MM if n >= held + THREAD_SHARE * diameter), None)
    if length is None:
        raise ValueError(f"windage_screen.thickness: washer, lip and tab are {held:.1f} mm, the longest {SCREW} screw of "
                         f"{SCREW_LENGTHS_MM[-1]:g} mm needs {THREAD_SHARE * diameter:g} mm of thread besides; thinner sheet would do")
    return length, max(BOSS_SHARE * diameter, length - held + TIP_MM)


def _pan_under(parameters, region: SweptRegion) -> Inside | None:
    """The inside of the deep pan that the screen stands in; None where there is none."""
    if parameters.engine.lubrication != "wet" and parameters.deep_pan is None:
        return None
    return inside_of(parameters, region)


def _over_floor(parameters, made: Inside, d: WindageScreenDimensions) -> None:
    """Raises ValueError where the floor of the deep pan's body leaves no room under the screen, or none beside its rounded
    corners for the tabs' feet."""
    floor = max(made.body_floor(x) for x in (d.x0, d.x1))
    rise, below = floor - made.shallow_z, -parameters.pan_rail.below_crank
    needs = below - min(d.lowest - FLOOR_GAP_MM, d.foot - max(made.radius, FLOOR_GAP_MM)) + rise
    has = below - made.shallow_z
    if has < needs:
        raise ValueError(f"deep_pan.shallow_depth: the windage screen reaches {below - d.lowest:.1f} mm below the rail and its tabs "
                         f"{below - d.foot:.1f} mm, over a floor that rises {rise:.1f} mm to the ends; that needs {needs:.1f} mm, the body "
                         f"is {has:.1f} mm deep; a deeper body, a smaller windage_screen.clearance or make = false would do")


def _with_reasons(d: WindageScreenDimensions, parameters, flats, radius_why: str) -> WindageScreenDimensions:
    want, made = parameters.windage_screen, d.section
    cuts = sum(r.count for r in d.rows)
    kind = "round holes" if want.perforation == "holes" else f"slots of {d.rows[0].length:.1f} mm"
    sized = (
        Sized("windage_screen.facets", f"{made.facets}, the outer ones at {math.degrees(made.steepest):.0f} deg",
              f"each {want.clearance:g} mm off the swing; " + (
                  f"the fewest whose corners stand no more than {SPARE_MM:g} mm farther off" if made.spare <= SPARE_MM else
                  "as near as the lips' room and the drain slots allow") + f", the farthest {made.spare:.1f} mm"),
        Sized("windage_screen.lip_height", f"{d.lip:.1f} mm from the crank axis",
              f"just under the flange ({d.room.highest:.1f} mm)" if d.lip > d.room.highest - WELD_MM / 2 else
              f"{d.room.highest - d.lip:.0f} mm lower than under the flange, where the swing leaves room for lips and screws"),
        Sized("windage_screen.depth", f"{-parameters.pan_rail.below_crank - d.lowest:.1f} mm below the rail", "its lowest metal"),
        Sized("windage_screen.bend_radius", f"{d.metal.radius:.1f} mm", radius_why),
        Sized("windage_screen.length", f"{d.length:.1f} mm, x {d.x0:.1f} to {d.x1:.1f} mm",
              f"{BEYOND_SWING_MM:g} mm beyond what swings, {END_GAP_MM:g} mm off the body's ends"),
        Sized("windage_screen.open_area", f"{d.open_area:.3f}",
              f"{d.aimed:.2g} {_aimed_why(want, d)} of the facets between their bends ({sum(flats) * d.length:.0f} mm2, lips not counted): {cuts} "
              f"{kind}, {want.hole:g} mm wide, in {len(d.rows)} rows, and the drain slots"),
        Sized("windage_screen.drain_slots", f"{d.drain.count} of {d.drain.width:.1f} x {d.drain.length:.0f} mm",
              "at the foot of the rising side's lip, where oil is flung, so that it runs out below" + (
                  f"; as many in {len(d.lip_drains)} lips that are wide enough, so that none stands on them" if d.lip_drains else "")),
        Sized("windage_screen.tabs", f"{len(d.bolts)} on each side", f"no more than {TAB_PITCH_MM:g} mm apart, at least {LEAST_TABS}"),
        Sized("windage_screen.screws", f"{SCREW} x {d.screw_length:g} mm", "washer, lip and tab, and thread in a welded boss"),
    )
    return replace(d, sized=sized)
