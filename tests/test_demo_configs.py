"""Every demo file is made whole, every part of it, and what was written is read again with other eyes."""

import csv
import json
import math
import sys

import pytest
from slicing import SLICER, assert_sliced

from configs import CONFIGS, NAMES, WET_PARTS
from generators import __main__ as program
from generators import units

DRY = ("scavenge_pan", "windage_scraper", "reservoir")
WITH_A_CELL = ("scavenge_pan", "windage_scraper", "gate_baffle", "reservoir")
PARTS = {"hillclimb_four": WITH_A_CELL, "sprint_vee_six": WITH_A_CELL, "bench_mockup": DRY, "endurance_flat_six": DRY}

OF_PART = {
    "scavenge_pan": ("swing_clearance",), "deep_pan": ("swing_clearance", "pickup_floor_gap"), "windage_scraper": ("edge_clearance", "least_web"),
    "windage_screen": ("swing_clearance", "open_area"), "gate_baffle": ("flap_clearance", "flap_opening", "opening_area"),
    "reservoir": ("oil_capacity", "headspace"),
}
GENERAL = ("sheet_limits", "stock")
OF_A_WET_SYSTEM = ("deep_pan.oil_capacity", "deep_pan.level_below_swing", "deep_pan.compartments", "gate_baffle.head_at_rest",
                   "gate_baffle.head_in_corner", "assembly.interpenetration")


SHORT = {"endurance_flat_six": "fit.subframe_tube"}
"""The demo that does not fit: what falls short in it."""

HAS_A_DRY_TWIN = "club_vee_eight"


@pytest.mark.parametrize("name", NAMES)
def test_every_part_of_a_demo_file_is_made_and_reads_back(name, tmp_path, monkeypatch):
    monkeypatch.setattr(sys, "argv", ["sumpwright", "make", str(CONFIGS / f"{name}.toml"), "--out", str(tmp_path / "out"), "-q"])
    with pytest.raises(SystemExit) as left:
        program.main()
    assert left.value.code == (1 if name in SHORT else 0)
    root = tmp_path / "out"
    _fits(root, _agrees(root, PARTS[name], short=SHORT.get(name)))


@pytest.mark.parametrize("name", WET_PARTS)
def test_a_wet_system_is_made_and_reads_back(name, tmp_path, monkeypatch, capsys):
    _each_file_is_run_once(monkeypatch)
    monkeypatch.setattr(sys, "argv", ["sumpwright", "make", str(CONFIGS / f"{name}.toml"), "--out", str(tmp_path / "out"), "-q"])
    with pytest.raises(SystemExit) as left:
        program.main()
    assert left.value.code == 0
    root = tmp_path / "out"
    report = _agrees(root, WET_PARTS[name])
    _fits(root, report)
    assert set(OF_A_WET_SYSTEM) <= {c["id"] for c in report["checks"]}
    (vessel,) = report["vessels"]
    _spaces_agree(root, vessel)
    _tilted_surfaces_agree(root, vessel)
    if name == HAS_A_DRY_TWIN:
        _compares_with_its_dry_twin(tmp_path, monkeypatch, capsys)


def _each_file_is_run_once(monkeypatch):
    """Within one test: what is made of a file, and then compared, is computed once."""
    work, known = program._run, {}

    def run(file, read, names, say):
        if (file, names) not in known:
            known[file, names] = work(file, read, names, say)
        return known[file, names]

    monkeypatch.setattr(program, "_run", run)


def _fits(root, report):
    """Every obstacle has a row for each part that is in the vehicle, its picture and its bodies in both assemblies."""
    import trimesh

    obstacles = report["fit_summary"]["obstacles"]
    said = (report["parameters"]["vehicle"] or {}).get("obstacle") or []
    assert [o["name"] for o in obstacles] == [o["name"] for o in said]
    if not obstacles:
        return
    text = (root / "assembly.step").read_text()
    nodes = set(trimesh.load(root / "assembly.glb").graph.nodes_geometry)
    inside = {r["part"] for r in report["fit"]}
    assert inside <= {p["name"] for p in (*report["parts"], *report["vessels"])} and len(report["fit"]) == len(obstacles) * len(inside)
    for o in obstacles:
        rows = [r for r in report["fit"] if r["label"] == o["label"]]
        check = next(c for c in report["checks"] if c["id"] == f"fit.{o['label']}")
        assert check["value"] == pytest.approx(min(r["gap_mm"] for r in rows)) and all(r["gap_mm"] <= r["at_rest_mm"] for r in rows)
        assert (root / report["fit_summary"]["pictures"][o["label"]]).stat().st_size > 5000
        assert f"'{o['label']}_1'" in text and f"{o['label']}/body_{o['bodies']}" in nodes
        for r in rows:
            apart = math.dist(*r["nearest_mm"])
            assert r["gap_mm"] > 29.9 or r["slack_mm"] <= 0.05
            assert apart - r["slack_mm"] - 0.05 <= r["gap_mm"] <= apart + 0.05


def _compares_with_its_dry_twin(tmp_path, monkeypatch, capsys):
    """As a user would: the table on the screen, and files from which another program or a person goes on."""
    files = [str(CONFIGS / f"{HAS_A_DRY_TWIN}{dry}.toml") for dry in ("", "_dry")]
    monkeypatch.setattr(sys, "argv", ["sumpwright", "compare", *files, "--out", str(tmp_path / "both")])
    with pytest.raises(SystemExit) as left:
        program.main()
    assert left.value.code == 0
    told = capsys.readouterr().out
    found = json.loads((tmp_path / "both/comparison.json").read_text())
    values = {line["what"]: line["values"] for line in found["lines"]}
    wet, dry = values["depth below the rail"]
    assert found["unlike"] == [] and wet - dry > 100 and f"{wet:.1f}" in told and f"{wet - dry:.0f} mm shallower below the rail" in told
    assert values["engine can go down by"][1] > values["engine can go down by"][0] + 20
    rows = list(csv.DictReader((tmp_path / "both/comparison.csv").open()))
    assert len(rows) == len(found["lines"]) and {r["group"] for r in rows} == {"What it is", "Room", "Mass", "Oil", "Checks"}
    page = (tmp_path / "both/comparison.html").read_text()
    assert page.count("data:image/png") == 2 and "Club vee eight dry" in page and 'src="http' not in page


def _spaces_agree(root, vessel):
    """What is written of the oil's space, whole and by compartment, adds up."""
    import trimesh

    whole = trimesh.load(root / vessel["file"], process=True)
    parts = [trimesh.load(root / c["file"], process=True) for c in vessel["compartments"]]
    assert [c["name"] for c in vessel["compartments"]] == ["cell", "around"]
    assert all(m.is_watertight and m.is_winding_consistent for m in (whole, *parts))
    assert sum(m.volume for m in parts) == pytest.approx(whole.volume, rel=1e-6)
    assert whole.volume == pytest.approx(vessel["oil_space_m3"] * 1e9, rel=1e-6)
    assert vessel["running_level_z_mm"] < vessel["level_z_mm"] < vessel["full_mark_z_mm"]
    for c in vessel["compartments"]:
        assert 0 < c["running_m3"] <= c["at_full_mark_m3"] * (1 + 1e-9) <= c["oil_space_m3"] * (1 + 2e-9)
    assert sum(c["running_m3"] for c in vessel["compartments"]) == pytest.approx(vessel["running_oil_m3"], rel=1e-6)


def _tilted_surfaces_agree(root, vessel):
    """Of the running oil in the whole space as written, by the cuts of two other libraries: a millionth of a millimetre lower
    there is less under the surface, as much higher there is more."""
    import manifold3d
    import numpy as np
    import trimesh

    from generators.oil.surface import offsets, skin

    body, volume = trimesh.load(root / vessel["file"], process=True), vessel["running_oil_m3"] * 1e9
    whole = manifold3d.Manifold(manifold3d.Mesh64(np.asarray(body.vertices), np.asarray(body.faces).astype(np.uint64)))

    def by_manifold(up, offset):
        return whole.trim_by_plane(tuple(-up), -offset).volume()

    def by_trimesh(up, offset):
        """Uncapped: with its origin in the plane a cap would add nothing."""
        a, b, c = np.moveaxis(body.slice_plane(up * offset, -up).triangles - up * offset, 1, 0)
        return np.einsum("ij,ij->", a, np.cross(b, c)) / 6

    pulls = np.array([(0, 0, 1.0), (0, 1.2, 1), (-1.1, -0.3, 1), (0.7, 0.8, 0.7), (0.2, 0.4, -0.5)])
    ups = pulls / np.linalg.norm(pulls, axis=1)[:, None]
    for up, offset in zip(ups, offsets(skin(body.vertices, body.faces), ups, volume), strict=True):
        for below in (by_manifold, by_trimesh):
            assert below(up, offset - 1e-6) < volume < below(up, offset + 1e-6)


def _agrees(root, parts, *, short=None):
    """The report of the parts, held against every file that belongs to it; `short` is what fails in it."""
    report = json.loads((root / "report.json").read_text())
    _holds_no_failure(report, parts, short)
    for part in report["parts"]:
        _step_agrees(root, part)
        _stl_agrees(root, part)
        for piece in part["pieces"]:
            if piece["flat"]:
                assert _dxf_area(root / piece["flat"]) == pytest.approx(piece["flat_area_m2"] * 1e6, rel=5e-4)
    _mockup_agrees(root, parts, report)
    rows = list(csv.DictReader((root / "parts_list.csv").open()))
    assert len(rows) == sum(len(p["pieces"]) for p in report["parts"])
    assert sum(float(r["mass_g"]) * int(r["quantity"]) for r in rows) / 1e3 == pytest.approx(report["mass"]["parts_kg"], rel=0.01)
    page = (root / "report.html").read_text()
    assert page.count("data:image/png") >= len(parts) and 'src="http' not in page and 'href="http' not in page
    return report


def _holds_no_failure(report, parts, short):
    assert [p["name"] for p in report["parts"]] == list(parts)
    by_id = {c["id"]: c for c in report["checks"]}
    assert {f"{p}.{check}" for p in parts for check in (*OF_PART[p], *GENERAL)} <= set(by_id)
    together = {f"surge.{v['name']}.{p['name']}" for v in report["vessels"] if len(v["pickups"]) > 1 for p in v["pickups"]}
    undrawn = set() if report["parameters"]["engine"]["oil_flow"] else {"submergence.reservoir.outlet"}
    assert {c["id"] for c in report["checks"] if c["status"] not in ("pass", "caution")} == together | undrawn | ({short} if short else set())
    assert {c["id"] for c in report["checks"] if c["status"] == "fail"} == ({short} if short else set())
    assert all(c["value"] is not None and math.isfinite(c["value"]) for c in report["checks"] if c["id"] not in undrawn)
    assert all(s["because"] for s in report["sized"])


def _step_agrees(root, part):
    import cadquery as cq

    solids = cq.importers.importStep(str(root / part["files"]["step"])).solids().vals()
    assert all(s.isValid() for s in solids) and len(solids) == sum(p["quantity"] for p in part["pieces"])
    assert sum(s.Volume(1e-6) for s in solids) == pytest.approx(part["volume_m3"] * 1e9, rel=1e-6)


def _stl_agrees(root, part):
    import trimesh

    mesh = trimesh.load(root / part["files"]["stl"], process=True)
    assert mesh.is_watertight and mesh.is_winding_consistent
    assert mesh.volume == pytest.approx(part["volume_m3"] * 1e9, rel=0.01)
    loose = [b for b in mesh.split() if b.volume > 1]
    bought = sum(p["quantity"] for p in part["pieces"] if p["kind"] == "bought")
    swings = sum(p["quantity"] for p in part["pieces"] if p["name"] in ("flap", "hinge_pin"))
    assert part["name"] != "gate_baffle" or swings in (6, 8)
    assert len(loose) == 1 + (swings or bought)  # flaps and pins; else plugs, screws and washers


def _mockup_agrees(root, parts, report):
    """Every file that is printed: read by another library closed, one body, on the bed; by a slicer, where one is installed, without repair."""
    import trimesh

    bed = {axis: units.read(text, "length") for axis, text in report["parameters"]["mockup"]["bed"].items()}
    room = sorted((bed["x"] - 10, bed["y"] - 10))
    rows = list(csv.DictReader((root / "mockup/pieces.csv").open()))
    assert {r["group"] for r in rows} == {*parts, "gauges"} and all((root / f"mockup/{group}.3mf").stat().st_size > 500 for group in (*parts, "gauges"))
    for row in rows:
        mesh = trimesh.load(root / row["file"], process=True)
        assert mesh.is_watertight and mesh.is_winding_consistent and mesh.body_count == 1, row["piece"]
        assert mesh.volume / 1e3 == pytest.approx(float(row["volume_cm3"]), abs=0.006)
        x, y, z = mesh.extents
        assert sorted((x, y)) <= [r + 0.01 for r in room] and max(x, y) <= room[1] + 0.01 and z <= bed["z"] - 4.99, row["piece"]
        if SLICER:
            assert_sliced(root / row["file"], volume=mesh.volume, size=mesh.extents)


def _dxf_area(file):
    """Area inside the largest loop of layer CUT less the others, by a polygon library."""
    import ezdxf
    from ezdxf import path
    from shapely.geometry import Polygon

    drawing = ezdxf.readfile(file)
    assert drawing.units == 4 and drawing.header["$MEASUREMENT"] == 1
    loops = [Polygon([(p.x, p.y) for p in path.make_path(e).flattening(0.002)]) for e in drawing.modelspace() if e.dxf.layer == "CUT"]
    loops.sort(key=lambda p: p.area)
    outer = loops.pop()
    assert outer.is_valid and all(outer.contains(hole) for hole in loops)
    return outer.area - sum(hole.area for hole in loops)
