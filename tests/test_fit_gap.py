"""The least gap over the movement against judges that know nothing of how it is found: sums of solids by manifold3d, poses tried one
by one with scipy's rotations and fcl's distances, and boxes that are reckoned by hand."""

import math
from dataclasses import replace

import fcl
import manifold3d
import numpy as np
import pytest
import trimesh
from scipy.optimize import minimize
from scipy.spatial.transform import Rotation
from shapely.geometry import Polygon
from trimesh.triangles import closest_point

from generators.bodies import body, moved, search_tree
from generators.fit.movement import Mounts
from generators.fit.nearest import clear_after, least_over, meeting, room_to
from generators.fit.search import FAR_MM
from generators.fit.swollen import swollen
from generators.sheet.frames import frame

ALLOWED_MM = 0.05
"""How much less than the true gap may be told, where it is no more than FAR_MM."""

JUDGED_MM = 0.01
"""How near the judge that tries pose after pose comes to the least."""

ROUNDING = 1e-6
AXLE = frame(origin=(200, 0, 300), x=(1, 0, 0), z=(0, 0, 1))
TILTED = frame(origin=(10, -5, 60), x=(0.8, 0.6, 0), z=(0, 0, 1))
UP, DOWN = np.array([0.0, 0.0, 1.0]), np.array([0.0, 0.0, -1.0])


def swings(*, x=0.0, y=0.0, z=0.0, roll=0.0, pitch=0.0, yaw=0.0, about=AXLE):
    return Mounts(about, np.array([x, y, z], float), np.array([roll, pitch, yaw], float))


def box(low, high, name="box"):
    return body(name, trimesh.creation.box(bounds=(low, high)), exact=True)


def turned(mesh, angle, axis, at=(0, 0, 0)):
    out = mesh.copy()
    out.apply_transform(trimesh.transformations.rotation_matrix(angle, axis))
    out.apply_translation(at)
    return out


def ell():
    return trimesh.creation.extrude_polygon(Polygon([(0, 0), (60, 0), (60, 12), (12, 12), (12, 50), (0, 50)]), 20)


def ring():
    return trimesh.creation.torus(30, 8, major_sections=14, minor_sections=8)


def cup():
    inside = trimesh.creation.cylinder(20, 40, sections=12)
    inside.apply_translation((0, 0, 5))
    return trimesh.boolean.difference([trimesh.creation.cylinder(25, 40, sections=12), inside], engine="manifold")


SHAPES = {
    "box": trimesh.creation.box(bounds=((0, 0, 0), (60, 40, 10))),
    "ell": ell(),
    "tilted ell": turned(ell(), 0.7, (1, -1, 0.5)),
    "tilted ring": turned(ring(), 0.5, (1, 2, 3)),
    "cup": cup(),
}

# ---------------------------------------------------------------- what an obstacle covers as it shifts


def sum_of(mesh, shifts):
    """The mesh with the box carried round it, by manifold3d; a box without room gets a millionth of a millimetre."""
    metal = manifold3d.Manifold(manifold3d.Mesh64(np.ascontiguousarray(mesh.vertices, float), np.ascontiguousarray(mesh.faces, np.uint64)))
    made = metal.minkowski_sum(manifold3d.Manifold.cube(tuple(2 * np.maximum(shifts, ROUNDING / 2)), True)).to_mesh64()
    return trimesh.Trimesh(np.array(made.vert_properties)[:, :3], np.array(made.tri_verts, int), process=False)


def distances(points, triangles):
    """Distance of each point (n, 3) from the nearest of the triangles (m, 3, 3)."""
    return np.array([np.linalg.norm(closest_point(triangles, np.repeat(p[None], len(triangles), 0)) - p, axis=1).min() for p in points])


def covers(mesh, shifts, points):
    """Whether the sum reaches each point (n, 3) with its skin or the box's room, by fcl: the box round the point meets the skin."""
    solid = fcl.CollisionObject(search_tree(mesh.vertices, mesh.faces))
    room = fcl.Box(*(2 * shifts + 1e-4))
    return np.array([fcl.collide(fcl.CollisionObject(room, fcl.Transform(p)), solid) > 0 for p in points])


@pytest.mark.parametrize("shifts", [(5, 5, 8), (0, 0, 8), (0, 7, 0), (3, 4, 0), (30, 0, 20)])
@pytest.mark.parametrize("name", SHAPES)
def test_no_skin_of_the_sum_is_left_out_and_nothing_lies_outside_it(name, shifts):
    """Slivers that the judge leaves inside the sum, for its box is a little thick, are no skin: just outside them is metal too."""
    mesh, shifts = SHAPES[name], np.array(shifts, float)
    (made,) = swollen([body(name, mesh, exact=True)], shifts)
    reference = sum_of(mesh, shifts)
    skin, face = trimesh.sample.sample_surface(reference, 100, seed=1)
    skin = skin[~covers(mesh, shifts, skin + 0.01 * reference.face_normals[face])]
    assert len(skin) > 60 and distances(skin, made.triangles).max() < 1e-4
    shares = np.random.default_rng(2).dirichlet(np.ones(3), len(made.triangles))
    points = np.vstack([made.triangles.reshape(-1, 3)[::5], np.einsum("nk,nkd->nd", shares, made.triangles)])
    assert covers(mesh, shifts, points).all()


def test_without_shifts_the_bodies_are_what_they_cover():
    (made,) = swollen([body("ell", SHAPES["ell"], exact=True)], np.zeros(3))
    assert np.array_equal(made.triangles, SHAPES["ell"].triangles)


def test_rounded_skins_keep_their_sagitta():
    round_bar = body("bar", trimesh.creation.cylinder(20, 50, sections=24))
    (made,) = swollen([round_bar], np.array([5.0, 5.0, 8.0]))
    assert round_bar.bulge > 0.03 and made.bulge.max() == round_bar.bulge
    assert made.body.bulge == round_bar.bulge


# ---------------------------------------------------------------- every pose is a judge


def apart_at(moving, standing, mounts, values):
    """fcl's distance at one pose: `values` (6,) are shifts, then roll, pitch and yaw; the turn is scipy's."""
    axes, point = mounts.about.matrix[:3, :3], mounts.about.matrix[:3, 3]
    turn = axes @ Rotation.from_euler("xyz", values[3:]).as_matrix() @ axes.T
    at = fcl.Transform(turn, point - turn @ point + values[:3])
    return min(max(0.0, fcl.distance(fcl.CollisionObject(a, at), fcl.CollisionObject(b))) for a in moving for b in standing)


def trees(bodies):
    return [search_tree(b.vertices, b.faces) for b in bodies]


def tried(moving, standing, mounts, *, seed):
    """The least of 300 poses taken at random and at the ends, and the least near the best two of them."""
    mine, others, most = trees(moving), trees(standing), np.concatenate([mounts.shifts, mounts.turns])
    rng = np.random.default_rng(seed)
    poses = np.vstack([rng.uniform(-1, 1, (150, 6)), rng.choice([-1.0, 0.0, 1.0], (150, 6))])
    found = np.array([apart_at(mine, others, mounts, p * most) for p in poses])

    def at(share):
        return apart_at(mine, others, mounts, np.clip(share, -1, 1) * most)

    near = [minimize(at, poses[k], method="Powell", bounds=[(-1, 1)] * 6, options={"maxfev": 400}).fun for k in np.argsort(found)[:2]]
    return found.min(), min(found.min(), *near)


CASES = {
    "shifts": {"x": 5, "y": 4, "z": 8},
    "one shift": {"z": 8},
    "roll": {"roll": 0.06},
    "all": {"x": 3, "y": 4, "z": 5, "roll": 0.05, "pitch": 0.03, "yaw": 0.04},
    "turns": {"roll": 0.08, "pitch": 0.05, "yaw": 0.06},
    "shift and yaw": {"y": 6, "yaw": 0.1},
}


def scene(seed):
    """Two bodies that may move and three that stand, 20 mm under them; no two seeds alike."""
    rng = np.random.default_rng(seed)
    names = rng.permutation(list(SHAPES))
    meshes = [turned(SHAPES[n], rng.uniform(0, 3), rng.normal(size=3), rng.uniform(-30, 30, 3)) for n in names]
    moving, standing = ([body("piece", m, exact=True) for m in some] for some in (meshes[:2], meshes[2:]))
    under = np.array([0.0, 0.0, 400.0])
    while (left := apart_at(trees(moving), trees(standing), swings(), np.array([*under, 0, 0, 0])) - 20) > 0.1:
        under[2] -= left
    return moving, [moved(b, turn=np.eye(3), shift=-under) for b in standing]


@pytest.mark.parametrize(("movement", "seed"), [*((name, 1) for name in CASES), ("turns", 5)])
def test_no_pose_is_nearer_and_one_is_as_near(movement, seed):
    moving, standing = scene(seed)
    allowed = swings(about=TILTED, **CASES[movement])
    found = least_over(moving, standing, allowed)
    at_best, near_best = tried(moving, standing, allowed, seed=seed)
    assert 5 < near_best < FAR_MM and found.gap <= near_best + ROUNDING <= at_best + ROUNDING
    assert found.gap <= found.at_rest + ROUNDING
    assert found.gap >= near_best - ALLOWED_MM and found.gap + found.slack >= near_best - JUDGED_MM
    assert found.at_rest == pytest.approx(apart_at(trees(moving), trees(standing), allowed, np.zeros(6)), abs=ROUNDING)
    assert is_told_truly(found, standing, allowed)


def is_told_truly(found, standing, allowed):
    """The pose is allowed, one point lies on the body there and the other on what stands, as far apart as is told."""
    turn, shift = allowed.carried(found.pose)
    there = moved(found.body, turn=turn, shift=shift)
    on_it = distances(found.points[:1], there.vertices[there.faces])[0]
    on_other = min(distances(found.points[1:], b.vertices[b.faces])[0] for b in standing)
    between = np.linalg.norm(found.points[0] - found.points[1])
    values = np.array([*found.pose.shift, found.pose.roll, found.pose.pitch, found.pose.yaw])
    allows = (np.abs(values) <= np.concatenate([allowed.shifts, allowed.turns]) + ROUNDING).all()
    return allows and on_it < 1e-5 and on_other < 1e-5 and found.gap - ROUNDING <= between <= found.gap + found.slack + ROUNDING


def test_gaps_are_the_same_when_both_are_carried_elsewhere():
    moving, standing = scene(3)
    allowed = swings(about=TILTED, roll=0.05, yaw=0.03)
    turn, shift = Rotation.from_rotvec((0.4, -0.9, 0.3)).as_matrix(), np.array([300.0, -40.0, 7.0])
    about = frame(origin=turn @ TILTED.matrix[:3, 3] + shift, x=turn @ TILTED.matrix[:3, 0], z=turn @ TILTED.matrix[:3, 2])
    carried = [[moved(b, turn=turn, shift=shift) for b in bodies] for bodies in (moving, standing)]
    one, other = least_over(moving, standing, allowed), least_over(*carried, replace(allowed, about=about))
    assert abs(one.gap - other.gap) <= ALLOWED_MM and one.at_rest == pytest.approx(other.at_rest, abs=ROUNDING)


@pytest.mark.parametrize("shifts", [{}, {"x": 5, "y": 5, "z": 8}, {"x": 5, "z": 8}])
def test_gaps_are_the_same_when_the_two_change_places(shifts):
    moving, standing = scene(4)
    one, other = least_over(moving, standing, swings(**shifts)), least_over(standing, moving, swings(**shifts))
    assert one.gap == pytest.approx(other.gap, abs=ROUNDING) and one.gap > 1


# ---------------------------------------------------------------- thin things and things inside


def at_radius(radius, angle):
    """y and z of a point `radius` mm under the axle, `angle` rad round to the left."""
    return radius * math.sin(angle), 300 - radius * math.cos(angle)


@pytest.mark.parametrize("angle", np.radians([0.37, 1.01, 1.93, 2.71]))
def test_a_thin_rod_between_two_turns_is_met(angle):
    """A fin 0.1 mm thick that rolls past a rod 0.1 mm thick: at rest and at the ends they are apart."""
    fin = box((0, -0.05, 100), (400, 0.05, 140))
    y, z = at_radius(180, angle)
    rod = box((-50, y - 0.05, z - 0.05), (500, y + 0.05, z + 0.05))
    found = least_over([fin], [rod], swings(roll=math.radians(3)))
    assert found.gap == 0 and found.at_rest == pytest.approx(y - 0.1, abs=0.01)


@pytest.mark.parametrize("shifts", [{"y": 5}, {"y": 5, "z": 2}, {"x": 1, "y": 5, "z": 2}])
def test_a_thin_rod_between_two_shifts_is_met(shifts):
    fin, rod = box((0, -0.05, 100), (400, 0.05, 140)), box((-50, 3.37, 120), (500, 3.38, 120.01))
    found = least_over([fin], [rod], swings(**shifts))
    assert found.gap == 0 and found.at_rest == pytest.approx(3.32)


@pytest.mark.parametrize("movement", [{}, {"x": 1, "y": 1, "z": 1}, {"z": 3}, {"roll": 0.02}, {"y": 2, "z": 2, "roll": 0.02}])
@pytest.mark.parametrize("inner_moves", [True, False])
def test_one_wholly_inside_the_other_is_no_gap(movement, inner_moves):
    inner, outer = box((140, -10, 290), (160, 10, 310)), box((0, -100, 200), (300, 100, 400))
    found = least_over(*(([inner], [outer]) if inner_moves else ([outer], [inner])), swings(**movement))
    assert found.gap == 0 and found.slack == 0 and found.at_rest == 0
    assert np.linalg.norm(found.points[0] - found.points[1]) < ROUNDING


@pytest.mark.parametrize("shifts", [{"z": 8}, {"x": 5, "z": 8}, {"x": 5, "y": 5, "z": 8}])
@pytest.mark.parametrize("thin_moves", [True, False])
def test_a_plate_thinner_than_the_shift_is_no_gap(shifts, thin_moves):
    """A plate of 2 mm lies 4 mm under a block that comes 8 mm down: it lies wholly in what the block covers, its skin apart from it."""
    block, plate = box((0, -50, 200), (100, 50, 300)), box((40, -10, 194), (60, 10, 196))
    found = least_over(*(([plate], [block]) if thin_moves else ([block], [plate])), swings(**shifts))
    assert found.gap == 0 and found.at_rest == pytest.approx(4.0)


def test_what_hangs_in_a_cup_is_not_inside_its_metal():
    """A block of 10 mm in a bore of 12 flats 40 mm across corners, from 15 to 25 mm over the floor, 1 mm of play: to the flats it
    is nearest, 20 cos(15 deg) less where its corners reach."""
    inner = box((-5, -5, 0), (5, 5, 10), "inner")
    found = least_over([inner], [body("cup", cup(), exact=True)], swings(z=1))
    assert 20 * math.cos(math.radians(15)) - math.hypot(5, 5) - ROUNDING <= found.gap <= 20 - math.hypot(5, 5) + ROUNDING


# ---------------------------------------------------------------- how deep they meet, and how far they must go


def test_how_deep_they_meet_is_worst_at_the_end_of_the_way():
    """A block of 100 x 60 mm that comes 8 mm down on a bar 3 mm under it sinks 5 mm in."""
    block, bar = box((0, -30, 200), (100, 30, 300)), box((-50, -100, 150), (150, 100, 197))
    found = meeting([block], [bar], swings(z=8))
    assert found.volume == pytest.approx(100 * 60 * 5) and found.depth == pytest.approx(5) and found.pose.shift == (0, 0, -8)


def test_those_that_never_meet_have_no_depth():
    assert meeting([box((0, -30, 200), (100, 30, 300))], [box((-50, -100, 150), (150, 100, 190))], swings(z=8)) is None


@pytest.mark.parametrize(("top", "wanted", "exact"), [(190.0, 10.0, 8.0), (230.0, 10.0, 48.0), (150.0, 10.0, 0.0)])
def test_raised_until_it_clears(top, wanted, exact):
    """A block whose underside is 200 mm high and comes 8 mm down: it must rise by top + wanted + 8 - 200."""
    block, bar = box((0, -30, 200), (100, 30, 300)), box((-50, -100, 150 - 60), (150, 100, top))
    around = swollen([bar], np.array([5.0, 5.0, 8.0]))
    by = clear_after([block], around, swings(x=5, y=5, z=8), direction=UP, wanted=wanted, most=150)
    assert exact - ALLOWED_MM <= by <= exact + 0.3


def test_rolling_blocks_are_raised_until_they_clear():
    block, bar = box((0, -30, 200), (100, 30, 280)), box((-50, -100, 90), (150, 100, 195))
    allowed = swings(x=5, z=8, roll=math.radians(3))
    around = swollen([bar], allowed.shifts)
    by = clear_after([block], around, allowed, direction=UP, wanted=10, most=150)
    lowest = 300 - 100 * math.cos(math.radians(3)) - 30 * math.sin(math.radians(3)) - 8
    assert by == pytest.approx(195 + 10 - lowest, abs=0.3)
    raised = [moved(bar, turn=np.eye(3), shift=-by * UP)]
    assert least_over([block], raised, allowed).gap >= 10 - ALLOWED_MM


def test_where_most_is_not_enough_nothing_is_told():
    block, bar = box((0, -30, 200), (100, 30, 300)), box((-50, -100, 90), (150, 100, 240))
    assert clear_after([block], swollen([bar], np.zeros(3)), swings(), direction=UP, wanted=10, most=49) is None


def test_room_to_go_down():
    block, bar = box((0, -30, 200), (100, 30, 300)), box((-50, -100, 90), (150, 100, 150))
    allowed = swings(x=5, z=8)
    around = swollen([bar], allowed.shifts)
    gone = room_to([block], around, allowed, direction=DOWN, wanted=10, most=300)
    assert 32 - 0.3 <= gone <= 32 + ROUNDING
    assert room_to([block], around, allowed, direction=UP, wanted=10, most=300) == 300
    assert room_to([block], around, allowed, direction=DOWN, wanted=43, most=300) == 0
