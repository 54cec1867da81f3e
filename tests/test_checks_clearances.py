"""Clearances from a swept cylinder and round bolt axes: plates at a known depth, some of them too near on purpose."""

import numpy as np
import pytest

from generators.bodies import FINE_MM, part_bodies, swept_bodies
from generators.checks.clearances import (
    LEAST_SCRAPER_MM,
    MEASURING_MM,
    SOCKET_MM,
    bolt_access,
    clearance,
    edge_clearance,
    floor_clearance,
    side_clearance,
    swing_clearance,
)
from generators.crank import Band, SweptRegion
from generators.meshes import CHORD_MM
from generators.outlines import fillet, polygon_loop
from generators.sheet.frames import frame
from generators.sheet.solids import prism, tube
from tests.small_parts import CIRCLE_SPARE, bar, block, cylinder_region, meshes_of, part_of, solid_piece

SWING = 80.0
SWEPT = swept_bodies(cylinder_region(SWING))
"""A cylinder of 80 mm about the x axis from 0 to 200; its polygon stands out by CIRCLE_SPARE."""


def bodies_of(*pieces):
    return part_bodies(meshes_of(part_of(*pieces)))


def floor_at(z: float, name: str = "trough"):
    """A plate 2 mm thick whose top lies at z."""
    return solid_piece(name, block((0, -100, z - 2), (200, 100, z)))


def wall_at(y: float, name: str = "wall"):
    return solid_piece(name, block((0, y, -100), (200, y + 2, 100)))


# ---------------------------------------------------------------- swing


def swing(*pieces, floor=12.0, side=6.0):
    return swing_clearance("scavenge_pan", SWEPT, bodies_of(*pieces), floor=floor, side=side)


def test_swing_clearance_of_a_floor_and_a_wall():
    check = swing(floor_at(-92), wall_at(86))
    assert 6 - CIRCLE_SPARE - 1e-6 <= check.value <= 6
    assert (check.status, check.limit, check.id) == ("pass", 6 - MEASURING_MM, "scavenge_pan.swing_clearance")
    assert "nearest: wall 1 to swing" in check.method


def test_a_wall_that_is_too_near_fails():
    assert swing(floor_at(-92), wall_at(85.9)).status == "fail"


@pytest.mark.parametrize("sink", [0.5, 3.0])
def test_metal_in_the_swing_is_negative_by_its_depth(sink):
    check = swing(floor_at(-92), wall_at(SWING - sink))
    assert check.value == pytest.approx(-min(sink, 2.0), abs=1e-3)
    assert check.status == "fail"


def test_metal_wholly_inside_the_swing_is_seen():
    check = swing(solid_piece("nut", block((50, 0, 0), (60, 10, 10))))
    assert check.value == pytest.approx(-10, abs=1e-6)


def test_metal_between_two_bands_is_seen_by_the_wider_one():
    region = SweptRegion(
        (Band(0, 90, np.full(720, 60.0), "narrow"), Band(110, 200, np.full(720, SWING), "wide")), "right"
    )
    value, band, _ = clearance(
        [
            (s, b)
            for s in swept_bodies(region)
            for b in bodies_of(solid_piece("rib", block((95, -5, -70), (100, 5, -50))))
        ],
        5.0,
    )
    assert (value, band.name) == (pytest.approx(5, abs=1e-6), "narrow")


def test_a_round_bar_is_not_measured_farther_than_it_is():
    """Two round bodies, side by side: axes 100 mm apart, radii 80 and 15."""
    where = frame(origin=(50, 0, -100), x=(0, 1, 0), z=(1, 0, 0))
    check = swing(solid_piece("tube", tube(outer=30, bore=26, length=60, where=where)))
    assert 5 - CHORD_MM - CIRCLE_SPARE <= check.value <= 5 + 1e-9


# ---------------------------------------------------------------- floor


def floor_of(*pieces, floor=12.0, underside=0.0):
    return floor_clearance("scavenge_pan", SWEPT, bodies_of(*pieces), floor=floor, trough="trough", underside=underside)


def test_floor_clearance_leaves_the_walls_out():
    check = floor_of(floor_at(-92), wall_at(83))
    assert 12 - CIRCLE_SPARE - 1e-6 <= check.value <= 12
    assert check.status == "pass"
    assert floor_of(floor_at(-91.9)).status == "fail"


def test_floor_clearance_within_rounding_passes():
    assert floor_of(floor_at(-92 + MEASURING_MM / 2)).status == "pass"


def test_a_pan_without_a_floor_is_not_assessed():
    assert floor_of(wall_at(86)).status == "not assessed"


def trough_of(half: float, floor: float, top: float):
    """A U 2 mm thick, its inside `half` mm to both sides, floor and upper edges at those heights."""
    u = polygon_loop([(-half - 2, floor - 2), (half + 2, floor - 2), (half + 2, top), (half, top), (half, floor), (-half, floor),
                      (-half, top), (-half - 2, top)])
    return solid_piece("trough", prism(u, height=200, where=frame(origin=(0, 0, 0), x=(0, 1, 0), z=(1, 0, 0))))


def test_upper_edges_of_a_trough_are_no_floor():
    """86 mm out and 5 mm down they lie 6.15 mm from the swing, the floor 12."""
    assert floor_of(trough_of(86, -92, -5), underside=-5).value == pytest.approx(12, abs=2 * CIRCLE_SPARE)


# ---------------------------------------------------------------- sides


def sides_of(*pieces, side=6.0):
    return side_clearance("scavenge_pan", SWEPT, bodies_of(*pieces), side=side, trough="trough")


@pytest.mark.parametrize(("side", "status"), [(6.0, "pass"), (20.0, "fail")])
def test_sides_are_held_to_what_was_asked_of_them_though_the_floor_is_nearer(side, status):
    check = sides_of(trough_of(90, -84, 20), side=side)
    assert check.value == pytest.approx(10, abs=2 * CIRCLE_SPARE)
    assert (check.status, check.limit, check.id) == (status, side - MEASURING_MM, "scavenge_pan.side_clearance")


def test_what_stands_on_the_floor_is_held_to_the_side_clearance():
    boss = solid_piece("boss", block((90, -5, -90), (110, 5, -85)))
    check = sides_of(trough_of(90, -90, 20), boss)
    assert check.value == pytest.approx(5, abs=2 * CIRCLE_SPARE)
    assert check.status == "fail" and "nearest: boss 1" in check.method


# ---------------------------------------------------------------- where only the chord would decide


@pytest.mark.parametrize(("apart", "spare", "status"), [(1.49, FINE_MM, "pass"), (1.479, FINE_MM, "fail"), (1.4, CHORD_MM, "fail")])
def test_a_rounded_edge_is_measured_finer_where_its_sagitta_would_decide(apart, spare, status):
    """A bar of 10 mm beside a swing of 80: the usual mesh of it is up to 0.04 mm too small, the limit 0.02 mm away."""
    round_bar = solid_piece("scraper", bar(radius=10, length=200, origin=(0, 0, -SWING - apart - 10), axis=(1, 0, 0)))
    check = edge_clearance("windage_scraper", SWEPT, bodies_of(round_bar), asked=1.5)
    assert apart - CIRCLE_SPARE - spare <= check.value <= apart + 1e-6
    assert check.status == status


def test_a_flat_side_that_runs_into_a_rounded_edge_is_measured_as_it_is():
    """A plate 3 mm thick with corners rounded to 3 mm, 1.5 mm beside the swing."""
    outline = fillet(polygon_loop([(0, -90), (0, -81.5), (200, -81.5), (200, -90)][::-1]), 3.0)
    beside = solid_piece("scraper", prism(outline, height=3, where=frame(origin=(0, 0, 1.5), x=(1, 0, 0), z=(0, 0, -1))))
    bodies = bodies_of(beside)
    value, _, _ = clearance([(s, b) for s in SWEPT for b in bodies], 1.49)
    assert 1.5 - CIRCLE_SPARE - FINE_MM <= value <= 1.5


# ---------------------------------------------------------------- scraper


def scraper(edge: float, *, asked: float):
    plate = solid_piece("scraper", block((0, edge, -1.5), (200, edge + 60, 1.5)))
    return edge_clearance("windage_scraper", SWEPT, bodies_of(plate), asked=asked)


@pytest.mark.parametrize(
    ("gap", "asked", "status"),
    [(1.5, 1.5, "pass"), (1.4, 1.5, "fail"), (0.8, 0.8, "caution"), (0.7, 0.8, "fail"), (1.3, 0.8, "pass")],
)
def test_edge_clearance_of_a_plate_through_the_axis(gap, asked, status):
    check = scraper(SWING + gap, asked=asked)
    assert gap - CIRCLE_SPARE - 1e-6 <= check.value <= gap
    assert check.status == status
    assert LEAST_SCRAPER_MM == 1.0


# ---------------------------------------------------------------- bolts


BOLTS = ((20.0, 100.0), (180.0, 100.0))


def access(*pieces):
    flange = solid_piece("flange", block((0, 80, -8), (200, 120, 0)))
    bodies = bodies_of(flange, *pieces)
    return bolt_access("scavenge_pan", bodies, bolts=BOLTS, size="M6", underside=-8.0, flange="flange")


@pytest.mark.parametrize(("beside", "status"), [(9.5, "pass"), (8.5, "fail")])
def test_bolt_access_is_the_distance_to_the_nearest_wall(beside, status):
    """9 mm free radius for a socket on M6 (common practice)."""
    check = access(wall_at(100 + beside))
    assert check.value == pytest.approx(beside, abs=2e-4)
    assert (check.status, check.limit) == (status, 9.0)
    assert "wall 1" in check.method


def test_a_boss_beside_one_bolt_is_found():
    check = access(wall_at(130), solid_piece("boss", bar(radius=8, length=30, origin=(180, 88, -40), axis=(0, 0, 1))))
    assert 4 - CHORD_MM <= check.value <= 4 + 1e-3
    assert "x 180.0, y 100.0 mm, boss 1" in check.method


def test_metal_beyond_the_sockets_length_does_not_count():
    deep = solid_piece("deep", block((0, 90, -120), (200, 110, -8 - SOCKET_MM - 20)))
    assert access(wall_at(130), deep).value == pytest.approx(20, abs=2e-4)


def test_metal_across_the_axis_leaves_no_room():
    assert access(solid_piece("lip", block((0, 95, -20), (200, 105, -18)))).value == 0
