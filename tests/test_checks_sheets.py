"""What a shop can make, measured on flats drawn by hand; limits as printed in trade guides (see
generators/standards)."""

import math

import numpy as np
import pytest
from shapely.geometry import Polygon

from generators.checks.flats import (
    between_bends,
    hole_to_tangent,
    legs,
    narrowest,
    shape,
    web_between_holes,
    web_to_edge,
)
from generators.checks.sheets import STOCK_MARGIN_MM, leg_as_flange, sheet_limits, stock, stock_ratio
from generators.outlines import circle, fillet, polygon_loop, rectangle
from generators.sheet.channel import Channel
from generators.sheet.flat import FlatPattern
from generators.sheet.folded import Bend, FoldedSheet, Region, flat_of
from tests.small_parts import part_of, plate, sheet_piece

T, R, K = 2.0, 3.0, 0.42
LEAST_FLANGE = 9.0
"""3 t + r = 9 mm, more than 0.7 V = 0.7 x 6 t = 8.4 mm (sheet-metal design guides; force chart)."""


def angle_flat(height: float, *, turn: float = math.pi / 2, radius: float = R, holes=()) -> FlatPattern:
    """An angle whose second leg is `height` mm outside, were it bent square."""
    leg = height - radius - T
    regions = (
        Region("foot", rectangle(x0=0, y0=0, x1=80, y1=40), tuple(holes)),
        Region("wall", rectangle(x0=0, y0=0, x1=80, y1=leg)),
    )
    return flat_of(FoldedSheet(T, K, regions, (Bend("foot", "wall", 2, turn, radius),)))


def limits_of(flat: FlatPattern, *, thickness: float = T, material: str = "5052-H32"):
    return sheet_limits(part_of(sheet_piece("sheet", flat, thickness=thickness, material=material, kind="folded")))


# ---------------------------------------------------------------- bends


@pytest.mark.parametrize(("height", "ratio", "status"), [(10.8, 1.0, "pass"), (9.0, 1.0, "pass"), (7.2, 0.8, "fail")])
def test_flange_is_measured_outside(height, ratio, status):
    """A radius of 3 mm is the least for 5052-H32 at 2 mm (1.5 t, Aluminum Association): ratio 1 where the flange is
    enough."""
    check = limits_of(angle_flat(height))
    assert (check.value, check.status) == (pytest.approx(ratio, abs=1e-6), status)


def test_leg_over_the_die_does_not_depend_on_the_angle():
    heights = []
    for turn in (math.pi / 2, math.pi / 4, math.radians(120)):
        form = shape(angle_flat(20, turn=turn))
        (bend,) = form.bends
        leg = min(legs(form, bend, end=0))
        assert leg == pytest.approx(15 + abs(turn) * (R + K * T) / 2, abs=1e-6)
        heights.append(leg_as_flange(leg, bend=bend, thickness=T))
    assert heights[0] == pytest.approx(20, abs=1e-6)
    assert heights[1] < heights[0] < heights[2]


def test_a_step_in_the_leg_counts_where_it_is_narrowest():
    wall = polygon_loop([(0, 0), (80, 0), (80, 30), (50, 30), (50, 6), (30, 6), (30, 30), (0, 30)])
    foot = Region("foot", rectangle(x0=0, y0=0, x1=80, y1=40))
    flat = flat_of(FoldedSheet(T, K, (foot, Region("wall", wall)), (Bend("foot", "wall", 2, math.pi / 2, R),)))
    form = shape(flat)
    assert min(legs(form, form.bends[0], end=LEAST_FLANGE)) == pytest.approx(6 + form.bends[0].allowance / 2, abs=1e-3)


def test_cut_off_corners_at_the_ends_of_a_bend_do_not_count():
    wall = polygon_loop([(0, 0), (80, 0), (74, 30), (6, 30)])
    foot = Region("foot", rectangle(x0=0, y0=0, x1=80, y1=40))
    form = shape(flat_of(FoldedSheet(T, K, (foot, Region("wall", wall)), (Bend("foot", "wall", 2, math.pi / 2, R),))))
    assert min(legs(form, form.bends[0], end=LEAST_FLANGE)) == pytest.approx(30 + form.bends[0].allowance / 2, abs=1e-3)


@pytest.mark.parametrize(("radius", "ratio"), [(1.5, 0.5), (3.0, 1.0), (4.5, 1.0)])
def test_bend_radius_against_the_materials_least(radius, ratio):
    """5052-H32 at 2 mm: 1.5 t (column for 3.2 mm counts above 1.6). A larger radius leaves the hole-free flat at
    ratio > 1."""
    check = limits_of(angle_flat(40, radius=radius))
    assert check.value == pytest.approx(ratio, abs=1e-6) if radius <= 3 else check.value > 1
    assert check.status == ("fail" if radius < 3 else "pass")


def test_an_unknown_material_is_a_caution_that_says_so():
    check = limits_of(angle_flat(40), material="6082-T4")
    assert check.status == "caution"
    assert "not judged: sheet: no material '6082-T4'" in check.method


@pytest.mark.parametrize(("gap", "status"), [(1.9, "fail"), (3.0, "caution"), (4.1, "pass")])
def test_hole_beside_a_bend(gap, status):
    """Least 2.5 t + r from the mould line of a square bend, 3 t + r to be safe: 1.5 t = 3 mm and 2 t = 4 mm from the
    tangent."""
    flat = angle_flat(40, holes=[circle(x=40, y=40 - gap - 5, radius=5)], radius=4.5)
    form = shape(flat)
    assert hole_to_tangent(form, form.bends[0]) == pytest.approx(gap, abs=5e-3)
    check = limits_of(flat)
    assert check.status == status
    if status == "fail":
        assert check.value == pytest.approx(gap / 3, abs=1e-3)
        assert "hole to bend" in check.method


def test_a_hole_in_the_bend_has_no_distance():
    form = shape(angle_flat(40, holes=[circle(x=40, y=36, radius=3.9)]))
    assert hole_to_tangent(form, form.bends[0]) == pytest.approx(0.1, abs=5e-3)
    crossing = FlatPattern(form_outer(), (circle(x=40, y=41, radius=3),), angle_flat(40).bends)
    assert hole_to_tangent(shape(crossing), crossing.bends[0]) == 0


def form_outer():
    return angle_flat(40).outer


@pytest.mark.parametrize(("outside", "ratio"), [(16.0, 1.0), (12.0, 0.75)])
def test_base_between_two_bends(outside, ratio):
    """Least outside base of a channel V + 2 t = 16 mm at 2 mm (common practice)."""
    inside = outside - 2 * T
    channel = Channel(((0, 40), (0, 0), (inside, 0), (inside, 40)), T, R, 80.0, K)
    flat = flat_of(channel.sheet())
    assert between_bends(*flat.bends) == pytest.approx(inside - 2 * R, abs=1e-9)
    assert limits_of(flat).value == pytest.approx(min(ratio, 1), abs=1e-6)


@pytest.mark.parametrize(("step", "ratio"), [(8.0, 1.0), (7.2, 0.9)])
def test_step_between_opposite_bends(step, ratio):
    """Least offset V / 2 + t = 8 mm at 2 mm (common practice), from face to face."""
    channel = Channel(((0, 0), (40, 0), (40, step), (80, step)), T, 2.0, 60.0, K)
    flat = flat_of(channel.sheet())
    assert between_bends(*flat.bends) == pytest.approx(step - 2 * 2 - T, abs=1e-9)
    assert limits_of(flat, material="1050-H14").value == pytest.approx(ratio, abs=1e-6)


# ---------------------------------------------------------------- cuts


@pytest.mark.parametrize(("web", "status"), [(1.3, "fail"), (1.7, "caution"), (2.1, "pass")])
def test_web_between_holes(web, status):
    """0.7 t at the least, 1 t preferred (laser shops' guides)."""
    flat = plate(60, 40, circle(x=15, y=20, radius=6), circle(x=27 + web, y=20, radius=6))
    assert web_between_holes(shape(flat)) == pytest.approx(web, abs=0.03)
    check = limits_of(flat)
    assert check.status == status
    assert check.value == pytest.approx(web / 1.4, abs=0.02)


def test_web_to_the_edge_and_a_hole_that_leaves_the_sheet():
    assert web_to_edge(shape(plate(60, 40, circle(x=15, y=20, radius=6)))) == pytest.approx(9, abs=0.01)
    out = plate(60, 40, circle(x=4, y=20, radius=6))
    assert web_to_edge(shape(out)) < 0
    assert limits_of(out).status == "fail"


@pytest.mark.parametrize("width", [1.2, 3.0, 5.5])
def test_neck_and_tongue_are_found_at_their_width(width):
    half = width / 2
    neck = polygon_loop(
        [
            (0, 0),
            (40, 0),
            (40, 20 - half),
            (60, 20 - half),
            (60, 0),
            (100, 0),
            (100, 40),
            (60, 40),
            (60, 20 + half),
            (40, 20 + half),
            (40, 40),
            (0, 40),
        ]
    )
    tongue = polygon_loop(
        [(0, 0), (60, 0), (60, 20 - half), (90, 20 - half), (90, 20 + half), (60, 20 + half), (60, 40), (0, 40)]
    )
    for outline in (neck, tongue):
        assert narrowest(shape(FlatPattern(outline)), most=20) == pytest.approx(width, abs=0.03)


def test_a_neck_that_holds_nothing_counts_as_none():
    halves = polygon_loop([(0, 0), (40, 19.96), (80, 0), (80, 40), (40, 20.04), (0, 40)])
    assert narrowest(shape(FlatPattern(halves)), most=6) == 0


def test_tongue_into_an_opening_is_found():
    opening = polygon_loop([(10, 10), (90, 10), (90, 50), (52, 50), (52, 30), (49, 30), (49, 50), (10, 50)])
    assert narrowest(shape(plate(100, 60, opening)), most=9.9) == pytest.approx(3, abs=0.03)


def test_a_plain_plate_with_round_corners_has_nothing_narrow():
    flat = FlatPattern(fillet(rectangle(x0=0, y0=0, x1=100, y1=60), 4))
    assert narrowest(shape(flat), most=12) == 12


def test_wedge_corners_of_thirty_degrees_are_not_narrow_metal():
    outline = polygon_loop([(0, 0), (100, 0), (100, 100 * math.tan(math.pi / 6))])
    assert narrowest(shape(FlatPattern(outline)), most=8) == 8


@pytest.mark.parametrize(("diameter", "status"), [(1.2, "fail"), (1.6, "caution"), (2.2, "pass")])
def test_least_hole(diameter, status):
    check = limits_of(plate(60, 40, circle(x=20, y=20, radius=diameter / 2)))
    assert check.status == status
    if status == "fail":
        assert check.value == pytest.approx(diameter / 1.4, abs=0.02)
        assert "least hole" in check.method


def test_bolt_holes_of_a_thick_flange_need_their_land():
    """M6 in a 16 mm gasket face of 8 mm plate: (16 - 6.6) / 2 = 4.7 mm each side; 3 mm is land enough (common
    practice)."""
    for land, status in ((4.7, "caution"), (2.5, "fail")):
        flat = plate(60, 2 * land + 6.6, circle(x=30, y=land + 3.3, radius=3.3))
        check = limits_of(flat, thickness=8.0)
        assert check.status == status


def test_the_worst_piece_is_named():
    good, bad = sheet_piece("good", plate(60, 40)), sheet_piece("bad", plate(60, 40, circle(x=20, y=20, radius=0.5)))
    check = sheet_limits(part_of(good, bad))
    assert "worst: bad, least hole 1.00" in check.method
    assert "2 sheet pieces" in check.method


# ---------------------------------------------------------------- stock


def test_a_square_fits_by_the_narrow_side():
    square = part_of(sheet_piece("square", plate(1000, 1000)))
    check = stock(square, width=1250, length=2500)
    assert check.value == pytest.approx((1250 - 2 * STOCK_MARGIN_MM) / 1000, rel=1e-6)
    assert check.status == "pass"
    too_wide = stock(part_of(sheet_piece("square", plate(1240, 1240))), width=1250, length=2500)
    assert too_wide.status == "fail" and "it fits a usual sheet of 1500 x 3000 or 1524 x 3048 mm" in too_wide.method
    far_too_wide = stock(part_of(sheet_piece("square", plate(1600, 1600))), width=1250, length=2500)
    assert far_too_wide.status == "fail" and "no usual sheet" in far_too_wide.method


def test_a_long_strip_lies_across_the_sheet_or_does_not_fit():
    """The diagonal of the usable 1230 x 2480 mm is 2768 mm."""
    assert stock(part_of(sheet_piece("strip", plate(2600, 10))), width=1250, length=2500).status == "pass"
    assert stock(part_of(sheet_piece("strip", plate(2780, 10))), width=1250, length=2500).status == "fail"


def test_a_turned_blank_is_turned_back():
    blank = Polygon([(0, 0), (2000, 0), (2000, 900), (0, 900)])
    c, s = math.cos(0.3), math.sin(0.3)
    points = np.array(blank.exterior.coords)[:-1] @ np.array([[c, s], [-s, c]])
    assert stock_ratio(points, width=1230, length=2480) == pytest.approx(min(2480 / 2000, 1230 / 900), rel=1e-6)


def test_a_web_of_the_scraper_narrower_than_its_thickness_fails():
    """Web of at least 1 t (laser-cutting design guides): 2.4 mm between opening and edge fails in 3 mm plate, 3.2 mm passes."""
    from generators.checks import least_metal

    for web, status in ((2.4, "fail"), (3.2, "pass")):
        thin = part_of(sheet_piece("scraper", plate(100, 60, rectangle(x0=20, y0=web, x1=80, y1=40)), thickness=3.0))
        found = least_metal(thin)
        assert (found.status, found.value) == (status, pytest.approx(web, abs=0.01))
