"""Obstacles as they are read: their volumes and places in closed form, and what is wrong with a file by name."""

import math
import struct

import cadquery as cq
import numpy as np
import pytest
import trimesh

from generators.exports import step
from generators.findings import BadFile
from generators.fit.mesh_file import read_mesh
from generators.fit.obstacles import BadObstacles, obstruction, obstructions, size_doubt
from generators.fit.record import Obstruction
from generators.fit.step_file import read_solids
from generators.outlines import rectangle
from generators.parameters import Obstacle, Place, Rotation, Vehicle
from generators.reading.unmakeable import refused
from generators.sheet.frames import frame
from generators.sheet.solids import prism, tube

CUBE = trimesh.creation.box(bounds=((0, 0, 0), (10, 20, 30)))


def stl(folder, mesh, name="bar.stl", *, text=False):
    """A mesh as an STL file."""
    data = trimesh.exchange.stl.export_stl_ascii(mesh) if text else trimesh.exchange.stl.export_stl(mesh)
    (folder / name).write_bytes(data.encode() if text else data)
    return folder / name


def solids_file(folder, *solids, name="bar.step"):
    """Solids as a STEP file, each a product in a group."""
    parts = tuple(step.Product(f"part_{i}", None, s) for i, s in enumerate(solids))
    step.write(step.Product("group", None, None, parts), folder / name)
    return folder / name


def inch_file(folder):
    """The same box, 1 x 2 x 3 in, as the kernel writes it in inches."""
    from OCP.Interface import Interface_Static
    from OCP.STEPControl import STEPControl_StepModelType, STEPControl_Writer

    writer = STEPControl_Writer()
    Interface_Static.SetCVal_s("write.step.unit", "INCH")
    writer.Transfer(cq.Solid.makeBox(25.4, 50.8, 76.2).wrapped, STEPControl_StepModelType.STEPControl_AsIs)
    writer.Write(str(folder / "inch.step"))
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    return folder / "inch.step"


def volume(found: Obstruction) -> float:
    return sum(b.metal.volume() for b in found.bodies)


# ---------------------------------------------------------------- boxes and cylinders


def test_a_box_is_where_it_is_said_to_be():
    found = obstruction(Obstacle(name="Front Bar", box=((1, 2, 3), (11, 22, 33)), gap=7.0))
    assert (found.name, found.label, found.gap, found.moves_with_engine, found.said) == ("Front Bar", "front_bar", 7.0, False, "box")
    assert found.bodies[0].box.tolist() == [[1, 2, 3], [11, 22, 33]] and found.extent == 30
    assert volume(found) == pytest.approx(6000) and found.bodies[0].bulge == 0
    assert found.solids[0].Volume() == pytest.approx(6000)


def test_a_cylinder_lies_from_the_middle_of_one_end_to_that_of_the_other():
    """25 mm round from (0, 0, 0) to (30, 0, 40): 50 mm long along (3, 0, 4) / 5, so that it reaches 25 x 4 / 5 mm past its ends in x."""
    found = obstruction(Obstacle(name="bar", cylinder=((0, 0, 0), (30, 0, 40), 25.0), moves_with="engine"))
    assert found.solids[0].Volume(1e-9) == pytest.approx(math.pi * 625 * 50, rel=1e-6) and found.moves_with_engine
    low, high = found.bodies[0].box
    assert low == pytest.approx((-20, -25, -15), abs=0.05) and high == pytest.approx((50, 25, 55), abs=0.05)
    assert 0 < found.bodies[0].bulge <= 0.04


# ---------------------------------------------------------------- meshes


@pytest.mark.parametrize("unit, factor", [("mm", 1), ("cm", 10), ("m", 1000), ("in", 25.4), ("ft", 304.8)])
@pytest.mark.parametrize("text", [False, True])
def test_a_mesh_is_in_the_unit_that_is_stated(tmp_path, unit, factor, text):
    (body,) = read_mesh(stl(tmp_path, CUBE, text=text), unit=unit).bodies
    assert body.volume == pytest.approx(6000 * factor**3) and body.bounds[1] == pytest.approx(np.array([10, 20, 30]) * factor)


def test_each_body_of_a_mesh_is_one_of_its_own(tmp_path):
    other = CUBE.copy().apply_translation((50, 0, 0))
    found = read_mesh(stl(tmp_path, trimesh.util.concatenate([CUBE, other])), unit="mm")
    assert sorted(b.bounds[0][0] for b in found.bodies) == [0, 50] and found.triangles == 24


@pytest.mark.parametrize("by", [(10, 20, 0), (10, 20, 30), (10, 0, 0)])
def test_bodies_that_touch_are_no_fault(tmp_path, by):
    """Along an edge, at a corner, and with a whole side."""
    found = read_mesh(stl(tmp_path, trimesh.util.concatenate([CUBE, CUBE.copy().apply_translation(by)])), unit="mm")
    assert sum(b.volume for b in found.bodies) == pytest.approx(12000)


def test_a_hollow_stays_one(tmp_path):
    inner = trimesh.creation.box(bounds=((2, 2, 2), (8, 18, 28)))
    inner.invert()
    (body,) = read_mesh(stl(tmp_path, trimesh.util.concatenate([CUBE, inner])), unit="mm").bodies
    assert body.volume == pytest.approx(6000 - 6 * 16 * 26)


def test_a_mesh_inside_out_is_turned_and_that_is_told(tmp_path):
    turned = CUBE.copy()
    turned.invert()
    stl(tmp_path, turned)
    found = obstruction(Obstacle(name="bar", file=str(tmp_path / "bar.stl"), unit="mm"))
    assert volume(found) == pytest.approx(6000) and found.said == "bar.stl: 1 body, 12 triangles, in mm as stated, turned right side out"


def _without(mesh, faces):
    return trimesh.Trimesh(mesh.vertices, np.delete(mesh.faces, faces, axis=0), process=False)


def _one_turned():
    mesh = CUBE.copy()
    mesh.faces[3] = mesh.faces[3][::-1]
    return mesh


def _damaged(data: bytes, at: int, value: float) -> bytes:
    return data[:at] + struct.pack("<f", value) + data[at + 4:]


CLOSED = trimesh.exchange.stl.export_stl(CUBE)

BAD_MESHES = {
    "open": (trimesh.exchange.stl.export_stl(_without(CUBE, [4])), "is not closed: 3 open edges, one near x, y, z = "),
    "not one way round": (trimesh.exchange.stl.export_stl(_one_turned()), "not all the same way round"),
    "empty": (b"", "is empty"),
    "blank": (b" \n", "is empty"),
    "no triangle": (bytes(80) + struct.pack("<I", 0), "holds no triangle"),
    "cut short": (CLOSED[:-20], "is cut short or damaged: its head promises 12 triangles, 684 bytes, and it has 664"),
    "not finite": (_damaged(CLOSED, 84 + 12, math.nan), "coordinates that are no numbers"),
    "text of another kind": (b"hello, this is not a mesh at all\n" * 5, "is not an STL file"),
    "text cut short": (trimesh.exchange.stl.export_stl_ascii(CUBE).rpartition("vertex")[0].encode(), "has 35 vertices, which is not three for each triangle"),
    "a plane": (trimesh.exchange.stl.export_stl(trimesh.Trimesh([(0, 0, 0), (1, 0, 0), (0, 1, 0)], [(0, 1, 2), (0, 2, 1)], process=False)), "no volume"),
    "a point": (trimesh.exchange.stl.export_stl(trimesh.Trimesh(np.ones((3, 3)), [(0, 1, 2)], process=False)), "no triangle with an area"),
}


@pytest.mark.parametrize("case", BAD_MESHES)
def test_a_mesh_that_cannot_be_used_says_why(tmp_path, case):
    data, said = BAD_MESHES[case]
    (tmp_path / "bar.stl").write_bytes(data)
    with pytest.raises(ValueError) as bad:
        read_mesh(tmp_path / "bar.stl", unit="mm")
    assert said in str(bad.value), str(bad.value)


# ---------------------------------------------------------------- solids


def test_solids_are_read_where_they_are_placed(tmp_path):
    moved = cq.Solid.makeBox(10, 20, 30).moved(cq.Location(cq.Vector(100, 0, 0)))
    solids, unit = read_solids(solids_file(tmp_path, tube(outer=20, bore=10, length=40), moved))
    assert unit == "millimetres" and len(solids) == 2
    assert sorted(s.Volume(1e-6) for s in solids) == pytest.approx([6000, math.pi * (100 - 25) * 40])
    assert max(s.BoundingBox().xmax for s in solids) == pytest.approx(110)


def test_inches_in_a_file_are_inches(tmp_path):
    (solid,), unit = read_solids(inch_file(tmp_path))
    box = solid.BoundingBox()
    assert unit == "inch" and (box.xlen, box.ylen, box.zlen) == pytest.approx((25.4, 50.8, 76.2))


def _shell(folder):
    faces = cq.Solid.makeBox(10, 20, 30).Faces()[:5]
    cq.exporters.export(cq.Workplane(obj=cq.Compound.makeCompound(faces)), str(folder / "bar.step"))


@pytest.mark.parametrize("change, said", [
    (lambda data: b"", "is empty"), (lambda data: b"solid\nfacet\n", "is not a STEP file"), (lambda data: data[: len(data) // 2], "is cut short"),
    (lambda data: data.replace(b"LENGTH_UNIT(", b"LENGTH_THING("), "does not say its unit of length"),
    (lambda data: data.replace(b"MANIFOLD_SOLID_BREP", b"SOME_OTHER_THING_HERE"), "holds"),
    (lambda data: b"ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\n#1=(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.));\nENDSEC;\nEND-ISO-10303-21;\n", "holds"),
])
def test_a_solid_that_cannot_be_used_says_why(tmp_path, change, said, capfd):
    file = solids_file(tmp_path, cq.Solid.makeBox(10, 20, 30))
    file.write_bytes(change(file.read_bytes()))
    with pytest.raises(ValueError) as bad:
        read_solids(file)
    assert said in str(bad.value), str(bad.value)


def test_faces_that_close_nothing_are_told(tmp_path):
    _shell(tmp_path)
    with pytest.raises(ValueError, match="no solid, but 5 faces"):
        read_solids(tmp_path / "bar.step")


# ---------------------------------------------------------------- places


@pytest.mark.parametrize("kind", ["stl", "step"])
def test_a_file_is_turned_about_its_origin_and_then_set_in_its_place(tmp_path, kind):
    """A bar from 0 to (40, 10, 2), turned by yaw 90 deg: along y, 10 mm to negative x; then a roll of 90 deg would have come first."""
    bar = rectangle(x0=0, y0=0, x1=40, y1=10)
    solid = prism(bar, height=2.0, where=frame(origin=(0, 0, 0), x=(1, 0, 0), z=(0, 0, 1)))
    mesh = trimesh.creation.box(bounds=((0, 0, 0), (40, 10, 2)))
    file = stl(tmp_path, mesh) if kind == "stl" else solids_file(tmp_path, solid)
    more = {"unit": "mm"} if kind == "stl" else {}

    def box(**turns):
        found = obstruction(Obstacle(name="bar", file=str(file), position=Place(x=100, y=200, z=300), rotation=Rotation(**turns), **more))
        assert all(s.BoundingBox().zmin == pytest.approx(found.bodies[0].box[0, 2], abs=1e-4) for s in found.solids)
        return found.bodies[0].box.round(6).tolist()

    quarter = math.pi / 2
    assert box() == [[100, 200, 300], [140, 210, 302]]
    assert box(yaw=quarter) == [[90, 200, 300], [100, 240, 302]]
    assert box(pitch=quarter) == [[100, 200, 260], [102, 210, 300]], "nose down"
    assert box(roll=quarter, yaw=quarter) == [[100, 200, 300], [102, 240, 310]]


# ---------------------------------------------------------------- all together


def test_every_bad_file_is_told_at_once_on_its_line(tmp_path):
    (tmp_path / "one.stl").write_bytes(b"")
    (tmp_path / "two.step").write_bytes(b"nothing")
    text = '[vehicle]\nrail_above_ground = "1 m"\n[[vehicle.obstacle]]\nname = "one"\nfile = "one.stl"\nunit = "mm"\n[[vehicle.obstacle]]\nname = "two"\nfile = "two.step"\n'
    (tmp_path / "engine.toml").write_text(text)
    seen = Vehicle(rail_above_ground=1000.0, obstacle=(Obstacle(name="one", file=str(tmp_path / "one.stl"), unit="mm"),
                                                        Obstacle(name="two", file=str(tmp_path / "two.step"))))
    with pytest.raises(BadObstacles) as bad:
        obstructions(type("P", (), {"vehicle": seen}))
    told = refused(tmp_path / "engine.toml", bad.value.problems)
    assert isinstance(told, BadFile)
    assert [(p.line, p.key) for p in told.problems] == [(5, "vehicle.obstacle[1].file"), (9, "vehicle.obstacle[2].file")]
    assert "one.stl" in str(told.problems[0]) and "is empty" in str(told.problems[0])


def test_inches_taken_for_millimetres_are_doubted():
    """A bar 32 in long told as 32 mm, one of 800 mm told in inches, and one that is as it should be."""
    def doubt(length):
        return size_doubt(obstruction(Obstacle(name="bar", box=((0, 0, 0), (length, 3, 3)))))

    value, against, sense, words = doubt(32.0)
    assert value < against and sense == ">=" and "would be 813 mm were it in inches" in words
    value, against, sense, words = doubt(800 * 25.4)
    assert value > against and sense == "<=" and "would be 800 mm" in words
    value, against, sense, words = doubt(800.0)
    assert value > against and sense == ">=" and "unit" not in words


def test_circles_are_meshed_as_finely_as_they_are_said_to_be():
    """The mesh of a cylinder lies within it by no more than its bulge."""
    found = obstruction(Obstacle(name="bar", cylinder=((0, 0, 0), (0, 0, 10), 50.0)))
    body = found.bodies[0]
    inside = np.linalg.norm(body.vertices[body.faces].mean(axis=1)[:, :2], axis=1)
    rim = np.abs(body.vertices[body.faces][:, :, 2].max(axis=1) - body.vertices[body.faces][:, :, 2].min(axis=1)) > 1
    assert (50 - inside[rim]).max() <= 2 * body.bulge
