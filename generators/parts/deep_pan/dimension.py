"""Pure arithmetic: parameters and swept region -> the sizes of the deep pan, each with its reason. mm, engine frame."""

import math
from dataclasses import dataclass

from generators import standards
from generators.crank import SweptRegion
from generators.findings import Sized
from generators.fittings import DrainBoss, drain_boss
from generators.outlines import Loop
from generators.parts.deep_pan.strainer import HOLE_MM, PITCH_MM, open_area
from generators.sump import Draw, Inside, deep_pan, draw_of, inside_of
from generators.sump.drain import DRAIN_THREAD, at_front, drain_of, drain_place
from generators.sump.draw import WELD_LEG_MM
from generators.sump.size import full_mark

APART_MM = 0.05
"""Pieces that meet on a plane that lies aslant are drawn this far apart: faces that coincide only to rounding make no
sound joined body."""

TEMPERATURE_THREAD = "G1/8"
"""The usual thread of a small temperature sender (ISO 228-1; common practice)."""

TEMPERATURE_SHARE = 0.3
"""Place of the temperature boss across the sump, from its low side: beside the drain, in oil to the last."""

LONG_LEG_MM = 150.0
"""A longer leg shakes its port's weld loose unless it is held (common practice)."""

TEMPERATURE_OVER_MM = 6.0
"""Flat of the end plate under the temperature boss, for its weld and that of the plate."""


@dataclass(frozen=True)
class Boss:
    """A threaded boss through an end plate of the sump, at the front where `at_front`: place s, z; outside diameter and bore."""

    thread: str
    at_front: bool
    s: float
    z: float
    diameter: float
    bore: float


@dataclass(frozen=True)
class DeepPanDimensions:
    """All sizes of the deep pan, mm: `drain` is its boss's place (x, distance on the floor from the low bend). `oil`, m3, at
    rest up to `full_mark`. Of a pan that is there already only inside, draw, full_mark and oil mean anything."""

    inside: Inside
    draw: Draw
    material: str
    density: float
    flange_outline: Loop
    flange_thickness: float
    bolts: tuple[tuple[float, float], ...]
    bolt_hole: float
    drain: tuple[float, float]
    temperature: Boss
    full_mark: float
    oil: float | None
    sized: tuple[Sized, ...]

    @property
    def thickness(self) -> float:
        """Of the sheet."""
        return self.inside.thickness

    @property
    def off(self) -> float:
        """How far apart pieces are drawn along the body's floor: nothing where it is level."""
        return APART_MM if self.inside.body_slope else 0.0

    @property
    def has_strut(self) -> bool:
        """Whether the pickup's leg is so long that its tube is held at the elbow."""
        return self.draw.port is not None and self.draw.leg_z - self.draw.mouth_z > LONG_LEG_MM

    @property
    def boss(self) -> DrainBoss:
        """The drain's boss."""
        return drain_boss(DRAIN_THREAD, thickness=self.thickness)

    def neck_top(self, x: float) -> float:
        """Height at x of the edges that stand under the body's floor."""
        i = self.inside
        return i.body_floor(x) - i.thickness / math.cos(i.body_slope) - self.off


def dimension(parameters, region: SweptRegion) -> DeepPanDimensions:
    """Size the pan from the whole parameter file and the swept region.

    Raises ValueError, naming key and numbers, where no such pan can be made."""
    rail, sheet = parameters.pan_rail, parameters.sheet
    inside = inside_of(parameters, region)
    draw = draw_of(parameters, region, inside)
    made = DeepPanDimensions(
        inside=inside, draw=draw, material=sheet.material, density=sheet.density, flange_outline=rail.outline,
        flange_thickness=deep_pan(parameters).flange_thickness, bolts=rail.bolts, bolt_hole=standards.clearance_hole(rail.bolt_size),
        drain=drain_of(inside), temperature=_temperature(inside), full_mark=full_mark(region), oil=parameters.oil.volume,
        sized=(*inside.sized, *_sized(inside, draw)))
    if inside.is_made:
        _stand_apart(made)
    return made


def _temperature(inside: Inside) -> Boss:
    pipe = standards.bspp(TEMPERATURE_THREAD)
    diameter = standards.boss_diameter(pipe.major)
    (s0, _), (s1, _) = inside.floor_ends
    s = s0 + TEMPERATURE_SHARE * (s1 - s0)
    z = inside.floor(inside.side * s) + diameter / 2 + TEMPERATURE_OVER_MM
    return Boss(TEMPERATURE_THREAD, bool(inside.notch and not inside.notch.at_front), s, z, diameter, pipe.minor)


def _stand_apart(d: DeepPanDimensions) -> None:
    """Raises ValueError where drain and pickup stand in each other's way, or the leg has no room to turn down."""
    i, draw = d.inside, d.draw
    s, _ = drain_place(i, d.drain[1])
    apart = math.hypot(d.drain[0] - draw.x, s - i.side * draw.y)
    need = d.boss.diameter / 2 + WELD_LEG_MM + draw.bell_outside / 2
    if apart < need:
        raise ValueError(f"deep_pan.pickup.x: the pickup's axis is {apart:.1f} mm from the drain's at x {d.drain[0]:.1f}, y "
                         f"{i.side * s:.1f} mm, {need:.1f} mm keeps bell and boss apart; move the pickup or lengthen the sump")
    least = draw.port.inside + WELD_LEG_MM + draw.outer / 2 if draw.port else 0.0
    reach = i.corners[-1][0] - i.side * draw.y
    if draw.port and reach < least:
        raise ValueError(f"deep_pan.pickup.y: the pickup's axis is {reach:.1f} mm from the neck's wall on the falling side, its tube needs "
                         f"{least:.1f} mm to turn down; move the pickup towards the middle")
    wall = d.temperature.z + d.temperature.diameter / 2 + WELD_LEG_MM
    if wall > i.corners[0][1]:
        raise ValueError(f"deep_pan.sump.depth: the temperature boss reaches to z = {wall:.1f} mm, the sump's end to {i.corners[0][1]:.1f} "
                         "mm; a deeper sump would hold it")


def _sized(inside: Inside, draw: Draw) -> tuple[Sized, ...]:
    pickup = Sized("deep_pan.pickup", f"x {draw.x:.1f}, y {draw.y:.1f} mm, mouth at z {draw.mouth_z:.1f} mm, {draw.bell:.1f} mm wide",
                   draw.because)
    if not inside.is_made:
        return (pickup,)
    area = open_area(draw.bell)
    way_out = Sized("deep_pan.riser", f"open at z {draw.top_z:.1f} mm" if draw.top_z is not None else "", "the highest that the swing and what "
                    "screens it leave; the engine's own pump's pipe is led to it")
    if draw.port:
        way_out = Sized("deep_pan.port", draw.port.dash, f"the smallest flare end whose tube, {draw.outer:.1f} mm outside, holds the bore of "
                        f"{draw.bore:g} mm; on the falling side, away from what the crank flings")
    return (
        pickup,
        Sized("deep_pan.strainer", f"{area:.0f} mm2 open", f"square holes of {HOLE_MM:g} mm at {PITCH_MM:g} mm over the "
              f"bell's mouth; the bore of {draw.bore:g} mm has {math.pi / 4 * draw.bore**2:.0f} mm2"),
        way_out,
        Sized("deep_pan.drain", DRAIN_THREAD, "at the low side of the floor, at the "
              f"{'front' if at_front(inside) else 'rear'} end, clear of a cell round the pickup; slotted at its foot to drain dry"),
        Sized("deep_pan.temperature", TEMPERATURE_THREAD, f"through the {'front' if _temperature(inside).at_front else 'rear'} end plate, low, so "
              "that it stays in oil"),
    )
