"""How the oil settles, in both reports: rows that anyone can work from, what they come to, plots and pictures. Boxes stand for
vessels: their covers have closed forms."""

import itertools
import json
import math
import re
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest
import trimesh
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.text import Text
from scipy.interpolate import LinearNDInterpolator
from surge_cases import HEIGHT, LENGTH, WIDTH, rim, road, settled, vessel

from configs import read, region
from generators.exports import names
from generators.findings import judged
from generators.fit import placing
from generators.report import files, json_report, surge_plots, surge_section, surge_views
from generators.report.record import Run
from generators.units import GRAVITY

OIL, OIL_MM = 4e-3, 40.0
"""m3, and how deep (mm) it stands in a box of 400 x 250 mm."""

MOUTHS = {"front_end": rim(380, 60), "rear_end": rim(20, -60)}
CELL_BOX = ((150.0, -60.0, 0.0), (250.0, 60.0, 80.0))
BRIM = np.array([(170, -30, 80), (230, -30, 80), (230, 30, 80), (170, 30, 80)], float)


def made(parameters, *boxes) -> Run:
    """A run that made nothing but looked at how oil settles in boxes."""
    check = judged(id="a.gap", title="Gap", value=2.0, limit=1.0, unit="mm", sense=">=", method="by hand", source="as asked")
    return Run("0.1.0", "box.toml", read("road_four_improved"), region(parameters), (), {}, tuple(v for v, _ in boxes), settled(parameters, *boxes),
               (check,), placing.placing((), {}))


@pytest.fixture(scope="module")
def run() -> Run:
    """A pan with two pickups and a tank with one outlet."""
    parameters = road(oil={"volume": 5e-3, "running_volume": OIL})
    return made(parameters, vessel(mouths=MOUTHS), vessel("tank", own_frame=True))


@pytest.fixture(scope="module")
def celled() -> Run:
    """A pan with a cell round its pickup."""
    return made(road(oil={"volume": 5e-3, "running_volume": OIL}), vessel(cell=CELL_BOX, brim=BRIM))


@pytest.fixture(scope="module")
def found(run) -> dict:
    return json_report.report(run)


def rims(report: dict) -> dict:
    return {(v["name"], p["name"]): np.array(p["rim_mm"]) for v in report["vessels"] for p in v["pickups"]}


def volume_below(mesh: trimesh.Trimesh, up: np.ndarray, offset: float) -> float:
    """mm3, by trimesh's own cut; uncapped, for with the origin in the plane a cap adds nothing."""
    a, b, c = np.moveaxis(mesh.slice_plane(up * offset, -up).triangles - up * offset, 1, 0)
    return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6)


# ---------------------------------------------------------------- rows


def test_every_acceleration_has_a_row_for_each_pickup(run, found):
    count = len(run.surges[0].envelope.points)
    assert [(r["vessel"], r["pickup"]) for r in found["surge"][::count]] == [("deep_pan", "front_end"), ("deep_pan", "rear_end"), ("tank", "pickup")]
    assert len(found["surge"]) == 3 * count and found["surge_in_cells"] == []
    assert all(set(r) == {"vessel", "pickup", "x_g", "y_g", "z_g", "up", "oil_m3", "cover_mm", "overshoot_cover_mm", "needed_m3", "open_cover_mm"} for r in found["surge"])


def test_a_row_holds_its_oil_under_the_plane_that_it_tells_of(run, found):
    spaces, edges = {v.name: v.oil_space for v in run.vessels}, rims(found)
    for row in found["surge"][::7]:
        up = np.array(row["up"])
        reach = (edges[row["vessel"], row["pickup"]] @ up).max()
        assert np.linalg.norm(up) == pytest.approx(1, abs=1e-11)
        assert volume_below(spaces[row["vessel"]], up, reach + row["cover_mm"]) == pytest.approx(row["oil_m3"] * 1e9, rel=1e-6)
        assert volume_below(spaces[row["vessel"]], up, reach) == pytest.approx(row["needed_m3"] * 1e9, rel=1e-6, abs=1e-2)


def test_a_row_s_cover_and_direction_by_hand(found):
    """Oil under a plane that meets neither floor nor roof of a box is as deep in the middle as at rest: its surface is at
    OIL_MM - (x_g dx + y_g dy) / (1 + z_g), and the cover that height over the mouth times the cosine of the tilt."""
    seen = 0
    for row in (r for r in found["surge"] if r["pickup"] == "front_end"):
        weight = 1 + row["z_g"]
        lean = np.array([row["x_g"], row["y_g"]]) / weight
        assert row["up"] == pytest.approx(np.array([*lean, 1]) / math.hypot(*lean, 1), abs=1e-8)  # vehicle and engine are both level
        if abs(lean) @ (LENGTH / 2, WIDTH / 2) < OIL_MM:
            seen += 1
            height = OIL_MM - lean @ (380 - LENGTH / 2, 60) - 10
            assert row["cover_mm"] == pytest.approx(height / math.hypot(*lean, 1), abs=1e-5)
    assert seen > 50


def test_rows_of_a_cell_hold_what_the_cell_keeps(celled):
    report = json_report.report(celled)
    cell, rows = trimesh.creation.box(bounds=CELL_BOX), report["surge_in_cells"]
    assert len(rows) == len(report["surge"]) and {r["compartment"] for r in rows} == {"cell"}
    edge = rims(report)["deep_pan", "pickup"]
    kept = [r for r in rows[::5] if r["oil_m3"] > 1e-6]
    assert len(kept) > 50
    for row in kept:
        up = np.array(row["up"])
        assert volume_below(cell, up, (edge @ up).max() + row["cover_mm"]) == pytest.approx(row["oil_m3"] * 1e9, rel=1e-6)
    assert {r["seconds"] for r in rows if r["z_g"] == 0} == {4.0} and {r["seconds"] for r in rows if r["z_g"]} == {1.0}


def test_the_file_is_short_valid_and_the_same(found, tmp_path):
    json_report.write(found, tmp_path / "report.json")
    text = (tmp_path / "report.json").read_text(encoding="utf-8")
    assert json.loads(text) == found
    plain = json_report.text({**found, "surge": []})
    assert plain == json.dumps({**found, "surge": []}, indent=1, ensure_ascii=False) + "\n"
    assert len(text.splitlines()) == len(plain.splitlines()) + len(found["surge"]) + 1
    rows = [line.strip().rstrip(",") for line in text.splitlines() if '"vessel": "deep_pan", "pickup"' in line]
    assert [json.loads(r) for r in rows] == found["surge"][:len(rows)] and len(rows) == 2 * found["surge_summary"][0]["points"]


# ---------------------------------------------------------------- what they come to


def numbers(value):
    if isinstance(value, dict):
        value = list(value.values())
    if isinstance(value, list):
        return [n for item in value for n in numbers(item)]
    return [value] if isinstance(value, float) else []


def test_every_number_is_finite(found, celled):
    for report in (found, json_report.report(celled)):
        told = numbers([report["surge"], report["surge_in_cells"], report["surge_summary"]])
        assert len(told) > 1000 and all(math.isfinite(n) for n in told)


def test_the_summary_is_what_the_rows_come_to(found):
    for summary in found["surge_summary"]:
        own = {p["name"]: [r for r in found["surge"] if (r["vessel"], r["pickup"]) == (summary["vessel"], p["name"])] for p in summary["pickups"]}
        for p in summary["pickups"]:
            least = min(own[p["name"]], key=lambda r: r["cover_mm"])
            assert p["least_cover_mm"] == pytest.approx(least["cover_mm"], abs=1e-6)
            assert p["needed_m3"] == pytest.approx(max(r["needed_m3"] for r in own[p["name"]]), abs=1e-11)
            assert p["overshoot_mm"][summary["damping"]] == pytest.approx(min(r["overshoot_cover_mm"] for r in own[p["name"]]), abs=1e-6)
            covers = np.array([r["cover_mm"] for r in own[p["name"]]])
            assert np.mean(covers > 0) <= p["covered_share"] <= np.mean(covers >= 0)  # a row's cover is rounded
        if summary["together"]:
            best = [max(r["cover_mm"] for r in rows) for rows in zip(*own.values(), strict=True)]
            assert summary["together"]["least_cover_mm"] == pytest.approx(min(best), abs=1e-6)
            assert summary["together"]["covered_share"] == pytest.approx(sum(p["serving_share"] for p in summary["pickups"]))
            gathered = [min(r["needed_m3"] for r in rows) for rows in zip(*own.values(), strict=True)]
            assert summary["together"]["gathered_m3"] == pytest.approx(max(gathered), abs=1e-11)


def test_the_first_swing_along_and_across_is_the_box_s(found):
    """Shallow oil in a box swings once in 2 L / sqrt(g h) at the longest; tanh shortens nothing, so the period is never less."""
    slosh = found["surge_summary"][0]["slosh"]
    for way, length in (("ahead", LENGTH), ("across", WIDTH)):
        assert slosh[way]["length_mm"] == pytest.approx(length, rel=1e-6)
        k = math.pi / length
        # omega^2 = g k tanh(k h): linear waves between walls, Lamb, Hydrodynamics, art. 257 (from memory)
        assert slosh[way]["period_s"] == pytest.approx(2 * math.pi / math.sqrt(GRAVITY * 1e3 * k * math.tanh(k * OIL_MM)), rel=1e-6)
    assert found["surge_summary"][1]["to_swing"] is None  # nothing is swept in a tank


# ---------------------------------------------------------------- plots


def svgs(run: Run) -> list[bytes]:
    return [surge_plots.cover_plot(s, c) for s in run.surges for c in s.covers] + [surge_plots.serving_plot(run.surges[0])]


def test_plots_are_well_formed_the_same_each_time_and_load_nothing(run):
    drawn = svgs(run)
    assert drawn == svgs(run)
    for svg in drawn:
        root = ElementTree.fromstring(svg)
        assert root.tag.endswith("svg")
        links = [v for e in root.iter() for k, v in e.attrib.items() if k.endswith("href")]
        assert links and all(v.startswith("#") for v in links)
        assert not re.search(rb"url\((?!#)", svg)


@pytest.mark.parametrize("bands", [surge_plots.BANDS, 60])
def test_no_words_of_a_plot_lie_on_others_or_off_the_paper(run, bands, monkeypatch):
    """Also where there are far more lines than there is room to name."""
    monkeypatch.setattr(surge_plots, "BANDS", bands)
    for figure in [surge_plots.cover_figure(s, c) for s in run.surges for c in s.covers] + [surge_plots.serving_figure(run.surges[0])]:
        pen = FigureCanvasAgg(figure).get_renderer()
        figure.draw(pen)
        ticks = {t for axes in figure.axes for axis in (axes.xaxis, axes.yaxis) for t in axis.get_ticklabels()}
        words = {t for t in figure.findobj(Text) if t.get_text() and t.get_visible()}
        boxes = [t.get_window_extent(pen) for t in words - ticks]
        assert {"speeding up", "braking", "turning left", "turning right"} <= {t.get_text() for t in words} and len(boxes) >= 8
        assert not [(a, b) for a, b in itertools.combinations(boxes, 2) if a.overlaps(b)]
        assert all(b.x0 >= 0 and b.y0 >= 0 and b.x1 <= figure.bbox.x1 and b.y1 <= figure.bbox.y1 for b in boxes)


def test_the_heavy_line_runs_where_the_mouth_is_just_bare(run):
    """Straight between the points of the envelope's net: a line that a plane's cover crosses at 0 mm."""
    surge = run.surges[0]
    cover = surge.covers[0]
    (axes,) = surge_plots.cover_figure(surge, cover).axes
    heavy = [c for c in axes.collections if len(c.get_linewidth()) and max(c.get_linewidth()) == surge_plots.ZERO_STYLE["linewidth"]]
    (line,) = [p.vertices for c in heavy for p in c.get_paths()]
    level = surge_plots.plan(surge, "level")
    between = LinearNDInterpolator(level.places, cover.judged[level.which])
    inside = between(line)[np.isfinite(between(line))]
    assert len(inside) > 20 and np.abs(inside).max() < 3.0  # the other diagonal of a quarter moves it by a little
    assert np.ptp(cover.judged) > 100


@pytest.mark.parametrize("driving", [{"braking": 0.0, "acceleration": 0.0}, {"cornering": 0.0}, {"cornering": 0.0, "braking": 0.0, "acceleration": 0.0}])
def test_driving_without_width_is_drawn_all_the_same(driving):
    (surge,) = settled(road(driving=driving, oil={"volume": 5e-3, "running_volume": OIL}), vessel(mouths=MOUTHS))
    for svg in (surge_plots.cover_plot(surge, surge.covers[0]), surge_plots.serving_plot(surge)):
        assert ElementTree.fromstring(svg).tag.endswith("svg")


def test_the_plan_is_seen_from_above_and_without_gaps(run):
    surge = run.surges[0]
    level = surge_plots.plan(surge, "level")
    points = surge.envelope.points[level.which]
    assert (points[:, 2] == 0).all()
    assert level.places == pytest.approx(np.column_stack([-points[:, 1], points[:, 0]]) / GRAVITY)  # left is left
    a, b, c = (level.places[level.triangles[:, i]] for i in range(3))
    areas = ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]) / 2
    x, y = level.places[-1 - len(surge.envelope.angles):-1].T
    assert np.abs(areas).sum() == pytest.approx(abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2)  # shoelace
    assert (np.sign(areas) == np.sign(areas[0])).all()


def test_halving_keeps_area_and_what_is_straight():
    points = np.array([(0.0, 0, 1), (2, 0, 3), (2, 1, 2), (0, 1, 0)])  # value x - y + 1
    finer, triangles = surge_plots.halved(*surge_plots.halved(points, np.array([(0, 1, 2), (0, 2, 3)])))
    assert len(triangles) == 2 * 16 and len(finer) == 25  # a square cut 4 x 4
    assert finer[:, 2] == pytest.approx(finer[:, 0] - finer[:, 1] + 1)
    a, b, c = (finer[triangles[:, i], :2] for i in range(3))
    assert ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]) / 2 == pytest.approx(2 / 32)


# ---------------------------------------------------------------- pictures


def test_the_pictured_oil_is_all_of_it(run, celled):
    surge = run.surges[0]
    (oil,) = surge_views.oil_at(surge, surge.worst)
    assert oil.is_watertight and oil.volume == pytest.approx(OIL * 1e9, rel=1e-4)  # corners are set on a grid
    around = trimesh.creation.box(bounds=((250.0, -60.0, 0.0), (LENGTH, 60.0, HEIGHT)))
    (part,) = celled.vessels
    split = replace(part, compartments=(*part.compartments, replace(part.compartments[0], name="around", oil_space=around)))
    kept = replace(celled.surges[0], vessel=split)
    cell, outside = surge_views.oil_at(kept, kept.worst)
    assert cell.volume == pytest.approx(kept.covers[0].kept.oil[kept.worst] * 1e9, rel=1e-4)
    up = kept.ups[kept.worst]
    assert outside.volume == pytest.approx(volume_below(around, up, kept.offsets[kept.worst]), rel=1e-4, abs=1)


# ---------------------------------------------------------------- the page


def test_plots_pictures_and_words_reach_the_page_and_the_folder(run, tmp_path):
    report = files.write(run, tmp_path)
    page = (tmp_path / names.REPORT_HTML).read_text(encoding="utf-8")
    told = [s["picture"] for s in report["surge_summary"]] + [p["plot"] for s in report["surge_summary"] for p in s["pickups"]]
    told.append(report["surge_summary"][0]["together"]["plot"])
    assert sorted(told) == sorted(f.relative_to(tmp_path).as_posix() for f in tmp_path.rglob("*.*") if f.suffix in (".svg", ".png"))
    assert all(f'href="{file}"' in page for file in told)
    assert page.count("data:image/svg+xml;base64,") == 4 and page.count("data:image/png;base64,") == 2
    words = re.sub("<[^>]*>", "", page)
    assert words.index("Oil at rest") < words.index("Oil on the move") < words.index("Before you cut")
    summary = report["surge_summary"][0]
    for p in summary["pickups"]:
        assert f"{p['least_cover_mm']:.1f} mm" in words and p["worst"]["said"] in words
    assert "http" not in page.replace("http://www.w3.org", "")


def test_what_never_bares_is_told_from_what_is_bare_at_rest():
    pickup = {"name": "pickup", "bare_angles_deg": [float(a) for a in range(0, 360, 15)], "bares_g": [0.0, 9.9, 9.9, None, *[1.234] * 20]}
    words = re.sub("<[^>]*>", "|", surge_section.bares_table({"pickups": [pickup], "bares_up_to_g": 3.0, "cell_slosh": None}))
    assert re.findall(r"over 3|\d\.\d\d", words) == ["0.00", "over 3", *["1.23"] * 6]


def test_a_page_without_oil_says_so():
    assert "No part" in surge_section.section([], {})


def test_the_swing_is_told_either_way():
    at = {"said": "0.50 g braking", "oil_went": "to the front"}
    assert "stays 12.0 mm and more under" in surge_section._swing({"least_mm": 12.0, "dips_share": 0.0, "worst": at})
    assert "up to 3.0 mm deep in it" in surge_section._swing({"least_mm": -3.0, "dips_share": 0.25, "worst": at})
    assert surge_section._swing(None) == ""


def test_rounding_leaves_no_minus_before_nothing(found):
    assert not [r for r in found["surge"] if any(math.copysign(1, v) < 0 and v == 0 for v in (r["x_g"], r["y_g"], r["z_g"], *r["up"]))]
