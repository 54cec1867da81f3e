"""Dimensions -> pieces: the tray, its tabs with their bosses, screws and washers, placed in the engine frame (mm)."""

import math

import numpy as np

from generators import standards
from generators.fittings import boss_material
from generators.outlines import Loop, circle, polygon_loop
from generators.parts.windage_screen.dimension import (
    SCREW,
    TAB_WIDTH_MM,
    WALL_FIT_MM,
    WASHER_BORE_MM,
    WASHER_MM,
    WindageScreenDimensions,
)
from generators.parts.windage_screen.section import WALL_GAP_MM
from generators.pieces import PAN, Part, Piece, Seam
from generators.sheet.channel import Channel
from generators.sheet.folded import flat_of
from generators.sheet.frames import Frame, frame
from generators.sheet.solids import folded_solid, location, proved, tube, turned

NAME = "windage_screen"

PLAY_MM = 0.1
"""A screw is drawn this much thinner all round than its thread's minor diameter: drawn threads would only touch."""

RING_POINTS = 24
"""Points on the weld round a boss."""

PAST_PIPE = ("; the pipe of the engine's own pump is not in this drawing: mark where it passes, cut the tray 3 mm clear of it, and let "
             "no tongue under 15 mm stand")
"""What a tray's maker has to be told where the pickup hangs from the engine (clearances: common practice)."""

BOUGHT_OF = "S235"
"""Screws and washers are steel."""


def pieces(d: WindageScreenDimensions) -> tuple[Piece, ...]:
    """Every piece, placed. Raises KernelFailure where one does not come out as described."""
    return (_tray(d), _tabs(d), _bosses(d), _screws(d), _washers(d))


def part(d: WindageScreenDimensions) -> Part:
    """The screen with its tabs; the tabs' own welds go to the pan's walls."""
    pairs = (("tray", "tab"), ("washer", "tray"), ("screw", "washer"), ("screw", "screw_boss"))
    return Part(NAME, pieces(d), d, sized=d.sized, seams=_seams(d), into=_into(d), touching=tuple(frozenset(p) for p in pairs))


# ---------------------------------------------------------------- places


def _places(d: WindageScreenDimensions) -> list[tuple[float, float, int]]:
    """(x, y, inwards) of each screw: +1 where the pan lies at larger y."""
    out = []
    for wall, inwards in zip(d.room.walls, (1, -1), strict=True):
        y = d.side * (wall + inwards * d.room.screw)
        out += [(x, y, inwards * d.side) for x in d.bolts]
    return out


def _upright(d: WindageScreenDimensions, z: float) -> list[Frame]:
    """A frame at each screw's axis, z up, its origin at the height z."""
    return [frame(origin=(x, y, z), x=(1, 0, 0), z=(0, 0, 1)) for x, y, _ in _places(d)]


def _along(d: WindageScreenDimensions, x: float) -> float:
    """Distance of the station x from the tray's near end."""
    return x - d.x0 if d.side > 0 else d.x1 - x


# ---------------------------------------------------------------- sheet


def _tray(d: WindageScreenDimensions) -> Piece:
    made, faces = d.channel, d.channel.faces()
    last = len(faces) - 1
    holes: dict[int, list[Loop]] = {i: [] for i in range(last + 1)}
    for row in (d.drain, *d.lip_drains, *d.rows):
        holes[row.face] += row.loops()
    radius = standards.clearance_hole(SCREW, fit="coarse") / 2
    for x in d.bolts:
        holes[0].append(circle(x=_along(d, x), y=d.room.screw - WALL_GAP_MM, radius=radius))
        holes[last].append(circle(x=_along(d, x), y=d.room.walls[1] - d.room.screw - faces[last][0][0], radius=radius))
    sheet = made.sheet({i: tuple(h) for i, h in holes.items()})
    root = made.root(origin=(d.x0 if d.side > 0 else d.x1, 0, 0), u=(0, d.side, 0), v=(0, 0, 1))
    return Piece("tray", "folded", d.material, d.density, (folded_solid(sheet, where=root, part=NAME, step="tray"),),
                 d.metal.thickness, flat_of(sheet),
                 note="the row of wider slots goes to the side where the crank rises; break all edges; turn the crank by hand through two "
                      "turns before the pan goes on for good" + (PAST_PIPE if d.past_pipe else ""), laid=(root,))


def tab_channel(d: WindageScreenDimensions) -> Channel:
    """A tab's section: u from the wall inwards, v = 0 at the top of its leg under the lip."""
    inside = WALL_FIT_MM + d.tab_thickness
    return Channel(((d.room.reach, -d.tab_thickness), (inside, -d.tab_thickness), (inside, -d.tab_leg)), d.tab_thickness, d.tab_radius,
                   TAB_WIDTH_MM, d.k_factor)


def _tabs(d: WindageScreenDimensions) -> Piece:
    made = tab_channel(d)
    hole = circle(x=TAB_WIDTH_MM / 2, y=d.room.reach - d.room.screw, radius=standards.clearance_hole(SCREW) / 2)
    sheet = made.sheet({0: (hole,)})
    solid = folded_solid(sheet, part=NAME, step="tab")
    frames = []
    for x, y, inwards in _places(d):
        wall = y - inwards * d.room.screw
        near = x - inwards * TAB_WIDTH_MM / 2
        frames.append(made.root(origin=(near, wall, d.seat), u=(0, inwards, 0), v=(0, 0, 1)))
    solids = [solid.moved(location(f)) for f in frames]
    return Piece("tab", "folded", d.material, d.density, tuple(solids), d.tab_thickness, flat_of(sheet),
                 note="weld to the pan's wall with the tray as jig: tray and tabs bolted together, the tray held at its height, tack, "
                      "take the tray out, weld both sides and the foot of the leg", laid=tuple(frames))


# ---------------------------------------------------------------- bosses, screws, washers


def _bosses(d: WindageScreenDimensions) -> Piece:
    screw, metal = standards.bolt(SCREW), boss_material(d.material, density=d.density)
    made = tube(outer=d.boss_diameter, bore=screw.minor_diameter, length=d.boss_height)
    volume = math.pi / 4 * (d.boss_diameter**2 - screw.minor_diameter**2) * d.boss_height
    solid = proved(made, volume=volume, part=NAME, step="screw_boss", dimensions=d.boss_height)
    frames = _upright(d, d.seat - d.tab_thickness - d.boss_height)
    return Piece("screw_boss", "turned", metal.name, metal.density, tuple(solid.moved(location(f)) for f in frames),
                 note=f"{SCREW} tapped through; weld round under the tab with a screw in it, then chase the thread")


def screw_outline(length: float) -> Loop:
    """Half section (radius, z) of the cap screw, `length` mm under its head; z = 0 under the head, the shank drawn within
    the thread's minor diameter."""
    screw = standards.bolt(SCREW)
    shank, head = screw.minor_diameter / 2 - PLAY_MM, screw.head_diameter / 2
    return polygon_loop([(0, -length), (shank, -length), (shank, 0), (head, 0), (head, screw.head_height), (0, screw.head_height)])


def _screws(d: WindageScreenDimensions) -> Piece:
    screw, steel = standards.bolt(SCREW), standards.material(BOUGHT_OF)
    shank = screw.minor_diameter / 2 - PLAY_MM
    volume = math.pi * (shank**2 * d.screw_length + (screw.head_diameter / 2) ** 2 * screw.head_height)
    solid = proved(turned(screw_outline(d.screw_length)), volume=volume, part=NAME, step="screw", dimensions=d.screw_length)
    return Piece("screw", "bought", steel.name, steel.density, tuple(solid.moved(location(f)) for f in _upright(d, d.lip + WASHER_MM)),
                 loose=True, note=f"{SCREW} x {d.screw_length:g} socket head cap screw (ISO 4762), drilled for lock wire or set in thread lock")


def _washers(d: WindageScreenDimensions) -> Piece:
    steel, outer = standards.material(BOUGHT_OF), standards.bolt(SCREW).washer_diameter
    volume = math.pi / 4 * (outer**2 - WASHER_BORE_MM**2) * WASHER_MM
    solid = proved(tube(outer=outer, bore=WASHER_BORE_MM, length=WASHER_MM), volume=volume, part=NAME, step="washer", dimensions=outer)
    return Piece("washer", "bought", steel.name, steel.density, tuple(solid.moved(location(f)) for f in _upright(d, d.lip)), loose=True,
                 note=f"{SCREW}, ISO 7089")


def _seams(d: WindageScreenDimensions) -> tuple[Seam, ...]:
    """Round each boss under its tab."""
    turn = np.linspace(0, 2 * math.pi, RING_POINTS + 1)[:, None]
    ring = d.boss_diameter / 2 * (np.cos(turn) * (1, 0, 0) + np.sin(turn) * (0, 1, 0))
    z = d.seat - d.tab_thickness
    return tuple(Seam("screw_boss", "tab", ring + (x, y, z), d.tab_thickness, leak_tight=False) for x, y, _ in _places(d))


def _into(d: WindageScreenDimensions) -> tuple[Seam, ...]:
    """Down one side of each tab's leg, along its foot and up the other, in the middle of the gap to the pan's wall."""
    out, half, foot = [], TAB_WIDTH_MM / 2, d.seat - d.tab_leg
    head = d.seat - d.tab_thickness - d.tab_radius
    for x, y, inwards in _places(d):
        wall = y - inwards * (d.room.screw - WALL_FIT_MM / 2)
        out.append(Seam("tab", PAN, np.array([(x + u, wall, z) for u, z in ((-half, head), (-half, foot), (half, foot), (half, head))]), d.tab_thickness,
                        leak_tight=False))
    return tuple(out)
