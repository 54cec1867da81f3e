"""Oil at rest: volumes below a height and heights of a volume, against closed forms and against cutting the body."""

import math

import manifold3d
import numpy as np
import pytest
import trimesh

from generators.oil.standing import level, volume_below
from generators.oil.surface import means_below

TANK = trimesh.creation.box(bounds=[[0, 0, -20], [200, 100, 380]])
"""200 x 100 x 400 mm: 8 L."""


def prism(section: list[tuple[float, float]], length: float) -> trimesh.Trimesh:
    """A closed body of a section (y, z) drawn along x."""
    metal = manifold3d.CrossSection([np.array(section)]).extrude(length).to_mesh64()
    along = trimesh.Trimesh(metal.vert_properties[:, :3], metal.tri_verts, process=False)
    along.vertices = along.vertices[:, [2, 0, 1]]
    assert along.is_watertight and along.volume > 0
    return along


@pytest.fixture(scope="module")
def stepped():
    """A shallow body, a deep sump that begins 10 mm into it, a kick-out beside the sump with a sloping floor, a boss
    that stands up in it, and the whole turned off square: no face lies level."""
    shallow = trimesh.creation.box(bounds=[[0, 0, -60], [400, 200, 0]])
    sump = trimesh.creation.box(bounds=[[20, 20, -180], [180, 180, -50]])
    kick = prism([(150, -170), (290, -140), (290, -90), (150, -90)], 110.0)
    kick.apply_translation((40, 0, 0))
    boss = trimesh.creation.cylinder(radius=15, height=200, sections=48)
    boss.apply_translation((100, 100, -150))
    body = trimesh.boolean.difference([trimesh.boolean.union([shallow, sump, kick]), boss])
    body.apply_transform(trimesh.transformations.rotation_matrix(0.13, (1, 2, 0.5)))
    assert body.is_watertight and body.body_count == 1
    return body


# ---------------------------------------------------------------- volumes


def test_a_box_fills_in_proportion():
    for height, share in ((-30, 0), (-20, 0), (80, 0.25), (380, 1), (500, 1)):
        assert volume_below(TANK, height) == pytest.approx(share * 8e6, rel=1e-12, abs=1e-6)


@pytest.mark.parametrize("height", [5.0, 17.3, 29.0])
def test_a_pyramid_fills_by_the_cube(height):
    """Volume under h of a pyramid of height 30: V (1 - ((30 - h) / 30)^3)."""
    base = np.array([[0, 0, 0], [40, 0, 0], [40, 50, 0], [0, 50, 0], [13, 21, 30.0]])
    faces = [[0, 2, 1], [0, 3, 2], [0, 1, 4], [1, 2, 4], [2, 3, 4], [3, 0, 4]]
    whole = 40 * 50 * 30 / 3
    assert volume_below(trimesh.Trimesh(base, faces), height) == pytest.approx(
        whole * (1 - (1 - height / 30) ** 3), rel=1e-12
    )


def cut_volume(body: trimesh.Trimesh, height: float) -> float:
    """What manifold3d's own cut leaves below a height."""
    metal = manifold3d.Manifold(manifold3d.Mesh64(np.asarray(body.vertices), np.asarray(body.faces).astype(np.uint64)))
    return metal.trim_by_plane((0, 0, -1), -height).volume()


def test_any_body_fills_as_when_it_is_cut(stepped):
    """Against manifold3d's own cut of a turned ring, and of the stepped pan."""
    ring = trimesh.creation.torus(50, 20)
    ring.apply_transform(trimesh.transformations.rotation_matrix(0.7, (1, 2, 3)))
    for body in (ring, stepped):
        for height in np.linspace(*body.bounds[:, 2], 9):
            assert volume_below(body, height) == pytest.approx(cut_volume(body, height), rel=1e-9, abs=1e-5)


def test_mean_below_against_integration():
    """Uniform points on the triangle, by a fine grid of its barycentric middles."""
    n = 400
    i, j = np.meshgrid(np.arange(n), np.arange(n))
    keep = i + j < n
    u, v = (i[keep] + 1 / 3) / n, (j[keep] + 1 / 3) / n
    for heights in ([-1.0, 2, 3], [-2, -1, 0.5], [-3, -2, -1], [1, 2, 3], [0, -1, 2], [0, 0, -1]):
        a, b, c = heights
        sampled = np.minimum(a + (b - a) * u + (c - a) * v, 0).mean()
        assert means_below(*np.array(heights)[:, None])[0][0] == pytest.approx(sampled, abs=5e-3)


# ---------------------------------------------------------------- levels


def test_level_in_a_box():
    """V / (200 x 100) above the floor at -20 (closed form)."""
    for share in (1e-6, 0.01, 0.37, 0.5, 0.999999, 1.0):
        assert level(TANK, volume=share * 8e6) == pytest.approx(-20 + share * 400, abs=1e-6)


def test_level_in_a_wedge():
    """Section a triangle that stands on its edge, 50 deep and 70 broad, 100 long: V = 100 x 70/50 x h2/2 (closed
    form)."""
    wedge = prism([(0, 0), (70, 50), (0, 50)], 100.0)
    for height in (0.5, 12.3, 31.0, 49.9):
        assert level(wedge, volume=100 * 70 / 50 * height**2 / 2) == pytest.approx(height, abs=1e-6)


def test_level_in_a_box_with_a_step():
    """Two boxes one over the other, 40 x 30 x 20 below 100 x 30 x 50: below the step V/1200, above it 20 + the
    rest/3000 (closed form), and at the step itself."""
    outline = [(0, 0), (40, 0), (40, 20), (100, 20), (100, 70), (0, 70)]
    body = prism(outline, 30.0)
    for volume in (1.0, 12_000.0, 23_999.0, 24_000.0, 24_001.0, 100_000.0, 174_000.0):
        by_hand = volume / 1200 if volume <= 24_000 else 20 + (volume - 24_000) / 3000
        assert level(body, volume=volume) == pytest.approx(by_hand, abs=1e-6)


def test_more_oil_stands_higher(stepped):
    """50 volumes, spread so that some lie within a drop of each other (0.05 mm3 is about a millionth of a millimetre
    here)."""
    whole = float(stepped.volume)
    volumes = np.sort(np.concatenate([np.linspace(1.0, whole * (1 - 1e-9), 25), whole / 2 + 0.05 * np.arange(25)]))
    heights = [level(stepped, volume=v) for v in volumes]
    assert len(heights) == 50 and None not in heights
    assert (np.diff(heights) > 0).all()
    for volume, height in zip(volumes, heights):
        assert volume_below(stepped, height) == pytest.approx(volume, rel=1e-10, abs=1e-3)


def test_what_does_not_fit_has_no_level():
    assert level(TANK, volume=8e6 * (1 + 1e-9)) is None
    assert level(TANK, volume=0.0) is None and level(TANK, volume=-1.0) is None
    assert level(TANK, volume=math.nextafter(8e6, 0)) == pytest.approx(380, abs=1e-6)

