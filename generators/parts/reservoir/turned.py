"""Solids of the tank's turned, tubular and bought pieces, in place. mm, rad."""

import math

import cadquery as cq
import numpy as np

from generators import standards
from generators.fittings import (
    SOCKET_MM,
    SOCKET_PLAY_MM,
    flare_top,
    hexagon,
    volume_of_turning,
    weld_end_outline,
    weld_end_solid,
)
from generators.outlines import Loop, circle, polygon_loop, signed_area
from generators.parts.reservoir.layout import DRAIN_THREAD
from generators.parts.reservoir.records import Outlet, RadialBoss, ReservoirDimensions
from generators.sheet.branches import Branch, branch_frame, disc_under_cylinder
from generators.sheet.frames import Frame, frame
from generators.sheet.rolled_solids import set_on_tube
from generators.sheet.solids import prism, proved, tube, turned

NAME = "reservoir"

SPOT_RADIUS_MM, SPOT_DEPTH_MM = 8.0, 1.0
"""Flat for the plug's washer on the round collar."""

HEAD_FLATS_MM, HEAD_MM, PLAY_MM = 13.0, 6.0, 0.1
"""The drain plug's head across flats and its height, and play of a shank drawn at the thread's minor diameter."""

SOCKET_GAP_MM = 0.3
"""Left between a tube's end and the floor of its socket: it grows when it is welded."""

CAP_SKIRT_MM, CAP_WALL_MM, CAP_PLUG_MM, CAP_PLAY_MM = 14.0, 3.0, 7.0, 0.3
"""A bought cap: how far its skirt and its plug reach down, its wall, and play round the neck."""

TUNNEL_MM = 2.0
"""Extra length of a cutting tool, so that it ends in free space."""


def _turning(outline: Loop, where: Frame | None, step: str) -> cq.Solid:
    return proved(turned(outline, where=where), volume=volume_of_turning(outline), part=NAME, step=step)


def outlet_outline(outlet: Outlet) -> Loop:
    """Half section of the outlet's end in (radius, distance below its top)."""
    f = outlet.flare
    outside = flare_top(bore=f.bore, major=f.major, minor=f.minor, start=outlet.top - outlet.foot, collar=outlet.radius)
    return polygon_loop(
        [(outlet.bore_radius, outlet.top - outlet.mouth), (outlet.funnel_radius, 0.0), (outlet.radius, 0.0), *outside]
    )


def _port(outlet: Outlet) -> Frame:
    """On the outlet's axis at its drain port, z out through the port, away from the bracket."""
    return frame(origin=(0, 0, outlet.port), x=(0, 0, 1), z=(1, 0, 0))


def outlet_solid(outlet: Outlet) -> cq.Solid:
    """The outlet's end, nose down, with the drain port across its collar."""
    outline = outlet_outline(outlet)
    down = frame(origin=(0, 0, outlet.top), x=(1, 0, 0), z=(0, 0, -1))
    body = _turning(outline, down, "turning the outlet")
    thread, flat = standards.bspp(DRAIN_THREAD).minor / 2, outlet.radius - SPOT_DEPTH_MM
    port = tube(outer=2 * thread, bore=0, length=flat + TUNNEL_MM, where=_port(outlet))
    spot = prism(
        circle(x=0, y=0, radius=SPOT_RADIUS_MM),
        height=SPOT_DEPTH_MM + TUNNEL_MM,
        where=_port(outlet) @ frame(origin=(0, 0, flat), x=(1, 0, 0), z=(0, 0, 1)),
    )
    gone = math.pi * thread**2 * flat - disc_under_cylinder(radius=outlet.bore_radius, disc=thread)
    gone += _beyond_flat(radius=outlet.radius, disc=SPOT_RADIUS_MM, flat=flat)
    cut = proved(body.cut(port, spot), volume=None, part=NAME, step="drilling the drain port", dimensions=outlet)
    return _held(cut, volume_of_turning(outline) - gone, "drilling the drain port")


def _beyond_flat(*, radius: float, disc: float, flat: float) -> float:
    """Metal of a cylinder of `radius` outside the plane at `flat`, within a disc of radius `disc` round its middle,
    mm3."""
    half = math.sqrt(radius**2 - flat**2)
    y = np.linspace(-min(half, disc), min(half, disc), QUADRATURE)
    return float(np.trapezoid(2 * np.sqrt(np.maximum(disc**2 - y**2, 0)) * (np.sqrt(radius**2 - y**2) - flat), y))


QUADRATURE = 20001
CUT_SHARE, KERNEL_SHARE = 1e-5, 1e-7
"""How closely a drilled solid must hold its volume, and to what share the kernel is asked to integrate it."""


def _held(solid: cq.Solid, volume: float, step: str) -> cq.Solid:
    """The solid, if it has this volume (mm3). Raises KernelFailure."""
    if abs(solid.Volume(KERNEL_SHARE) - volume) > CUT_SHARE * volume:
        return proved(solid, volume=volume, part=NAME, step=step)
    return solid


def drain_plug_solid(outlet: Outlet) -> cq.Solid:
    """The plug in its port: hexagon head on the flat, shank drawn at the thread's minor diameter, short of the bore."""
    flat = outlet.radius - SPOT_DEPTH_MM
    shank = standards.bspp(DRAIN_THREAD).minor / 2 - PLAY_MM
    inner = outlet.bore_radius + SPOT_DEPTH_MM
    flats = hexagon(HEAD_FLATS_MM)
    on = frame(origin=(0, 0, flat), x=(1, 0, 0), z=(0, 0, 1))
    head = prism(flats, height=HEAD_MM, where=_port(outlet) @ on)
    stem = prism(circle(x=0, y=0, radius=shank), height=inner - flat, where=_port(outlet) @ on)
    volume = signed_area(flats) * HEAD_MM + math.pi * shank**2 * (flat - inner)
    return proved(head.fuse(stem), volume=volume, part=NAME, step="the drain plug")


def inlet_tube_solid(d: ReservoirDimensions) -> cq.Solid:
    """The return tube, coped to the shell's outside."""
    i = d.inlet
    return set_on_tube(
        i.branch(i.radius),
        bore=2 * i.bore,
        shell_outside=d.outside_radius,
        mean_radius=d.mean_radius,
        end=i.end,
        part=NAME,
        step="coping the return tube",
    )


def inlet_end_frame(d: ReservoirDimensions) -> Frame:
    """On the return's axis at the mouth of the turned end's socket, z outwards."""
    start = frame(origin=(0, 0, d.inlet.end - SOCKET_MM), x=(1, 0, 0), z=(0, 0, 1))
    return branch_frame(d.inlet.branch(d.inlet.radius), mean_radius=d.mean_radius) @ start


def inlet_end_solid(d: ReservoirDimensions) -> cq.Solid:
    """The turned end on the return tube: a socket, a collar and a flare."""
    f, floor = d.inlet.flare, SOCKET_MM + SOCKET_GAP_MM
    socket = d.inlet.radius + SOCKET_PLAY_MM
    outside = flare_top(bore=f.bore, major=f.major, minor=f.minor, start=floor + SOCKET_MM, collar=d.inlet.collar)
    outline = polygon_loop([(socket, 0.0), (d.inlet.collar, 0.0), *outside, (f.bore / 2, floor), (socket, floor)])
    return _turning(outline, inlet_end_frame(d), "turning the return's end")


def boss_solid(boss: RadialBoss) -> cq.Solid:
    """A boss: a bored bar from its inside to its outside end."""
    c, s = math.cos(boss.azimuth), math.sin(boss.azimuth)
    where = frame(origin=(boss.inside * c, boss.inside * s, boss.height), x=(0, 0, 1), z=(c, s, 0))
    length = boss.outside - boss.inside
    return proved(
        tube(outer=2 * boss.radius, bore=2 * boss.bore, length=length, where=where),
        volume=math.pi * (boss.radius**2 - boss.bore**2) * length,
        part=NAME,
        step=f"the {boss.name}",
    )


def boss_branch(boss: RadialBoss) -> Branch:
    """The boss as a branch of its own size."""
    return Branch(boss.radius, boss.height, boss.azimuth)


def upright(x: float, z: float) -> Frame:
    """A frame at (x, 0, z) that only shifts."""
    return frame(origin=(x, 0, z), x=(1, 0, 0), z=(0, 0, 1))


def neck_top(d: ReservoirDimensions) -> float:
    """Height of the filler neck's rim."""
    return d.height + d.top_thickness + d.top.neck_height


def neck_solid(d: ReservoirDimensions) -> cq.Solid:
    """The filler neck, flush with the underside of the top plate, so that it traps no air."""
    length = d.top_thickness + d.top.neck_height
    return proved(
        tube(
            outer=2 * d.top.neck_radius, bore=2 * d.top.neck_bore, length=length, where=upright(d.top.neck_x, d.height)
        ),
        volume=math.pi * (d.top.neck_radius**2 - d.top.neck_bore**2) * length,
        part=NAME,
        step="the filler neck",
    )


def cap_solid(d: ReservoirDimensions) -> cq.Solid:
    """The cap: a lid on the rim, a skirt outside and a plug inside the neck."""
    plug, inner = d.top.neck_bore - CAP_PLAY_MM, d.top.neck_radius + CAP_PLAY_MM
    outer = inner + CAP_WALL_MM
    outline = polygon_loop(
        [
            (0, -CAP_PLUG_MM),
            (plug, -CAP_PLUG_MM),
            (plug, 0),
            (inner, 0),
            (inner, -CAP_SKIRT_MM),
            (outer, -CAP_SKIRT_MM),
            (outer, CAP_WALL_MM),
            (0, CAP_WALL_MM),
        ]
    )
    return _turning(outline, upright(d.top.neck_x, neck_top(d)), "the cap")


def breather_solid(d: ReservoirDimensions) -> cq.Solid:
    """The breather's flare end on the top plate."""
    top = upright(d.top.breather_x, d.height + d.top_thickness)
    return proved(
        weld_end_solid(d.top.breather, top),
        volume=volume_of_turning(weld_end_outline(d.top.breather)),
        part=NAME,
        step="turning the breather",
    )


def cavity_solid(d: ReservoirDimensions) -> cq.Solid:
    """The gross inside: shell, base and the outlet's funnel, up to the underside of the top plate."""
    o, r = d.outlet, d.inside_radius
    cone = [(d.cone_foot, o.top), (r, 0)] if d.cone_depth else [(r, 0)]
    return _turning(
        polygon_loop(
            [(0, o.mouth), (o.bore_radius, o.mouth), (o.funnel_radius, o.top), *cone, (r, d.height), (0, d.height)]
        ),
        None,
        "the inside",
    )


def bracket_places(d: ReservoirDimensions) -> list[Frame]:
    """Frame of each bracket's back plate: x along +y, y up, z towards the tank."""
    b = d.brackets
    return [frame(origin=(-b.reach - d.thickness, -b.width / 2, z), x=(0, 1, 0), z=(1, 0, 0)) for z in b.heights]
