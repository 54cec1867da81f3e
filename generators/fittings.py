r"""Turned and bought things that are welded into sheet metal: flare ends, drain bosses, plugs, mitred pickups.

        z, away from the tank            each is modelled on its own axis z; z = 0 is the outer face of the sheet,
         |    _                          metal of the sheet lies at -thickness < z < 0
      ___|___/ \___  37 degree nose
         |  |   |    thread (drawn at its major diameter)
      ---+--|   |--  base, welded to the sheet all round
      ===+==|   |==  sheet
         |  |___|    spigot with a socket for a tube
"""

import math
from dataclasses import dataclass

import cadquery as cq
import numpy as np

from generators import standards
from generators.outlines import Loop, circle, polygon_loop
from generators.sheet.branches import TubeEnd, mitre, round_angles
from generators.sheet.frames import Frame, frame
from generators.sheet.solids import location, one_solid, prism, turned

FLARE_ANGLE = math.radians(37)
"""Half angle of the nose of a flare end (SAE J514, ISO 8434-2)."""

NOSE_WALL_MM = 1.0
"""Flat rim left round the bore at the tip of the nose (common practice)."""

BASE_MM = 5.0
"""Height of a weld base: thick enough not to warp (common practice)."""

THREAD_LENGTH_SHARE = 0.65
"""Length of the thread as a share of its diameter: what the common nuts take hold of (common practice)."""

SPIGOT_WALL_MM = 2.0
"""Wall round the socket of a spigot."""

SOCKET_MM = 5.0
"""How far a tube enters its socket (common practice: room to braze or weld)."""

SOCKET_PLAY_MM = 0.05
"""Play all round between a tube and its socket."""

LIGHT_DENSITY = 4000.0
"""kg/m3: below it a metal that is in no table is taken for an aluminium."""

WELDS_TO = {"aluminium": "6061-T6", "steel": "S235", "stainless": "304"}
"""Bar that welds to sheet of each family (common practice)."""

HEXAGON = [math.pi / 3 * k for k in range(6)]


def hose_end_words(dash: str) -> str:
    """What goes on a flare end of that size."""
    return f"{dash} female swivel, 37 degree flare, straight or bent as the hose runs"


@dataclass(frozen=True)
class WeldEnd:
    """A male flare end to weld into sheet of `thickness` mm: sizes in mm."""

    dash: str
    thickness: float
    bore: float
    tube_od: float
    base_diameter: float
    major: float
    minor: float

    @property
    def spigot_diameter(self) -> float:
        """Outside of the spigot that passes the sheet, mm."""
        return self.tube_od + 2 * (SOCKET_PLAY_MM + SPIGOT_WALL_MM)

    @property
    def inside(self) -> float:
        """How far the spigot stands into the tank, mm."""
        return SOCKET_MM

    @property
    def height(self) -> float:
        """From the sheet's outer face to the tip of the nose, mm."""
        return BASE_MM + THREAD_LENGTH_SHARE * self.major + self.nose

    @property
    def nose(self) -> float:
        """Length of the nose, mm."""
        return nose_length(bore=self.bore, minor=self.minor)


def weld_end(dash: str, *, thickness: float) -> WeldEnd:
    """The weld-in flare end of size `dash`. Raises standards.Unknown for a size that is not in the table."""
    f = standards.flare(dash)
    return WeldEnd(dash, thickness, f.bore, f.tube_od, f.boss_diameter, f.major, f.minor)


def boss_material(sheet_material: str, *, density: float) -> standards.Material:
    """What bosses and tubes that are welded to a sheet are made of; a material in no table is judged by its density
    (kg/m3)."""
    if sheet_material in standards.material_names():
        return standards.material(WELDS_TO[standards.material(sheet_material).family])
    return standards.material(WELDS_TO["aluminium" if density < LIGHT_DENSITY else "steel"])


def hole_for(spigot_diameter: float) -> float:
    """Diameter of the hole in the sheet that a spigot enters, mm (common practice)."""
    return spigot_diameter + standards.BOSS_HOLE_CLEARANCE.usual


def weld_end_outline(end: WeldEnd) -> Loop:
    """Half section in (radius, z), anticlockwise: bore, socket, spigot, base, thread and nose."""
    socket, inner = end.tube_od / 2 + SOCKET_PLAY_MM, -end.thickness - end.inside
    outside = flare_top(bore=end.bore, major=end.major, minor=end.minor, start=BASE_MM, collar=end.base_diameter / 2)
    return polygon_loop([
        (socket, inner), (end.spigot_diameter / 2, inner), (end.spigot_diameter / 2, 0), (end.base_diameter / 2, 0),
        *outside, (end.bore / 2, inner + SOCKET_MM), (socket, inner + SOCKET_MM)])


def flare_top(*, bore: float, major: float, minor: float, start: float, collar: float) -> list[tuple[float, float]]:
    """Corners (radius, z), mm, of a flare end outside a collar of radius `collar` that ends at `start`, up to the bore:
    thread and nose. `bore`, `major` and `minor` are diameters."""
    thread = start + THREAD_LENGTH_SHARE * major
    tip = thread + nose_length(bore=bore, minor=minor)
    return [(collar, start), (major / 2, start), (major / 2, thread), (minor / 2, thread), (bore / 2 + NOSE_WALL_MM, tip),
            (bore / 2, tip)]


def nose_length(*, bore: float, minor: float) -> float:
    """Length, mm, of the 37 degree nose between a thread's minor diameter and the rim round the bore."""
    return (minor / 2 - bore / 2 - NOSE_WALL_MM) / math.tan(FLARE_ANGLE)


def volume_of_turning(outline: Loop) -> float:
    """Volume of a straight-sided outline in (radius, z) turned once round, mm3: Pappus, exact."""
    p = outline.points
    q = np.roll(p, -1, axis=0)
    cross = p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1]
    return abs(float(np.sum((p[:, 0] + q[:, 0]) * cross)) * math.pi / 3)


def hexagon(flats: float) -> Loop:
    """A hexagon of `flats` mm across its flats, a corner on +x."""
    corner = flats / math.sqrt(3)
    return polygon_loop([(corner * math.cos(a), corner * math.sin(a)) for a in HEXAGON])


def weld_end_solid(end: WeldEnd, where: Frame | None = None) -> cq.Solid:
    """The turned weld end with the sheet's outer face at the frame's z = 0."""
    return turned(weld_end_outline(end), where=where)


@dataclass(frozen=True)
class ElbowTube:
    """A round tube with one mitred right angle, mm: `reach` from its start to the axis of the drop, `drop` from there
    to the mouth."""

    outer: float
    bore: float
    reach: float
    drop: float


ROUND = 72
"""Steps round a tube in which its end is told."""


def elbow_end(tube: ElbowTube) -> TubeEnd:
    """How both legs of the elbow are cut where they meet."""
    phi = round_angles(ROUND)
    rise = mitre(phi, radius=tube.outer / 2, angle=math.pi / 4)
    return TubeEnd("mitre of both legs", tube.outer / 2, tuple(map(float, rise)), "the outside of the bend")


def elbow_mitre(tube: ElbowTube) -> np.ndarray:
    """Points (n, 3) on the outside of the tube where its legs meet, in the elbow's own frame."""
    turn = np.linspace(0, 2 * math.pi, ROUND // 2 + 1)
    r = tube.outer / 2
    return np.column_stack([tube.reach + r * np.cos(turn), r * np.sin(turn), r * np.cos(turn)])


def elbow_words(tube: ElbowTube) -> str:
    """How a mitred tube is cut: legs along their axes and on the outside of the bend, mm."""
    legs = f"{tube.reach:.1f} and {tube.drop:.1f} mm on their axes, {tube.reach + tube.outer / 2:.1f} and {tube.drop + tube.outer / 2:.1f} mm outside"
    rise = mitre(math.pi, radius=tube.outer / 2, angle=math.pi / 4)
    return (f"{tube.outer:.2f} x {(tube.outer - tube.bore) / 2:.2f} mm, mitred 90 degrees, legs {legs}: each cut rises {rise:.1f} mm across it, and is welded "
            "tight all round")


def flare_words(dash: str) -> str:
    """A flare end as it is ordered."""
    return f"{dash} 37 degree flare, thread {standards.flare(dash).thread} UN or UNF (SAE J514)"


def elbow_solid(tube: ElbowTube, where: Frame | None = None) -> cq.Solid:
    """The tube starts at the frame's origin along +x and drops along -z to its mouth.

    Each leg is cut by the mitre plane through both axes' crossing; one fuse joins them."""
    big = 2 * (tube.reach + tube.drop + tube.outer)
    halves = []
    for way, length, side in (((1, 0, 0), tube.reach + tube.outer, 1), ((0, 0, -1), tube.drop + tube.outer, -1)):
        start = (0, 0, 0) if side > 0 else (tube.reach, 0, tube.outer)
        leg = prism(circle(x=0, y=0, radius=tube.outer / 2), height=length,
                    holes=[circle(x=0, y=0, radius=tube.bore / 2)], where=frame(origin=start, x=(0, 1, 0), z=way))
        halves.append(leg.intersect(_mitre_side(tube.reach, big, side)))
    joined = one_solid(halves[0].fuse(halves[1]))
    return joined.moved(location(where)) if where else joined


def _mitre_side(reach: float, big: float, side: int) -> cq.Solid:
    """The half space before (side 1) or after (-1) the mitre plane through (reach, 0, 0), as a large prism along y."""
    corner = {1: (reach - big, big), -1: (reach + big, -big)}[side]
    triangle = [(reach - big, -big), (reach + big, big), corner]
    upright = frame(origin=(0, big, 0), x=(1, 0, 0), z=(0, -1, 0))
    return prism(polygon_loop(triangle), height=2 * big, where=upright)


@dataclass(frozen=True)
class DrainBoss:
    """A threaded boss that stands inside the floor, slotted at its foot so that the last oil runs out; mm."""

    thread: str
    major: float
    minor: float
    diameter: float
    height: float
    thickness: float
    slot: float

    @property
    def spigot_diameter(self) -> float:
        """Outside of the spigot that passes the floor, mm."""
        return self.major + 2 * SPIGOT_WALL_MM

    @property
    def seat(self) -> float:
        """How far the face that the plug's washer seals on stands below the floor, mm: clear of a fillet round the spigot
        as high as the sheet is thick."""
        return self.thickness + SEAT_OVER_WELD_MM


def drain_boss(thread: str, *, thickness: float) -> DrainBoss:
    """The drain boss for a plug of that thread in a floor of `thickness` mm."""
    plug = standards.drain_plug(thread)
    return DrainBoss(thread, plug.major, plug.minor, plug.boss_diameter, DRAIN_HEIGHT_MM, thickness, DRAIN_SLOT_MM)


DRAIN_HEIGHT_MM = 10.0
"""How far a drain boss stands inside: with the spigot enough thread for a plug that is taken out often."""

DRAIN_SLOT_MM = 3.0
"""Height and width of the slots at the foot of a drain boss."""

SEAT_OVER_WELD_MM = 1.0
"""Metal left over the weld to face off square once it has drawn the boss (common practice)."""

SEAT_GAP_MM = 0.05
"""A boss on a sloped floor is drawn this far off it: faces that coincide only to rounding make no sound joined body."""

PLUG_HEAD_MM = 7.0
PLUG_FLATS_SHARE = 1.4
"""A low hexagon head of the plug: height, and flats as a share of the thread's diameter (common practice)."""

PLUG_PLAY_MM = 0.1


def drain_boss_solid(boss: DrainBoss, where: Frame) -> cq.Solid:
    """The boss with the floor's outer face at z = 0, the tank at negative z, the plug's seat proud of the floor."""
    t, h, foot = boss.thickness, boss.height, -boss.thickness - SEAT_GAP_MM
    body = turned(polygon_loop([
        (boss.minor / 2, -t - h), (boss.diameter / 2, -t - h), (boss.diameter / 2, foot), (boss.spigot_diameter / 2, foot),
        (boss.spigot_diameter / 2, boss.seat), (boss.minor / 2, boss.seat)]))
    s, d = boss.slot, boss.diameter
    cross = [(s, d), (d, s)]
    slots = [prism(polygon_loop([(-a, -b), (a, -b), (a, b), (-a, b)]), height=-s, where=frame(
        origin=(0, 0, foot), x=(1, 0, 0), z=(0, 0, 1))) for a, b in ((c[0] / 2, c[1] / 2) for c in cross)]
    return one_solid(body.cut(*slots)).moved(location(where))


def drain_plug_solid(boss: DrainBoss, where: Frame) -> cq.Solid:
    """The plug in its boss: hexagon head on the seat, shank drawn at the thread's minor diameter."""
    seat = frame(origin=(0, 0, boss.seat), x=(1, 0, 0), z=(0, 0, 1))
    head = prism(hexagon(PLUG_FLATS_SHARE * boss.major), height=PLUG_HEAD_MM, where=seat)
    shank = prism(circle(x=0, y=0, radius=boss.minor / 2 - PLUG_PLAY_MM), where=seat,
                  height=-(boss.seat + boss.thickness + boss.height))
    return one_solid(head.fuse(shank)).moved(location(where))
