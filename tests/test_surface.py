"""The oil's surface in any direction: what must not change, what must grow, and other libraries' cuts of the same bodies."""

import io
import itertools
import math

import manifold3d
import numpy as np
import pytest
import trimesh
from scipy.optimize import brentq

from generators.oil.surface import body_below, offsets, skin, volumes_below

TANK = trimesh.creation.box(bounds=[[0, 0, 0], [400, 250, 120]])
"""12 L."""


def block(low, high):
    return trimesh.creation.box(bounds=[low, high])


def post(radius, height, at):
    """A cylinder that stands on `at`."""
    body = trimesh.creation.cylinder(radius=radius, height=height, sections=48)
    body.apply_translation((*at[:2], at[2] + height / 2))
    return body


@pytest.fixture(scope="module")
def pan():
    """A shallow body, a sump that begins 10 mm into it, a kick-out with a sloping floor, a boss, and walls of 2 mm round a
    pickup that hang 5 mm over the floor, a hole in the body. Stands square: its faces are level."""
    kick = trimesh.convex.convex_hull([(x, y, z) for x in (40, 150) for y, z in ((150, -170), (290, -140), (290, -90), (150, -90))])
    inside = trimesh.boolean.union([block((0, 0, -60), (400, 200, 0)), block((20, 20, -180), (180, 180, -50)), kick])
    walls = [block((x - 1, 40, -175), (x + 1, 160, -100)) for x in (50, 150)]
    walls += [block((40, y - 1, -175), (160, y + 1, -100)) for y in (50, 150)]
    body = trimesh.boolean.difference([inside, *walls, post(15, 90, (100, 100, -180)), post(8, 200, (30, 30, -190))])
    assert body.is_watertight and body.body_count == 2
    return body


@pytest.fixture(scope="module")
def space(pan):
    return skin(pan.vertices, pan.faces)


def directions(count, seed=1):
    """Unit vectors (count, 3) to all sides."""
    found = np.random.default_rng(seed).normal(size=(count, 3))
    return found / np.linalg.norm(found, axis=1)[:, None]


LEVEL = np.array([[0, 0, 1.0], [0, 0, -1], [1, 0, 0], [0, -1, 0], [1, 0, 1], [0, 1, 1e-9]])
"""Square, or almost, to many faces at once, or with many corners at one height."""


# ---------------------------------------------------------------- what holds for any body


def test_volume_is_kept_in_every_direction(space):
    ups = np.concatenate([directions(1000), LEVEL])
    volumes = np.random.default_rng(2).uniform(0.001, 0.999, len(ups)) * space.volume
    found = volumes_below(space, ups, offsets(space, ups, volumes))
    assert found == pytest.approx(volumes, rel=1e-9)


def test_a_turned_body_with_its_direction_turned_is_the_same(pan, space):
    ups, volume = np.concatenate([directions(50), LEVEL]), 0.4 * space.volume
    turn = trimesh.transformations.rotation_matrix(1.1, (1, 2, -0.5))
    turned = pan.copy().apply_transform(turn)
    other = offsets(skin(turned.vertices, turned.faces), ups @ turn[:3, :3].T, volume)
    assert other == pytest.approx(offsets(space, ups, volume), abs=1e-9 * space.size)


@pytest.mark.parametrize("scale", [1e-6, 1 / 25.4, 1e6])
def test_a_body_of_another_size_is_the_same(pan, space, scale):
    ups = np.concatenate([directions(50), LEVEL])
    larger = skin(pan.vertices * scale, pan.faces)
    found = offsets(larger, ups, 0.4 * space.volume * scale**3) / scale
    assert found == pytest.approx(offsets(space, ups, 0.4 * space.volume), abs=1e-9 * space.size)


def test_a_body_far_away_is_the_same(pan, space):
    """A kilometre off: what is lost is the rounding of its coordinates, 1e-10 mm."""
    away, ups = np.array([1e6, -7e5, 3e5]), np.concatenate([directions(50), LEVEL])
    far = skin(pan.vertices + away, pan.faces)
    found = offsets(far, ups, 0.4 * space.volume) - ups / np.linalg.norm(ups, axis=1)[:, None] @ away
    assert found == pytest.approx(offsets(space, ups, 0.4 * space.volume), abs=1e-8)
    near, there = (body_below(s, ups[0], c) for s, c in ((space, found[0]), (far, found[0] + ups[0] @ away)))
    assert there.centre - away == pytest.approx(near.centre, abs=1e-8)
    assert far.centre == pytest.approx(space.centre, abs=1e-8) and there.volume == pytest.approx(near.volume, rel=1e-10)


def test_more_oil_never_stands_lower(space):
    """Some volumes lie within a drop of each other: 0.05 mm3 is about a millionth of a millimetre here."""
    whole = space.volume
    near_full, drops = whole * (1 - np.geomspace(1e-9, 0.1, 20)), whole / 2 + 0.05 * np.arange(20)
    volumes = np.sort(np.concatenate([np.geomspace(1e-9, 1, 30) * whole, drops, near_full]))
    for up in np.concatenate([directions(20), LEVEL]):
        assert (np.diff(offsets(space, np.tile(up, (len(volumes), 1)), volumes)) > 0).all()


def test_oil_and_air_fill_the_body(space):
    """What lies above a plane lies below the same plane seen from the other side."""
    ups = np.concatenate([directions(200), LEVEL])
    at = offsets(space, ups, 0.3 * space.volume)
    assert volumes_below(space, ups, at) + volumes_below(space, -ups, -at) == pytest.approx(space.volume, rel=1e-12)
    assert offsets(space, -ups, 0.7 * space.volume) == pytest.approx(-at, abs=1e-9)


def test_length_of_a_direction_and_order_of_faces_do_not_count(pan, space):
    ups, volume = np.concatenate([directions(50), LEVEL]), 0.4 * space.volume
    for size in (1e-300, 7.0, 1e300):
        assert offsets(space, size * ups, volume) == pytest.approx(offsets(space, ups, volume), abs=1e-9)
    order = np.random.default_rng(4).permutation(len(pan.faces))
    lone = np.vstack([pan.vertices, [[1e9, 0, 0]]])
    assert offsets(skin(lone, pan.faces[order]), ups, volume) == pytest.approx(offsets(space, ups, volume), abs=1e-9)


def test_slivers_and_flat_triangles_add_nothing(pan, space):
    """A third of the edges split at a point on them, some so near to one end that slivers are left, and each hole closed by a
    triangle without area."""
    vertices, faces = list(pan.vertices), []
    for i, (a, b, c) in enumerate(pan.faces):
        if i % 3:
            faces.append((a, b, c))
            continue
        share = (0.5, 1e-3, 1e-12)[i // 3 % 3]
        vertices.append(vertices[a] + share * (vertices[b] - vertices[a]))
        new = len(vertices) - 1
        faces += [(a, new, c), (new, b, c), (a, b, new), (a, a, new), (new, a, a)]
    split, ups = skin(np.array(vertices), np.array(faces)), np.concatenate([directions(50), LEVEL])
    assert offsets(split, ups, 0.4 * space.volume) == pytest.approx(offsets(space, ups, 0.4 * space.volume), abs=1e-9)


def test_a_mesh_read_from_an_stl_file(pan, space):
    """Its corners are right to single precision, 8e-6 mm here, and so is the surface."""
    read = trimesh.load(io.BytesIO(pan.export(file_type="stl")), file_type="stl")
    single, ups = skin(read.vertices, read.faces), np.concatenate([directions(50), LEVEL])
    assert offsets(single, ups, 0.4 * space.volume) == pytest.approx(offsets(space, ups, 0.4 * space.volume), abs=2e-5)


# ---------------------------------------------------------------- ends of the range


@pytest.mark.parametrize("share", [1e-15, 1e-12, 1e-6, 1e-3])
def test_a_drop_in_a_corner(share):
    """A tetrahedron of the plane's: V = alpha3 / (6 n1 n2 n3), alpha from the corner (closed form); air left in the opposite
    corner, as far as a volume can tell it."""
    up, space = np.array([2, 3, 6]) / 7, skin(TANK.vertices, TANK.faces)
    alpha = (6 * np.prod(up) * share * 12e6) ** (1 / 3)
    assert offsets(space, up, share * 12e6)[0] == pytest.approx(alpha, abs=1e-10)
    if share > 1e-10:
        assert offsets(space, up, (1 - share) * 12e6)[0] == pytest.approx(up @ [400, 250, 120] - alpha, abs=1e-3 * alpha)


def test_a_full_body(space, pan):
    for up in np.concatenate([directions(20), LEVEL]):
        top = (pan.vertices @ up).max() / np.linalg.norm(up)
        for whole in (space.volume, math.nextafter(space.volume, math.inf), float(pan.volume)):
            assert offsets(space, up, whole)[0] == pytest.approx(top, abs=1e-10)
    found = volumes_below(space, [[0, 0, 1]] * 4, [-math.inf, -1e9, 1e9, math.inf])
    assert found == pytest.approx([0, 0, space.volume, space.volume], rel=1e-12)


def test_chambers_apart():
    """Between two chambers one over the other volume does not grow with height: full below is any height between, a drop more
    stands in the upper one and a drop less in the lower."""
    upper = TANK.copy().apply_translation((0, 0, 300))
    both = trimesh.util.concatenate([TANK, upper])
    for turn in (np.eye(4), trimesh.transformations.rotation_matrix(0.4, (1, 2, 3))):
        body = both.copy().apply_transform(turn)
        space, up = skin(body.vertices, body.faces), turn[:3, 2]
        assert 120 - 1e-9 <= offsets(space, up, 12e6)[0] <= 300 + 1e-9
        assert offsets(space, up, 12e6 - 1)[0] == pytest.approx(120 - 1e-5, abs=1e-9)
        assert offsets(space, up, 12e6 + 1)[0] == pytest.approx(300 + 1e-5, abs=1e-9)


# ---------------------------------------------------------------- the oil's own figures


def test_centre_and_spread(pan, space):
    """A box's: a twelfth of each side squared (closed form). Any body's: what trimesh has for its moments of inertia, which are the
    spread across an axis, both ways."""
    tank = skin(TANK.vertices, TANK.faces)
    assert tank.middle + tank.centre == pytest.approx([200, 125, 60])
    assert tank.spread == pytest.approx(np.diag([400**2, 250**2, 120**2]) / 12, abs=1e-8)
    inertia = pan.moment_inertia / pan.volume
    assert space.middle + space.centre == pytest.approx(pan.center_mass, abs=1e-9)
    assert space.spread == pytest.approx(np.trace(inertia) / 2 * np.eye(3) - inertia, abs=1e-7)


def test_body_of_a_wedge():
    """Slope 1, 8 L: a prism over a triangle of 253 x 253 mm; its centre at a third, its surface over the long side (closed form)."""
    side, space = math.sqrt(2 * 8e6 / 250), skin(TANK.vertices * [1, 1, 3], TANK.faces)
    up = np.array([1, 0, 1]) / math.sqrt(2)
    lies = body_below(space, up, offsets(space, up, 8e6)[0])
    assert lies.volume == pytest.approx(8e6, rel=1e-12)
    assert lies.centre == pytest.approx([side / 3, 125, side / 3], rel=1e-12)
    assert lies.free == pytest.approx(side * math.sqrt(2) * 250, rel=1e-12)
    assert lies.wetted == pytest.approx(2 * side * 250 + side**2, rel=1e-12)


def test_body_with_faces_in_the_plane():
    """Full: all of the roof is free, none of it wetted, wherever the box stands. Up to a step: the step is not wetted."""
    for away in ((0, 0, 0), (1e3, 1 / 3, math.pi)):
        turn = trimesh.transformations.rotation_matrix(0.3, (1, 2, 3))
        body = TANK.copy().apply_transform(turn).apply_translation(away)
        space, up = skin(body.vertices, body.faces), turn[:3, 2]
        lies = body_below(space, up, offsets(space, up, 12e6)[0])
        assert lies.free == pytest.approx(1e5, rel=1e-9) and lies.wetted == pytest.approx(1e5 + 1300 * 120, rel=1e-9)
    stepped = trimesh.boolean.union([block((0, 0, 0), (40, 30, 20)), block((0, 0, 20), (100, 30, 70))])
    lies = body_below(skin(stepped.vertices, stepped.faces), [0, 0, 1], 20.0)
    assert lies.free == pytest.approx(1200) and lies.wetted == pytest.approx(1200 + 140 * 20)


def manifold(body):
    return manifold3d.Manifold(manifold3d.Mesh64(np.asarray(body.vertices), np.asarray(body.faces).astype(np.uint64)))


def test_body_against_a_cut(pan, space):
    """Against the mesh that manifold3d's cut leaves: centre of mass, area in the plane, all other area."""
    for up in directions(12, seed=3):
        offset = offsets(space, up, 0.4 * space.volume)[0]
        cut = manifold(pan).trim_by_plane(tuple(-up), -offset).to_mesh64()
        left = trimesh.Trimesh(cut.vert_properties[:, :3], cut.tri_verts, process=False)
        in_plane = (np.abs(left.triangles @ up - offset) < 1e-6).all(axis=1)
        lies = body_below(space, up, offset)
        assert lies.volume == pytest.approx(left.volume, rel=1e-9)
        assert lies.centre == pytest.approx(left.center_mass, abs=1e-6)
        assert lies.free == pytest.approx(left.area_faces[in_plane].sum(), rel=1e-8)
        assert lies.wetted == pytest.approx(left.area_faces[~in_plane].sum(), rel=1e-8)


def test_free_area_is_what_volume_grows_by(space):
    """By difference over 2e-4 mm."""
    for up in directions(30, seed=5):
        offset = offsets(space, up, 0.4 * space.volume)[0]
        low, high = volumes_below(space, [up, up], [offset - 1e-4, offset + 1e-4])
        assert body_below(space, up, offset).free == pytest.approx((high - low) / 2e-4, rel=1e-6)


def test_oil_moves_as_its_surface_tips(space):
    """A small turn of the direction moves the centre the other way across it, and up along the old one: before, the oil lay as
    low along that as it can."""
    for up in directions(30, seed=6):
        across = np.cross(up, (0.3, 0.4, 0.5))
        one, two = (body_below(space, u, offsets(space, u, 0.4 * space.volume)[0]).centre for u in (up, up + 1e-3 * across))
        assert (two - one) @ across < 0 < (two - one) @ up


# ---------------------------------------------------------------- other judges


def by_manifold(body, up, volume):
    """Offset by manifold3d's cuts and a root finder, mm."""
    whole, heights = manifold(body), body.vertices @ up
    return brentq(lambda c: whole.trim_by_plane(tuple(-up), -c).volume() - volume, heights.min(), heights.max(), xtol=1e-9, rtol=1e-14)


def by_trimesh(body, up, volume):
    """Offset by trimesh's cuts without a cap and a root finder, mm: with its origin in the plane a cap would add no volume."""

    def short(c):
        below = body.slice_plane(up * c, -up)
        if below is None or not len(below.faces):
            return -volume
        a, b, d = np.moveaxis(below.triangles - up * c, 1, 0)
        return np.einsum("ij,ij->", a, np.cross(b, d)) / 6 - volume

    heights = body.vertices @ up
    return brentq(short, heights.min(), heights.max(), xtol=1e-9, rtol=1e-14)


@pytest.mark.parametrize("share", [0.03, 0.4, 0.9])
def test_two_libraries_find_the_same_surface(pan, space, share):
    ups = np.concatenate([directions(5, seed=7), LEVEL[:3]])
    found = offsets(space, ups, share * space.volume)
    assert found == pytest.approx([by_manifold(pan, u, share * space.volume) for u in ups], abs=1e-6)
    assert found == pytest.approx([by_trimesh(pan, u, share * space.volume) for u in ups], abs=1e-6)


# ---------------------------------------------------------------- what is refused


def without(*normals):
    """The tank without the faces that look along `normals`."""
    keep = ~np.any([TANK.face_normals @ n > 0.9 for n in normals], axis=0)
    return TANK.vertices, TANK.faces[keep]


SOUP = (TANK.triangles.reshape(-1, 3), np.arange(36).reshape(-1, 3))
NOT_A_NUMBER = (np.where(TANK.vertices == 400, np.nan, TANK.vertices), TANK.faces)


@pytest.mark.parametrize("mesh", [without([0, 0, 1]), without([0, 0, 1], [0, 0, -1]), SOUP, NOT_A_NUMBER,
                                  (TANK.vertices, TANK.faces[:0]), (TANK.vertices[:0], TANK.faces[:0])],
                         ids=["no roof", "no roof, no floor", "unjoined", "not a number", "no faces", "nothing"])
def test_an_open_mesh_is_refused(mesh):
    """Without roof and floor the area vectors still add up to nothing: only the edges tell."""
    with pytest.raises(ValueError, match="must be closed"):
        skin(*mesh)


@pytest.mark.parametrize("vertices, faces", [(TANK.vertices, TANK.faces[:, ::-1]), (TANK.vertices * [1, 1, 0], TANK.faces)],
                         ids=["inverted", "flat"])
def test_a_mesh_that_holds_nothing_is_refused(vertices, faces):
    with pytest.raises(ValueError, match="must face outwards: it holds"):
        skin(vertices, faces)


@pytest.mark.parametrize("up", [(0, 0, 0), (math.nan, 0, 1), (math.inf, 0, 1)])
def test_a_direction_that_is_none_is_refused(space, up):
    for ask in (lambda: offsets(space, [(0, 0, 1), up], 1e5), lambda: volumes_below(space, [(0, 0, 1), up], 0.0)):
        with pytest.raises(ValueError, match="direction 1 is .*: give three finite numbers"):
            ask()
    with pytest.raises(ValueError, match="direction 0"):
        body_below(space, up, 0.0)


@pytest.mark.parametrize("share", [0.0, -0.1, 1 + 1e-9, math.nan, math.inf])
def test_a_volume_that_does_not_fit_is_refused(space, share):
    with pytest.raises(ValueError, match=f"mm3 of oil: this space takes more than 0 and at most {space.volume:.9g} mm3"):
        offsets(space, [(0, 0, 1), (1, 0, 0)], np.array([0.5, share]) * space.volume)


def test_nothing_under_a_plane_is_refused(space):
    for up, offset in itertools.product([(0, 0, 1), (0, 0, 2)], [-180.0, -500.0]):
        with pytest.raises(ValueError, match="nothing of the space lies under the plane at"):
            body_below(space, up, offset)
