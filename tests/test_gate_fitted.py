"""The gate baffle in a deep pan: scribed to floor and corners, clear of pickup and leg, one compartment of the oil."""

import math

import numpy as np
import pytest
import shapely
from gate_fitted_cases import CASES, Built, built, in_given_pan, wet

from generators.checks import _gate_baffle, general
from generators.outlines import flattened, signed_area
from generators.parts.gate_baffle import dimension
from generators.parts.gate_baffle.stand import BESIDE_PAN_MM
from generators.sheet.solids import INTEGRATION

ROOT_GAP_MM = 0.5
"""The widest root that is welded without a drop falling through (common practice)."""


@pytest.fixture(scope="module", params=list(CASES))
def fitted(request) -> Built:
    return built(request.param)


def section(b: Built) -> shapely.Polygon:
    """The sump's inside (y, z) from its folded section: not the line that the walls are scribed along."""
    return shapely.Polygon(flattened(b.inside.section()) * (b.inside.side, 1.0))


def lowest(mesh, y: float) -> float:
    """Lowest of a mesh at y."""
    return float(mesh.section(plane_origin=(0, y, 0), plane_normal=(0, 1, 0)).vertices[:, 2].min())


# ---------------------------------------------------------------- in the pan


def test_checks_pass(fitted):
    """All but the heads, which a file may fail or leave unknown."""
    found = [*general(fitted.parameters, fitted.part, fitted.meshes, fitted.bodies), *_gate_baffle(fitted.case)]
    bad = [(c.id, c.value, c.limit, c.method) for c in found if c.status not in ("pass", "caution") and "head_" not in c.id]
    assert not bad, bad
    assert {"flap_clearance", "flap_opening", "stop", "opening_area", "interpenetration"} <= {c.id.split(".")[1] for c in found}


def test_nothing_comes_nearer_to_the_pan_than_the_weld_gap(fitted):
    room, top = section(fitted), fitted.inside.corners[0][1]
    for (name, _), mesh in fitted.meshes.copies.items():
        low = mesh.vertices[mesh.vertices[:, 2] < top - 1]
        gaps = shapely.distance(room.exterior, shapely.points(low[:, 1:]))
        assert shapely.contains_xy(room.buffer(1e-6), low[:, 1], low[:, 2]).all(), name
        assert gaps.min(initial=9.0) >= (-1e-6 if name == "foot" else 0.29), (name, gaps.min())
        assert (mesh.bounds[0, 0], -mesh.bounds[1, 0]) >= (fitted.inside.x0 + BESIDE_PAN_MM - 1e-6, -fitted.inside.x1 + BESIDE_PAN_MM - 1e-6)


def test_walls_follow_floor_and_corners_within_a_weld_s_root(fitted):
    d, room = fitted.d, section(fitted)
    for (name, _), mesh in fitted.meshes.copies.items():
        if name.startswith("end_wall"):
            half = d.width / 2 + d.thickness - 0.01
            ys = d.y + np.linspace(-half, half, 61)
        elif name.startswith("side_wall"):
            ys = np.array([mesh.bounds[0, 1] + 0.001, mesh.bounds[1, 1] - 0.001])
        else:
            continue
        gaps = [room.exterior.distance(shapely.Point(y, lowest(mesh, y))) for y in ys]
        if name.startswith("end_wall"):
            assert 0.28 <= min(gaps) and max(gaps) <= 0.32, (name, gaps)
        else:
            assert 0.29 <= min(gaps) <= ROOT_GAP_MM, (name, gaps)


def test_a_wall_in_the_corner_follows_its_arc():
    """Sump 175 mm wide, corners 12 mm: a cell 161 mm wide inside, walls 2 mm, ends 5 mm from the sump's wall, 7 mm into
    the arc. There the metal rises 12 - sqrt(12^2 - 7^2) = 2.253 mm; the edge 0.3 mm off it, on an arc of 11.7 mm about the
    same centre, 12 - sqrt(11.7^2 - 7^2) = 2.625 mm over the floor."""
    b = built("given")
    wall = b.meshes.copies["end_wall", 0]
    assert lowest(wall, b.d.y) - b.inside.lowest == pytest.approx(0.3, abs=1e-6)
    for side in (1, -1):
        end = lowest(wall, b.d.y + side * (82.5 - 1e-6))
        assert end - b.inside.lowest == pytest.approx(12 - math.sqrt(11.7**2 - 7**2), abs=2e-4)
    arcs = [v for v in b.part.piece("end_wall").flat.outer.vertices if v[2]]
    assert len(arcs) == 2


def test_sills_are_near_their_own_floor(fitted):
    """The opening's lower edge: a strip of two thicknesses and the weld's gap over the highest floor under it."""
    d, inside = fitted.d, fitted.inside
    for hinge in fitted.part.hinges:
        flap = fitted.meshes.copies["flap", hinge.index]
        sill = flap.bounds[0, 2] + 2.0
        ys = (hinge.point[1] + np.array([-0.5, 0.5]) * d.opening_width) if abs(hinge.axis[1]) > 0.5 else (
            d.y + math.copysign(d.width / 2 + d.thickness, hinge.point[1] - d.y),)
        floor = max(inside.bottom(float(y)) for y in ys)
        assert 2 * d.thickness <= sill - floor - 0.3 + 0.05 <= 2 * d.thickness + 3.0, (hinge.index, sill - floor)


def test_flaps_keep_off_the_floor_through_their_swing(fitted):
    from generators.bodies import body
    from generators.checks.gates import swung

    for hinge in fitted.part.hinges:
        flap = body("flap", fitted.meshes.copies["flap", hinge.index])
        for angle in np.linspace(0, hinge.open_angle, 9):
            points = swung(flap, hinge, angle).vertices
            assert min(z - fitted.inside.bottom(y) for _, y, z in points) > 0.5


def test_the_lid_lets_the_bell_through_and_keeps_under_the_leg(fitted):
    d, draw = fitted.d, fitted.draw
    lid = fitted.meshes.copies["lid", 0]
    if draw.leg_z is not None:
        assert lid.bounds[1, 2] <= draw.leg_z - draw.outer / 2 - 3.0
    else:
        assert lid.bounds[1, 2] <= fitted.region.lowest - 5.0
    centre, radius = next(h.as_circle() for h in fitted.part.piece("lid").flat.holes if h.as_circle())
    assert radius == pytest.approx(draw.bell_outside / 2 + 3)
    assert (d.x + centre[0], d.y + centre[1]) == pytest.approx((draw.x, draw.y))
    for key in ("x", "y"):
        half, off = (d.length, centre[0]) if key == "x" else (d.width, centre[1])
        assert half / 2 - abs(off) >= draw.bell_outside / 2 + 3


def test_the_rear_wall_is_the_front_one_turned_over(fitted):
    """One flat, two copies; mirrored about the cell's middle they are the same metal."""
    if fitted.d.blank:
        front, rear = (fitted.part.piece(f"end_wall_{end}") for end in ("front", "rear"))
        assert front.flat.outer == rear.flat.outer and front.flat.holes == () != rear.flat.holes
        return
    front, rear = (fitted.part.piece("end_wall").solids[i] for i in (0, 1))
    assert front.mirror("YZ", (fitted.d.x, 0, 0)).intersect(rear).Volume(INTEGRATION) == pytest.approx(
        front.Volume(INTEGRATION), rel=1e-6)


def test_a_pickup_close_to_one_end_leaves_that_wall_without_gates():
    """The flap of a gate there would not clear the bell: the wall at that end is blank, and three walls feed."""
    b = built("sprint_vee_six")
    assert b.d.blank == 1 and b.d.pickup[0] > 10 and b.d.gate_count == 3
    assert {h.point[0] > b.d.x + 1 for h in b.part.hinges if abs(h.axis[1]) > 0.5} == {False}
    why = next(s for s in b.d.sized if s.key == "gate_baffle.gateless_wall")
    assert why.value == "front" and "clear its bell" in why.because
    keep = {"gates_per_side": 1, "opening": {"width": b.d.opening_width, "height": b.d.opening_height}}
    p = b.parameters
    asked = type(p)(**{**dict(p), "gate_baffle": type(p.gate_baffle)(cell={"length": b.d.length}, **keep)})
    assert "bell" in refusal(asked), "with a gate on each wall, as given, it does not fit"


def test_side_walls_are_two_pieces_as_high_as_their_side_of_the_floor(fitted):
    heights = {n: np.ptp(fitted.part.piece(n).flat.outer.points[:, 1]) for n in ("side_wall_low", "side_wall_high")}
    inner, outer = fitted.d.width / 2, fitted.d.width / 2 + fitted.d.thickness
    under = [max(fitted.inside.bottom(fitted.d.y + side * fitted.inside.side * f, inset=0.3) for f in (inner, outer)) for side in (-1, 1)]
    assert heights["side_wall_low"] - heights["side_wall_high"] == pytest.approx(under[1] - under[0], abs=1e-6)
    if fitted.inside.radius < 5:  # a made pan's bends do not reach the walls
        fall = (fitted.d.width + fitted.d.thickness) * math.tan(fitted.inside.floor_slope)
        assert under[1] - under[0] == pytest.approx(fall, abs=0.1)
    low = np.mean([v.Y for v in fitted.part.piece("side_wall_low").solids[0].Vertices()])
    assert (low < fitted.d.y) == (fitted.inside.side > 0), "the floor falls to the rising side"


def test_drain_notches_are_at_the_lowest_and_a_small_leak(fitted):
    """Two quarter rounds of 6 mm: pi/2 6^2 = 56.5 mm2, as much as the low wall is short of its plain outline."""
    wall = fitted.part.piece("side_wall_low").flat.outer
    notches = [(v, w) for v, w in zip(wall.vertices, [*wall.vertices[1:], wall.vertices[0]], strict=True) if v[2] < 0]
    assert len(notches) == 2
    for v, w in notches:
        assert abs(v[0] - w[0]) == pytest.approx(6.0) and abs(v[1] - w[1]) == pytest.approx(6.0)
        assert min(v[1], w[1]) == pytest.approx(wall.points[:, 1].min())
    said = next(s for s in fitted.d.sized if s.key == "gate_baffle.drain_notches")
    assert float(said.value.split()[0]) == pytest.approx(math.pi / 2 * 36, abs=0.5)
    openings = fitted.d.gate_count * fitted.d.opening_width * fitted.d.opening_height
    assert math.pi / 2 * 36 < 0.03 * openings
    plain = abs(signed_area(type(wall)(tuple((x, y, 0.0) for x, y, _ in wall.vertices))))
    assert plain - abs(signed_area(wall)) == pytest.approx(2 * (math.pi / 4 - 0.5) * 36, rel=1e-9)


def test_feet_only_where_the_pan_is_there_already(fitted):
    names = {p.name for p in fitted.part.pieces}
    assert ("foot" in names) != fitted.inside.is_made
    if "foot" not in names:
        return
    for i in range(4):
        mesh = fitted.meshes.copies["foot", i]
        under = [v for v in mesh.vertices if v[2] - fitted.inside.floor(v[1]) < 0.01]
        assert len(under) >= 4 and min(v[2] - fitted.inside.floor(v[1]) for v in mesh.vertices) == pytest.approx(0, abs=1e-6)
        flat = np.array(under)
        assert np.ptp(flat[:, 0]) > 8 and np.ptp(flat[:, 1]) > 15, "it sits on the floor with its whole leg"


# ---------------------------------------------------------------- compartment


def test_the_compartment_reaches_to_the_middle_of_walls_and_lid(fitted):
    d, box = fitted.d, fitted.part.compartment.BoundingBox()
    walls = np.array([m.bounds for (n, _), m in fitted.meshes.copies.items() if "wall" in n and "knuckle" not in n])
    outer = walls[:, 0].min(axis=0), walls[:, 1].max(axis=0)
    half = d.thickness / 2
    assert (box.xmin, box.xmax) == pytest.approx((outer[0][0] + half, outer[1][0] - half))
    assert (box.ymin, box.ymax) == pytest.approx((outer[0][1] + half, outer[1][1] - half))
    lid = fitted.meshes.copies["lid", 0].bounds[:, 2]
    assert box.zmax == pytest.approx(lid.mean())
    under = min(fitted.inside.bottom(y) for y in np.linspace(box.ymin, box.ymax, 50))
    assert under - 2 <= box.zmin < under
    assert fitted.part.compartment.Volume(INTEGRATION) == pytest.approx(
        (d.length + 2) * (d.width + 2) * (box.zmax - box.zmin) if d.thickness == 2 else
        (box.xmax - box.xmin) * (box.ymax - box.ymin) * (box.zmax - box.zmin))
    assert fitted.part.cavity is None and not fitted.part.mouths


# ---------------------------------------------------------------- mirror


def test_the_other_rotation_mirrors_the_part():
    ways = [Built(wet("hillclimb_four", crank={"rotation": r})) for r in ("clockwise", "anticlockwise")]
    one, other = (b.part for b in ways)
    assert [b.inside.side for b in ways] == [1, -1]
    assert [p.name for p in one.pieces] == [p.name for p in other.pieces]
    for p, q in zip(one.pieces, other.pieces, strict=True):
        facts = [sorted((round(s.Volume(INTEGRATION), 4), round(c.x, 4), round(side * c.y, 4) + 0.0, round(c.z, 4))
                        for s in piece.solids for c in (s.Center(),)) for piece, side in ((p, 1.0), (q, -1.0))]
        assert np.allclose(*facts, rtol=1e-7, atol=5e-4), p.name


# ---------------------------------------------------------------- what does not fit


def refusal(parameters) -> str:
    import configs

    with pytest.raises(ValueError, match="gate_baffle") as said:
        dimension(parameters, configs.region(parameters))
    return str(said.value)


@pytest.mark.parametrize("keys, key, numbers", [
    ({"cell": {"length": 230.0}}, "cell.length", ("230.0", "220.0")),
    ({"cell": {"width": 170.0}}, "cell.width", ("182.0", "175.0")),
    ({"cell": {"length": 40.0}, "opening": {"width": 20.0, "height": 15.0}}, "cell.length", ("20.0", "its bell needs")),
    ({"opening": {"height": 40.0}, "wall_height": 190.0}, "wall_height", ("190.0", "under the screen")),
    ({"opening": {"height": 40.0}, "wall_height": 50.0}, "wall_height", ("50.0", "66.8")),
    ({"gates_per_side": 2, "cell": {"length": 110.0}, "opening": {"width": 52.0}}, "cell.length", ("122.2", "110.0")),
])
def test_what_does_not_fit_says_what_needs_what(keys, key, numbers):
    said = refusal(in_given_pan(**keys))
    assert said.startswith(f"gate_baffle.{key}: ") and all(n in said for n in numbers), said


def test_a_lid_that_would_meet_the_leg_is_refused_with_both_heights():
    p = wet("bench_mockup")
    tall = type(p)(**{**dict(p), "gate_baffle": type(p.gate_baffle)(wall_height=90.0)})
    said = refusal(tall)
    assert "wall_height" in said and "90.0" in said and "3 mm under the pickup's leg" in said and "deeper sump" in said


def test_under_a_kick_out_s_shelf_the_lid_keeps_below_it():
    p = wet("bench_mockup")
    wide = type(p)(**{**dict(p), "gate_baffle": type(p.gate_baffle)(cell={"width": 190.0}, opening={"height": 46.0})})
    assert "shelf of a kick-out" in refusal(wide)


def test_a_cell_beside_the_end_of_its_sump_moves_off_the_pickup_s_axis():
    from generators.parameters import Pickup

    p = in_given_pan()
    off = type(p)(**{**dict(p), "deep_pan": p.deep_pan.model_copy(update={"pickup": Pickup(x=94.0, y=0.0)})})
    b = Built(off)
    assert b.d.pickup[0] < 0 and b.d.x - b.d.length / 2 > b.inside.x0
    assert next(s for s in b.d.sized if s.key == "gate_baffle.cell.x").because.endswith("as near as the sump allows")
