"""What the reports say of the fit: rows and summary for programs, the section of the page, the pictures."""

import io

import numpy as np
import pytest
from fit_cases import bar, looked, parameters, under

from generators.parameters import Movement
from generators.report import fit_entries, fit_section, fit_views
from generators.report.json_report import finite, text


@pytest.fixture(scope="module")
def tight():
    """A bar that is too near as the engine moves, one that is not, and one that the pan stands in."""
    fit, run = looked(parameters(under(15.0, name="crossmember"), bar((430, -300, 200), (460, 300, 250), name="rack <1>", gap=5.0),
                                 bar((20, 60, 200), (60, 140, 260), name="pipe"), movement=Movement(z=8.0, roll=0.01)), tank=True)
    return fit, run


def test_every_obstacle_and_part_has_a_row_in_both_frames(tight):
    _fit, run = tight
    rows = finite(fit_entries.rows(run))
    assert [(r["obstacle"], r["part"]) for r in rows][:2] == [("crossmember", "scavenge_pan"), ("crossmember", "reservoir")]
    assert len(rows) == 6 and {"gap_mm", "required_mm", "part", "nearest_mm"} <= set(rows[0])
    first = rows[0]
    assert first["gap_mm"] == pytest.approx(15 - 8 - 90 * np.sin(0.01), abs=0.06) and first["at_rest_mm"] == pytest.approx(15)
    assert first["pose"]["z_mm"] == pytest.approx(-8) and abs(first["pose"]["roll_deg"]) == pytest.approx(np.degrees(0.01))
    (on_part, on_bar), (engine_part, _) = first["nearest_mm"], first["nearest_engine_mm"]
    assert np.linalg.norm(np.subtract(on_part, on_bar)) == pytest.approx(first["gap_mm"], abs=0.06)
    assert engine_part[2] == pytest.approx(-62 - 60, abs=1e-6), "in the engine's frame the pan's floor is where it was made"
    assert abs(engine_part[1]) == pytest.approx(90, abs=1e-6) and 10 - 1e-6 <= engine_part[0] <= 410 + 1e-6
    met = next(r for r in rows if r["obstacle"] == "pipe" and r["part"] == "scavenge_pan")
    assert met["gap_mm"] == 0 and met["depth_mm"] > 15 and met["interference_mm3"] > 40 * 30 * 20
    text({"fit": rows, "summary": finite(fit_entries.summary(run))})


def test_the_summary_says_what_it_comes_to(tight):
    _fit, run = tight
    found = finite(fit_entries.summary(run))
    assert found["assessed"] and found["why_not"] is None and found["depth_below_rail_mm"] is not None
    assert found["ground"]["clearance_mm"] < 240 - 8 and found["ground_engine"]["part"] == "scavenge_pan"
    assert found["engine_can_drop_mm"] < 0 and found["drop_stops_at"] in ("crossmember", "pipe")
    assert {c["way"] for c in found["cures"]["crossmember"]} >= {"up", "mounts"}
    assert [o["moves_with"] for o in found["obstacles"]] == ["vehicle"] * 3 and found["obstacles"][0]["from"] == "box"
    assert found["pictures"] == {"overview": "fit/overview.png", "crossmember": "fit/crossmember.png", "rack_1": "fit/rack_1.png", "pipe": "fit/pipe.png"}
    assert found["not_in_step"] == {} and found["reservoir_to_engine"]["gap_mm"] > 700


def test_the_page_tells_the_worst_first_and_what_would_help(tight):
    _fit, run = tight
    rows, summary = finite(fit_entries.rows(run)), finite(fit_entries.summary(run))
    page = fit_section.section(rows, summary, (), ("assembly.step", "assembly.glb"))
    assert page.index("✗ pipe") < page.index("✗ crossmember") < page.index("✓ rack &lt;1&gt;")
    assert "they meet" in page and "What would clear the crossmember" in page and "assembly.glb" in page and "<1>" not in page
    assert "8 mm down, rolled 0.573 deg" in page
    unknown = fit_section.section([], {"assessed": False, "why_not": "the file has no [vehicle] table"}, (), ("assembly.step",))
    assert "no [vehicle] table" in unknown


def pixels(png: bytes) -> np.ndarray:
    from matplotlib import image

    return image.imread(io.BytesIO(png))[:, :, :3]


def test_the_tightest_place_shows_both_bodies_and_the_gap(tight):
    """Cut across the bar: the line between the nearest points is in the middle of the picture, the pan over it, the bar below."""
    fit, run = tight
    row = next(r for r in fit.rows if r.obstruction.name == "crossmember" and r.part == "scavenge_pan")
    drawing = fit_views.tightest(run, row)
    assert drawing.file == "fit/crossmember.png" and "10 mm wanted" in drawing.words and "8 mm down" in drawing.words
    shown = pixels(drawing.content)
    high, wide, _ = shown.shape
    red = (shown[:, :, 0] > 0.6) & (shown[:, :, 1] < 0.25) & (shown[:, :, 2] < 0.25)
    at = np.argwhere(red).mean(axis=0)
    assert red.sum() > 100 and abs(at[0] - high / 2) < 25 and abs(at[1] - wide / 2) < 25
    bar_colour = np.abs(shown - np.array(fit_views.OBSTACLE_COLOUR)).max(axis=2) < 0.12
    assert np.argwhere(bar_colour)[:, 0].mean() > high / 2 and bar_colour.sum() > 3000
    pan = shown[: high // 3].reshape(-1, 3)
    assert (np.abs(pan - 1.0).max(axis=1) > 0.05).mean() > 0.5, "the pan fills most of what is above"


def test_the_whole_is_drawn_once_from_above_and_once_from_below(tight):
    _fit, run = tight
    drawn = fit_views.drawings(run)
    assert [d.file for d in drawn] == ["fit/overview.png", "fit/overview_below.png", "fit/crossmember.png", "fit/rack_1.png", "fit/pipe.png"]
    assert "they meet" in drawn[4].words
    assert all((pixels(d.content) < 0.9).any() for d in drawn)


def test_without_obstacles_nothing_is_drawn():
    _, run = looked(parameters())
    assert fit_views.drawings(run) == [] and fit_entries.rows(run) == [] and "No obstacle" in fit_section.gaps_table([], {})
