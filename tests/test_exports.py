"""Files that are written, opened again by other readers: what a shop or a CAD user would see in them."""

import csv
import math
import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import cadquery as cq
import ezdxf
import numpy as np
import pytest
import trimesh
from ezdxf import bbox
from ezdxf import path as dxf_path
from sample_parts import DENSITY, bracket, trough
from shapely.geometry import Polygon

from configs import read
from generators.crank import Band, SweptRegion
from generators.exports import files, names, parts_list, step, stl, tree
from generators.exports.step_text import settled
from generators.findings import BadFile
from generators.fit import placing
from generators.meshes import part_meshes
from generators.outlines import Loop, circle, rectangle, reversed_loop, signed_area
from generators.pieces import Part, Piece
from generators.sheet.flat import FlatPattern
from generators.sheet.folded import flat_of, plate
from generators.sheet.solids import folded_solid, tube
from generators.shop import flat_drawing
from generators.shop.pack import pack
from generators.vehicle import engine_in_vehicle
from generators.vessels import vessels


def written(part_name, piece, file, **more):
    """The piece's flat as a file."""
    file.write_text(flat_drawing.text(part_name, piece, **more), encoding="utf-8")


OURS = '{"sumpwright": "0.1.0"}'


def walk(node: cq.Assembly):
    yield node
    for child in node.children:
        yield from walk(child)


# ---------------------------------------------------------------- STEP


def test_a_part_opens_again_with_named_coloured_products_and_the_same_volume(tmp_path):
    part = bracket()
    step.write(step.part_product(part), tmp_path / "bracket.step")
    found = {n.name: n for n in walk(cq.Assembly.importStep(str(tmp_path / "bracket.step")))}
    assert set(found) == {"bracket", "angle", "base", "pin", "pin_2"}
    for piece in part.pieces:
        for i in range(piece.quantity):
            product = found[names.copy(piece, i)]
            assert product.obj.isValid()
            assert product.obj.Volume() == pytest.approx(piece.volume, rel=1e-6)
            assert product.color is not None
    text = (tmp_path / "bracket.step").read_text()
    assert "'angle'" in text and "AUTOMOTIVE_DESIGN" in text  # AP214's schema name
    assert re.search(r"SI_UNIT\(\.MILLI\.,\.METRE\.\)", text)


def test_solids_stand_where_they_were_modelled(tmp_path):
    part = trough()
    step.write(step.part_product(part), tmp_path / "trough.step")
    read = cq.importers.importStep(str(tmp_path / "trough.step")).solids().vals()
    boxes = [s.BoundingBox() for s in read]
    assert min(b.xmin for b in boxes) == pytest.approx(-2, abs=1e-4)
    assert max(b.xmax for b in boxes) == pytest.approx(152, abs=1e-4)
    assert min(b.zmin for b in boxes) == pytest.approx(-62, abs=1e-4)


def test_copies_of_one_solid_keep_their_own_names(tmp_path):
    first = tube(outer=10, bore=6, length=5)
    copies = (first, first.moved(cq.Location(cq.Vector(30, 0, 0))))
    pieces = (Piece("bush", "turned", "5052-H32", DENSITY, copies), Piece("spacer", "turned", "5052-H32", DENSITY, (copies[0],)))
    step.write(step.part_product(Part("pair", pieces, {})), tmp_path / "pair.step")
    found = {n.name: n for n in walk(cq.Assembly.importStep(str(tmp_path / "pair.step")))}
    assert set(found) == {"pair", "bush", "bush_2", "spacer"}


def test_the_same_part_gives_the_same_file(tmp_path):
    for folder in ("a", "b"):
        (tmp_path / folder).mkdir()
        step.write(step.part_product(bracket()), tmp_path / folder / "bracket.step")
        written("bracket", bracket().piece("angle"), tmp_path / folder / "angle.dxf")
    for name in ("bracket.step", "angle.dxf"):
        assert (tmp_path / "a" / name).read_bytes() == (tmp_path / "b" / name).read_bytes()


def test_a_drawing_does_not_depend_on_the_order_of_hashes(tmp_path):
    code = ("import sys; from pathlib import Path; from sample_parts import bracket; from generators.shop.flat_drawing import text; "
            "Path(sys.argv[1]).write_text(text('bracket', bracket().piece('angle')))")
    for seed in ("1", "7"):
        paths = os.pathsep.join([str(Path(__file__).parent), str(Path(__file__).parents[1])])
        subprocess.run([sys.executable, "-c", code, str(tmp_path / f"{seed}.dxf")], check=True,
                       env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": paths})
    assert (tmp_path / "1.dxf").read_bytes() == (tmp_path / "7.dxf").read_bytes()


def test_the_assembly_holds_every_part_and_the_swept_region(tmp_path):
    region = SweptRegion((Band(10.0, 30.0, np.full(360, 40.0), "throw 1 big end"),), "right")
    part = bracket()
    placed = placing.placing([part], {"bracket": np.array([[-10, -10, 0], [90, 60, 41.0]])})
    step.write(step.assembly_product(placed.parts, region, engine_at=placed.engine), tmp_path / "assembly.step")
    found = {n.name: n for n in walk(cq.Assembly.importStep(str(tmp_path / "assembly.step")))}
    assert {"assembly", "bracket", "crank_swept_region"} <= set(found)
    round_volume = math.pi * 40**2 * 20
    assert found["swept_throw_1_big_end_1"].obj.Volume() == pytest.approx(round_volume, rel=1e-6)
    solids = cq.importers.importStep(str(tmp_path / "assembly.step")).solids().vals()
    box = max(solids, key=lambda s: s.Volume()).BoundingBox()
    assert (box.xmin, box.xmax, box.zmax) == pytest.approx((10, 30, 40), abs=1e-4)


# ---------------------------------------------------------------- placing


class Sits:
    """How an engine sits, as a parameter file would say it."""

    front_of_engine, pitch, roll, rail_above_ground = "forward", 0.0, 0.0, 260.0


def test_an_upright_engine_stands_over_the_origin_at_the_height_of_its_rail():
    at = engine_in_vehicle(Sits(), below_crank=62.0)
    assert at.points([(0, 0, -62)])[0] == pytest.approx((0, 0, 260))
    assert at.points([(100, 0, 0)])[0] == pytest.approx((100, 0, 322))


def test_an_engine_across_the_vehicle_and_leaning():
    sits = Sits()
    sits.front_of_engine, sits.roll = "left", math.radians(15)
    at = engine_in_vehicle(sits, below_crank=62.0)
    # its front to the vehicle's left: the crank runs along the vehicle's y
    assert at.points([(100, 0, 0)])[0] - at.points([(0, 0, 0)])[0] == pytest.approx((0, 100, 0), abs=1e-9)
    # rolled to the right of the engine (right-hand rule about its x) by 15 degrees: the left rises by sin 15
    assert (at.points([(0, 100, 0)])[0] - at.points([(0, 0, 0)])[0])[2] == pytest.approx(100 * math.sin(math.radians(15)))
    assert at.points([(0, 0, -62)])[0][2] == pytest.approx(260)


def test_a_part_with_a_frame_of_its_own_is_placed_or_set_beside_and_said_so():
    tank = Part("tank", bracket().pieces, {}, own_frame=True)
    bounds = {"tank": np.array([[-80, -80, -50], [80, 80, 300.0]]), "trough": np.array([[-2, -52, -62], [152, 52, 0.0]])}
    known = placing.placing([trough(), tank], bounds, vehicle=Sits(), below_crank=62.0, positions={"tank": (-900, 350, 150)})
    assert known.parts[1].at.points([(0, 0, 0)])[0] == pytest.approx((-900, 350, 150))
    assert "beside" not in known.said
    unknown = placing.placing([trough(), tank], bounds, positions={"tank": (-900, 350, 150)})
    left_edge = unknown.parts[1].at.points(bounds["tank"])[:, 1].min()
    assert left_edge > 52 and "tank" in unknown.said and "engine's frame" in unknown.said


def test_a_part_for_a_pan_that_is_not_made_stands_clear_of_the_one_that_is():
    cell = Part("cell", bracket().pieces, {})
    bounds = {"cell": np.array([[40, -40, -90], [90, 40, -30.0]]), "trough": np.array([[-2, -52, -62], [152, 52, 0.0]])}
    here = placing.placing([trough(), cell], bounds, elsewhere=("cell",))
    assert here.parts[0].at == here.engine and here.beside == ("cell",) and "deep pan" in here.said
    assert here.parts[1].at.points(bounds["cell"])[:, 1].min() > 52
    assert placing.placing([trough(), cell], bounds).beside == ()


# ---------------------------------------------------------------- STL


def test_stl_holds_millimetres_and_closed_bodies(tmp_path):
    meshes = part_meshes(trough())
    stl.write(meshes.joined, tmp_path / "trough.stl")
    read = trimesh.load(tmp_path / "trough.stl", process=True)
    assert read.is_watertight
    assert read.extents == pytest.approx((154, 104, 62), abs=1e-6)
    assert read.volume == pytest.approx(meshes.joined.volume, rel=1e-9)
    assert not (tmp_path / "trough.stl").read_bytes().startswith(b"solid")
    # the format: 80 bytes of header, a count, 50 bytes a facet
    assert (tmp_path / "trough.stl").stat().st_size == 84 + 50 * len(meshes.joined.faces)


# ---------------------------------------------------------------- DXF


def cut_area(file: Path) -> float:
    """Area of layer CUT as another reader flattens it: the largest loop less the others, which must lie inside it."""
    loops = sorted((Polygon([(p.x, p.y) for p in dxf_path.make_path(e).flattening(0.002)])
                    for e in ezdxf.readfile(file).modelspace() if e.dxf.layer == "CUT"), key=lambda loop: -loop.area)
    assert all(loop.is_valid for loop in loops)
    assert all(loops[0].contains(loop) for loop in loops[1:])
    return loops[0].area - sum(loop.area for loop in loops[1:])


@pytest.mark.parametrize(("part", "piece"), [("bracket", "angle"), ("bracket", "base"), ("trough", "channel"), ("trough", "end")])
def test_a_flat_opens_again_with_its_area(tmp_path, part, piece):
    made = {"bracket": bracket, "trough": trough}[part]().piece(piece)
    for cut_only in (False, True):
        written(part, made, tmp_path / "flat.dxf", cut_only=cut_only)
        assert cut_area(tmp_path / "flat.dxf") == pytest.approx(made.flat.area, rel=5e-4)


def test_area_of_a_plate_against_hand_reckoning(tmp_path):
    # 100 x 60 with corners of 5 and a hole of 10: 100 x 60 - (4 - pi) 5^2 - pi 5^2
    sheet = plate(outer=rectangle(x0=0, y0=0, x1=100, y1=60, corner=5), thickness=2, holes=(circle(x=50, y=30, radius=5),))
    written("plate", Piece("plate", "plate", "5052-H32", DENSITY, (folded_solid(sheet),), 2.0, flat_of(sheet)),
              tmp_path / "plate.dxf")
    assert cut_area(tmp_path / "plate.dxf") == pytest.approx(100 * 60 - 100, rel=5e-4)


def test_loops_of_arcs_alone_close_for_a_reader_of_chords(tmp_path):
    # a disc with lobes: no straight side to close with, turned a little at a time so that rounding falls every way
    for turn in np.linspace(0, 1, 12):
        angles = turn + np.arange(8) * math.pi / 4
        outer = Loop(tuple((90 * math.cos(a), 90 * math.sin(a), b) for a, b in zip(angles, [-0.96, 0.18] * 4, strict=True)))
        flat = FlatPattern(outer if signed_area(outer) > 0 else reversed_loop(outer))
        piece = Piece("disc", "plate", "5052-H32", DENSITY, (tube(outer=20, bore=0, length=2),), 2.0, flat)
        written("x", piece, tmp_path / "disc.dxf")
        assert cut_area(tmp_path / "disc.dxf") == pytest.approx(flat.area, rel=5e-4)


def test_what_is_on_each_layer(tmp_path):
    written("bracket", bracket().piece("angle"), tmp_path / "angle.dxf")
    document = ezdxf.readfile(tmp_path / "angle.dxf")
    assert document.dxfversion == "AC1024"  # R2010
    assert document.header["$INSUNITS"] == 4 and document.header["$MEASUREMENT"] == 1
    assert not document.audit().has_errors
    on = {}
    for entity in document.modelspace():
        on.setdefault(entity.dxf.layer, []).append(entity)
    assert sorted(e.dxftype() for e in on["CUT"]) == ["CIRCLE", "LWPOLYLINE"]
    assert all(e.closed for e in on["CUT"] if e.dxftype() == "LWPOLYLINE")
    assert [e.dxftype() for e in on["BEND_UP"]] == ["LINE"] and "BEND_DOWN" not in on
    assert {e.dxftype() for e in on["NOTE"]} == {"TEXT"}
    words = " ".join(e.dxf.text for e in on["NOTE"])
    assert "1: UP 90 deg R3" in words and "5052-H32" in words and "t = 2 mm" in words and "quantity 1" in words


def test_a_bend_line_lies_in_the_middle_of_its_bend(tmp_path):
    written("bracket", bracket().piece("angle"), tmp_path / "angle.dxf")
    line = next(e for e in ezdxf.readfile(tmp_path / "angle.dxf").modelspace() if e.dxf.layer == "BEND_UP")
    # the foot is 40 wide; allowance = pi/2 (3 + 0.42 x 2), half of it beyond the foot
    assert line.dxf.start.y == line.dxf.end.y == pytest.approx(40 + math.pi / 4 * (3 + 0.42 * 2))
    assert abs(line.dxf.end.x - line.dxf.start.x) == pytest.approx(80)


def test_bends_downwards_and_marks_have_layers_of_their_own(tmp_path):
    from generators.sheet.flat import BendLine

    sheet = plate(outer=rectangle(x0=0, y0=0, x1=50, y1=30), thickness=2)
    flat = FlatPattern(sheet.regions[0].outer, (), (BendLine((0, 15), (50, 15), -math.pi / 4, 3.0, 3.0, 1.1),), (((5, 5), (9, 5), (9, 8)),))
    written("x", Piece("x", "folded", "5052-H32", DENSITY, (folded_solid(sheet),), 2.0, flat), tmp_path / "x.dxf")
    on = {e.dxf.layer: e for e in ezdxf.readfile(tmp_path / "x.dxf").modelspace() if e.dxf.layer != "NOTE"}
    assert set(on) == {"CUT", "BEND_DOWN", "ETCH"}
    assert on["ETCH"].dxftype() == "LWPOLYLINE" and not on["ETCH"].closed


def test_the_cut_only_copy_has_one_layer(tmp_path):
    written("bracket", bracket().piece("angle"), tmp_path / "angle.dxf", cut_only=True)
    assert {e.dxf.layer for e in ezdxf.readfile(tmp_path / "angle.dxf").modelspace()} == {"CUT"}


def _boxes(document, text):
    """Outlines (low, high) of texts as the drawing library's own font draws them, mm."""
    return [(box.extmin, box.extmax) for e in document.modelspace().query("TEXT")
            if text in e.dxf.text and (box := bbox.extents([e]))]


@pytest.mark.parametrize("along", [18.0, 60.0, 400.0])
def test_the_words_on_a_bend_end_short_of_the_cut_edges(tmp_path, along):
    from generators.sheet.flat import BendLine

    sheet = plate(outer=rectangle(x0=0, y0=0, x1=along, y1=30), thickness=2)
    flat = FlatPattern(sheet.regions[0].outer, (), (BendLine((0, 15), (along, 15), -math.radians(92.04), 3.048, 3.0, 1.1),))
    written("x", Piece("x", "folded", "5052-H32", DENSITY, (folded_solid(sheet),), 2.0, flat), tmp_path / "x.dxf")
    document, long = ezdxf.readfile(tmp_path / "x.dxf"), "1: DOWN 92 deg R3.05 BA 3.00"
    on_bend = [e for e in document.modelspace().query("TEXT") if e.dxf.text in (long, "1")]
    assert [e.dxf.text for e in on_bend] == [long if along > 20 else "1"], "words that could not be read give way to the number"
    ((low, high),) = [(b.extmin, b.extmax) for b in [bbox.extents(on_bend)]]
    assert 0 < low.x < high.x < along and high.y - low.y >= 1.3
    notes = " ".join(e.dxf.text for e in document.modelspace().query("TEXT") if e not in on_bend)
    assert (f"bend {long}" in notes) == (along < 20)


@pytest.mark.parametrize(("start", "end"), [((0, 15), (200, 15)), ((200, 15), (0, 15)), ((15, 0), (15, 200)), ((15, 200), (15, 0))])
def test_the_words_on_a_bend_keep_off_holes(tmp_path, start, end):
    from shapely.geometry import Point, box

    from generators.sheet.flat import BendLine

    wide, high = (200, 30) if start[1] == end[1] else (30, 200)
    flat = FlatPattern(rectangle(x0=0, y0=0, x1=wide, y1=high), (circle(x=wide / 2, y=high / 2, radius=12),),
                       (BendLine(start, end, math.pi / 2, 3.0, 3.0, 1.1),))
    written("x", Piece("x", "folded", "5052-H32", DENSITY, (tube(outer=20, bore=0, length=2),), 2.0, flat), tmp_path / "x.dxf")
    document = ezdxf.readfile(tmp_path / "x.dxf")
    ((low, up),) = _boxes(document, "1: UP 90 deg R3")
    words = box(low.x, low.y, up.x, up.y)
    assert not words.intersects(Point(wide / 2, high / 2).buffer(12)) and box(0, 0, wide, high).contains(words)
    assert all(e.dxf.rotation in (0, 90) for e in document.modelspace().query("TEXT"))  # none is upside down


def test_notes_are_in_proportion_to_the_part(tmp_path):
    heights = {}
    for side in (20.0, 300.0, 3000.0):
        sheet = plate(outer=rectangle(x0=0, y0=0, x1=side, y1=10), thickness=2)
        piece = Piece("x", "plate", "5052-H32", DENSITY, (folded_solid(sheet),), 2.0, FlatPattern(sheet.regions[0].outer))
        heights[side] = flat_drawing.text_height(piece.flat)
        words = flat_drawing.notes("part", piece)
        assert not any("bend" in line for line in words)  # a plate is not bent
    assert heights == pytest.approx({20.0: 2.5, 300.0: 5.0, 3000.0: 10.0})


def test_notes_stand_beside_the_part(tmp_path):
    piece = bracket().piece("base")
    written("bracket", piece, tmp_path / "base.dxf")
    tops = [e.get_placement()[1].y for e in ezdxf.readfile(tmp_path / "base.dxf").modelspace() if e.dxf.layer == "NOTE"]
    assert max(tops) < piece.flat.outer.points[:, 1].min()


# ---------------------------------------------------------------- the whole tree


def test_parts_list_has_a_row_a_piece(tmp_path):
    parts = [bracket(), trough()]
    parts_list.write(parts, tmp_path / "parts_list.csv")
    with (tmp_path / "parts_list.csv").open(newline="") as stream:
        rows = {r["piece"]: r for r in csv.DictReader(stream)}
    assert set(rows) == {"angle", "base", "pin", "channel", "end"}
    assert rows["end"]["quantity"] == "2" and rows["end"]["thickness_mm"] == "2" and rows["pin"]["thickness_mm"] == ""
    # a pin of 4 mm by 20 mm at 2680 kg/m3
    assert float(rows["pin"]["mass_g"]) == pytest.approx(math.pi * 4 * 20 * 2680e-6, abs=0.05)


def test_every_file_of_the_tree_is_where_its_name_says(tmp_path):
    meshes = [part_meshes(bracket()), part_meshes(trough())]
    placed = placing.placing([m.part for m in meshes], {m.part.name: m.joined.bounds for m in meshes})
    files.write_parts(read("bench_mockup").parameters, meshes, placed, pack(read("bench_mockup").parameters, [m.part for m in meshes]), tmp_path, held=vessels(meshes, {}))
    for one in meshes:
        wanted = [names.step(one.part), names.stl(one.part), names.oil_space(one.part), names.templates(one.part), names.drawing(one.part)]
        wanted += [n(one.part, p) for p in one.part.pieces for n in (names.flat, names.cut_only)]
        assert all((tmp_path / name).stat().st_size > 0 for name in wanted if name is not None)
    assert (tmp_path / names.ASSEMBLY).is_file() and (tmp_path / names.PARTS_LIST).is_file()
    assert not (tmp_path / "bracket" / "oil_space.stl").exists()


def good_output(folder: Path) -> None:
    with tree.replaced(folder) as fresh:
        (fresh / "report.json").write_text(OURS)
        (fresh / "part").mkdir()
        (fresh / "part" / "part.step").write_text("first")


def contents(folder: Path) -> dict[str, str]:
    return {p.relative_to(folder).as_posix(): p.read_text() for p in folder.rglob("*") if p.is_file()}


def test_a_second_run_takes_the_place_of_the_first(tmp_path):
    good_output(tmp_path / "out")
    with tree.replaced(tmp_path / "out") as fresh:
        (fresh / "report.json").write_text(OURS)
        assert (tmp_path / "out" / "part" / "part.step").read_text() == "first"
    assert set(contents(tmp_path / "out")) == {"report.json", tree.MANIFEST}
    assert os.listdir(tmp_path) == ["out"]


@pytest.mark.parametrize("trouble", [RuntimeError, KeyboardInterrupt, SystemExit, OSError])
def test_a_run_that_fails_leaves_the_last_good_output_and_no_litter(tmp_path, trouble):
    good_output(tmp_path / "out")
    before = contents(tmp_path / "out")
    with pytest.raises(trouble), tree.replaced(tmp_path / "out") as fresh:
        (fresh / "report.json").write_text("half")
        raise trouble
    assert contents(tmp_path / "out") == before
    assert os.listdir(tmp_path) == ["out"]


def test_a_first_run_that_fails_leaves_nothing(tmp_path):
    with pytest.raises(RuntimeError), tree.replaced(tmp_path / "a" / "b"):
        raise RuntimeError
    assert os.listdir(tmp_path) == []


def test_a_run_that_is_killed_leaves_the_last_good_output_and_the_next_one_clears_up(tmp_path):
    good_output(tmp_path / "out")
    before = contents(tmp_path / "out")
    code = ("import sys, time; from generators.exports import tree\n"
            "with tree.replaced(sys.argv[1]) as fresh:\n"
            "    (fresh / 'half').write_text('x'); print('ready', flush=True); time.sleep(60)\n")
    run = subprocess.Popen([sys.executable, "-c", code, str(tmp_path / "out")], stdout=subprocess.PIPE,
                           cwd=Path(__file__).parents[1])
    assert run.stdout.readline() == b"ready\n"
    run.send_signal(signal.SIGKILL)
    run.wait()
    assert contents(tmp_path / "out") == before
    good_output(tmp_path / "out")
    assert os.listdir(tmp_path) == ["out"]


def test_output_that_a_killed_swap_had_moved_away_comes_back(tmp_path):
    good_output(tmp_path / "out")
    gone = subprocess.run([sys.executable, "-c", "import os; print(os.getpid())"], capture_output=True, check=True)
    (tmp_path / "out").rename(tmp_path / f".out.old-{int(gone.stdout)}")
    with pytest.raises(RuntimeError), tree.replaced(tmp_path / "out"):
        raise RuntimeError
    assert contents(tmp_path / "out")["part/part.step"] == "first"
    assert os.listdir(tmp_path) == ["out"]


def refused(path: Path, words: str, **given) -> None:
    before = sorted(p for p in path.parent.rglob("*")) if path.parent.is_dir() else None
    with pytest.raises(BadFile, match=words):
        tree.ready(path, **given)
    assert before is None or before == sorted(p for p in path.parent.rglob("*"))


def test_a_folder_that_is_not_ours_is_refused(tmp_path):
    folder = tmp_path / "photos"
    folder.mkdir()
    assert tree.ready(folder) == folder  # empty: nothing to lose
    (folder / "beach.jpg").write_text("x")
    refused(folder, "choose another")
    (folder / "report.json").write_text('{"other": 1}')
    refused(folder, "choose another")
    (folder / "report.json").write_text("[")
    refused(folder, "choose another")


def test_a_file_that_the_user_laid_into_the_output_is_not_lost(tmp_path):
    good_output(tmp_path / "out")
    (tmp_path / "out" / "part" / "notes.txt").write_text("mine")
    refused(tmp_path / "out", "part/notes.txt")


def test_places_that_cannot_be_written_are_refused(tmp_path, monkeypatch):
    (tmp_path / "file").write_text("x")
    refused(tmp_path / "file", "is a file")
    refused(tmp_path / "file" / "below", "is a file")
    refused(Path("/proc/nothing/here"), "cannot be written")  # says to root that it can be written, and cannot
    good_output(tmp_path / "out")
    refused(tmp_path / "out", "the parameter file", keep=tmp_path / "out" / "my.toml")
    monkeypatch.chdir(tmp_path / "out" / "part")
    refused(tmp_path / "out", "the current folder")


def test_trying_a_folder_out_leaves_nothing(tmp_path):
    assert tree.ready(tmp_path / "out") == (tmp_path / "out").resolve()
    assert not list(tmp_path.iterdir())


def test_a_folder_without_permission_is_refused(tmp_path, monkeypatch):
    # access is what the system says to this question; the answer is forced so that the test also holds for root
    monkeypatch.setattr(os, "access", lambda path, mode: False)
    refused(tmp_path / "out", "permission")


def test_a_place_that_refuses_to_be_written_is_a_bad_file(tmp_path, monkeypatch):
    def deny(self, *args, **given):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "mkdir", deny)
    with pytest.raises(BadFile, match="Permission denied"), tree.replaced(tmp_path / "out"):
        pytest.fail("must not get here")


def test_the_output_folder_is_looked_at_before_anything_heavy_is_imported(tmp_path):
    code = ("import sys; from generators.exports.tree import ready; ready(sys.argv[1]); "
            "print([m for m in ('cadquery', 'trimesh', 'numpy', 'ezdxf') if m in sys.modules])")
    start = time.perf_counter()
    done = subprocess.run([sys.executable, "-c", code, str(tmp_path / "out")], capture_output=True, text=True, check=True,
                          cwd=Path(__file__).parents[1])
    assert done.stdout.strip() == "[]"
    assert time.perf_counter() - start < 5


def test_numbers_are_spelt_in_one_way_and_statements_stand_on_one_line():
    """However the kernel's last digits fall out; names in quotes are left alone."""
    head = b"ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\n"
    one = head + b"#1 = CARTESIAN_POINT('1.E-01',(1.E-01,53.51463554170,\n  -0.));\n#2 = X(2.5E-06,#1);\nENDSEC;\n"
    other = head + b"#1 = CARTESIAN_POINT('1.E-01',(0.1,53.5146355417,0.));\n#2 = X(\n  2.50000000000001E-06,#1);\nENDSEC;\n"
    assert settled(one) == settled(other) == head + b"#1 = CARTESIAN_POINT('1.E-01',(0.1,53.5146355417,0.));\n#2 = X(2.5E-06,#1);\nENDSEC;\n"
