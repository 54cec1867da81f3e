"""Meshes held against closed forms of the same bodies and against a reader of STL files."""

import io
import math

import cadquery as cq
import numpy as np
import pytest
import trimesh
from sample_parts import DENSITY, TROUGH_LENGTH, bracket, oil_section, trough

from generators.meshes import CHORD_MM, PLANE, bead, part_meshes, solid_mesh
from generators.outlines import circle, polygon_loop
from generators.pieces import Part, Piece, Seam
from generators.sheet.frames import frame
from generators.sheet.solids import prism, tube

PARTS = {"bracket": bracket, "trough": trough}


def block(name: str, *boxes: tuple[tuple[float, float, float], tuple[float, float, float]], loose: bool = False) -> Piece:
    solids = tuple(cq.Solid.makeBox(*np.subtract(b, a).tolist()).moved(cq.Location(cq.Vector(*a))) for a, b in boxes)
    return Piece(name, "turned", "5052-H32", DENSITY, solids, loose=loose)


def read_back(mesh: trimesh.Trimesh) -> trimesh.Trimesh:
    return trimesh.load(io.BytesIO(mesh.export(file_type="stl")), file_type="stl", process=True)


def test_a_cylinder_is_within_the_chord_of_its_radius():
    radius, length = 90.0, 40.0
    mesh = solid_mesh(tube(outer=2 * radius, bore=0, length=length))
    inside = np.linalg.norm(mesh.triangles_center[:, :2], axis=1)[np.abs(mesh.face_normals[:, 2]) < 0.5]
    assert np.linalg.norm(mesh.vertices[:, :2], axis=1).max() == pytest.approx(radius, abs=1e-6)
    sides = len(np.unique(np.round(mesh.vertices[:, :2], 6), axis=0))
    assert radius * (1 - math.cos(math.pi / sides)) <= CHORD_MM
    assert inside.min() >= radius - CHORD_MM
    # a regular polygon's prism: n/2 r^2 sin(2 pi / n) h
    assert mesh.volume == pytest.approx(sides / 2 * radius**2 * math.sin(2 * math.pi / sides) * length, rel=1e-9)


def test_the_chord_does_not_grow_with_the_solid():
    sides = {r: len(solid_mesh(tube(outer=2 * r, bore=0, length=1.0)).vertices) / 2 for r in (400.0, 1600.0)}
    for radius, count in sides.items():
        assert radius * (1 - math.cos(math.pi / count)) <= CHORD_MM


def test_a_placed_and_a_mirrored_solid_keep_their_outside_outside():
    solid = prism(polygon_loop([(0, 0), (30, 0), (0, 40)]), height=5,
                  where=frame(origin=(100, -20, 3), x=(0, 0.6, 0.8), z=(1, 0, 0)))
    for shape in (solid, solid.mirror("XY")):
        mesh = solid_mesh(shape.Solids()[0])
        assert mesh.volume == pytest.approx(30 * 40 / 2 * 5, rel=1e-9)


def test_triangles_of_plane_faces_are_known():
    mesh = solid_mesh(tube(outer=20, bore=0, length=5))
    assert np.array_equal(mesh.face_attributes[PLANE], np.abs(mesh.face_normals[:, 2]) > 0.5)
    assert part_meshes(bracket()).copies["base", 0].face_attributes[PLANE].any()


@pytest.mark.parametrize("name", PARTS)
def test_joined_is_closed_after_an_stl_round_trip(name):
    meshes = part_meshes(PARTS[name]())
    again = read_back(meshes.joined)
    assert again.is_watertight and again.is_winding_consistent
    assert again.volume == pytest.approx(meshes.joined.volume, rel=1e-9)
    metal = sum(p.volume * p.quantity for p in meshes.part.pieces)
    assert again.volume == pytest.approx(metal, rel=0.01)


def test_welded_pieces_are_one_body_and_loose_ones_their_own():
    meshes = part_meshes(bracket())
    assert meshes.fixed.body_count == 1
    assert meshes.joined.body_count == 3
    assert set(meshes.copies) == {("angle", 0), ("base", 0), ("pin", 0), ("pin", 1)}


def test_oil_space_is_the_inside_of_the_trough():
    meshes = part_meshes(trough())
    assert read_back(meshes.oil_space).is_watertight
    # the trough's own section times its length; the corner fillets' chords and the beads keep a little oil out, never more in
    exact = oil_section(60.0) * TROUGH_LENGTH
    beads = meshes.joined.volume - sum(p.volume * p.quantity for p in meshes.part.pieces)
    chords = CHORD_MM * 2 * (math.pi / 2 * 3.0) * TROUGH_LENGTH
    assert exact - max(beads, 0) - chords <= meshes.oil_space.volume <= exact
    assert meshes.fixed.body_count == 1


def test_metal_inside_the_cavity_takes_its_volume_out_of_the_oil():
    cavity = cq.Solid.makeBox(100, 80, 60)
    post = block("post", ((20, 20, 0), (30, 40, 60)))
    mesh = part_meshes(Part("vessel", (post,), {}, cavity=cavity)).oil_space
    assert mesh.volume == pytest.approx(100 * 80 * 60 - 10 * 20 * 60, rel=1e-9)


def test_faces_that_coincide_make_one_body():
    part = Part("stack", (block("a", ((0, 0, 0), (10, 10, 10))), block("b", ((10, 2, 2), (20, 8, 8)))), {})
    joined = part_meshes(part).joined
    assert joined.body_count == 1
    assert joined.volume == pytest.approx(1000 + 360, rel=1e-9)


def test_tilted_faces_that_coincide_make_one_body_with_a_weld():
    where = frame(origin=(3, 5, 7), x=(0.48, 0.64, 0.6), z=(0.8, -0.6, 0))
    square = polygon_loop([(0, 0), (20, 0), (20, 20), (0, 20)])
    below = prism(square, height=-4, where=where)
    above = prism(polygon_loop([(0, 0), (20, 0), (20, 3), (0, 3)]), height=30, where=where)
    pieces = tuple(Piece(n, "turned", "5052-H32", DENSITY, (s,)) for n, s in (("below", below), ("above", above)))
    path = where.points([(0, 3, 0), (20, 3, 0)])
    joined = part_meshes(Part("tee", pieces, {}, seams=(Seam("below", "above", path, 3.0),))).joined
    assert joined.body_count == 1
    assert read_back(joined).is_watertight
    assert joined.volume == pytest.approx(20 * 20 * 4 + 20 * 3 * 30, rel=0.01)


def test_blocks_that_meet_at_an_edge_only_are_closed_and_stay_two():
    """An edge is no weld: without a seam nothing holds them."""
    part = Part("stair", (block("a", ((0, 0, 0), (10, 10, 10))), block("b", ((10, 0, 10), (20, 10, 20)))), {})
    again = read_back(part_meshes(part).joined)
    assert again.is_watertight and again.body_count == 2
    assert again.volume == pytest.approx(2000, rel=1e-4)


def test_loose_bodies_that_touch_stay_apart():
    stays = block("stays", ((0, 0, 0), (10, 10, 10)))
    flaps = block("flap", ((10, 0, 0), (12, 10, 10)), ((12, 0, 0), (14, 10, 10)), loose=True)
    again = read_back(part_meshes(Part("gate", (stays, flaps), {})).joined)
    assert again.is_watertight and again.body_count == 3
    assert again.volume == pytest.approx(1000 + 2 * 200, rel=0.01)


def test_what_is_welded_together_moves_together():
    flap, knuckles = block("flap", ((0, 0, 0), (2, 30, 20)), ((50, 0, 0), (52, 30, 20)), loose=True), block(
        "knuckle", ((-4, 0, 20), (2, 10, 26)), ((46, 0, 20), (52, 10, 26)), loose=True)
    pin = block("pin", ((-2, -5, 30), (0, 35, 32)), loose=True)
    seams = tuple(Seam("flap", "knuckle", np.array([[x, 0, 20], [x, 10, 20.0]]), 1.0) for x in (2, 52))
    joined = part_meshes(Part("gate", (flap, knuckles, pin), {}, seams=seams)).joined
    assert joined.body_count == 3
    assert joined.volume == pytest.approx(2 * (2 * 30 * 20 + 6 * 10 * 6) + 2 * 40 * 2, rel=0.01)


def test_an_oil_space_pinched_at_an_edge_is_closed():
    cavity = cq.Solid.makeBox(40, 40, 20)
    # two posts that meet at one upright edge pinch the space between them to nothing there
    posts = block("post", ((10, 10, 0), (20, 20, 20)), ((20, 20, 0), (30, 30, 20)))
    again = read_back(part_meshes(Part("vessel", (posts,), {}, cavity=cavity)).oil_space)
    assert again.is_watertight and again.is_winding_consistent
    assert again.volume == pytest.approx(40 * 40 * 20 - 2 * 10 * 10 * 20, rel=1e-4)


def test_a_fit_that_is_welded_shut_leaves_no_pocket():
    # a plug of 20 in a hole of 20.1, closed by a ring of weld at each end
    ring = prism(circle(x=0, y=0, radius=20), height=10, holes=[circle(x=0, y=0, radius=10.05)])
    plug = tube(outer=20, bore=0, length=10)
    pieces = tuple(Piece(n, "turned", "5052-H32", DENSITY, (s,)) for n, s in (("ring", ring), ("plug", plug)))
    angles = np.linspace(0, 2 * math.pi, 129)
    paths = [np.column_stack([10 * np.cos(angles), 10 * np.sin(angles), np.full(129, z)]) for z in (0.0, 10.0)]
    part = Part("boss", pieces, {}, seams=tuple(Seam("ring", "plug", path, 2.0) for path in paths))
    assert part_meshes(part).joined.body_count == 1


def test_a_bead_round_a_circle_is_a_ring():
    angles = np.linspace(0, 2 * math.pi, 65)
    ring = bead(np.column_stack([20 * np.cos(angles), 20 * np.sin(angles), 0 * angles]), 0.5)
    assert ring.is_watertight and ring.euler_number == 0
    # Pappus with an octagon of circumradius 0.5 for its section: 8/2 r^2 sin(pi/4)
    assert ring.volume == pytest.approx(4 * 0.25 * math.sin(math.pi / 4) * 2 * math.pi * 20, rel=0.01)


def test_a_bead_turns_corners_and_is_capped():
    straight = bead(np.array([[0, 0, 0], [10.0, 0, 0]]), 0.5)
    assert straight.is_watertight and straight.volume == pytest.approx(4 * 0.25 * math.sin(math.pi / 4) * 10, rel=0.01)
    square = bead(np.array([[0, 0, 0], [10, 0, 0], [10, 10, 0], [0, 10, 0], [0, 0, 0.0]]), 0.5)
    assert square.is_watertight and square.euler_number == 0


def test_the_mesh_of_a_part_is_the_same_every_time():
    first, second = (part_meshes(bracket()).joined for _ in range(2))
    assert first.export(file_type="stl") == second.export(file_type="stl")
