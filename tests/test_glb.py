"""The assembly as GLB and as STEP: names, places, units and colours, and the standard's must-haves.

glTF 2.0: Khronos Group, "glTF 2.0 Specification" (ISO/IEC 12113): chunk layout 4.4, accessors 3.6.2, metres and y up 3.4."""

import json
import struct

import numpy as np
import pytest
import trimesh
from fit_cases import bar, looked, parameters, under

from generators.exports import glb, obstacle_products, step
from generators.exports.step import COLOURS, OBSTACLE_COLOUR, SWEEP_COLOUR
from generators.fit.obstacles import obstruction
from generators.parameters import Obstacle


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    """A pan and a tank with two bars, written: the run and the file."""
    fit, run = looked(parameters(under(20.0), bar((500, -300, 200), (540, 300, 250), name="Steering rack")), tank=True)
    file = tmp_path_factory.mktemp("glb") / "assembly.glb"
    glb.write(run.meshes, run.placing, fit.obstructions, run.region, file)
    return run, file


def chunks(data: bytes):
    """The JSON of a GLB file and its binary part."""
    magic, version, length = struct.unpack("<4sII", data[:12])
    assert (magic, version, length) == (b"glTF", 2, len(data))
    size, kind = struct.unpack("<I4s", data[12:20])
    assert kind == b"JSON" and size % 4 == 0
    head = json.loads(data[20:20 + size])
    rest, kind = struct.unpack("<I4s", data[20 + size:28 + size])
    assert kind == b"BIN\0" and rest % 4 == 0 and 28 + size + rest == len(data)
    return head, data[28 + size:]


def test_the_file_is_as_the_standard_has_it(written):
    head, binary = chunks(written[1].read_bytes())
    assert head["asset"]["version"] == "2.0" and head["buffers"][0]["byteLength"] <= len(binary)
    size = {5121: 1, 5123: 2, 5125: 4, 5126: 4}
    for accessor in head["accessors"]:
        view = head["bufferViews"][accessor["bufferView"]]
        assert (view.get("byteOffset", 0) + accessor.get("byteOffset", 0)) % size[accessor["componentType"]] == 0
        assert view.get("byteOffset", 0) + view["byteLength"] <= head["buffers"][0]["byteLength"]
    for mesh in head["meshes"]:
        for primitive in mesh["primitives"]:
            position = head["accessors"][primitive["attributes"]["POSITION"]]
            assert position["type"] == "VEC3" and len(position["min"]) == len(position["max"]) == 3
            assert "NORMAL" not in primitive["attributes"], "without them a viewer shows flat faces"


def test_bodies_have_their_names_groups_and_colours(written):
    head, _ = chunks(written[1].read_bytes())
    nodes = {n["name"]: n for n in head["nodes"]}
    children = {n["name"]: {head["nodes"][i]["name"] for i in n.get("children", ())} for n in head["nodes"]}
    assert children["assembly"] == {"scavenge_pan", "reservoir", "obstacles", "crank_swept_region"}
    assert children["scavenge_pan"] == {"scavenge_pan/flange", "scavenge_pan/trough"} and children["reservoir"] == {"reservoir/shell"}
    assert children["obstacles"] == {"bar", "steering_rack"} and children["bar"] == {"bar/body_1"}

    def colour(name):
        material = head["materials"][head["meshes"][nodes[name]["mesh"]]["primitives"][0]["material"]]
        return material["pbrMetallicRoughness"]["baseColorFactor"], material.get("alphaMode", "OPAQUE")

    for name, wanted in (("scavenge_pan/trough", COLOURS[1]), ("bar/body_1", OBSTACLE_COLOUR)):
        factor, mode = colour(name)
        assert factor == pytest.approx([*(glb.linear(c) for c in wanted), 1.0], abs=0.003) and mode == "OPAQUE"
    factor, mode = colour("crank_swept_region/band_1")
    assert factor[:3] == pytest.approx([glb.linear(c) for c in SWEEP_COLOUR], abs=0.003) and mode == "BLEND" and factor[3] < 0.5


def test_it_is_in_metres_with_y_up(written):
    """The pan's floor is 240 mm over the ground, its flange 420 mm long and 240 mm wide; our left is -z."""
    scene = trimesh.load(written[1])
    at = {name: scene.graph[name] for name in scene.graph.nodes_geometry}
    every = np.vstack([trimesh.transform_points(scene.geometry[g].vertices, m) for m, g in (at["scavenge_pan/flange"], at["scavenge_pan/trough"])])
    assert every.min(axis=0) == pytest.approx([0, 0.24, -0.12], abs=1e-6) and every.max(axis=0)[[0, 2]] == pytest.approx([0.42, 0.12], abs=1e-6)
    tank = trimesh.transform_points(scene.geometry[at["reservoir/shell"][1]].vertices, at["reservoir/shell"][0])
    assert tank.min(axis=0) == pytest.approx([-0.85, 0.2, -0.35], abs=1e-6) and tank.max(axis=0) == pytest.approx([-0.75, 0.6, -0.25], abs=1e-6)


def test_the_same_design_gives_the_same_bytes(written, tmp_path):
    run, file = written
    glb.write(run.meshes, run.placing, run.fit.obstructions, run.region, tmp_path / "again.glb")
    assert (tmp_path / "again.glb").read_bytes() == file.read_bytes()


def test_colours_are_made_linear_as_the_standard_says():
    """IEC 61966-2-1: half of full sRGB is 0.2140 of the light, and dark values go in a straight line."""
    assert glb.linear(0.5) == pytest.approx(0.21404, abs=1e-5) and glb.linear(0.02) == pytest.approx(0.02 / 12.92) and glb.linear(1.0) == 1.0


# ---------------------------------------------------------------- STEP


def mesh_obstacle(folder, mesh, name="pipe"):
    (folder / f"{name}.stl").write_bytes(trimesh.exchange.stl.export_stl(mesh))
    return obstruction(Obstacle(name=name, file=str(folder / f"{name}.stl"), unit="mm"))


def test_obstacles_are_named_and_coloured_in_the_step_file(written, tmp_path):
    import cadquery as cq

    run, _ = written
    pipe = mesh_obstacle(tmp_path, trimesh.creation.annulus(r_min=15, r_max=20, height=100, sections=24).apply_translation((0, 500, 100)))
    everything = (*run.fit.obstructions, pipe)
    file = tmp_path / "assembly.step"
    step.write(step.assembly_product(run.placing.parts, run.region, engine_at=run.placing.engine, more=obstacle_products.products(everything)), file)
    text = file.read_text()
    for name in ("obstacles", "bar", "bar_1", "steering_rack_1", "pipe_1", "scavenge_pan", "crank_swept_region"):
        assert f"'{name}'" in text, name
    solids = cq.importers.importStep(str(file)).solids().vals()
    volumes = [s.Volume(1e-6) for s in solids]
    assert all(s.isValid() for s in solids)
    assert any(v == pytest.approx(60 * 800 * 40) for v in volumes) and any(v == pytest.approx(pipe.bodies[0].metal.volume(), rel=1e-5) for v in volumes)


def test_a_mesh_too_large_for_step_is_left_out_and_that_is_told(tmp_path):
    ball = mesh_obstacle(tmp_path, trimesh.creation.icosphere(subdivisions=4, radius=200.0), "ball")
    assert obstacle_products.products([ball]) == ()
    assert obstacle_products.left_out([ball]) == {"ball": "5120 triangles; more than 3000 are in assembly.glb only"}
