"""Clearances from a swept cylinder and round bolt axes: plates at a known depth, some of them too near on purpose."""

import numpy as np
import pytest

from generators.checks.bodies import part_bodies, swept_bodies
from generators.checks.clearances import (
    LEAST_SCRAPER_MM,
    MEASURING_MM,
    SOCKET_MM,
    bolt_access,
    clearance,
    edge_clearance,
    floor_clearance,
    swing_clearance,
)
from generators.crank import Band, SweptRegion
from generators.meshes import CHORD_MM
from generators.sheet.frames import frame
from generators.sheet.solids import tube
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
        ]
    )
    assert (value, band.name) == (pytest.approx(5, abs=1e-6), "narrow")


def test_a_round_bar_is_not_measured_farther_than_it_is():
    """Two round bodies, side by side: axes 100 mm apart, radii 80 and 15."""
    where = frame(origin=(50, 0, -100), x=(0, 1, 0), z=(1, 0, 0))
    check = swing(solid_piece("tube", tube(outer=30, bore=26, length=60, where=where)))
    assert 5 - CHORD_MM - CIRCLE_SPARE <= check.value <= 5 + 1e-9


# ---------------------------------------------------------------- floor


def floor_of(*pieces, floor=12.0):
    return floor_clearance("scavenge_pan", SWEPT, bodies_of(*pieces), floor=floor, trough="trough")


def test_floor_clearance_leaves_the_walls_out():
    check = floor_of(floor_at(-92), wall_at(83))
    assert 12 - CIRCLE_SPARE - 1e-6 <= check.value <= 12
    assert check.status == "pass"
    assert floor_of(floor_at(-91.9)).status == "fail"


def test_floor_clearance_within_rounding_passes():
    assert floor_of(floor_at(-92 + MEASURING_MM / 2)).status == "pass"


def test_a_pan_without_a_floor_is_not_assessed():
    assert floor_of(wall_at(86)).status == "not assessed"


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
