"""Dimensions -> pieces: each sheet piece from one description, each copy placed in the engine frame (mm)."""

import math

import cadquery as cq
import numpy as np

from generators import standards
from generators.outlines import Loop, circle, moved, polygon_loop, rectangle
from generators.parts.gate_baffle import blanks
from generators.parts.gate_baffle.dimension import GateBaffleDimensions
from generators.parts.gate_baffle.hinge import FIT_MM, SEAT_GAP_MM
from generators.parts.gate_baffle.joints import into, seams, touching
from generators.parts.gate_baffle.walls import (
    END_WALL,
    FRONT_WALL,
    HIGH_WALL,
    LOW_WALL,
    REAR_WALL,
    SIDE_WALL,
    UP,
    Wall,
    at,
    gate_walls,
    hinges,
    shifted,
    turned_over,
    walls,
)
from generators.pieces import Part, Piece, Tube
from generators.sheet.channel import Channel
from generators.sheet.folded import FoldedSheet, flat_of, plate
from generators.sheet.frames import frame
from generators.sheet.solids import folded_solid, location, prism, proved, tube, turned

PART = "gate_baffle"

KNUCKLE_MATERIALS = {"aluminium": "6061-T6"}
"""Alloy that tube is sold in, by family; tube of the other families is as the sheet."""

PIN_MATERIAL = "303"
"""Stainless pin: aluminium on aluminium galls (common practice)."""

PIN_CHAMFER_MM = 0.3


def _copies(solid: cq.Solid, frames) -> tuple[cq.Solid, ...]:
    return tuple(solid.moved(location(f)) for f in frames)


def _sheet_piece(
    d: GateBaffleDimensions, name: str, sheet: FoldedSheet, frames, *, loose: bool = False, note: str = ""
) -> Piece:
    solid = folded_solid(sheet, part=PART, step=f"making {name}")
    kind = "folded" if sheet.bends else "plate"
    return Piece(
        name, kind, d.material, d.density, _copies(solid, frames), sheet.thickness, flat_of(sheet), loose, note,
        laid=tuple(frames),
    )


def _plate(
    d: GateBaffleDimensions,
    name: str,
    outer: Loop,
    frames,
    *,
    holes=(),
    thickness: float | None = None,
    loose: bool = False,
    note: str = "",
) -> Piece:
    sheet = plate(outer=outer, thickness=thickness or d.thickness, holes=holes, k_factor=d.k_factor)
    return _sheet_piece(d, name, sheet, frames, loose=loose, note=note)


# ---------------------------------------------------------------- walls, lid, feet


def _walls(d: GateBaffleDimensions) -> list[Piece]:
    """End and side walls, each piece from the first wall that is a copy of it."""
    every = walls(d)
    named = {w.piece: w for w in reversed(every)}
    order = [name for name in (END_WALL, FRONT_WALL, REAR_WALL, SIDE_WALL, LOW_WALL, HIGH_WALL) if name in named]
    return [_wall(d, named[name], [w for w in every if w.piece == name]) for name in order]


def _wall(d: GateBaffleDimensions, wall: Wall, copies: list[Wall]) -> Piece:
    outer = (blanks.end_wall if wall.is_end else blanks.side_wall)(d, wall)
    frames = [turned_over(w) if w.is_turned else shifted(w, n=-d.thickness) for w in copies]
    return _plate(d, wall.piece, outer, frames, holes=blanks.wall_holes(d, wall), note=_wall_note(d, copies))


def _wall_note(d: GateBaffleDimensions, copies: list[Wall]) -> str:
    note = "flat on the bench: hinges and stops are fitted before the walls are joined"
    if d.footing.is_scribed:
        note += f"; lower edge scribed to the pan, {d.footing.gap:g} mm off it: " + (
            "feet hold it down" if d.foot else
            "the cell, lid and all, is stitched to the floor from outside before the sump's end plates close the way to it")
    return note + ("; the rear one is turned over, left for right" if any(w.is_turned for w in copies) else "")


def _lid(d: GateBaffleDimensions) -> Piece:
    where = frame(origin=(d.x, d.y, d.footing.floor_z + d.wall_height + FIT_MM), x=(1, 0, 0), z=UP)
    return _plate(d, "lid", blanks.lid(d), [where], holes=[blanks.pickup_hole(d), *_lid_slots(d)], note=_lid_note(d))


def _lid_note(d: GateBaffleDimensions) -> str:
    """How the pickup gets through the lid."""
    if not d.footing.is_scribed:
        return ""
    if d.has_leg:
        return ("the cell is welded in first; the pickup is lowered through the lid's opening with its leg to the falling side, then "
                "the port is pushed over the tube from outside")
    return ("the pickup hangs from the engine: its bell enters the lid's opening as the pan is offered up; lift the pan straight, the "
            "flaps shut")


def _lid_slots(d: GateBaffleDimensions) -> list[Loop]:
    """Slots for the walls' tabs, about the cell's middle."""
    out = []
    for wall in walls(d):
        for u0, u1, n0, n1 in blanks.lid_slot_sizes(d, wall):
            corners = [at(wall, u, 0.0, n)[:2] for u, n in ((u0, n0), (u1, n0), (u1, n1), (u0, n1))]
            out.append(moved(polygon_loop(corners), x=-d.x, y=-d.y))
    return out


def _foot(d: GateBaffleDimensions) -> Piece:
    """An L: one leg on the wall's outer face, one on the floor with a bolt hole in its flat part."""
    foot, t = d.foot, d.thickness
    section = Channel(((t, foot.height), (t, t), (foot.reach, t)), t, d.bend_radius, foot.width, d.k_factor)
    from_edge = standards.least_hole_to_edge(t, formed=True).value + foot.hole / 2
    flat = foot.reach - t - d.bend_radius
    hole = circle(x=foot.width / 2, y=flat - from_edge, radius=foot.hole / 2)
    frames = []
    for wall in walls(d):
        if wall.is_end == foot.at_ends:
            outwards = -wall.frame.matrix[:3, 2]
            along, up = blanks.foot_ways(d, wall)
            upright = up[0] * wall.frame.matrix[:3, 0] + up[1] * wall.frame.matrix[:3, 1]
            for u in foot.places:
                start = np.array([u, blanks.foot_floor(d, wall, u)]) - foot.width / 2 * along
                frames.append(section.root(origin=at(wall, *start, -t - FIT_MM), u=outwards, v=upright))
    note = "weld to the floor, or bolt to studs welded in it: a through bolt would leak"
    return _sheet_piece(d, "foot", section.sheet({1: (hole,)}), frames, note=note)


# ---------------------------------------------------------------- gates


def _flap(d: GateBaffleDimensions) -> Piece:
    frames = [shifted(w, u=u, v=w.lift, n=SEAT_GAP_MM) for w, u in gate_walls(d)]
    note = "knuckles to its upper edge, on the side of the wall; has to fall shut by its own weight before the cell is closed"
    return _plate(d, "flap", blanks.flap(d), frames, thickness=d.flap.thickness, loose=True, note=note)


def _stop(d: GateBaffleDimensions) -> Piece:
    """Stops stand square to their wall: their own x runs inwards, their thickness along the wall."""
    frames = []
    for wall, u in gate_walls(d):
        along, inwards = wall.frame.matrix[:3, 0], wall.frame.matrix[:3, 2]
        frames += [
            frame(origin=at(wall, u + p + d.thickness / 2, wall.lift, 0.0), x=inwards, z=-along) for p in d.stop.places
        ]
    note = f"into its slot from inside, flap held against it at {math.degrees(d.open_angle):.0f} degrees, then welded on the wall's outside"
    return _plate(d, "stop", blanks.stop(d), frames, note=note)


def _row(d: GateBaffleDimensions, starts) -> list:
    """Frames on the hinge axes whose z runs along the wall, at the given starts from each gate's middle."""
    return [
        frame(origin=at(w, u + s, d.axis + w.lift, -d.hinge.setback), x=UP, z=w.frame.matrix[:3, 0])
        for w, u in gate_walls(d)
        for s in starts
    ]


def knuckle_material(d: GateBaffleDimensions) -> tuple[str, float]:
    """Name and density (kg/m3) of the tube that knuckles are cut from; the sheet's own where its family is not
    known."""
    if d.material in standards.material_names():
        other = KNUCKLE_MATERIALS.get(standards.material(d.material).family)
        if other:
            return other, standards.material(other).density
    return d.material, d.density


def _knuckle(d: GateBaffleDimensions, name: str, ends, *, loose: bool) -> Piece:
    h = d.hinge
    volume = math.pi / 4 * (h.knuckle_outer**2 - h.knuckle_bore**2) * h.knuckle_length
    solid = proved(
        tube(outer=h.knuckle_outer, bore=h.knuckle_bore, length=h.knuckle_length),
        volume=volume,
        part=PART,
        step=f"making {name}",
        dimensions=h,
    )
    material, density = knuckle_material(d)
    return Piece(
        name,
        "tube",
        material,
        density,
        _copies(solid, _row(d, [a for a, _ in ends])),
        loose=loose,
        note=f"{h.knuckle_outer:g} mm tube, {h.knuckle_length:.1f} mm long, reamed {h.knuckle_bore:.2f} mm",
        stock=Tube(h.knuckle_outer, h.knuckle_bore, h.knuckle_length),
    )


def pin_outline(d: GateBaffleDimensions) -> Loop:
    """Half section of a pin in (radius, height): both ends chamfered."""
    r, length, c = d.hinge.pin / 2, d.hinge.length, PIN_CHAMFER_MM
    return polygon_loop([(0, 0), (r - c, 0), (r, c), (r, length - c), (r - c, length), (0, length)])


def _pin(d: GateBaffleDimensions) -> Piece:
    r, c, length = d.hinge.pin / 2, PIN_CHAMFER_MM, d.hinge.length
    ends = 2 * math.pi * c / 3 * (r**2 + r * (r - c) + (r - c) ** 2)
    solid = proved(
        turned(pin_outline(d)),
        volume=math.pi * r**2 * (length - 2 * c) + ends,
        part=PART,
        step="turning hinge_pin",
        dimensions=d.hinge,
    )
    density = standards.material(PIN_MATERIAL).density
    return Piece(
        "hinge_pin",
        "turned",
        PIN_MATERIAL,
        density,
        _copies(solid, _row(d, [-length / 2])),
        loose=True,
        note=f"{d.hinge.pin:g} x {length:.1f} mm, ends chamfered; loose in its knuckles; the ends of the wall's window keep "
        "it in",
    )


def pieces(d: GateBaffleDimensions) -> tuple[Piece, ...]:
    """Every piece, each copy in the engine frame with the flaps shut. Raises KernelFailure."""
    return (
        *_walls(d),
        _lid(d),
        *([_foot(d)] if d.foot else []),
        _stop(d),
        _flap(d),
        _knuckle(d, "flap_knuckle", blanks.flap_knuckles(d), loose=True),
        _knuckle(d, "wall_knuckle", blanks.wall_knuckles(d), loose=False),
        _pin(d),
    )


def compartment(d: GateBaffleDimensions) -> cq.Solid:
    """The cell to the middle of its walls, floor and lid: it reaches a little under the lowest of the floor, so that only
    the pan bounds it there."""
    x, y = (d.length + d.thickness) / 2, (d.width + d.thickness) / 2
    low, high = d.footing.lowest - UNDER_FLOOR_MM, d.wall_height + FIT_MM + d.thickness / 2
    where = frame(origin=(d.x, d.y, d.footing.floor_z + low), x=(1, 0, 0), z=UP)
    return prism(rectangle(x0=-x, y0=-y, x1=x, y1=y), height=high - low, where=where)


def brim(d: GateBaffleDimensions) -> np.ndarray:
    """Points (n, 3) mm on the rim of the lid's opening, at its underside."""
    x, y = d.pickup
    turns = 2 * math.pi * np.arange(BRIM_POINTS) / BRIM_POINTS
    r, z = d.lid_hole / 2, d.footing.floor_z + d.wall_height + FIT_MM
    return np.column_stack([d.x + x + r * np.cos(turns), d.y + y + r * np.sin(turns), np.full(BRIM_POINTS, z)])


BRIM_POINTS = 24
UNDER_FLOOR_MM = 1.0
"""How far a compartment reaches under the floor."""


def part(d: GateBaffleDimensions) -> Part:
    """The gate baffle as made, in the engine frame (mm), flaps shut."""
    return Part(PART, pieces(d), d, d.sized, seams(d), touching(d), hinges(d), compartment=compartment(d), brim=brim(d),
                into=into(d))
