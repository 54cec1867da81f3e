"""The records and the rules between their fields, built in code from plain numbers."""

import math

import numpy as np
import pytest
from pydantic import ValidationError
from shapely.geometry import LineString, Point, Polygon

from generators import outlines
from generators.parameters import (
    BigEnd,
    Counterweight,
    Crank,
    Drawing,
    Driving,
    PanRail,
    Parameters,
    Reservoir,
    Sheet,
    Shift,
    WindageScraper,
)
from generators.parameters.tracing import crossing_sides

DRIVING = Driving(cornering=16.0, braking=14.0, acceleration=7.0)
BIG_END = BigEnd(width=24.0, cap_depth=38.0, half_breadth=34.0)
MEASURED = {
    "stroke": 86.0,
    "rod_length": 145.0,
    "throws": (60.0, 151.0, 242.0, 333.0),
    "big_end": BIG_END,
    "counterweight": Counterweight(radius=72.0, width=18.0),
}
WAISTED = (
    (0, -120),
    (100, -120),
    (130, -105),
    (260, -105),
    (290, -120),
    (400, -120),
    (400, 120),
    (290, 120),
    (260, 105),
    (130, 105),
    (100, 120),
    (0, 120),
)


def rail(**changes):
    return PanRail(**{"length": 420.0, "width": 240.0, "below_crank": 62.0} | changes)


def traced(points, **changes):
    return PanRail(outline=outlines.polygon_loop(points), below_crank=62.0, **changes)


def test_records_are_frozen_and_know_their_keys():
    with pytest.raises(ValidationError):
        rail().length = 3.0
    with pytest.raises(ValidationError):
        PanRail(length=420.0, width=240.0, below_crank=62.0, lenght=3.0)


def test_rail_from_sizes_is_a_rounded_rectangle():
    got = rail(corner_radius=20.0)
    # closed forms: w l - (4 - pi) r^2, and 2 (w + l) - (8 - 2 pi) r
    assert outlines.signed_area(got.outline) == pytest.approx(420 * 240 - (4 - math.pi) * 400, rel=1e-12)
    assert outlines.perimeter(got.outline) == pytest.approx(2 * 660 - (8 - 2 * math.pi) * 20, rel=1e-12)
    low, high = got.outline.points.min(axis=0), got.outline.points.max(axis=0)
    assert low == pytest.approx([0, -120])
    assert high == pytest.approx([420, 120])


@pytest.mark.parametrize("turned", [False, True])
def test_outline_of_either_direction_is_anticlockwise_and_keeps_its_extent(turned):
    got = traced(WAISTED[::-1] if turned else WAISTED)
    assert outlines.signed_area(got.outline) == pytest.approx(Polygon(WAISTED).area)
    assert (got.length, got.width, got.corner_radius) == (400.0, 240.0, None)


def test_offset_shifts_outline_and_bolts():
    bolts = ((-192.0, -60.0), (-192.0, 60.0), (192.0, 60.0), (192.0, -60.0))
    got = traced([(-200, -100), (200, -100), (200, 100), (-200, 100)], bolts=bolts, offset=Shift(x=200.0))
    assert got.outline.points.min(axis=0) == pytest.approx([0, -100])
    assert got.bolts == tuple((x + 200.0, y) for x, y in bolts)


@pytest.mark.parametrize(
    "got",
    [
        rail(),
        rail(bolt_pitch=45.0),
        rail(face_width=20.0, corner_radius=0.0),
        traced(WAISTED),
        traced(WAISTED, bolt_pitch=80.0),
    ],
    ids=str,
)
def test_placed_bolts(got):
    face = Polygon(outlines.flattened(got.outline))
    middle = face.buffer(-got.face_width / 2, join_style="mitre").exterior
    assert all(middle.distance(Point(b)) < 2e-3 for b in got.bolts), "on the middle of the face"
    along = sorted(middle.project(Point(b)) for b in got.bolts)
    gaps = np.diff([*along, along[0] + middle.length])
    assert gaps.max() <= got.bolt_pitch + 2e-3
    assert gaps.min() > got.bolt_pitch / 4, "none crowded"
    assert len(got.bolts) == len(set(got.bolts)) >= math.ceil(middle.length / got.bolt_pitch)
    mirrored = sorted((x, -y + 0.0) for x, y in got.bolts)
    assert np.allclose(mirrored, sorted(got.bolts), atol=2e-3), "as symmetrical as the rail"
    corners = [s for s, _, b in got.outline.segments() if not b and got.corner_radius in (None, 0.0)]
    assert all(min(math.dist(c, b) for b in got.bolts) < got.bolt_pitch / 2 for c in corners), "one near every corner"


def test_every_corner_of_a_rounded_rail_has_its_bolt():
    got = rail()
    # the middle of a corner's arc lies r (1 - 1/sqrt 2) inside the sharp corner, its bolt half a face farther in
    inwards = 20 * (1 - math.sqrt(0.5)) + 8 * math.sqrt(0.5)
    for x in (inwards, 420 - inwards):
        for y in (-120 + inwards, 120 - inwards):
            assert min(math.dist((x, y), b) for b in got.bolts) < 1e-2


def test_bolts_of_a_drawing_are_kept():
    bolts = ((8.0, 0.0), (392.0, 0.0), (195.0, 97.0))
    got = PanRail(drawing=Drawing("rail.dxf", outlines.polygon_loop(WAISTED), bolts), below_crank=62.0)
    assert got.bolts == bolts
    assert "bolts" in got.model_fields_set


def test_crossing_sides_agree_with_shapely():
    seeded = np.random.default_rng(7)
    verdicts = []
    for _ in range(200):
        points = seeded.integers(0, 30, size=(6, 2)).astype(float)
        if any(math.dist(a, b) < 1e-9 for a, b in zip(points, np.roll(points, -1, axis=0), strict=True)):
            continue
        simple = LineString([*points, points[0]]).is_simple
        verdicts.append(simple)
        assert (crossing_sides(outlines.polygon_loop(points)) is None) == simple, points
    assert 10 < sum(verdicts) < len(verdicts) - 10, "both verdicts occur"


def test_crossing_names_its_sides():
    (i, j), where = crossing_sides(outlines.polygon_loop([(0, -1), (4, 1), (4, -1), (0, 1)]))
    assert (i, j) == (1, 3)
    assert where == pytest.approx((2, 0))


def test_crank_from_its_swing_or_from_detail():
    assert not Crank(swing_radius=84.0).measured
    got = Crank(**MEASURED)
    assert got.measured
    assert got.rods_per_throw == 1
    # the corner of the cap in line with the throw: half the stroke + the corner's distance from the pin
    assert got.reach == pytest.approx(43 + math.hypot(38, 34))
    assert Crank(**MEASURED, swing_radius=94.0).swing_radius == 94.0


def test_reach_covers_a_cap_swept_by_the_slider_crank():
    # sampled kinematics: pin at radius r, rod leaning by asin(r sin(turn) / length)
    got = Crank(**MEASURED)
    turn = np.linspace(0, 2 * np.pi, 20001)
    lean = np.arcsin(43 * np.sin(turn) / 145)
    farthest = max(
        np.hypot(
            43 * np.sin(turn) + u * np.cos(lean) - v * np.sin(lean),
            43 * np.cos(turn) + u * np.sin(lean) + v * np.cos(lean),
        ).max()
        for u in (-34, 34)
        for v in (-38, 0)
    )
    assert farthest <= got.reach <= farthest + 1e-3


def test_a_vee_has_two_rods_on_a_throw_unless_told():
    assert Crank(**MEASURED, bank_angle=math.pi / 3).rods_per_throw == 2
    assert Crank(**MEASURED, bank_angle=math.pi, rods_per_throw=1).rods_per_throw == 1
    with pytest.raises(ValidationError, match="bank_angle"):
        Crank(**MEASURED, rods_per_throw=2)


def test_no_scraper_needs_no_swing_below_the_rail():
    high = {"pan_rail": rail(), "crank": Crank(swing_radius=60.0), "driving": DRIVING}
    with pytest.raises(ValidationError, match="nothing to strip"):
        Parameters(**high)
    assert Parameters(**high, windage_scraper=WindageScraper(make=False)).crank.reach == 60.0


def test_three_measured_things_are_enough():
    got = Parameters(pan_rail=rail(), crank=Crank(swing_radius=84.0), driving=DRIVING)
    assert got.engine.lubrication == "dry"
    assert (got.vehicle, got.deep_pan, got.pumps, got.mockup) == (None, None, None, None)
    assert got.gate_baffle.open_angle == pytest.approx(math.radians(40), rel=1e-12)
    assert got.oil.temperature == pytest.approx(383.15)
    assert got.driving.crest == pytest.approx(0.3 * 9.80665)


def test_sheet_takes_the_rest_from_its_material():
    got = Sheet()
    # Aluminum Association: 5052-H32 of 1.6 to 3.2 mm bends to 1.5 t; K of aluminium in an air bend about 0.40
    assert (got.bend_radius, got.k_factor, got.density) == (3.0, 0.40, 2680.0)
    assert Sheet(k_factor=0.42).k_factor == 0.42
    own = Sheet(material="my alloy", density=2700.0, k_factor=0.4, bend_radius=4.0)
    assert own.bend_radius == 4.0
    with pytest.raises(ValidationError, match="my alloy|not in the table"):
        Sheet(material="my alloy")


def test_diameter_auto_is_none_and_a_legal_zero_is_kept():
    assert Reservoir(diameter="auto").diameter is None
    assert Reservoir(baffles=0).baffles == 0
