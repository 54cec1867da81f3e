"""The two reports: what programs read, what people see, and pictures made without a display."""

import json
import math
import os
import re
import subprocess
import sys
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pytest
import trimesh
from sample_parts import DENSITY, TROUGH_LENGTH, bracket, oil_section, trough
from vtkmodules.util.numpy_support import vtk_to_numpy
from vtkmodules.vtkIOImage import vtkPNGReader

from generators import crank, reading
from generators.exports import names
from generators.findings import judged, not_assessed
from generators.fit import placing
from generators.meshes import part_meshes
from generators.oil import standing
from generators.paper.pages import unprintable
from generators.report import files, html, json_report, levels, picture, told
from generators.report.record import Run
from generators.shop.pack import pack
from generators.vessels import vessels

FILE = """
title = "Bench <b>four</b> & co"
[pan_rail]
length = "420 mm"
width = "240 mm"
below_crank = "62 mm"
[crank]
swing_radius = "84 mm"
[driving]
cornering = "1.6 g"
braking = "1.4 g"
acceleration = "0.7 g"
[engine]
power = "185 kW"
"""


def some_checks():
    words = {"unit": "mm", "sense": ">=", "method": "least distance between the meshes", "source": "as asked"}
    return (judged(id="a.gap", title="Gap", value=12.5, limit=12.0, **words),
            judged(id="a.floor", title="Floor", value=2.5, limit=12.0, **words),
            judged(id="a.side", title="Side", value=6.1, limit=6.0, caution_below=1.0, **words),
            not_assessed(id="a.open", title="Openings <i>", unit="m3", sense=">=", reason="no flow is known", source="as asked"))


@pytest.fixture(scope="module")
def run(tmp_path_factory) -> Run:
    file = tmp_path_factory.mktemp("file") / "bench.toml"
    file.write_text(FILE)
    read = reading.read(file)
    parts = (bracket(), trough())
    meshes = {p.name: part_meshes(p) for p in parts}
    where = placing.placing(parts, {name: m.joined.bounds for name, m in meshes.items()})
    region = crank.swept_region(read.parameters.crank, rail_length=420.0)
    return Run("0.1.0", file.name, read, region, parts, meshes, vessels(list(meshes.values()), {}), (), some_checks(), where,
               pack=pack(read.parameters, parts))


@pytest.fixture(scope="module")
def found(run) -> dict:
    return json_report.report(run)


# ---------------------------------------------------------------- numbers


def test_every_key_that_programs_rely_on_is_there(found):
    assert {"sumpwright", "title", "source", "parameters", "crank", "parts", "vessels", "checks", "sized", "surge", "transient",
            "fit", "mass"} <= set(found)
    assert set(found["crank"]) == {"swept_radius_mm", "lowest_mm", "half_breadth_mm", "rising_side"}
    for part in found["parts"]:
        assert {"name", "files", "volume_m3", "mass_kg", "bounding_box_mm", "watertight", "valid", "pieces"} <= set(part)
        for piece in part["pieces"]:
            assert {"name", "kind", "quantity", "material", "thickness_mm", "mass_kg", "flat", "flat_area_m2", "cut_length_m",
                    "bends"} <= set(piece)
    for check in found["checks"]:
        assert set(check) == {"id", "title", "value", "limit", "unit", "sense", "margin", "status", "method", "source"}
    assert {"parts_kg", "oil_kg", "centre_mm"} <= set(found["mass"])


def test_the_report_is_plain_json(found, tmp_path):
    json_report.write(found, tmp_path / "report.json")
    assert json.loads((tmp_path / "report.json").read_text(encoding="utf-8")) == found


def test_numbers_are_finite_or_null():
    odd = {"a": math.nan, "b": (math.inf, np.float64(2.5)), "c": np.array([1, 2]), "d": np.bool_(True)}
    assert json_report.finite(odd) == {"a": None, "b": [None, 2.5], "c": [1, 2], "d": True}


def test_bends_masses_and_areas_against_hand_reckoning(found):
    angle = found["parts"][0]["pieces"][0]
    (bend,) = angle["bends"]
    # allowance = pi/2 (3 + 0.42 x 2), deduction = 2 (3 + 2) less that; DIN 6935 takes off 4.128 (by hand, k = 0.738)
    told = {key: bend[key] for key in ("angle_deg", "radius_mm", "allowance_mm", "length_mm", "deduction_mm", "din_6935_deduction_mm")}
    assert told == pytest.approx({"angle_deg": 90, "radius_mm": 3, "allowance_mm": math.pi / 2 * 3.84, "length_mm": 80,
                                  "deduction_mm": 10 - math.pi / 2 * 3.84, "din_6935_deduction_mm": 4.128}, abs=5e-4)
    # the shorter leg of 30 mm lies against the gauge, half the allowance beyond it
    assert (bend["step"], bend["die_mm"], bend["turn_over"]) == (1, 12, False) and bend["gauge_mm"] == pytest.approx(30 + math.pi / 4 * 3.84)
    assert bend["force_N"] == pytest.approx(1.42 * 228 * 80 * 4 / 12)
    flat = 80 * (40 + 30 + math.pi / 2 * 3.84) - math.pi * 4**2
    assert angle["flat_area_m2"] == pytest.approx(flat * 1e-6)
    pin = found["parts"][0]["pieces"][2]
    assert pin["mass_kg"] == pytest.approx(math.pi * 2**2 * 20e-9 * DENSITY) and pin["quantity"] == 2
    assert pin["flat"] is None and pin["bends"] == []
    assert found["mass"]["parts_kg"] == pytest.approx(sum(p["mass_kg"] * p["quantity"] for q in found["parts"] for p in q["pieces"]))


def test_oil_stands_as_high_as_its_volume_says(found):
    (vessel,) = found["vessels"]
    assert vessel["oil_m3"] == pytest.approx(oil_section(20.0) * TROUGH_LENGTH * 1e-9)
    # 20 mm above the floor at -60; the mesh's corner fillets are chords, which moves it by a few micrometres
    assert vessel["level_z_mm"] == pytest.approx(-40, abs=0.01)
    assert vessel["oil_space_m3"] == pytest.approx(oil_section(60.0) * TROUGH_LENGTH * 1e-9, rel=2e-4)
    assert len(vessel["pickups"][0]["rim_mm"]) == 12


def test_oil_that_is_left_while_running_stands_lower(run):
    """10 mm above the floor at -60; one without a full mark keeps none while running."""
    left = oil_section(10.0) * TROUGH_LENGTH * 1e-9
    p = run.read.parameters
    told = replace(run, read=replace(run.read, parameters=p.model_copy(update={"oil": p.oil.model_copy(update={"running_volume": left})})))
    vessel = json_report.vessel_entry(told, run.vessels[0])
    assert vessel["running_oil_m3"] == left and vessel["running_level_z_mm"] == pytest.approx(-50, abs=0.01)
    dry = json_report.vessel_entry(told, replace(run.vessels[0], part=replace(run.parts[1], oil=None, full_mark=None)))
    assert dry["running_oil_m3"] is None and dry["running_level_z_mm"] is None


def test_level_in_a_wedge_against_its_closed_form():
    # a trough with a V section, 90 degrees, 100 long: volume = height^2 x length
    wedge = trimesh.Trimesh(*_wedge(50.0, 100.0), process=False)
    assert wedge.is_watertight and wedge.volume == pytest.approx(50**2 * 100)
    assert standing.level(wedge, volume=20.0**2 * 100) == pytest.approx(20.0, abs=1e-5)
    oil = levels.oil_below(wedge, height=20.0)
    # the centre of a triangle lies at two thirds of its height above the point
    assert oil.center_mass == pytest.approx([50, 0, 20 * 2 / 3], abs=1e-3)
    assert standing.level(wedge, volume=50.0**2 * 100 * 1.01) is None


def _wedge(height: float, length: float):
    points = [(x, y, z) for x in (0, length) for y, z in ((0, 0), (height, height), (-height, height))]
    faces = [(0, 2, 1), (3, 4, 5), (0, 1, 4), (0, 4, 3), (1, 2, 5), (1, 5, 4), (2, 0, 3), (2, 3, 5)]
    mesh = trimesh.Trimesh(points, faces, process=False)
    mesh.fix_normals()
    return mesh.vertices, mesh.faces


def test_oil_that_does_not_fit_has_no_level(run):
    assert json_report.level_of(run.vessels[0], 0.01) is None


def test_the_centre_of_mass_of_metal_and_oil(run, found):
    trough_metal = [(p.mass, s.Center().toTuple()) for p in run.parts[1].pieces for s in p.solids]
    metal = [(p.mass, s.Center().toTuple()) for p in run.parts[0].pieces for s in p.solids] + trough_metal
    oil = oil_section(20.0) * TROUGH_LENGTH * 1e-9 * 860.0
    total = sum(m for m, _ in metal) + oil
    expected_x = (sum(m * c[0] for m, c in metal) + oil * TROUGH_LENGTH / 2) / total
    assert found["mass"]["oil_kg"] == pytest.approx(oil, rel=1e-6)
    assert found["mass"]["centre_mm"][0] == pytest.approx(expected_x, rel=1e-4)


def test_every_chosen_value_has_its_reason(found):
    assert all(s["because"] for s in found["sized"])
    assert {"bracket.foot", "crank.swept_radius", "sheet.thickness"} <= {s["key"] for s in found["sized"]}


# ---------------------------------------------------------------- the page


class Page(HTMLParser):
    """What a browser would make of the page: open elements, text, and whatever it would load."""

    def __init__(self, text: str):
        super().__init__()
        self.open, self.loads, self.words = [], [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        if tag not in ("meta", "img", "br", "wbr"):
            self.open.append(tag)
        self.loads += [v for k, v in attrs if k in ("src", "href")]

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.words.append(data)


@pytest.fixture(scope="module")
def written(run, tmp_path_factory) -> Path:
    root = tmp_path_factory.mktemp("out")
    files.write(run, root)
    return root


def test_letters_that_paper_cannot_show_are_told(run):
    named = replace(run, read=replace(run.read, parameters=run.read.parameters.model_copy(update={"title": "Größe 日本日"})))
    assert unprintable("Größe 日本日") == "日本" and unprintable(run.read.parameters.title) == ""
    assert any("has no 日本:" in line for line in told.lines(named, quiet=False, verbose=False, last=""))
    assert not any("has no" in line and "font" in line for line in told.lines(run, quiet=False, verbose=False, last=""))


def test_the_page_is_whole_and_loads_nothing_from_elsewhere(written, run):
    text = (written / names.REPORT_HTML).read_text(encoding="utf-8")
    page = Page(text)
    assert page.open == []
    local = {names.ASSEMBLY, names.ASSEMBLY_GLB, names.BENDS, names.SEAMS, names.HARDWARE} | {
        f for p in run.parts for f in (names.step(p), names.stl(p), names.oil_space(p), names.templates(p), names.drawing(p),
                                       *(names.made_from(p, q) for q in p.pieces))}
    assert all(u.startswith("data:image/png;base64,") or u in local for u in page.loads)
    assert sum(u.startswith("data:") for u in page.loads) == 2 + 3  # two views of each part, and the vessel's section
    assert "url(" not in text and "@import" not in text and "<script" not in text


def test_what_was_read_and_not_used_is_told(written, found):
    assert found["unused"] == ["engine.power"]
    assert "Read, but nothing that was made or checked here depends on it yet: engine.power." in "".join(
        Page((written / names.REPORT_HTML).read_text(encoding="utf-8")).words)


def test_what_the_user_wrote_is_text_and_not_markup(written):
    text = (written / names.REPORT_HTML).read_text(encoding="utf-8")
    assert "<b>four" not in text and "Openings <i>" not in text and "<enough>" not in text
    words = "".join(Page(text).words)
    assert "Bench <b>four</b> & co" in words and "wide <enough> for the pin & its hole" in words


def test_each_status_is_said_in_words(written):
    words = "".join(Page((written / names.REPORT_HTML).read_text(encoding="utf-8")).words)
    assert all(w in words for w in ("✗ fail", "! caution", "? not assessed", "✓ pass"))
    assert "1 of 4 checks fail" in words
    assert "no flow is known" in words
    assert words.index("✗ fail") < words.index("! caution") < words.index("✓ pass")


def test_the_verdict_follows_the_worst_check():
    def said(*words):
        return html.verdict([{"status": w} for w in words])

    assert "All 2 checks pass" in said("pass", "pass")
    assert "No check fails; 1 of 2 leaves" in said("pass", "caution")
    assert "1 of 3 checks fails:" in said("pass", "caution", "fail")
    assert "2 of 3 checks fail:" in said("pass", "fail", "fail")
    assert "could not be made" in said("pass", "not assessed")
    assert re.sub("<[^>]*>", "", said()) == "Nothing was checked."


def test_numbers_are_shown_in_the_units_of_a_workshop():
    assert html.quantity(0.0083, "m3") == "8.30 L"
    assert html.quantity(0.25, "1") == "25.0 %"
    assert html.quantity(1234567.0, "mm2") == "1234567 mm²"
    assert html.quantity(None, "mm") == html.NONE


def test_numbers_are_no_finer_than_a_workshop_measures_and_never_hide_a_shortfall():
    assert html.quantity(0.020058, "mm") == "0.02 mm" and html.quantity(18.394, "mm") == "18.39 mm"
    assert html.quantity(-0.0004, "mm") == "-0.0004 mm" and html.quantity(0.0, "mm") == "0.00 mm"
    assert html.quantity(-1e-9, "1") == "-1e-07 %" and html.quantity(3.0, "N") == "3 N"


def test_pieces_without_a_drawing_say_what_to_make_or_buy(run, found):
    words = html.pieces_table(found["parts"][0], {})
    assert all(html.escape(p["note"]) in words for p in found["parts"][0]["pieces"])
    bought = {"name": "plug", "kind": "bought", "flat": None, "note": "M14x1.5"}
    assert re.sub("<[^>]*>", "", html._made_from({"files": {"step": "a.step"}}, bought)) == "M14x1.5"


def test_the_centre_is_not_shown_where_a_part_has_no_place(found):
    assert "Centre" in html._masses(found["mass"])
    assert "Centre" not in html._masses({**found["mass"], "set_beside": ["tank"]})


# ---------------------------------------------------------------- pictures


def pixels(png: bytes, file: Path) -> np.ndarray:
    """The picture, by way of `file`: rows from the bottom, shape (height, width, 3), 0 to 255."""
    file.write_bytes(png)
    reader = vtkPNGReader()
    reader.SetFileName(str(file))
    reader.Update()
    image = reader.GetOutput()
    width, height, _ = image.GetDimensions()
    return vtk_to_numpy(image.GetPointData().GetScalars()).reshape(height, width, -1)[:, :, :3].astype(int)


def test_a_box_seen_square_on_covers_what_it_should(tmp_path):
    box = trimesh.creation.box((40, 20, 20))
    seen = pixels(picture.picture([picture.Body(box, (0.2, 0.4, 0.8))], view=(0, -1, 0), size=(400, 400)), tmp_path / "seen.png")
    covered = (seen < 250).any(axis=2)
    assert not covered[0].any() and not covered[:, 0].any()  # white all round
    across, up = covered.any(axis=0).sum(), covered.any(axis=1).sum()
    assert across == pytest.approx(400 / picture.FILL, abs=4)
    assert up == pytest.approx(across / 2, abs=4)
    middle = seen[200, 200]
    assert middle[2] > middle[1] > middle[0]  # blue as asked


def test_a_cut_takes_the_near_half_away(tmp_path):
    boxes = [picture.Body(trimesh.creation.box((20, 20, 20)).apply_translation((0, y, 0)), c)
             for y, c in ((-15, (0.9, 0.1, 0.1)), (15, (0.1, 0.1, 0.9)))]
    front = {"view": (0, -1, 0), "size": (200, 200)}
    whole = pixels(picture.picture(boxes, **front), tmp_path / "whole.png")[100, 100]
    cut = pixels(picture.picture(boxes, cut=picture.Cut((0, 1, 0), 0.0), **front), tmp_path / "cut.png")[100, 100]
    assert whole[0] > whole[2] and cut[2] > cut[0]


def test_nothing_to_show_is_an_error():
    box = picture.Body(trimesh.creation.box((2, 2, 2)), (1, 0, 0))
    with pytest.raises(ValueError, match="nothing"):
        picture.picture([box], cut=picture.Cut((0, 1, 0), 5.0))


def test_pictures_need_no_display_and_say_nothing(tmp_path):
    code = ("import sys, trimesh; from pathlib import Path; from generators.report.picture import Body, picture; "
            "Path(sys.argv[1]).write_bytes(picture([Body(trimesh.creation.box((9, 5, 4)), (0.5, 0.6, 0.7))], size=(80, 60)))")
    bare = {k: v for k, v in os.environ.items() if k not in ("DISPLAY", "WAYLAND_DISPLAY")}
    done = subprocess.run([sys.executable, "-c", code, str(tmp_path / "box.png")], env=bare, capture_output=True, text=True,
                          check=True, cwd=Path(__file__).parents[1])
    assert done.stdout == done.stderr == ""
    assert (pixels((tmp_path / "box.png").read_bytes(), tmp_path / "copy.png") < 250).any()
