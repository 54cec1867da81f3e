"""Turned, tubular and bought pieces of the deep pan, in place, and where they stand. mm, engine frame."""

import math

import cadquery as cq
import numpy as np

from generators.fittings import (
    SOCKET_MM,
    SOCKET_PLAY_MM,
    ElbowTube,
    drain_boss_solid,
    drain_plug_solid,
    elbow_solid,
    hexagon,
    volume_of_turning,
    weld_end_outline,
    weld_end_solid,
)
from generators.outlines import Loop, circle, polygon_loop, signed_area
from generators.parts.deep_pan.dimension import APART_MM, DeepPanDimensions
from generators.parts.deep_pan.places import across, ring
from generators.parts.deep_pan.strainer import LEDGE_MM, RECESS_MM, THICKNESS_MM, flat
from generators.sheet.frames import Frame, frame
from generators.sheet.solids import location, prism, proved, tube, turned
from generators.sump.drain import drain_place
from generators.sump.draw import BELL_COLLAR_MM, BELL_LIP_MM, BELL_WALL_MM, TUBE_WALL_MM

NAME = "deep_pan"

PROUD_MM, OUTSIDE_MM = 1.5, 12.0
"""How far the temperature boss stands inside its plate, and outside: thread, and room for a hexagon over the weld."""

PLUG_FLATS_MM, PLUG_HEAD_MM, PLUG_SHANK_MM, PLAY_MM = 14.0, 6.0, 9.0, 0.1
"""The temperature boss's plug: head across flats and its height, shank, and its play drawn at the thread's minor diameter."""

STRUT_OFF_MM = APART_MM
"""A strut ends so far from the round of the tube."""

END_GAP_MM = 0.3
"""Left between a tube's end and the floor of its socket: it grows when it is welded."""


# ---------------------------------------------------------------- drain


def drain_frame(d: DeepPanDimensions) -> Frame:
    """Frame of the drain: z down and square to the floor, z = 0 on its outer face."""
    i = d.inside
    s, z = drain_place(i, d.drain[1])
    c, k = math.cos(i.floor_slope), math.sin(i.floor_slope)
    return frame(origin=across(d, s=s + i.thickness * k, z=z - i.thickness * c, x=d.drain[0]), x=(1, 0, 0), z=(0, i.side * k, -c))


def drain_boss(d: DeepPanDimensions) -> cq.Solid:
    """The boss in the floor."""
    return proved(drain_boss_solid(d.boss, drain_frame(d)), volume=None, part=NAME, step="drain_boss", dimensions=d.boss)


def drain_plug(d: DeepPanDimensions) -> cq.Solid:
    """The plug in it."""
    return proved(drain_plug_solid(d.boss, drain_frame(d)), volume=None, part=NAME, step="drain_plug", dimensions=d.boss)


# ---------------------------------------------------------------- temperature


def temperature_frame(d: DeepPanDimensions) -> Frame:
    """Frame of the temperature boss: z outwards along the crank, z = 0 on the plate's outer face."""
    i, b = d.inside, d.temperature
    way = 1 if b.at_front else -1
    x = i.x1 + i.thickness if b.at_front else i.x0 - i.thickness
    return frame(origin=across(d, s=b.s, z=b.z, x=x), x=(0, 0, 1), z=(way, 0, 0))


def temperature_boss(d: DeepPanDimensions) -> cq.Solid:
    """A bored bar through the plate."""
    b, inside = d.temperature, d.thickness + PROUD_MM
    start = temperature_frame(d) @ frame(origin=(0, 0, -inside), x=(1, 0, 0), z=(0, 0, 1))
    length = inside + OUTSIDE_MM
    return proved(tube(outer=b.diameter, bore=b.bore, length=length, where=start), part=NAME, step="temperature_boss",
                  volume=math.pi / 4 * (b.diameter**2 - b.bore**2) * length, dimensions=b)


def temperature_plug(d: DeepPanDimensions) -> cq.Solid:
    """A plug in the place of the sender: hexagon on the boss's face, shank short of its bore's end."""
    b, flats = d.temperature, hexagon(PLUG_FLATS_MM)
    face = temperature_frame(d) @ frame(origin=(0, 0, OUTSIDE_MM), x=(1, 0, 0), z=(0, 0, 1))
    shank = b.bore / 2 - PLAY_MM
    head = prism(flats, height=PLUG_HEAD_MM, where=face)
    stem = prism(circle(x=0, y=0, radius=shank), height=-PLUG_SHANK_MM, where=face)
    volume = signed_area(flats) * PLUG_HEAD_MM + math.pi * shank**2 * PLUG_SHANK_MM
    return proved(head.fuse(stem), volume=volume, part=NAME, step="temperature_plug", dimensions=b)


# ---------------------------------------------------------------- pickup


def port_frame(d: DeepPanDimensions) -> Frame:
    """Frame of the port: z out of the neck's wall on the falling side, z = 0 on its outer face."""
    i = d.inside
    origin = across(d, s=i.corners[-1][0] + i.thickness, z=d.draw.leg_z, x=d.draw.x)
    return frame(origin=origin, x=(0, 0, 1), z=(0, i.side, 0))


def port_boss(d: DeepPanDimensions) -> cq.Solid:
    """The flare end in the neck's wall."""
    end = d.draw.port
    return proved(weld_end_solid(end, port_frame(d)), volume=volume_of_turning(weld_end_outline(end)), part=NAME, step="port_boss",
                  dimensions=end)


def tube_bore(d: DeepPanDimensions) -> float:
    """Of the pickup's tube: what its wall leaves."""
    return d.draw.outer - 2 * TUBE_WALL_MM


def bell_floor(d: DeepPanDimensions) -> float:
    """Height over the mouth of the floor of the bell's socket."""
    return RECESS_MM + abs(d.draw.bell / 2 - LEDGE_MM - tube_bore(d) / 2)


def bell_outline(d: DeepPanDimensions) -> Loop:
    """Half section (radius, height over the mouth): recess for the strainer, ledge, 45 degree cone, socket for the tube."""
    mouth, throat, floor = d.draw.bell / 2, tube_bore(d) / 2, bell_floor(d)
    socket = d.draw.outer / 2 + SOCKET_PLAY_MM
    rim, collar = mouth + BELL_WALL_MM, d.draw.outer / 2 + BELL_COLLAR_MM
    return polygon_loop([
        (mouth, 0), (rim, 0), (rim, BELL_LIP_MM), (collar, BELL_LIP_MM + abs(rim - collar)), (collar, floor + SOCKET_MM),
        (socket, floor + SOCKET_MM), (socket, floor), (throat, floor), (mouth - LEDGE_MM, RECESS_MM), (mouth, RECESS_MM)])


def mouth_frame(d: DeepPanDimensions) -> Frame:
    """Frame at the middle of the mouth, z up."""
    return frame(origin=(d.draw.x, d.draw.y, d.draw.mouth_z), x=(1, 0, 0), z=(0, 0, 1))


def bell(d: DeepPanDimensions) -> cq.Solid:
    """The turned bell."""
    outline = bell_outline(d)
    return proved(turned(outline, where=mouth_frame(d)), volume=volume_of_turning(outline), part=NAME, step="bell", dimensions=d.draw)


def strainer(d: DeepPanDimensions) -> cq.Solid:
    """The perforated disc against the bell's ledge."""
    disc = flat(d.draw.bell)
    return proved(prism(disc.outer, height=THICKNESS_MM, holes=disc.holes, where=strainer_frame(d)), volume=disc.area * THICKNESS_MM, part=NAME,
                  step="strainer", dimensions=d.draw)


def strainer_frame(d: DeepPanDimensions) -> Frame:
    """Frame of the disc: z as of the mouth, the lower side at 0."""
    return mouth_frame(d) @ frame(origin=(0, 0, RECESS_MM - THICKNESS_MM), x=(1, 0, 0), z=(0, 0, 1))


def elbow(d: DeepPanDimensions) -> ElbowTube:
    """The pickup's tube: from the port's socket to the axis of the bell and down into its socket."""
    draw, i = d.draw, d.inside
    drop = draw.leg_z - draw.mouth_z - bell_floor(d) - END_GAP_MM
    return ElbowTube(draw.outer, tube_bore(d), i.corners[-1][0] - i.side * draw.y - END_GAP_MM, drop)


def riser_length(d: DeepPanDimensions) -> float:
    """Length, mm, of a tube that rises straight from its socket in the bell."""
    return d.draw.top_z - d.draw.mouth_z - bell_floor(d) - END_GAP_MM


def pickup_tube(d: DeepPanDimensions) -> cq.Solid:
    """The tube: mitred on its way to a port, straight where it rises."""
    if d.draw.port is None:
        where = mouth_frame(d) @ frame(origin=(0, 0, bell_floor(d) + END_GAP_MM), x=(1, 0, 0), z=(0, 0, 1))
        outer, bore, length = d.draw.outer, tube_bore(d), riser_length(d)
        return proved(tube(outer=outer, bore=bore, length=length, where=where), volume=math.pi / 4 * (outer**2 - bore**2) * length,
                      part=NAME, step="pickup_tube", dimensions=d.draw)
    made = elbow(d)
    where = elbow_frame(d)
    volume = math.pi / 4 * (made.outer**2 - made.bore**2) * (made.reach + made.drop)
    return proved(elbow_solid(made).moved(location(where)), volume=volume, part=NAME, step="pickup_tube", dimensions=made)


def elbow_frame(d: DeepPanDimensions) -> Frame:
    """Where the mitred tube starts, its leg along x."""
    i = d.inside
    origin = across(d, s=i.corners[-1][0] - END_GAP_MM, z=d.draw.leg_z, x=d.draw.x)
    return frame(origin=origin, x=(0, -i.side, 0), z=(0, 0, 1))


def strut_outline(d: DeepPanDimensions) -> Loop:
    """Outline (x, z) of the strip that holds a long leg: from the sump's rear end to the tube's side, under its elbow and no
    lower than the leg."""
    draw, end = d.draw, d.draw.x - d.draw.outer / 2 - STRUT_OFF_MM
    low, high = draw.leg_z - draw.outer / 2 + STRUT_OFF_MM, draw.leg_z - STRUT_OFF_MM
    return polygon_loop([(d.inside.x0, low), (end, low), (end, high), (d.inside.x0, high)])


def strut(d: DeepPanDimensions) -> cq.Solid:
    """The strip, upright in the plane of the bell's axis along the crank."""
    outline, t = strut_outline(d), d.thickness
    return proved(prism(outline, height=t, where=strut_frame(d)), volume=signed_area(outline) * t, part=NAME, step="strut", dimensions=d.draw)


def strut_frame(d: DeepPanDimensions) -> Frame:
    """Frame of the strip: x along the crank, y up."""
    return frame(origin=(0, d.draw.y + d.thickness / 2, 0), x=(1, 0, 0), z=(0, -1, 0))


def rim(d: DeepPanDimensions) -> np.ndarray:
    """Points (n, 3) on the inner edge of the bell's mouth."""
    return mouth_frame(d).points(ring(d.draw.bell / 2, (1, 0, 0), (0, 1, 0)))[:-1]
