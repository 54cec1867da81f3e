"""Wet systems of odd sizes, of which the tool chose all or most: each fits together, and what does not fit says so."""

import math

import pytest
import shapely

import configs
from generators import standards, sump
from generators.outlines import flattened
from generators.parameters import DeepPan, Pickup, Sump
from generators.parts import gate_baffle, windage_screen
from generators.parts.gate_baffle.blanks import side_wall
from generators.parts.gate_baffle.shape import LOW_WALL, walls
from generators.sump.drain import boss_radius, drain_in_plan

BENCH = "bench_mockup"
NARROW = {"sump": Sump(length=150.0, width=140.0, depth=170.0, x=120.0)}
"""Hardly longer than a cell of the usual length and its drain together."""


def wet(*, gates=None, **tables):
    """The demo engine of the three measured things alone, told to make a wet system."""
    p = configs.changed(BENCH, **{**tables, "engine": {"lubrication": "wet", **tables.get("engine", {})}})
    return p.model_copy(update={"gate_baffle": type(p.gate_baffle)(**(gates or {}))})


def cell(p):
    return gate_baffle.dimension(p, configs.region(p))


def inside(p):
    return sump.inside_of(p, configs.region(p))


# ---------------------------------------------------------------- a level floor is no shelf


@pytest.mark.parametrize("rotation", ["clockwise", "anticlockwise"])
def test_a_cell_stands_on_a_level_floor(rotation):
    p = wet(deep_pan={"floor_slope": 0.0}, crank={"rotation": rotation})
    at = inside(p)
    assert len(at.corners) > 4 and at.floor_slope == 0.0  # it has kick-outs, under which a cell may not reach
    assert cell(p).wall_height > cell(p).opening_height


# ---------------------------------------------------------------- the drain's boss


def rectangle(d) -> shapely.Polygon:
    """The outside of the cell's walls in plan."""
    x, y = d.length / 2 + d.thickness, d.width / 2 + d.thickness
    return shapely.box(d.x - x, d.y - y, d.x + x, d.y + y)


@pytest.mark.parametrize("p", [
    lambda: wet(),
    lambda: wet(deep_pan=NARROW),
    lambda: wet(deep_pan=NARROW, crank={"rotation": "anticlockwise"}),
    lambda: wet(deep_pan={"sump": Sump(length=210.0, width=150.0, depth=180.0, x=150.0)}, gates={"cell": {"length": 140.0}}),
    lambda: wet(engine={"oil_flow": 150.0 / 60000}),
], ids=["sized", "narrow", "narrow, mirrored", "cell asked", "much oil"])
def test_walls_stand_clear_of_the_drain_s_boss(p):
    p = p()
    boss = shapely.Point(drain_in_plan(inside(p))).buffer(boss_radius())
    assert rectangle(cell(p)).distance(boss) > 0.9


def test_a_cell_that_leaves_the_drain_no_room_is_refused_with_both_sizes():
    p = wet(deep_pan=NARROW, gates={"cell": {"length": 130.0, "width": 105.0}})
    with pytest.raises(ValueError, match=r"gate_baffle\.cell\.length: walls 134\.0 mm long .* drain's boss, .* 150\.0 by .* mm: a smaller cell"):
        cell(p)


# ---------------------------------------------------------------- the drain notches


@pytest.mark.parametrize("gates", [{"gates_per_side": 4, "opening": {"width": 20.0, "height": 20.0}}, {}])
def test_drain_notches_leave_a_web_beside_the_openings(gates):
    p = wet(deep_pan={"sump": Sump(length=200.0, width=300.0, depth=170.0, x=130.0)}, gates=gates)
    d = cell(p)
    wall = next(w for w in walls(d) if w.piece == LOW_WALL)
    plate = shapely.Polygon(flattened(side_wall(d, wall)))
    reach = max(d.side_gates) + d.opening_width / 2
    opening = shapely.box(-reach, d.sill + wall.lift, reach, d.sill + wall.lift + d.opening_height)
    assert plate.exterior.distance(opening) >= standards.least_web(d.thickness).value - 1e-3 and d.notch > 2.0


# ---------------------------------------------------------------- sized


def test_kick_outs_of_thick_sheet_are_as_wide_as_their_bends_ask():
    at = inside(wet(sheet={"thickness": 4.0, "bend_radius": 8.0}))
    (neck, _), (_, _), (out, _) = at.corners[:3]
    assert neck - out >= 2 * 8.0 + 4.0 + standards.least_offset(4.0).value - 1e-9


@pytest.mark.parametrize("bore", [12.0, 22.0, 34.0])
def test_a_large_bore_stands_as_high_as_it_draws(bore):
    """The cylinder under the rim is no smaller than the bore: pi d h >= pi d2 / 4."""
    p = wet(deep_pan={"pickup": Pickup(bore=bore)})
    at = inside(p)
    draw = sump.draw_of(p, configs.region(p), at)
    lowest = draw.mouth_z - max(at.floor(draw.y - draw.bell / 2), at.floor(draw.y + draw.bell / 2))
    assert lowest >= max(8.0, bore / 4)
    asked = p.model_copy(update={"deep_pan": DeepPan(pickup=Pickup(bore=bore, floor_gap=5.0))})
    assert sump.draw_of(asked, configs.region(asked), at).mouth_z == pytest.approx(draw.mouth_z - lowest + 5.0)


def test_a_bell_wider_than_its_floor_is_told_what_would_do():
    p = wet(deep_pan={"sump": Sump(length=150.0, width=60.0, depth=170.0, x=120.0), "pickup": Pickup(bell=80.0)})
    with pytest.raises(ValueError, match="a smaller bore or bell, or a larger sump would do"):
        sump.draw_of(p, configs.region(p), inside(p))


# ---------------------------------------------------------------- cuts that are too many


def test_the_most_open_share_counts_no_more_slots_than_are_cut():
    """A long tray with many slots: 200 of 60 x 5 mm, 295.6 mm2 each (a rectangle and a circle), and its drain slots."""
    p = wet(pan_rail={"length": 900.0, "width": 420.0, "below_crank": 100.0, "face_width": 20.0}, crank={"swing_radius": 160.0},
            windage_screen={"open_area": 0.45})
    with pytest.raises(ValueError, match=r"windage_screen\.open_area: 0\.450 .* no more than 200 slots") as bad:
        windage_screen.dimension(p, configs.region(p))
    most = float(str(bad.value).split("asked for, ")[1].split()[0])
    assert most < 0.45
    fewer = p.model_copy(update={"windage_screen": p.windage_screen.model_copy(update={"open_area": most - 0.03})})
    made = windage_screen.dimension(fewer, configs.region(fewer))
    assert made.open_area == pytest.approx(most - 0.03, abs=0.01)
    assert sum(r.count for r in made.rows) <= 200 and math.isfinite(made.open_area)


# ---------------------------------------------------------------- thick sheet; more oil than gates can pass


@pytest.mark.parametrize("thickness", [2.0, 3.0, 4.0])
def test_the_drain_s_hole_keeps_off_the_bend(thickness):
    """2.5 t + r from the mould line, 1.5 t from the tangent, after press brake guides."""
    from generators.fittings import drain_boss, hole_for
    from generators.sump.drain import DRAIN_THREAD, drain_of

    _, along = drain_of(inside(wet(sheet={"thickness": thickness, "bend_radius": 2 * thickness})))
    assert along - hole_for(drain_boss(DRAIN_THREAD, thickness=thickness).spigot_diameter) / 2 >= 1.5 * thickness


def test_leaving_out_openings_that_alone_lose_more_changes_nothing(monkeypatch):
    """What an opening alone loses bounds what its gate does."""
    from generators.parts.gate_baffle import choice
    from generators.parts.gate_baffle.flow import feed_of, heads_of

    p = wet(engine={"oil_flow": 150.0 / 60000}, gates={"gates_per_side": 1, "opening": {"height": 40.0}})
    feed, laid = feed_of(p), []
    inner = choice._in_least_cell
    monkeypatch.setattr(choice, "_in_least_cell", lambda *a: laid.append(1) or inner(*a))
    quick, few = cell(p), len(laid)
    assert heads_of(quick, feed).worst > feed.limit
    monkeypatch.setattr(choice, "_orifice_head", lambda *a: 0.0)
    slow = cell(p)
    assert heads_of(slow, feed).worst == heads_of(quick, feed).worst and few < len(laid) - few


def test_a_thick_tab_s_screws_keep_off_its_bend():
    """2.5 t + r from the mould line, 1.5 t from the tangent, after press brake guides; the clearance hole of an M5 is 5.5 mm."""
    p = wet(pan_rail={"width": 250.0}, sheet={"thickness": 4.0, "bend_radius": 8.0})
    d = windage_screen.dimension(p, configs.region(p))
    from_bend = d.room.screw - d.tab_thickness - d.tab_radius - 5.5 / 2
    assert from_bend >= 1.5 * d.tab_thickness
