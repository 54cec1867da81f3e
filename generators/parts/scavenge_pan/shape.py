"""Dimensions -> the pieces of the scavenge pan in the engine frame, and the part that they make."""

import math

import numpy as np

from generators import standards
from generators.fittings import (
    BASE_MM,
    ElbowTube,
    boss_material,
    drain_boss,
    drain_boss_solid,
    drain_plug_solid,
    elbow_end,
    elbow_mitre,
    elbow_solid,
    elbow_words,
    flare_words,
    hole_for,
    hose_end_words,
    weld_end_solid,
)
from generators.outlines import Loop, circle, polygon_loop, rectangle, signed_area
from generators.parts.scavenge_pan.dimension import (
    DRAIN_THREAD,
    FIT_MM,
    SCREEN_THICKNESS_MM,
    SLOPE,
    WELD_LEG_MM,
    Pickup,
    ScavengePanDimensions,
    divider_corners,
)
from generators.parts.scavenge_pan.screen import radius, screen_corners, screen_sheet
from generators.pieces import Extra, HoseEnd, Mouth, Part, Piece, Seam, Tube
from generators.sheet.channel import closed, spread
from generators.sheet.flat import FlatPattern
from generators.sheet.folded import flat_of
from generators.sheet.frames import Frame, frame
from generators.sheet.solids import folded_solid, location, prism, proved

NAME = "scavenge_pan"

OPENING_CORNER_MM = 4.0
"""Corner radius of the flange's opening: a laser or a cutter turns there without stopping."""

REACHED = np.linspace(-2 * math.pi / 3, 2 * math.pi / 3, 17)
"""Turn (rad from the top) of a pickup's tube over which a torch reaches its joint with the boss: its own lower leg stands before the rest."""

RIM_POINTS = 24
"""Points on the rim of a pickup's mouth."""


def pieces(d: ScavengePanDimensions) -> tuple[Piece, ...]:
    """Every piece of the pan, placed. Raises KernelFailure where one does not come out as described."""
    return (_flange(d), _trough(d), _ends(d), *_dividers(d), *_screens(d), _ports(d), *_tubes(d), _drain(d), _plug(d))


def part(d: ScavengePanDimensions) -> Part:
    """The welded pan with its seams, its inside and its pickups."""
    made = pieces(d)
    return Part(NAME, made, d, sized=d.sized, seams=_seams(d, {p.name for p in made}),
                touching=(frozenset(("drain_plug", "drain_boss")),), cavity=_cavity(d),
                mouths=tuple(Mouth(p.name, _rim(d, p)) for p in d.pickups), extras=(Extra("hose_end", len(d.pickups), hose_end_words(d.port.dash)), Extra("test_cap", len(d.pickups), f"{d.port.dash} cap, for the leak test")),
                hose_ends=tuple(HoseEnd("port_boss", i, d.port.dash, _port_frame(d, p), BASE_MM) for i, p in enumerate(d.pickups)))


# ---------------------------------------------------------------- frames


def across(d: ScavengePanDimensions, *, s: float, z: float, x: float) -> np.ndarray:
    """The engine-frame point (3,) at s, z of the section and x along the crank."""
    return np.array([x, d.side * s, z])


def section_frame(d: ScavengePanDimensions, x: float) -> Frame:
    """Frame of the section at x: local (s, z), its z axis along +x or, mirrored, along -x."""
    return frame(origin=(x, 0, 0), x=(0, d.side, 0), z=(d.side, 0, 0))


def _slab(d: ScavengePanDimensions, outer: Loop, *, x0: float, x1: float, step: str, holes=()):
    """A section outline extruded from x0 to x1."""
    length = x1 - x0
    volume = length * (abs(signed_area(outer)) - sum(abs(signed_area(h)) for h in holes))
    return proved(prism(outer, height=length, holes=holes, where=_slab_frame(d, x0, x1)), volume=volume, part=NAME, step=step,
                  dimensions=f"x {x0} to {x1}")


def _slab_frame(d: ScavengePanDimensions, x0: float, x1: float) -> Frame:
    """Frame of a section that is extruded, along its own +z, from x0 to x1 or, mirrored, from x1 to x0."""
    return section_frame(d, x0 if d.side > 0 else x1)


def _along(d: ScavengePanDimensions, x: float) -> float:
    """Distance along the channel of the station x."""
    return x - d.opening.x0 if d.side > 0 else d.opening.x1 - x


def _wall(d: ScavengePanDimensions, p: Pickup) -> tuple[float, float, float]:
    """s of the inside of the wall at a pickup, height of its corner, and +1 where the pan lies at larger s."""
    if p.gutter:
        return d.corners[0][0], d.gutter[1], 1.0
    return d.corners[-1][0], d.corners[-2][1], -1.0


def _inwards(d: ScavengePanDimensions, p: Pickup) -> np.ndarray:
    return np.array([0.0, d.side * _wall(d, p)[2], 0.0])


# ---------------------------------------------------------------- sheet pieces


def _sheet_piece(d, name, kind, solids, flat, laid, thickness=None, note="") -> Piece:
    return Piece(name, kind, d.material, d.density, tuple(solids), thickness or d.thickness, flat, note=note, laid=tuple(laid))


def _flange(d: ScavengePanDimensions) -> Piece:
    o = d.opening
    holes = (rectangle(x0=o.x0, y0=o.y0, x1=o.x1, y1=o.y1, corner=OPENING_CORNER_MM),
             *(circle(x=x, y=y, radius=d.bolt_hole / 2) for x, y in d.bolts))
    flat = FlatPattern(d.flange_outline, holes)
    where = frame(origin=(0, 0, d.underside), x=(1, 0, 0), z=(0, 0, 1))
    solid = proved(prism(flat.outer, height=d.flange_thickness, holes=holes, where=where),
                   volume=flat.area * d.flange_thickness, part=NAME, step="flange", dimensions=o)
    return _sheet_piece(d, "flange", "plate", [solid], flat, [where], d.flange_thickness,
                        note="drill the bolt holes where the cutter cannot hold them; clamp flat to weld, then face the top flat")


def _trough(d: ScavengePanDimensions) -> Piece:
    channel = d.channel
    hole = hole_for(d.port.spigot_diameter) / 2
    faces = channel.faces()
    holes: dict[int, list[Loop]] = {0: [], 1: [], len(faces) - 1: []}
    for p in d.pickups:
        face = 0 if p.gutter else len(faces) - 1
        _, corner, _ = _wall(d, p)
        height = corner + d.port_height
        y = faces[0][0][1] - height if p.gutter else height - faces[-1][0][1]
        holes[face].append(circle(x=_along(d, p.x), y=y, radius=hole))
    boss = drain_boss(DRAIN_THREAD, thickness=d.thickness)
    holes[1].append(circle(x=_along(d, d.drain[0]), y=d.drain[1], radius=hole_for(boss.spigot_diameter) / 2))
    sheet = channel.sheet({k: tuple(v) for k, v in holes.items()})
    near = d.opening.x0 if d.side > 0 else d.opening.x1
    root = channel.root(origin=(near, 0, 0), u=(0, d.side, 0), v=(0, 0, 1))
    return _sheet_piece(d, "trough", "folded", [folded_solid(sheet, where=root, part=NAME, step="trough")], flat_of(sheet), [root])


def _ends(d: ScavengePanDimensions) -> Piece:
    outline = closed(d.channel.path(d.thickness))
    o, t = d.opening, d.thickness
    places = [(x, x + t) for x in (o.x0 - t, o.x1)]
    return _plates(d, "end_plate", outline, places, note="on the ends of the trough, flush with its outside")


def _plates(d: ScavengePanDimensions, name: str, outline: Loop, places, note: str) -> Piece:
    """Copies of one plate across the pan, from x0 to x1 of each of `places`."""
    solids = [_slab(d, outline, x0=x0, x1=x1, step=name) for x0, x1 in places]
    return _sheet_piece(d, name, "plate", solids, FlatPattern(outline), [_slab_frame(d, *p) for p in places], note=note)


def _dividers(d: ScavengePanDimensions) -> list[Piece]:
    if not d.dividers:
        return []
    outline = polygon_loop(divider_corners(d))
    places = [(x - d.thickness / 2, x + d.thickness / 2) for x in d.dividers]
    return [_plates(d, "divider", outline, places,
                    note="stitch to wall and floor; the cut corner lets the gutter drain past it")]


def _screens(d: ScavengePanDimensions) -> list[Piece]:
    out = []
    for name, gutter in (("screen", True), ("falling_side_screen", False)):
        here = [p for p in d.pickups if p.gutter == gutter]
        if here:
            sheet = screen_sheet(d, slope=SLOPE if gutter else -SLOPE)
            made = folded_solid(sheet, part=NAME, step=name)
            frames = [_screen_frame(d, p) for p in here]
            solids = [made.moved(location(f)) for f in frames]
            out.append(_sheet_piece(d, name, "folded", solids, flat_of(sheet), frames, SCREEN_THICKNESS_MM,
                                    note="close the two open corners of the hood with weld"))
    return out


def _screen_frame(d: ScavengePanDimensions, p: Pickup) -> Frame:
    """Frame of the screen's top: y from the wall inwards, z up."""
    s, corner, inwards = _wall(d, p)
    x_way = d.side * inwards
    half = (d.screen_length - 2 * (radius(d) + SCREEN_THICKNESS_MM)) / 2
    origin = across(d, s=s + inwards * FIT_MM, z=corner + d.screen_height - SCREEN_THICKNESS_MM, x=p.screen_x - x_way * half)
    return frame(origin=origin, x=(x_way, 0, 0), z=(0, 0, 1))


# ---------------------------------------------------------------- turned, tube and bought pieces


def _metal(d: ScavengePanDimensions) -> standards.Material:
    return boss_material(d.material, density=d.density)


def _port_frame(d: ScavengePanDimensions, p: Pickup) -> Frame:
    """Frame of a port: z outwards, z = 0 on the wall's outer face."""
    s, corner, inwards = _wall(d, p)
    origin = across(d, s=s - inwards * d.thickness, z=corner + d.port_height, x=p.x)
    return frame(origin=origin, x=(0, 0, 1), z=-_inwards(d, p))


def _ports(d: ScavengePanDimensions) -> Piece:
    m = _metal(d)
    made = proved(weld_end_solid(d.port), volume=None, part=NAME, step="port", dimensions=d.port)
    solids = [made.moved(location(_port_frame(d, p))) for p in d.pickups]
    return Piece("port_boss", "turned", m.name, m.density, tuple(solids), note=f"{flare_words(d.port.dash)}, weld-in; turn or buy")


def _tube(d: ScavengePanDimensions, p: Pickup) -> ElbowTube:
    return ElbowTube(d.port.tube_od, d.tube_bore, d.tube_reach, d.port_height - (_mouth_height(d, p) - _wall(d, p)[1]))


def _tube_frame(d: ScavengePanDimensions, p: Pickup) -> Frame:
    """Frame of a pickup tube: from the inside of the wall, x inwards, z up."""
    s, corner, _ = _wall(d, p)
    return frame(origin=across(d, s=s, z=corner + d.port_height, x=p.x), x=_inwards(d, p), z=(0, 0, 1))


def _mouth_height(d: ScavengePanDimensions, p: Pickup) -> float:
    """Height of the mouth: its gap above the highest floor under the rim."""
    s, _, inwards = _wall(d, p)
    rim = [s + inwards * (d.tube_reach + k * d.port.tube_od / 2) for k in (-1, 1)]
    return max(d.floor(r) for r in rim) + d.mouth_gap


def _tubes(d: ScavengePanDimensions) -> list[Piece]:
    m = _metal(d)
    out = []
    for name, gutter in (("pickup_tube", True), ("falling_side_pickup_tube", False)):
        here = [p for p in d.pickups if p.gutter == gutter]
        if here:
            tube = _tube(d, here[0])
            volume = math.pi / 4 * (tube.outer**2 - tube.bore**2) * (tube.reach + tube.drop)
            made = proved(elbow_solid(tube), volume=volume, part=NAME, step=name, dimensions=tube)
            solids = [made.moved(location(_tube_frame(d, p))) for p in here]
            out.append(Piece(name, "tube", m.name, m.density, tuple(solids),
                             note=f"{elbow_words(tube)}; goes into its port from inside once that is welded in; a slip fit that welds along the top and "
                                  "both sides hold: what leaks there draws air from the pan, as the stage does anyway; the hood after it", ends=(elbow_end(tube),),
                             stock=Tube(tube.outer, tube.bore, tube.reach + tube.drop)))
    return out


def _drain_frame(d: ScavengePanDimensions) -> Frame:
    """Frame of the drain: z down and square to the floor, z = 0 on its outer face."""
    (s0, z0), _ = d.channel.faces()[1]
    run = d.drain[1]
    c, k = math.cos(SLOPE), math.sin(SLOPE)
    s, z = s0 + run * c + d.thickness * k, z0 + run * k - d.thickness * c
    return frame(origin=across(d, s=s, z=z, x=d.drain[0]), x=(1, 0, 0), z=(0, d.side * k, -c))


def _drain(d: ScavengePanDimensions) -> Piece:
    m = _metal(d)
    boss = drain_boss(DRAIN_THREAD, thickness=d.thickness)
    solid = proved(drain_boss_solid(boss, _drain_frame(d)), volume=None, part=NAME, step="drain_boss", dimensions=boss)
    return Piece("drain_boss", "turned", m.name, m.density, (solid,),
                 note=f"{DRAIN_THREAD}, slotted at its foot; weld outside with a plug in, then face the seat square and chase the thread")


def _plug(d: ScavengePanDimensions) -> Piece:
    steel = standards.material("S235")
    solid = drain_plug_solid(drain_boss(DRAIN_THREAD, thickness=d.thickness), _drain_frame(d))
    return Piece("drain_plug", "bought", steel.name, steel.density, (solid,), loose=True,
                 note=f"{DRAIN_THREAD} hexagon plug with sealing washer, drilled for lock wire")


# ---------------------------------------------------------------- inside, mouths and seams


def _cavity(d: ScavengePanDimensions):
    """The inside, taken half way into the metal all round: what the pieces then cut out of it shares no face with them."""
    half = d.thickness / 2
    path = d.channel.path(half)
    (first, _, _), (last, _, _) = path[0], path[-1]
    inside = Loop((*path[:-1], (*path[-1][:2], 0.0), (last, d.top, 0.0), (first, d.top, 0.0)))
    return _slab(d, inside, x0=d.opening.x0 - half, x1=d.opening.x1 + half, step="inside")


def _rim(d: ScavengePanDimensions, p: Pickup) -> np.ndarray:
    """Points (n, 3) on the inner edge of a pickup's mouth."""
    s, _, inwards = _wall(d, p)
    centre = across(d, s=s + inwards * d.tube_reach, z=_mouth_height(d, p), x=p.x)
    return centre + ring(d.tube_bore / 2, (1, 0, 0), (0, 1, 0))[:-1]


def ring(r: float, a, b) -> np.ndarray:
    """A closed ring of points (RIM_POINTS + 1, 3) of radius r (mm) round the origin in the plane of a and b (3,)."""
    turn = np.linspace(0, 2 * math.pi, RIM_POINTS + 1)[:, None]
    return r * (np.cos(turn) * np.asarray(a, float) + np.sin(turn) * np.asarray(b, float))


def _seams(d: ScavengePanDimensions, names: set[str]) -> tuple[Seam, ...]:
    o, t = d.opening, d.thickness
    ends = (o.x0 - t, o.x1 + t)
    seams = [Seam("flange", "trough", _line(d, d.corners[i][0] + k * t, d.underside, o.x0, o.x1), t) for i, k in ((0, -1), (-1, 1))]
    outer = spread(d.channel.path(t))
    for end, x in zip(ends, (o.x0, o.x1)):
        run = [across(d, s=d.corners[i][0], z=d.underside, x=end) for i in (0, -1)]
        seams.append(Seam("flange", "end_plate", np.array(run), t))
        seams.append(Seam("trough", "end_plate", np.array([across(d, s=s, z=z, x=x) for s, z in outer]), t))
    for p in d.pickups:
        seams += _pickup_seams(d, p)
    if "divider" in names:
        foot = divider_corners(d)
        seams += [Seam("divider", "trough", np.array([across(d, s=s, z=z, x=x) for s, z in run]), t, leak_tight=False)
                  for x in d.dividers for run in (foot[0:2], foot[2:4])]
    where = _drain_frame(d)
    boss = drain_boss(DRAIN_THREAD, thickness=t)
    seams.append(Seam("drain_boss", "trough", where.points(ring(boss.spigot_diameter / 2, (1, 0, 0), (0, 1, 0))), t))
    return tuple(seams)


def _line(d, s, z, x0, x1) -> np.ndarray:
    return np.array([across(d, s=s, z=z, x=x) for x in (x0, x1)])


def _pickup_seams(d: ScavengePanDimensions, p: Pickup) -> list[Seam]:
    s, corner, inwards = _wall(d, p)
    side = "" if p.gutter else "falling_side_"
    screen, tube = f"{side}screen", f"{side}pickup_tube"
    port = _port_frame(d, p)
    base = port.points(ring(d.port.base_diameter / 2, (1, 0, 0), (0, 1, 0)))
    made = _tube(d, p)
    mitred = _tube_frame(d, p).points(elbow_mitre(made))
    mouth = _tube_frame(d, p).points([(d.port.inside, d.port.tube_od / 2 * math.sin(a), d.port.tube_od / 2 * math.cos(a)) for a in REACHED])
    half = d.screen_length / 2 - 2 * (radius(d) + SCREEN_THICKNESS_MM)
    top = np.array([across(d, s=s, z=corner + d.screen_height - SCREEN_THICKNESS_MM / 2, x=p.screen_x + k * half) for k in (-1, 1)])
    leg = s + inwards * d.screen_width
    foot = np.array([across(d, s=leg, z=d.floor(leg), x=p.screen_x + k * half) for k in (-1, 1)])
    return [Seam("port_boss", "trough", base, WELD_LEG_MM), Seam(tube, tube, mitred, (made.outer - made.bore) / 2),
            Seam("port_boss", tube, mouth, SCREEN_THICKNESS_MM, leak_tight=False), *_hood_corners(d, p, screen),
            Seam(screen, "trough", top, SCREEN_THICKNESS_MM, leak_tight=False),
            Seam(screen, "trough", foot, SCREEN_THICKNESS_MM, leak_tight=False)]


def _hood_corners(d: ScavengePanDimensions, p: Pickup, screen: str) -> list[Seam]:
    """The two open corners of a hood, from under its bends down to the shorter of the two folds that meet there."""
    ways = screen_corners(d, slope=SLOPE if p.gutter else -SLOPE)
    return [Seam(screen, screen, _screen_frame(d, p).points(way), SCREEN_THICKNESS_MM, leak_tight=False) for way in ways]
