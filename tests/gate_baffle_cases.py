"""Gate baffles of many sizes, built once each, with what is needed to swing their flaps and measure gaps."""

import math
from functools import cache
from types import SimpleNamespace

import fcl
import numpy as np
import trimesh

from generators import standards
from generators.meshes import solid_mesh
from generators.parameters import Oil
from generators.parts.gate_baffle import dimension, part

MEET_MM = 0.3
"""Pieces nearer than this meet: they must be welded there, or be known to touch."""


def given(
    *,
    gates=1,
    cell=(110.0, 130.0),
    opening=(60.0, 40.0),
    flap=1.2,
    angle=40.0,
    sheet=2.0,
    floor=120.0,
    height=None,
    deep_pan=None,
    material="5052-H32",
):
    """Parameters as the parameter file's records have them (mm, rad)."""
    name = SimpleNamespace
    baffle = name(
        floor_depth=floor,
        cell=name(length=cell[0], width=cell[1]),
        gates_per_side=gates,
        wall_height=height,
        opening=name(width=opening[0], height=opening[1]),
        flap_thickness=flap,
        open_angle=math.radians(angle),
        head_loss=5.0,
    )
    return name(
        engine=name(lubrication="dry", oil_flow=None),
        oil=Oil(),
        driving=name(cornering=15.0),
        gate_baffle=baffle,
        deep_pan=deep_pan,
        pan_rail=name(length=420.0, below_crank=62.0),
        sheet=name(
            material=material,
            density=standards.material(material).density,
            thickness=sheet,
            bend_radius=1.5 * sheet,
            k_factor=0.42,
        ),
    )


REGION = SimpleNamespace(lowest=-94.0)

CASES = {
    "usual": given(),
    "inches": given(cell=(114.3, 127.0), opening=(57.15, 38.1), flap=1.27),
    "two a side": given(gates=2, cell=(130.0, 150.0), opening=(36.0, 30.0)),
    "three a side": given(gates=3, cell=(150.0, 160.0), opening=(30.0, 25.0), angle=30.0, sheet=1.5),
    "wide angle": given(cell=(95.0, 100.0), opening=(28.0, 20.0), angle=60.0),
    "small cell": given(
        cell=(60.0, 64.0),
        opening=(20.0, 16.0),
        deep_pan=SimpleNamespace(sump=None, pickup=SimpleNamespace(x=90.0, y=5.0, bore=12.0, floor_gap=8.0)),
    ),
    "thick flap, small angle": given(cell=(120.0, 130.0), opening=(64.0, 45.0), flap=3.0, angle=20.0, sheet=3.0),
    "stainless": given(material="304", flap=0.8, sheet=1.5, height=80.0),
}


NEAR_MM = 5.0
"""What is farther than this from all that a flap passes is left out of the close look."""


class Built:
    """A part with a mesh and a search tree for each copy of each piece, and its flaps' hinges."""

    def __init__(self, parameters):
        self.d = dimension(parameters, REGION)
        self.part = part(self.d)
        self.meshes = {(p.name, i): solid_mesh(s) for p in self.part.pieces for i, s in enumerate(p.solids)}
        self.trees = {key: tree(mesh) for key, mesh in self.meshes.items()}
        self.knuckles = self.part.piece("flap_knuckle").quantity // len(self.part.hinges)

    def riders(self, index: int) -> list[tuple[str, int]]:
        """Copies that swing with the flap `index`."""
        return [("flap", index), *(("flap_knuckle", index * self.knuckles + k) for k in range(self.knuckles))]

    def swung(self, index: int, angle: float) -> fcl.Transform:
        """Where the flap `index` and its riders go at `angle` rad."""
        hinge = self.part.hinges[index]
        m = trimesh.transformations.rotation_matrix(angle, hinge.axis, hinge.point)
        return fcl.Transform(m[:3, :3], m[:3, 3])

    def way_of(self, index: int, steps) -> trimesh.Trimesh:
        """All that the flap `index` and its knuckles pass, as a cloud of their corners."""
        points = [
            self.meshes[r].vertices @ t.getRotation().T + t.getTranslation()
            for r in self.riders(index)
            for t in (self.swung(index, a) for a in steps)
        ]
        return trimesh.PointCloud(np.vstack(points))

    def own(self, index: int) -> dict[str, set[tuple[str, int]]]:
        """The wall, stops, pin and wall knuckles of the gate `index`."""
        gates, d = len(self.part.hinges), self.d
        share = {name: self.part.piece(name).quantity // gates for name in ("stop", "wall_knuckle", "hinge_pin")}
        out = {n: {(n, index * k + j) for j in range(k)} for n, k in share.items()}
        ends = 2 * len(d.end_gates)
        if index < ends:
            return out | {"wall": {("end_wall", index // len(d.end_gates))}}
        return out | {"wall": {("side_wall", (index - ends) // len(d.side_gates))}}


def tree(mesh: trimesh.Trimesh) -> fcl.BVHModel:
    made = fcl.BVHModel()
    made.beginModel(len(mesh.vertices), len(mesh.faces))
    made.addSubModel(np.asarray(mesh.vertices), np.asarray(mesh.faces))
    made.endModel()
    return made


def apart(a, b, here=None, there=None) -> float:
    """Distance between two trees, mm; 0 or less where they meet."""
    one, other = fcl.CollisionObject(a, here or fcl.Transform()), fcl.CollisionObject(b, there or fcl.Transform())
    return fcl.distance(one, other, fcl.DistanceRequest(), fcl.DistanceResult())


def near_boxes(a: trimesh.Trimesh, b: trimesh.Trimesh, by: float) -> bool:
    return bool((a.bounds[0] - by < b.bounds[1]).all() and (b.bounds[0] - by < a.bounds[1]).all())


@cache
def case(name: str) -> Built:
    """The built baffle of one of CASES."""
    return Built(CASES[name])
