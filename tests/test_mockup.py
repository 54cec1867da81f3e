"""Mock-ups: pieces fit the bed and add up, joints hold, files are strict 3MF, and a slicer takes them without repair."""

import re
import subprocess
from types import SimpleNamespace

import lib3mf
import manifold3d
import numpy as np
import pytest
import sample_parts
import trimesh
from slicing import SLICER, assert_sliced

from configs import changed, region
from generators.checks import printing
from generators.meshes import closed, manifold, part_meshes
from generators.mockup import joined, mockup, splitting
from generators.mockup.gauges import THICK_MM, bolt_strip, swing_gauge
from generators.mockup.marking import DEEP_MM, marked
from generators.mockup.splitting import DOWEL_DEPTH_MM, DOWEL_WALL_MM, Join, cuts_along, split, usable
from generators.mockup.three_mf import file_of
from generators.mockup.variant import LEAST_MM, Printable, grows, printable, thick_enough, thicker
from generators.mockup.walls import thinnest
from generators.parts import gate_baffle, windage_scraper

BED = (220.0, 220.0, 250.0)
JOIN = Join(0.2, 4.0)


def cube(*size, at=(0, 0, 0)):
    return manifold3d.Manifold.cube(size).translate(at)


def boxes(pieces):
    return [np.diff(np.array(p.bounding_box()).reshape(2, 3), axis=0)[0] for p in pieces]


@pytest.mark.parametrize("length, bed, count", [(620, 220, 3), (620, 250, 3), (210, 220, 1), (210.1, 220, 2)])
def test_how_many_pieces_a_length_takes(length, bed, count):
    """620 mm on a bed of 220 or 250 mm less 2 x 5 mm: three pieces (derived by hand)."""
    assert cuts_along(length, bed - 10) == count
    made = split(cube(length, 100, 40), bed=(bed, 120, 60), join=JOIN)
    assert len(made.pieces) == count and all((b <= usable((bed, 120, 60)) + 1e-6).all() for b in boxes(made.pieces))


def test_what_joins_each_pair_of_pieces_is_told():
    """A bar of 300 x 20 x 20 mm in three lengths: dowels between neighbours, nothing between its ends."""
    made = split(manifold3d.Manifold.cube((300, 20, 20)), bed=(120, 120, 120), join=Join(0.2, 4.0))
    found = joined(made, ["A1", "A2", "A3"])
    order = sorted(range(3), key=lambda i: made.pieces[i].bounding_box()[0])
    ends, middle = (f"A{order[0] + 1}", f"A{order[2] + 1}"), f"A{order[1] + 1}"
    assert set(found) == {frozenset((end, middle)) for end in ends} and all(said.endswith(("dowel", "dowels")) for said in found.values())
    assert sum(int(said.split()[0]) for said in found.values()) == made.dowels == len(made.fixings) > 0
    tailed = split(manifold3d.Manifold.cube((300, 40, 3)), bed=(220, 220, 120), join=Join(0.2, 4.0))
    assert list(joined(tailed, ["B1", "B2"]).values()) == ["1 dovetail"]


def test_pieces_and_what_joints_took_are_the_whole():
    body = cube(500, 150, 40) - cube(460, 110, 40, at=(20, 20, 10))
    made = split(body, bed=BED, join=JOIN)
    assert sum(p.volume() for p in made.pieces) + made.taken == pytest.approx(body.volume(), rel=1e-9)
    for i, one in enumerate(made.pieces):
        for other in made.pieces[:i]:
            assert (one ^ other).volume() < 1e-6


def test_dowels_sit_in_metal_all_round():
    """Each hole takes its own closed form, 18 mm long; with its wall it lies within the body."""
    body = cube(400, 60, 40)
    made = split(body, bed=BED, join=JOIN)
    (joint,) = made.joints
    count = int(joint.split()[0])
    assert count >= 2 and "dowel" in joint
    hole = np.pi * 2.2**2 * 2 * DOWEL_DEPTH_MM
    assert made.taken == pytest.approx(count * hole, rel=0.02)
    for piece in made.pieces:
        assert len(piece.decompose()) == 1 and piece.genus() == 0, "a hole that broke out would go through"
    narrow = split(cube(400, 2 * (2.2 + DOWEL_WALL_MM) - 0.4, 40), bed=BED, join=JOIN)
    assert "dowel" not in narrow.joints[0]


def test_a_plate_is_dovetailed_and_slides_together():
    plate = cube(400, 60, 3)
    made = split(plate, bed=BED, join=JOIN)
    assert made.joints == ["1 dovetail"] and len(made.pieces) == 2 and not made.straps
    one, other = made.pieces
    assert (one ^ other).volume() < 1e-6, "no overlap"
    assert (one.translate((-1.5, 0, 0)) ^ other).volume() > 0.5, "pulled apart, the tail holds"
    gap = plate.volume() - one.volume() - other.volume()
    assert gap == pytest.approx(made.taken) and 0 < gap < 60 * 3 * 0.5


def test_thin_walls_get_straps_from_inside():
    tray = cube(400, 150, 60) - cube(396, 146, 60, at=(2, 2, 2))
    made = split(tray, bed=BED, join=JOIN)
    assert "strap" in made.joints[0] and made.straps
    for strap in made.straps:
        assert (strap ^ tray).volume() < 1e-3 * strap.volume()
        low, high = np.array(strap.bounding_box()).reshape(2, 3)
        assert (low[1:] > 2).all() and high[1] < 148, "inside"
        assert high[0] - low[0] == pytest.approx(16)
    away = split(tray, bed=BED, join=JOIN, keep_clear=cube(400, 150, 60))
    assert not away.straps


def test_straps_of_crossing_cuts_stay_clear_of_each_other_and_fit_the_bed():
    """Cut along x first: its straps cross the later cut along y, whose own end before them."""
    tray = cube(400, 380, 60) - cube(396, 376, 60, at=(2, 2, 2))
    made = split(tray, bed=BED, join=JOIN)
    assert len(made.pieces) == 4 and len(made.straps) == 4
    for i, strap in enumerate(made.straps):
        assert all((sorted(b) <= np.sort(usable(BED)) + 1e-6).all() for b in boxes([strap]))
        assert all((strap ^ other).volume() < 1e-6 and strap.min_gap(other, 1.0) >= (0 if along_x(strap, other) else JOIN.clearance - 1e-6)
                   for other in made.straps[:i])


def along_x(one, other):
    """Whether two straps are lengths of one, side by side over the same cut."""
    return all(abs(a - b) < 1e-6 for a, b in zip(np.array(one.bounding_box())[[0, 3]], np.array(other.bounding_box())[[0, 3]], strict=True))


def test_cuts_keep_off_what_is_named():
    body = cube(300, 60, 40)
    middle = [np.array([[140.0, -np.inf, -np.inf], [160.0, np.inf, np.inf]])]
    free, kept = split(body, bed=BED, join=JOIN), split(body, bed=BED, join=JOIN, avoid=middle)
    assert min(abs(b[0] - 150) for b in boxes(free.pieces)) < 5
    assert all(not 135 < b[0] < 165 for b in boxes(kept.pieces))


def test_bodies_that_fall_apart_are_pieces_of_their_own():
    made = split(cube(100, 20, 20) + cube(100, 20, 20, at=(0, 40, 0)), bed=(60, 60, 60), join=JOIN)
    assert all(len(p.decompose()) == 1 for p in made.pieces) and len(made.pieces) == 4


# ---------------------------------------------------------------- marks, walls, gauges


def test_a_mark_is_cut_into_a_flat_face():
    body, is_marked = marked(cube(60, 40, 10), "A1")
    assert is_marked and 0 < cube(60, 40, 10).volume() - body.volume() < 10 * 8 * DEEP_MM * 2
    assert marked(cube(60, 40, 1.3), "A1")[1] is False, "the sheet behind it would be thinner than two lines of a nozzle"
    assert marked(manifold3d.Manifold.sphere(8, 64), "A1")[1] is False


@pytest.mark.parametrize("thick", [0.5, 2.0, 7.0])
def test_the_thinnest_wall_is_measured(thick):
    wedge = closed(cube(60, 40, 20) - cube(60 - 2 * thick, 40 - 2 * thick, 20, at=(thick, thick, thick)), "cup", "test")
    assert thinnest(wedge) == pytest.approx(thick, rel=1e-3)


def test_the_bolt_pattern_has_every_hole_larger_by_what_was_asked():
    """Ring area by the polygon of the rail; 6.6 mm holes (ISO 273, medium) printed 7.0 mm wide."""
    p = changed("bench_mockup")
    plain, grown = bolt_strip(p.pan_rail, growth=0.0), bolt_strip(p.pan_rail, growth=0.4)
    holes = len(p.pan_rail.bolts)
    side = 64  # of the polygons that stand for holes
    area = side / 2 * np.sin(2 * np.pi / side) / 4
    assert plain.volume() - grown.volume() == pytest.approx(holes * area * (7.0**2 - 6.6**2) * THICK_MM, rel=1e-3)
    assert np.array(grown.bounding_box())[[2, 5]] == pytest.approx([-p.pan_rail.below_crank - THICK_MM, -p.pan_rail.below_crank])


def test_the_swing_gauge_leaves_the_swing_and_its_clearance():
    p = changed("bench_mockup")
    gauge = swing_gauge(p.pan_rail, region(p), clearance=1.5)
    bar = manifold3d.Manifold.cylinder(40, region(p).radius + 1.4, circular_segments=256).rotate((0, 90, 0)).translate((-20, 0, 0))
    assert (gauge ^ bar).volume() < 1e-6
    wider = manifold3d.Manifold.cylinder(40, region(p).radius + 1.8, circular_segments=256).rotate((0, 90, 0)).translate((-20, 0, 0))
    assert (gauge ^ wider).volume() > 1
    low, high = np.array(gauge.bounding_box()).reshape(2, 3)
    assert high[1] - low[1] == pytest.approx(p.pan_rail.width) and len(gauge.decompose()) == 1


# ---------------------------------------------------------------- a whole mock-up


@pytest.fixture(scope="session")
def made():
    """The scraper and the gates of an engine, thick enough, with the gauges."""
    p = _with_mockup("hillclimb_four", sheet={"thickness": 1.5}, gate_baffle={"open_angle": 0.6})
    thick = thick_enough(p)
    parts = [printable(m.part(m.dimension(thick, region(thick))), None, p.mockup) for m in (windage_scraper, gate_baffle)]
    return p, thick, parts, mockup(p, region(p), parts)


def test_what_is_thin_is_made_again_thicker(made):
    p, thick, parts, _ = made
    assert (thick.sheet.thickness, thick.gate_baffle.flap_thickness, thick.windage_scraper.thickness) == (2.0, 2.0, p.windage_scraper.thickness)
    assert thick_enough(thick) is thick
    assert grows("reservoir", p, thick) and not grows("reservoir", thick, thick), "the sheet is another"
    metal = _with_mockup("hillclimb_four")
    assert grows("gate_baffle", metal, thick_enough(metal)) and not grows("reservoir", metal, thick_enough(metal)), "only the flaps are"
    assert {q.thickness for q in parts[1].part.pieces if q.name in ("end_wall", "flap")} == {2.0}


def test_a_part_that_would_become_another_is_printed_as_it_is_made():
    """Thicker flaps may ask for more gates: then the mock-up would not be the part."""
    metal, thick = sample_parts.bracket(), sample_parts.bracket()
    assert thicker(metal, lambda: thick) == (thick, "")
    for other, words in ((sample_parts.trough(), "another part"), (ValueError("gate_baffle.open_angle: too wide"), "open_angle")):
        def remade(other=other):
            if isinstance(other, Exception):
                raise other
            return other
        kept, said = thicker(metal, remade)
        assert kept is metal and words in said and said.startswith("printed as thin as it is made")


def test_bolt_holes_and_hinges_have_room(made):
    p, _, parts, _ = made
    scraper = parts[0]
    for x, y in p.pan_rail.bolts[:4]:
        rod = manifold3d.Manifold.cylinder(40, 3.49, circular_segments=128).translate((x, y, -p.pan_rail.below_crank - 20))
        assert (rod ^ scraper.bodies["windage_scraper"]).volume() < 1e-6
        fat = manifold3d.Manifold.cylinder(40, 3.55, circular_segments=128).translate((x, y, -p.pan_rail.below_crank - 20))
        assert (fat ^ scraper.bodies["windage_scraper"]).volume() > 0
    baffle = parts[1]
    pin = baffle.part.piece("hinge_pin")
    rod = part_meshes(baffle.part).copies[("hinge_pin", 0)]
    low, high = rod.bounds
    axis = int(np.argmax(high - low))
    grown = manifold(rod).translate(tuple(-(low + high) / 2)).scale(tuple(1.0 if i == axis else 3.75 / 3.0 for i in range(3))).translate(tuple((low + high) / 2))
    assert all((grown ^ body).volume() < 1e-6 for body in baffle.bodies.values())
    assert any("in bores 3.8 mm wide" in note for note in baffle.notes) and pin.quantity == 4


def test_every_piece_is_closed_on_the_bed_and_thick_enough(made):
    p, _, _, found = made
    assert {"windage_scraper", "gate_baffle", "gauges"} == {piece.group for piece in found.pieces} and len({piece.name for piece in found.pieces}) == len(found.pieces)
    for piece in found.pieces:
        assert piece.mesh.is_watertight and piece.mesh.is_winding_consistent and piece.mesh.volume > 0
        assert piece.mesh.bounds[0] == pytest.approx((0, 0, 0)) and (np.array(piece.size) <= usable(BED) + 1e-6).all()
        assert piece.thinnest >= LEAST_MM
    marks = [piece.mark for piece in found.pieces if piece.mark]
    assert len(marks) == len(set(marks)) > 5
    checks = printing.checks(found, p.mockup.bed)
    assert {c.status for c in checks} == {"pass"} and len(checks) == 6


def test_a_piece_too_thin_or_too_large_fails_its_check(made):
    p = made[0]
    thin = [SimpleNamespace(group="x", name="leaf", thinnest=0.4, size=(300.0, 10.0, 10.0))]
    wall, bed = printing.checks(SimpleNamespace(pieces=thin), p.mockup.bed)
    assert (wall.status, bed.status) == ("fail", "fail") and bed.value == pytest.approx(210 / 300)


def test_a_body_that_fits_is_printed_whole():
    body = cube(100, 100, 40)
    found = mockup(_with_mockup(), region(changed("bench_mockup")), [Printable(SimpleNamespace(name="block", own_frame=True), {"block": body})])
    assert sum(p.mesh.volume for p in found.pieces if p.group == "block") == pytest.approx(body.volume(), rel=2e-3)


def _with_mockup(name="bench_mockup", **tables):
    p = changed(name, **tables)
    return type(p)(**{**{k: getattr(p, k) for k in type(p).model_fields}, "mockup": {}})


# ---------------------------------------------------------------- files


def strictly_read(data: bytes):
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromBuffer(data)
    return model, [reader.GetWarning(i) for i in range(reader.GetWarningCount())]


def test_3mf_reads_strictly_without_a_warning(made):
    """By the reference library of the 3MF consortium."""
    pieces = [(p.name, p.mesh) for p in made[3].pieces]
    data = file_of(pieces, "A title")
    model, warnings = strictly_read(data)
    assert warnings == [] and model.GetUnit() == lib3mf.ModelUnit.MilliMeter and data == file_of(pieces, "A title")
    found, objects = {}, model.GetMeshObjects()
    while objects.MoveNext():
        one = objects.GetCurrentMeshObject()
        assert one.IsManifoldAndOriented()
        mesh = trimesh.Trimesh([list(v.Coordinates) for v in one.GetVertices()], [list(t.Indices) for t in one.GetTriangleIndices()], process=False)
        found[one.GetName()] = mesh.volume
    assert found == pytest.approx({name: mesh.volume for name, mesh in pieces}, rel=1e-5)
    with pytest.raises(ValueError, match="needs a body"):
        file_of([], "none")


@pytest.mark.skipif(SLICER is None, reason="Debian's prusa-slicer is not installed")
def test_a_slicer_takes_every_piece_without_repair(made, tmp_path):
    """Its own report of each mesh: closed, one part, nothing repaired, volume and size as here."""
    smallest = sorted(made[3].pieces, key=lambda p: p.mesh.volume)[:2]
    for piece in made[3].pieces:
        file = tmp_path / f"{piece.name}.stl"
        piece.mesh.export(file)
        assert_sliced(file, volume=piece.mesh.volume, size=piece.size)
        if not any(piece is p for p in smallest):
            continue
        code = tmp_path / "piece.gcode"
        bed = ["--nozzle-diameter", "0.4", "--layer-height", "0.3", "--bed-shape", "0x0,220x0,220x220,0x220"]
        subprocess.run([SLICER, "-g", str(file), "--output", str(code), *bed], capture_output=True, check=True, timeout=120)
        used = float(re.search(r"filament used \[cm3\] = ([\d.]+)", code.read_text())[1])
        assert used > 0.15 * piece.mesh.volume / 1e3, "what is sliced is there"


def test_beds_are_told_apart():
    assert usable((220, 210, 250)) == pytest.approx((210, 200, 245))
    assert splitting.axes_on_bed(np.array([300.0, 100.0, 3.0]), usable(BED))[2] == 2, "a plate lies flat"
    assert splitting.axes_on_bed(np.array([100.0, 100.0, 400.0]), usable((450, 220, 250)))[0] == 2


def test_a_thin_piece_stands_where_it_fits_no_other_way():
    """50 x 54 mm and 3 mm thick: with 50 x 50 x 55 mm of room it stands; with 60 x 60 x 55 mm it lies."""
    assert splitting.lying(np.array([50.0, 54.0, 3.0]), np.array([50.0, 50.0, 55.0]))[2] == 1
    assert splitting.lying(np.array([50.0, 54.0, 3.0]), np.array([60.0, 60.0, 55.0]))[2] == 2
    assert splitting.lying(np.array([54.0, 40.0, 45.0]), np.array([50.0, 50.0, 55.0]))[2] == 0
    assert splitting.lying(np.array([40.0, 40.0, 45.0]), np.array([50.0, 50.0, 55.0])) == (0, 1, 2)


def test_a_cut_does_not_shave_a_wall():
    """A bar of two cells, 300 mm long: a cut may run through the wall between them, but not along its skin."""
    body = cube(300, 60, 40) - cube(139, 50, 40, at=(5, 5, 5)) - cube(139, 50, 40, at=(156, 5, 5))
    free = split(body, bed=BED, join=JOIN)
    for piece in free.pieces:
        assert thinnest(closed(piece, "test", "cut")) > 1.0
    assert splitting._leaves_slivers(body, 0, 144.3) and splitting._leaves_slivers(body, 0, 155.5) and not splitting._leaves_slivers(body, 0, 150.0)
    assert not splitting._leaves_slivers(body, 0, 100.0)


def test_what_fits_across_the_corners_of_the_bed_is_not_cut():
    """A bar 260 mm long and 20 wide on 220 x 220 mm: (260 + 20) / sqrt 2 = 198 mm to each side at 45 degrees (derived by hand)."""
    made = split(cube(260, 20, 30), bed=BED, join=JOIN)
    assert made.joints == [] and len(made.pieces) == 1
    assert boxes(made.pieces)[0] == pytest.approx((280 / 2**0.5, 280 / 2**0.5, 30))
    assert len(split(cube(280, 40, 300), bed=BED, join=JOIN).pieces) == 4, "320 / sqrt 2 = 226 mm is too much"
    tall = split(cube(260, 20, 400), bed=BED, join=JOIN, avoid=[np.array([[0.0, 0, 180], [20, 20, 220]])])
    assert len(tall.pieces) == 2 and all((b <= usable(BED) + 1e-6).all() for b in boxes(tall.pieces))
    assert all(not 175 < b[2] < 225 for b in boxes(tall.pieces)), "past what is to be kept clear of"
