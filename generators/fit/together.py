"""Every part of a design against everything that stands round it in the vehicle."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from trimesh import remesh

from generators.bodies import Body, body, moved, part_bodies
from generators.crank import SweptRegion
from generators.fit import access, cures
from generators.fit.block import NAME as BLOCK
from generators.fit.block import block
from generators.fit.ground import ground
from generators.fit.groups import Group, Pair
from generators.fit.movement import Mounts, mounts
from generators.fit.nearest import room_to
from generators.fit.placing import Placing
from generators.fit.record import Access, Cure, Fit, Ground, Obstruction, Row
from generators.meshes import PartMeshes
from generators.sheet.frames import Frame
from generators.standards import bolt
from generators.sump.notch import Taken, taken

PANS = ("deep_pan", "scavenge_pan")
"""Parts whose flange is bolted to the rail."""

FLANGE, INSIDE = "flange", "inside"

TANK_GAP_MM = 10.0
"""Least room between a tank on the chassis and an engine that moves beside it (common practice)."""

BLOCK_MM = 0.1
"""An obstacle that is nearer to the engine's block touches it."""

LOWEST_MM = 300.0
"""No engine is lowered by more than this for the sake of a shallower pan."""

CELL_MM, MOST_CELLS = 30.0, 25
"""What is in a file is covered by boxes about this wide, by no more than so many along its longest side."""

DOWN = np.array([0.0, 0.0, -1.0])
GROUND = "the ground"
NO_VEHICLE = "the file has no [vehicle] table"
NO_HEIGHT = "vehicle.rail_above_ground is not given: nobody knows how high the engine stands"


def fits(parameters, region: SweptRegion, meshes: Mapping[str, PartMeshes], placing: Placing, obstructions: Sequence[Obstruction], *,
         holds_only: Sequence[str] = ()) -> Fit:
    """How the parts fit. `meshes` by part name, those `holds_only` among them of which only the inside is known; the parameters
    with a box round each obstacle whose shape is in a file."""
    vehicle = parameters.vehicle
    if vehicle is None or vehicle.rail_above_ground is None:
        return Fit(reason=NO_VEHICLE if vehicle is None else NO_HEIGHT)
    return _Looked(parameters, region, _bodies(meshes, placing, holds_only), placing, tuple(obstructions)).fit()


def boxed(parameters, obstructions: Sequence[Obstruction]):
    """The parameters with boxes (mm, vehicle frame) that cover each obstacle whose shape is in a file, in place of the file: for what
    is sized before anything is looked at."""
    vehicle = parameters.vehicle
    if vehicle is None or not obstructions:
        return parameters
    by_label = {o.label: o for o in obstructions}
    seen = [b for o in vehicle.obstacle for b in ([o] if o.file is None else _boxes(o, by_label[o.label]))]
    return parameters.model_copy(update={"vehicle": vehicle.model_copy(update={"obstacle": tuple(seen)})})


def _boxes(obstacle, found: Obstruction) -> list:
    """An obstacle as many that are boxes: its skin cut up by a grid seen from above, and a box round what is in each cell, from the
    lowest to the highest of it."""
    cell, out = max(CELL_MM, found.extent / MOST_CELLS), []
    for of in found.bodies:
        vertices, faces = remesh.subdivide_to_size(of.vertices, of.faces, max_edge=cell)
        triangles = vertices[faces]
        _, same = np.unique(np.floor(triangles.mean(axis=1)[:, :2] / cell).astype(int), axis=0, return_inverse=True)
        low, high = np.full((same.max() + 1, 3), np.inf), np.full((same.max() + 1, 3), -np.inf)
        np.minimum.at(low, same.reshape(-1), triangles.min(axis=1))
        np.maximum.at(high, same.reshape(-1), triangles.max(axis=1))
        out += [obstacle.model_copy(update={"file": None, "box": (tuple(map(float, a)), tuple(map(float, b)))}) for a, b in zip(low, high, strict=True)]
    return out


def placed(of: Body, at: Frame) -> Body:
    """The body carried from its part's frame into the vehicle's."""
    return moved(of, turn=at.matrix[:3, :3], shift=at.matrix[:3, 3])


def _bodies(meshes: Mapping[str, PartMeshes], placing: Placing, holds_only: Sequence[str]) -> dict[str, tuple[Body, ...]]:
    """The bodies of each part that has its place in the vehicle; of a pan that is there already its inside."""
    out = {p.part.name: tuple(placed(b, p.at) for b in part_bodies(meshes[p.part.name])) for p in placing.parts
           if p.part.name not in placing.beside}
    insides = {name: replace(body(INSIDE, meshes[name].oil_space), solid=meshes[name].part.cavity) for name in holds_only}
    return out | {name: (placed(inside, placing.engine),) for name, inside in insides.items()}


@dataclass(frozen=True, eq=False)
class _Looked:
    """One design in its vehicle. `bodies` by part as they lie at rest in the vehicle's frame."""

    parameters: object
    region: SweptRegion
    bodies: Mapping[str, tuple[Body, ...]]
    placing: Placing
    obstructions: tuple[Obstruction, ...]

    @cached_property
    def fixed(self) -> frozenset[str]:
        """The parts that stand on the chassis."""
        return frozenset(p.part.name for p in self.placing.parts if p.part.own_frame and p.part.name in self.bodies)

    @cached_property
    def mounts(self) -> Mounts:
        """What the engine's mounts allow."""
        rail = self.parameters.pan_rail
        return mounts(self.parameters.vehicle, below_crank=rail.below_crank, rail_length=rail.length)

    @cached_property
    def block(self) -> Group:
        """The room of the engine's block."""
        return Group(BLOCK, (placed(block(self.parameters.pan_rail), self.placing.engine),), True)

    def part(self, name: str) -> Group:
        """One part."""
        return Group(name, self.bodies[name], name not in self.fixed)

    def all_on(self, *, engine: bool) -> Group:
        """Every part on the engine, or on the chassis, as one."""
        names = [n for n in self.bodies if (n not in self.fixed) == engine]
        return Group("engine" if engine else "tank", tuple(b for n in names for b in self.bodies[n]), engine)

    @cached_property
    def obstacles(self) -> Mapping[str, Group]:
        """The obstacles, by label."""
        return {o.label: Group(o.name, o.bodies, o.moves_with_engine) for o in self.obstructions}

    # ------------------------------------------------------------ one against another

    def row(self, obstruction: Obstruction, part: Group, obstacle: Group, *, wanted: float) -> Row:
        """One part against one obstacle."""
        pair = Pair(part, obstacle, wanted, self.mounts)
        found = pair.nearest()
        return Row(obstruction, part.name, wanted, found, pair.meeting(found))

    def rows(self) -> tuple[Row, ...]:
        """Every part against every obstacle."""
        return tuple(self.row(o, self.part(name), self.obstacles[o.label], wanted=o.gap) for o in self.obstructions for name in self.bodies)

    def block_rows(self) -> tuple[Row, ...]:
        """Every obstacle on the chassis against the block."""
        return tuple(self.row(o, self.block, self.obstacles[o.label], wanted=BLOCK_MM) for o in self.obstructions if not o.moves_with_engine)

    def tank_row(self) -> Row | None:
        """What moves with the engine against the tank on the chassis."""
        tank = self.all_on(engine=False)
        if not tank.bodies:
            return None
        name = next(iter(self.fixed))
        as_one = Obstruction(name, name, tank.bodies, (), TANK_GAP_MM, False, 0.0, "a part")
        groups = [self.block, *(self.part(n) for n in self.bodies if n not in self.fixed)]
        return min((self.row(as_one, group, tank, wanted=TANK_GAP_MM) for group in groups), key=lambda r: r.clearance)

    def all_of_engine(self) -> Group:
        """Every part on the engine and its block."""
        parts = self.all_on(engine=True)
        return Group(parts.name, (*parts.bodies, *self.block.bodies), True)

    # ------------------------------------------------------------ what would help

    def pairs(self, *, engine: bool) -> list[tuple[str, Pair]]:
        """Everything that comes nearer or farther when the engine, or else the tank, is moved; what it is called."""
        mine, out = self.all_on(engine=engine), []
        for o in self.obstructions:
            if mine.bodies and not (engine and o.moves_with_engine):
                out.append((o.name, Pair(mine, self.obstacles[o.label], o.gap, self.mounts)))
            if engine and not o.moves_with_engine:
                out.append((f"{o.name} to the engine's block", Pair(self.block, self.obstacles[o.label], BLOCK_MM, self.mounts)))
        tank = self.all_on(engine=False)
        if tank.bodies:
            out.append(("the tank to the engine", Pair(self.all_of_engine(), tank, TANK_GAP_MM, self.mounts)))
        return out

    def left(self, by: np.ndarray, *, engine: bool) -> tuple[str, ...]:
        """What falls short with the engine, or else the tank, moved by a shift (3,) mm."""
        by = np.asarray(by, float)
        return tuple(name for name, pair in self.pairs(engine=engine)
                     if pair.is_short(by if pair.turns[0].on_engine == engine else -by))

    def remedies(self, rows: Sequence[Row]) -> dict[str, tuple[Cure, ...]]:
        """What would make each obstacle that is too near hold; by label."""
        out = {}
        for o in self.obstructions:
            short = [r for r in rows if r.obstruction is o and r.falls_short]
            if short:
                found = [c for engine in (True, False) for c in self.moves(o, short, engine=engine)]
                out[o.label] = (*found, *self.steps(o, short), *cures.stiffer(short))
        return out

    def moves(self, obstruction: Obstruction, short: Sequence[Row], *, engine: bool) -> list[Cure]:
        """The engine, or else the tank, moved until it is clear of one obstacle, where any of it is too near."""
        if not any((r.part not in self.fixed) == engine for r in short) or (engine and obstruction.moves_with_engine):
            return []
        pair = Pair(self.all_on(engine=engine), self.obstacles[obstruction.label], obstruction.gap, self.mounts)
        return cures.moves("the engine" if engine else "the tank", pair, left=lambda by: self.left(by, engine=engine))

    def steps(self, obstruction: Obstruction, short: Sequence[Row]) -> list[Cure]:
        """The step in the pan that is too near to an obstacle."""
        pan = next((p.part for p in self.placing.parts if p.part.name in PANS and p.part.name in {r.part for r in short}), None)
        if pan is None:
            return []
        there = self.in_engine(pan.name)
        near = np.min([b.box[0] for b in there], axis=0), np.max([b.box[1] for b in there], axis=0)
        room = _together([t for t in taken(self.parameters, near=near) if t.name == obstruction.name], *near)
        if room is None:
            return []
        said = next((s.because for s in pan.sized if s.key == f"{pan.name}.notch" and s.value == "none"), "")
        asked = getattr(self.parameters, pan.name)
        return cures.notch(near, room, self.region, floor=asked.floor_clearance if asked else 0.0,
                           thickness=self.parameters.sheet.thickness, said=said)

    def in_engine(self, part: str) -> list[Body]:
        """The bodies of a part in the engine's frame."""
        back = np.linalg.inv(self.placing.engine.matrix)
        return [moved(b, turn=back[:3, :3], shift=back[:3, 3]) for b in self.bodies[part]]

    def spare(self, remedies: Mapping[str, Sequence[Cure]], found: Ground | None) -> tuple[float, str]:
        """How far (mm) the engine can go down, less than nothing where it must come up, and what stops it."""
        ways = [(LOWEST_MM, "nothing")]
        if found is not None:
            ways.append((found.clearance - found.wanted, GROUND))
        most = min(LOWEST_MM, *(max(by, 0.0) for by, _ in ways))
        ups = {o.name: next((c.by for c in remedies.get(o.label, ()) if c.way == "up"), cures.MOST_MM) for o in self.obstructions}
        for name, pair in self.pairs(engine=True):
            if pair.is_short():
                ways.append((-ups.get(name, cures.MOST_MM), name))
            else:
                moving, standing = pair.turns
                around = standing.swelled(pair.allowed.shifts)
                ways.append((room_to(moving.bodies, around, pair.allowed, direction=DOWN, wanted=pair.wanted, most=most), name))
        return min(ways, key=lambda way: way[0])

    def access(self) -> tuple[Access, ...]:
        """The room round each bolt's tool."""
        rail = self.parameters.pan_rail
        pan = next((name for name in PANS if name in self.bodies and name not in self.fixed), None)
        flange = [b for b in self.in_engine(pan) if b.name == FLANGE] if pan else []
        if not flange or not self.obstructions:
            return ()
        return access.access(rail.bolts, self.obstructions, self.placing.engine, underside=float(min(b.box[0, 2] for b in flange)),
                             wanted=bolt(rail.bolt_size).tool_radius)

    def fit(self) -> Fit:
        """All of it."""
        vehicle, rows = self.parameters.vehicle, self.rows()
        found, under = (ground(bodies, self.fixed, self.mounts, wanted=vehicle.ground_clearance, travel=vehicle.suspension_travel)
                        for bodies in (self.bodies, {n: b for n, b in self.bodies.items() if n not in self.fixed}))
        remedies = self.remedies(rows)
        drop, stop = self.spare(remedies, under)
        return Fit(self.mounts, self.obstructions, self.bodies, self.fixed, rows, self.block_rows(), self.tank_row(), found, under,
                   self.access(), remedies, drop, stop)


def _together(rooms: Sequence[Taken], low: np.ndarray, high: np.ndarray) -> Taken | None:
    """All of what an obstacle takes that reaches into the box from `low` to `high` (3,), as one; None where nothing does."""
    hit = [t for t in rooms if (t.low < high).all() and (low < t.high).all()]
    return Taken(hit[0].name, np.min([t.low for t in hit], axis=0), np.max([t.high for t in hit], axis=0)) if hit else None
