"""The opening that a pan rail leaves, against closed forms and against rectangles thrown at random. Lengths in mm."""

import itertools
import math
from types import SimpleNamespace

import numpy as np
import pytest
from shapely.geometry import Point, Polygon, box

from configs import changed, region
from generators.crank import Band, SweptRegion
from generators.outlines import flattened, polygon_loop, rectangle
from generators.rail import ROUND_MM, STEP_MM, Opening, free_face, opening, pan_opening

FACE, WALL, TOOL = 16.0, 2.0, 9.0


def rail(outline, bolts=((-500.0, -500.0),), face_width=FACE):
    """A rail; by default its only bolt is far away."""
    return SimpleNamespace(outline=outline, bolts=tuple(bolts), face_width=face_width)


def swing(radius: float = 50.0, x0: float = 60.0, x1: float = 360.0) -> SweptRegion:
    """A cylinder about the crank axis."""
    return SweptRegion((Band(x0, x1, np.full(720, radius), "swing"),), "right")


def found(made, *, region=None, slab=(-70.0, -62.0), clearance=6.0, wall=WALL, tool=TOOL) -> Opening:
    """The opening of a rail; the swing does not reach the slab unless a region says so."""
    return opening(made, region or swing(), slab=slab, wall=wall, tool_radius=tool, clearance=clearance)


def sides(made: Opening) -> tuple[float, float, float, float]:
    """x0, x1, y0, y1."""
    return made.x0, made.x1, made.y0, made.y1


PLAIN = rectangle(x0=0, y0=-120, x1=420, y1=120)


def test_a_plain_rectangle_loses_its_face():
    assert sides(found(rail(PLAIN))) == pytest.approx((16, 404, -104, 104), abs=1e-9)


@pytest.mark.parametrize("face", [16.04, 10.1, 20.0, 12.37])
def test_openings_are_rounded_inwards(face):
    made = found(rail(PLAIN, face_width=face))
    inwards = math.ceil(round(face / ROUND_MM, 9)) * ROUND_MM
    assert sides(made) == pytest.approx((inwards, 420 - inwards, inwards - 120, 120 - inwards), abs=1e-9)


def test_length_and_width():
    made = found(rail(PLAIN))
    assert (made.length, made.width) == pytest.approx((388, 208))
    assert "16 mm face" in made.because and "9 mm" in made.because


@pytest.mark.parametrize("corner", [3, 12])
def test_corners_rounded_by_less_than_the_face_take_nothing(corner):
    made = found(rail(rectangle(x0=0, y0=-120, x1=420, y1=120, corner=corner)))
    assert sides(made) == pytest.approx((16, 404, -104, 104), abs=1e-9)


def test_a_large_corner_takes_what_its_arc_leaves():
    # inside the face a corner arc of radius 40 has 24; the largest inscribed rectangle by calculus, inset (a, b) with
    # (24 - a)^2 + (24 - b)^2 = 24^2 maximising (388 - 2a)(208 - 2b)
    turn = np.linspace(0, math.pi / 2, 200001)
    a, b = 24 * (1 - np.cos(turn)), 24 * (1 - np.sin(turn))
    best = float(((388 - 2 * a) * (208 - 2 * b)).max())
    made = found(rail(rectangle(x0=0, y0=-120, x1=420, y1=120, corner=40)))
    slack = 2 * (STEP_MM + ROUND_MM) * (made.length + made.width)
    assert best - slack <= made.length * made.width <= best


def test_a_row_of_bolts_on_the_face_holds_the_wall_off():
    # bolts on y = +-114 and every 30 mm: their discs of 9 + 2 reach to 103, the face to 104
    bolts = [(x, y) for x in np.arange(-30, 460, 5.0) for y in (-114, 114)]
    made = found(rail(PLAIN, bolts))
    assert 103 - ROUND_MM - 1e-9 <= made.y1 <= 103 + 1e-9
    assert made.x0 == pytest.approx(16)


def random_rail(seed: int):
    """A rectangle with a waist, bolts about its face."""
    rng = np.random.default_rng(seed)
    waist, side = float(rng.uniform(5, 40)), 100.0
    x0, x1 = float(rng.uniform(80, 150)), float(rng.uniform(200, 300))
    outline = polygon_loop(
        [
            (0, -side),
            (x0, -side),
            (x0 + 20, -side + waist),
            (x1, -side + waist),
            (x1 + 20, -side),
            (400, -side),
            (400, side),
            (0, side),
        ]
    )
    ring = Polygon(flattened(outline)).buffer(-rng.uniform(5, 9), join_style="mitre").exterior
    bolts = [(p.x, p.y) for p in (ring.interpolate(s, normalized=True) for s in np.arange(0, 1, 1 / 24))]
    return rail(outline, bolts, face_width=float(rng.uniform(10, 18)))


@pytest.mark.parametrize("seed", range(8))
def test_tools_and_face_are_kept_free(seed):
    made = random_rail(seed)
    inner = box(*np.array(sides(found(made)))[[0, 2, 1, 3]])
    assert Polygon(flattened(made.outline)).buffer(-made.face_width, join_style="mitre").buffer(1e-6).contains(inner)
    walls = inner.buffer(WALL, join_style="mitre")  # their outside, with square corners
    assert all(Point(bolt).distance(walls) >= TOOL - 1e-9 for bolt in made.bolts)


@pytest.mark.parametrize("seed", range(8))
def test_no_rectangle_thrown_at_random_is_larger(seed):
    # rectangles grown from random small starts until no side can move: none may beat the opening by more than its grid
    # and rounding allow
    made = random_rail(seed)
    free = free_face(made, wall=WALL, tool_radius=TOOL)
    best = found(made)
    slack = 2 * (STEP_MM + ROUND_MM) * (best.length + best.width)
    largest = max(grown(free, np.random.default_rng([seed, n])) for n in range(60))
    assert largest <= best.length * best.width + slack
    assert largest > 0.8 * best.length * best.width  # the search is worth something


def grown(free, rng) -> float:
    """Area of a rectangle over the axis that no longer grows in steps: greedy, sides in random order."""
    x, half = rng.uniform(20, 380), 3.0
    sides = [x - half, -half, x + half, half]
    if not free.contains(box(*sides)):
        return 0.0
    for step, side in itertools.product((32, 8, 2, 0.5), rng.permutation(4)):
        while True:
            trial = list(sides)
            trial[side] += step if side > 1 else -step
            if not free.contains(box(*trial)):
                break
            sides = trial
    return (sides[2] - sides[0]) * (sides[3] - sides[1])


def test_a_waist_is_the_breadth_or_is_left_out():
    # 16 off each side by hand: beside the waist 218 x 168, through it 368 x 48
    half, waist = 100, 40
    outline = polygon_loop(
        [
            (0, -half),
            (250, -half),
            (250, -waist),
            (300, -waist),
            (300, -half),
            (400, -half),
            (400, half),
            (300, half),
            (300, waist),
            (250, waist),
            (250, half),
            (0, half),
        ]
    )
    beside = sides(found(rail(outline)))
    assert beside == pytest.approx((16, 234, -84, 84), abs=1e-9)  # the larger
    through = found(rail(outline), region=swing(15, x0=30, x1=370), slab=(-10.0, 0.0))
    assert sides(through) == pytest.approx((16, 384, -24, 24), abs=1e-9)  # the swing needs to pass the waist


def test_an_uneven_rail_keeps_its_offset():
    made = found(rail(rectangle(x0=-10, y0=-90, x1=410, y1=140)))
    assert sides(made) == pytest.approx((6, 394, -74, 124), abs=1e-9)


def test_the_swing_may_need_more_than_there_is():
    # a swing wider than the opening: the largest rectangle is given all the same, for the checks to fail
    made = found(rail(PLAIN), region=swing(150), slab=(-70.0, -62.0))
    assert sides(made) == pytest.approx((16, 404, -104, 104), abs=1e-9)


@pytest.mark.parametrize("clearance", [6.0, 6.03, 5.97])
def test_what_the_swing_needs_is_kept_after_rounding(clearance):
    # the face steps out beside the axis: the wider stretch is the larger, but the swing runs through both
    outline = polygon_loop([(0, -66), (200, -66), (200, -120), (420, -120), (420, 120), (200, 120), (200, 66), (0, 66)])
    region = swing(44.0, x0=50, x1=380)
    made = found(rail(outline), region=region, slab=(-10.0, 0.0), clearance=clearance)
    fits = made.y1 >= 44 + clearance - 1e-9 and made.x0 <= 50 - clearance + 1e-9
    assert fits == (44 + clearance <= 50)  # the narrow stretch is free to 66 - 16 = 50
    if not fits:
        assert sides(made) == pytest.approx((216, 404, -104, 104), abs=1e-9)


def test_a_tool_stands_in_the_way_of_the_swing_on_its_side_only():
    made = found(rail(PLAIN, [(210.0, 80.0)]))
    assert sides(made) == pytest.approx((16, 404, -104, 80 - 11), abs=0.11)
    assert made.y1 <= 80 - 11


@pytest.mark.parametrize("face", [120.0, 130.0, 119.95])
def test_a_face_that_leaves_nothing(face):
    with pytest.raises(ValueError, match="face_width"):
        found(rail(PLAIN, face_width=face))


def test_bolts_that_cover_everything():
    with pytest.raises(ValueError, match="face_width"):
        found(rail(PLAIN, [(210.0, 0.0)]), tool=400.0)


def test_a_face_that_is_off_the_axis():
    with pytest.raises(ValueError, match="over the crank axis"):
        found(rail(rectangle(x0=0, y0=20, x1=420, y1=220)))


def test_the_opening_has_room_for_the_scrapers_edge_where_that_asks_for_more():
    """Beyond the last throw pan and scraper end where the opening does."""
    asked = changed("hillclimb_four", windage_scraper={"edge_clearance": 10.0})
    swept = region(asked)
    made = pan_opening(asked, swept)
    assert made.x0 <= min(b.x0 for b in swept.bands) - 10 and made.x1 >= max(b.x1 for b in swept.bands) + 10
