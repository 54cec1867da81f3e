"""Sound solids and overlaps: closed forms for boxes and for a bar in a bore; faults built on purpose."""

import math

import cadquery as cq
import numpy as np
import pytest
import trimesh

from generators.bodies import body, part_bodies
from generators.bodies.sinking import SETTLED_SHARE, deepest, distances, sunk
from generators.checks.solids import SINK_MM, fault, interpenetration, solids
from generators.meshes import CHORD_MM, solid_mesh
from tests.small_parts import bar, block, bored_block, meshes_of, part_of, solid_piece

UNIT_BLOCK = ((0, 0, 0), (40, 30, 10))


def depth_of(one, other) -> float:
    return sunk(body("one", solid_mesh(one)), body("other", solid_mesh(other)))


def judged_depth(one, other):
    part = part_of(solid_piece("one", one), solid_piece("other", other))
    return interpenetration(part, part_bodies(meshes_of(part)))


# ---------------------------------------------------------------- solids


def test_sound_pieces_pass():
    part = part_of(
        solid_piece("block", block(*UNIT_BLOCK)),
        solid_piece("pins", bar(radius=1.5, length=20), bar(radius=4, length=9)),
    )
    check = solids(part, meshes_of(part))
    assert (check.value, check.limit, check.status, check.id) == (0, 0, "pass", "sample.solids")
    assert "3 copies" in check.method


def test_a_mesh_with_a_triangle_missing_fails():
    part = part_of(solid_piece("block", block(*UNIT_BLOCK)))
    meshes = meshes_of(part)
    whole = meshes.copies["block", 0]
    meshes.copies["block", 0] = trimesh.Trimesh(whole.vertices, whole.faces[1:], process=False)
    check = solids(part, meshes)
    assert (check.value, check.status) == (1, "fail")
    assert "block: its mesh is not watertight" in check.method


def test_a_mesh_of_another_size_fails():
    solid = block(*UNIT_BLOCK)
    mesh = solid_mesh(solid)
    mesh.apply_scale(1.005)
    assert "its mesh holds" in fault(solid, mesh)


def test_a_solid_with_a_void_is_not_one_closed_shell():
    hollow = block(*UNIT_BLOCK).cut(block((5, 5, 2), (9, 9, 6))).Solids()[0]
    assert "one closed shell" in fault(hollow, solid_mesh(block(*UNIT_BLOCK)))


def test_a_solid_that_crosses_itself_is_invalid():
    corners = [cq.Vector(x, y) for x, y in ((0, 0), (10, 10), (10, 0), (0, 10))]
    bow_tie = cq.Solid.extrudeLinear(cq.Wire.makePolygon(corners, close=True), [], cq.Vector(0, 0, 5))
    assert "invalid" in fault(bow_tie, solid_mesh(block(*UNIT_BLOCK)))


def test_a_solid_inside_out_has_no_volume():
    inverted = cq.Solid(block(*UNIT_BLOCK).wrapped.Reversed())
    assert fault(inverted, solid_mesh(block(*UNIT_BLOCK)))


# ---------------------------------------------------------------- overlaps


@pytest.mark.parametrize("d", [0.01, 0.3, 4.0])
def test_two_boxes_are_as_deep_as_they_overlap(d):
    assert depth_of(block(*UNIT_BLOCK), block((0, 0, 10 - d), (40, 30, 25))) == pytest.approx(d, abs=1e-6)
    assert depth_of(block(*UNIT_BLOCK), block((7, 9, 10 - d), (21, 22, 25))) == pytest.approx(d, abs=1e-6)


def test_boxes_face_to_face_do_not_overlap():
    check = judged_depth(block(*UNIT_BLOCK), block((0, 0, 10), (40, 30, 25)))
    assert check.value == pytest.approx(0, abs=1e-6)
    assert check.status == "pass"


@pytest.mark.parametrize("d", [0.25, 0.6])
def test_a_bar_in_a_bore_tighter_by_d_sinks_by_d(d):
    bar_in, holder = (
        bar(radius=10, length=40, origin=(0, 0, -5)),
        bored_block((-20, -20, 0), (20, 20, 12), radius=10 - d),
    )
    assert depth_of(bar_in, holder) == pytest.approx(d, abs=2 * CHORD_MM + SETTLED_SHARE * d)


def test_crossing_sheets_sink_by_half_the_thinner():
    one, other = block((0, 0, 0), (60, 2, 60)), block((20, -30, -10), (23, 30, 70))
    assert depth_of(one, other) == pytest.approx(1.5, abs=0.01)
    assert depth_of(other, one) == pytest.approx(1.5, abs=0.01)


def test_a_body_swallowed_whole_is_seen():
    assert depth_of(block(*UNIT_BLOCK), block((5, 5, 2), (9, 9, 6))) == pytest.approx(4, abs=1e-6)


def test_what_two_chords_can_hide_passes_and_more_fails():
    on_top = [
        judged_depth(block(*UNIT_BLOCK), block((0, 0, 10 - d), (40, 30, 25))) for d in (SINK_MM - 0.01, SINK_MM + 0.01)
    ]
    assert [c.status for c in on_top] == ["pass", "fail"]
    assert "other 1" in on_top[1].method


def test_a_bar_that_fits_its_bore_exactly_passes():
    check = judged_depth(bar(radius=10, length=40), bored_block((-20, -20, 5), (20, 20, 15), radius=10))
    assert check.status == "pass"


def test_deepest_is_never_under_the_truth():
    """Against dense sampling: a triangle over a bent pair of triangles."""
    rng = np.random.default_rng(3)
    skin, under = rng.uniform(0, 5, (3, 3, 3)), rng.uniform(0, 5, (6, 3, 3))
    weights = rng.dirichlet((1, 1, 1), 4000)
    sampled = distances(np.concatenate([weights @ t for t in skin])[None], under[None])[0].min(axis=1).max()
    assert sampled <= deepest(skin, under) <= sampled * 1.05 + 0.1
    assert math.isclose(deepest(skin[:1], skin[:1]), 0, abs_tol=1e-9)
