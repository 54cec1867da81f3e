"""The gate baffle: real flaps swung in small steps, pins pushed at, plates put together."""

import itertools
import math
import random
from types import SimpleNamespace

import cadquery as cq
import fcl
import manifold3d
import numpy as np
import pytest
import trimesh

from generators import standards
from generators.meshes import CHORD_MM, solid_mesh
from generators.parts.gate_baffle import dimension, part
from generators.parts.gate_baffle.reasons import needed_area, through_area

STEP = math.radians(5)
MEET_MM = 0.3
"""Pieces nearer than this meet: they must be welded there, or be known to touch."""


def given(*, gates=1, cell=(110.0, 130.0), opening=(60.0, 40.0), flap=1.2, angle=40.0, sheet=2.0, floor=120.0, height=None,
          deep_pan=None, material="5052-H32"):
    """Parameters as the parameter file's records have them (mm, rad)."""
    name = SimpleNamespace
    baffle = name(floor_depth=floor, cell=name(length=cell[0], width=cell[1]), gates_per_side=gates, wall_height=height,
                  opening=name(width=opening[0], height=opening[1]), flap_thickness=flap, open_angle=math.radians(angle))
    return name(gate_baffle=baffle, deep_pan=deep_pan, pan_rail=name(length=420.0, below_crank=62.0),
                sheet=name(material=material, density=standards.material(material).density, thickness=sheet, bend_radius=1.5 * sheet,
                           k_factor=0.42))


REGION = SimpleNamespace(lowest=-94.0)

CASES = {
    "usual": given(),
    "inches": given(cell=(114.3, 127.0), opening=(57.15, 38.1), flap=1.27),
    "two a side": given(gates=2, cell=(130.0, 150.0), opening=(36.0, 30.0)),
    "three a side": given(gates=3, cell=(150.0, 160.0), opening=(30.0, 25.0), angle=30.0, sheet=1.5),
    "wide angle": given(cell=(95.0, 100.0), opening=(28.0, 20.0), angle=60.0),
    "small cell": given(cell=(60.0, 64.0), opening=(20.0, 16.0), deep_pan=SimpleNamespace(
        sump=None, pickup=SimpleNamespace(x=90.0, y=5.0, bore=12.0, floor_gap=8.0))),
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
        points = [self.meshes[r].vertices @ t.getRotation().T + t.getTranslation()
                  for r in self.riders(index) for t in (self.swung(index, a) for a in steps)]
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


def metal(mesh: trimesh.Trimesh) -> manifold3d.Manifold:
    return manifold3d.Manifold(manifold3d.Mesh64(np.ascontiguousarray(mesh.vertices, float), np.ascontiguousarray(mesh.faces, np.uint64)))


@pytest.fixture(scope="module", params=list(CASES))
def built(request) -> Built:
    return Built(CASES[request.param])


@pytest.fixture(scope="module")
def usual() -> Built:
    return Built(CASES["usual"])


# ---------------------------------------------------------------- pieces


def test_every_copy_is_one_valid_closed_solid(built):
    for piece in built.part.pieces:
        for solid in piece.solids:
            assert solid.isValid() and len(solid.Shells()) == 1 and solid.Volume() == pytest.approx(piece.volume, rel=1e-9)
    assert {p.kind for p in built.part.pieces} == {"plate", "folded", "tube", "turned"}


def test_plates_weigh_their_flat_pattern(built):
    for piece in built.part.pieces:
        if piece.kind == "plate":
            assert piece.volume == pytest.approx(piece.flat.area * piece.thickness, rel=1e-9)


def test_no_piece_reaches_into_another(built):
    """Copies whose boxes meet share no metal at all: every fit in this part has play."""
    for (a, m), (b, n) in itertools.combinations(built.meshes.items(), 2):
        if near_boxes(m, n, 0):
            assert abs((metal(m) ^ metal(n)).volume()) < 1e-6, (a, b)


def test_pieces_meet_only_where_they_are_joined_or_known_to_touch(built):
    met = set()
    for (a, m), (b, n) in itertools.combinations(built.meshes.items(), 2):
        if near_boxes(m, n, MEET_MM) and apart(built.trees[a], built.trees[b]) < MEET_MM:
            met.add(frozenset((a[0], b[0])))
    assert met <= built.part.joined
    shut = built.part.joined - {frozenset(("flap", "stop"))}
    assert met == shut, f"joined but apart: {[set(p) for p in shut - met]}"


def test_welds_lie_where_both_pieces_are(built):
    for seam in built.part.seams:
        for name in (seam.a, seam.b):
            solids = cq.Compound.makeCompound(built.part.piece(name).solids)
            middles = (seam.path[1:] + seam.path[:-1]) / 2
            away = [cq.Vertex.makeVertex(*map(float, p)).distance(solids) for p in (*seam.path, *middles)]
            assert max(away) <= MEET_MM / 2, (seam.a, seam.b, name)


def test_every_copy_that_does_not_move_is_welded_to_the_rest(usual):
    """Grown from one wall along the welds, the fixed body takes in every copy that is not loose."""
    fixed = [k for k in usual.meshes if not usual.part.piece(k[0]).loose]
    links = {k: set() for k in fixed}
    for seam in usual.part.seams:
        start = cq.Vertex.makeVertex(*map(float, seam.path[0]))
        held = [k for k in fixed if k[0] in (seam.a, seam.b)
                and start.distance(usual.part.piece(k[0]).solids[k[1]]) <= MEET_MM / 2]
        for a, b in itertools.permutations(held, 2):
            links[a].add(b)
    found, todo = set(), [fixed[0]]
    while todo:
        here = todo.pop()
        if here not in found:
            found.add(here)
            todo += links[here]
    assert found == set(fixed)


def test_copies_stand_symmetrically_about_the_cell(built):
    """Half a turn about the cell's middle takes the part onto itself: front is rear, left is right."""
    for piece in built.part.pieces:
        middle = np.mean([s.Center().toTuple()[:2] for s in piece.solids], axis=0)
        assert middle == pytest.approx((built.d.x, built.d.y), abs=1e-6)


# ---------------------------------------------------------------- the swing


def test_flaps_swing_clear_of_everything_and_end_on_their_stops(built):
    """Each flap with its knuckles in steps of 5 degrees against all that is not its own seat, stop and hinge, all other
    flaps shut; then against its own."""
    keep = standards.FLAP_SIDE_GAP.least
    for index, hinge in enumerate(built.part.hinges):
        riders, own = built.riders(index), built.own(index)
        mine = set(riders) | set().union(*own.values())
        steps = np.append(np.arange(0.0, hinge.open_angle, STEP), hinge.open_angle)
        way = built.way_of(index, steps)
        others = [k for k, m in built.meshes.items() if k not in mine and near_boxes(way, m, NEAR_MM)]
        for angle in steps:
            here = built.swung(index, angle)
            for rider in riders:
                for k in others:
                    assert apart(built.trees[rider], built.trees[k], here) >= keep, (rider, k, angle)
            flap = built.trees["flap", index]
            assert min(apart(flap, built.trees[k], here) for k in own["wall"]) > 0
            assert min(apart(flap, built.trees[k], here) for k in own["wall_knuckle"]) > 0
            assert min(apart(flap, built.trees[k], here) for k in own["stop"]) > 0
        at_stops = [apart(built.trees["flap", index], built.trees[k], built.swung(index, hinge.open_angle)) for k in own["stop"]]
        assert max(at_stops) < MEET_MM
        before = [apart(built.trees["flap", index], built.trees[k], built.swung(index, hinge.open_angle - STEP)) for k in own["stop"]]
        assert min(before) > max(at_stops)


def test_stops_stop(built):
    """Two degrees beyond the open angle every flap would be inside its stops."""
    for index, hinge in enumerate(built.part.hinges):
        here = built.swung(index, hinge.open_angle + math.radians(2))
        assert all(apart(built.trees["flap", index], built.trees[k], here) <= 0 for k in built.own(index)["stop"])


def test_seats_stop_flaps_from_swinging_outwards(built):
    for index in range(len(built.part.hinges)):
        here = built.swung(index, math.radians(-2))
        assert all(apart(built.trees["flap", index], built.trees[k], here) <= 0 for k in built.own(index)["wall"])


def test_neighbouring_flaps_clear_each_other_at_any_two_angles(built):
    tenth = np.linspace(0, built.d.open_angle, 5)
    flaps = range(len(built.part.hinges))
    for a, b in itertools.combinations(flaps, 2):
        for alpha, beta in itertools.product(tenth, tenth):
            gap = apart(built.trees["flap", a], built.trees["flap", b], built.swung(a, alpha), built.swung(b, beta))
            assert gap >= standards.FLAP_SIDE_GAP.least, (a, b, alpha, beta)


def test_flaps_clear_the_pickup_and_the_floor(built):
    """A pickup of the given bore whose bell stands anywhere over the floor."""
    d = built.d
    bell = trimesh.creation.cylinder(radius=d.bell / 2, height=d.lid_top)
    bell.apply_translation((d.x, d.y, d.floor_z + d.lid_top / 2))
    for index, hinge in enumerate(built.part.hinges):
        for angle in (0.0, hinge.open_angle / 2, hinge.open_angle):
            here = built.swung(index, angle)
            assert apart(built.trees["flap", index], tree(bell), here) >= 2.9
            low = min((built.meshes["flap", index].vertices @ here.getRotation().T + here.getTranslation())[:, 2])
            assert low > d.floor_z + 1.0


def test_gravity_shuts_the_flaps(built):
    """The flap's centre of mass, knuckles with it, hangs 2 degrees or more past its hinge, on the inside (common practice:
    2 to 5; more where flap and sheet are thick)."""
    for index, hinge in enumerate(built.part.hinges):
        flap = built.part.piece("flap").solids[index]
        arm = np.array(flap.Center().toTuple()) - hinge.point
        inwards = np.cross(hinge.axis, (0, 0, -1))
        lean = math.atan2(arm @ inwards, -arm[2])
        assert math.radians(2) <= lean <= math.radians(5.5)
        assert lean == pytest.approx(built.d.lean, abs=math.radians(0.1))


def test_riding_knuckles_turn_about_their_flaps_axis(built):
    for index, hinge in enumerate(built.part.hinges):
        for name, copy in built.riders(index)[1:]:
            off = np.array(built.part.piece(name).solids[copy].Center().toTuple()) - hinge.point
            assert np.linalg.norm(np.cross(off, hinge.axis)) < 1e-6
            assert abs(off @ hinge.axis) < built.d.flap.width / 2


# ---------------------------------------------------------------- the pin


def test_pins_cannot_leave(built):
    """Pushed along, a pin meets the ends of its window within the float of the practice; pushed aside, its knuckles."""
    for index, hinge in enumerate(built.part.hinges):
        own, axis = built.own(index), np.array(hinge.axis)
        pin, (wall,) = built.trees["hinge_pin", index], own["wall"]
        for side in (1, -1):
            free, caught = (fcl.Transform(np.eye(3), axis * side * by) for by in (0.2, standards.HINGE_FLOAT.greatest / 2))
            assert apart(pin, built.trees[wall], free) > 0
            assert apart(pin, built.trees[wall], caught) <= 0
        for way in (np.cross(axis, (0, 0, 1)), np.array((0, 0, 1.0))):
            for side in (1, -1):
                aside = fcl.Transform(np.eye(3), way * side * standards.KNUCKLE_CLEARANCE.greatest)
                assert all(apart(pin, built.trees[k], aside) <= 0 for k in own["wall_knuckle"])


def test_pins_keep_their_window_even_against_a_thin_wall(built):
    """What the wall covers of the pin's end face, a strip of a circle: at least half of it."""
    d = built.d
    r = d.hinge.pin / 2
    strip = sum(r**2 * math.asin(x / r) + x * math.sqrt(r**2 - x**2) for x in (min(r, d.hinge.setback), min(r, d.thickness - d.hinge.setback)))
    assert strip >= math.pi * r**2 / 2


def test_hinge_float_and_clearance_follow_practice(built):
    """Common practice: bore 0.10 to 0.20 over the pin, axial float 0.3 to 0.8 in all."""
    knuckle = built.part.piece("flap_knuckle").solids[0]
    radii = sorted(f.toPln() if f.geomType() == "PLANE" else f._geomAdaptor().Cylinder().Radius() for f in knuckle.Faces()
                   if f.geomType() == "CYLINDER")
    assert 0.10 <= 2 * radii[0] - built.d.hinge.pin <= 0.20 + 1e-9
    gaps = [apart(built.trees["flap_knuckle", 0], t) for k, t in built.trees.items() if k[0] == "wall_knuckle"]
    assert 0.3 <= sum(sorted(gaps)[:2]) <= 0.8


# ---------------------------------------------------------------- the cell


def test_openings_are_as_asked_and_seats_overlap_all_round(built):
    d = built.d
    flap = np.array([v[:2] for v in built.part.piece("flap").flat.outer.vertices])
    for name, gates in (("end_wall", d.end_gates), ("side_wall", d.side_gates)):
        holes = [h.points for h in built.part.piece(name).flat.holes]
        openings = [h for h in holes if np.allclose(np.ptp(h, axis=0), (d.opening_width, d.opening_height))]
        assert len(openings) == len(gates)
        for hole, u in zip(openings, gates, strict=True):
            low, high = hole.min(axis=0) - (u, 0), hole.max(axis=0) - (u, 0)
            overlap = [*(low - flap.min(axis=0)), *(flap.max(axis=0) - high)]
            assert min(overlap) >= 2.0 - 1e-9


def test_walls_drain_and_stand_on_their_feet(built):
    low = {name: mesh.bounds[0, 2] - built.d.floor_z for (name, _), mesh in built.meshes.items()}
    assert low["foot"] == pytest.approx(0, abs=1e-6)
    assert 0 < low["end_wall"] <= 0.5 and 0 < low["side_wall"] <= 0.5
    assert min(v for k, v in low.items() if k != "foot") > 0


def test_lid_keeps_below_the_swing_and_lets_the_pickup_through(built):
    top = max(s.BoundingBox().zmax for p in built.part.pieces for s in p.solids)
    assert top <= REGION.lowest - 5.0
    hole = next(h.as_circle() for h in built.part.piece("lid").flat.holes if h.as_circle())
    assert hole[0] == pytest.approx((0, 0)) and hole[1] > built.d.bell / 2


def test_openings_pass_what_the_pump_draws(usual):
    """1.5 x the pickup's bore (common practice): 1.5 x pi/4 x 22^2 = 570.2 mm2; even one wall alone has it."""
    assert needed_area(usual.d) == pytest.approx(570.2, abs=0.05)
    assert through_area(usual.d) >= needed_area(usual.d)


def test_meshes_are_closed(usual):
    from generators.meshes import part_meshes

    made = part_meshes(usual.part)
    assert made.joined.is_watertight and made.fixed.is_watertight
    assert made.joined.volume == pytest.approx(sum(p.volume * p.quantity for p in usual.part.pieces), rel=0.01)
    assert CHORD_MM < usual.d.hinge.knuckle_bore - usual.d.hinge.pin


def test_cell_follows_the_deep_pan():
    pickup = SimpleNamespace(x=90.0, y=-12.0, bore=19.0, floor_gap=8.0)
    deep = SimpleNamespace(pickup=pickup, sump=SimpleNamespace(x=95.0, depth=131.0))
    made = dimension(given(deep_pan=deep), REGION)
    assert (made.x, made.y, made.floor_z, made.pickup_bore) == (90.0, -12.0, -62.0 - 131.0, 19.0)
    bare = dimension(given(deep_pan=SimpleNamespace(pickup=None, sump=deep.sump)), REGION)
    assert (bare.x, bare.y) == (95.0, 0.0)


def test_taller_walls_when_asked():
    assert dimension(given(height=75.0), REGION).wall_height == 75.0


# ---------------------------------------------------------------- what does not fit


@pytest.mark.parametrize("asked, key, numbers", [
    (given(opening=(120.0, 40.0)), "cell.length", ("130.7", "110.0")),
    (given(gates=2), "cell.length", ("138.2", "110.0")),
    (given(angle=60.0), "open_angle", ("0.75",)),
    (given(cell=(100.0, 100.0), opening=(20.0, 40.0)), "open_angle", ("18.0", "19.5")),
    (given(angle=80.0), "open_angle", ("80.0", "70")),
    (given(floor=90.0), "opening.height", ("66.8", "50.9")),
    (given(height=50.0), "wall_height", ("50.0", "66.8")),
    (given(height=100.0), "wall_height", ("100.0", "80.9")),
    (given(cell=(300.0, 300.0), opening=(60.0, 160.0), angle=20.0, floor=300.0), "opening.height", ("160.0", "2 deg")),
    (given(opening=(8.0, 20.0)), "opening.width", ("12.0", "15")),
])
def test_what_does_not_fit_says_what_needs_what(asked, key, numbers):
    with pytest.raises(ValueError, match=f"gate_baffle.{key}: ") as said:
        dimension(asked, REGION)
    assert all(n in str(said.value) for n in numbers), said.value
    assert any(w in str(said.value) for w in ("lower", "narrow", "smaller", "wide", "between", "leave it out")), said.value


def test_any_size_either_fits_in_plan_or_is_refused():
    """400 seeded sizes: what is accepted keeps its flaps apart, off the bell and inside the walls."""
    rng, accepted = random.Random(7), 0
    for _ in range(400):
        cell = (rng.uniform(70, 200), rng.uniform(70, 200))
        asked = given(gates=rng.randint(1, 3), cell=cell, opening=(rng.uniform(15, 90), rng.uniform(12, 60)), flap=rng.uniform(0.8, 3),
                      angle=rng.uniform(20, 60), sheet=rng.choice([1.5, 2.0, 3.0]), floor=rng.uniform(110, 160))
        try:
            d = dimension(asked, REGION)
        except ValueError as refused:
            assert str(refused).startswith("gate_baffle.")
            continue
        accepted += 1
        assert (d.opening_width, d.opening_height) == (asked.gate_baffle.opening.width, asked.gate_baffle.opening.height)
        assert max(d.end_gates) + d.window_half < d.width / 2 and max(d.side_gates) + d.window_half < d.length / 2
        assert d.lid_top + d.floor_z <= REGION.lowest - 5 + 1e-9 and d.lean >= math.radians(2)
        assert all(s.because and s.key.startswith("gate_baffle.") for s in d.sized)
    assert 40 < accepted < 360
