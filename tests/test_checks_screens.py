"""Checks of a windage screen on made-up trays: areas reckoned by hand, some of them short on purpose."""

import math

import pytest

from generators.bodies import part_bodies, swept_bodies
from generators.checks import flats
from generators.checks.clearances import MEASURING_MM
from generators.checks.screens import (
    LEAST_SCREEN_MM,
    OPEN_TOLERANCE,
    facet_area,
    open_area,
    open_between_bends,
    swing_clearance,
)
from generators.outlines import circle, slot
from generators.sheet.channel import Channel
from generators.sheet.folded import flat_of
from tests.small_parts import CIRCLE_SPARE, block, cylinder_region, meshes_of, part_of, plate, sheet_piece, solid_piece

TRAY = Channel(((0, 0), (30, 0), (50, -20), (90, -20), (110, 0), (140, 0)), 1.5, 1.5, 200.0, 0.4)
"""Two lips of 30 mm, facets of 45 degrees, a bottom of 40 mm, 200 mm long."""

LIP_SETBACK, SETBACK = 3 * math.tan(math.pi / 8), 1.5 * math.tan(math.pi / 8)
"""Corner to bend: radius 1.5 mm inside, thickness 1.5 mm more where the bend turns away from it."""

FACETS = 200 * (2 * (20 * math.sqrt(2) - LIP_SETBACK - SETBACK) + 40 - 2 * SETBACK)


def tray(holes=None):
    return part_of(sheet_piece("tray", flat_of(TRAY.sheet(holes)), thickness=1.5, kind="folded", solids=(block((0, 0, 0), (1, 1, 1)),)))


def test_facets_are_the_flats_between_the_bends():
    assert facet_area(flats.shape(flat_of(TRAY.sheet()))) == pytest.approx(FACETS, rel=1e-9)


def test_holes_in_the_lips_do_not_count():
    holes = {0: (circle(x=20, y=10, radius=3),), 2: (slot(x=100, y=20, length=40, width=10), circle(x=30, y=20, radius=5)),
             4: (circle(x=20, y=15, radius=3),)}
    assert open_between_bends(flat_of(TRAY.sheet(holes))) == pytest.approx(30 * 10 + 2 * math.pi * 25, rel=1e-12)


@pytest.mark.parametrize(("asked", "status"), [(0.2, "pass"), (0.21, "pass"), (0.22, "fail")])
def test_open_area_against_what_was_asked(asked, status):
    radius = math.sqrt(0.2005 * FACETS / 40 / math.pi)
    holes = {2: tuple(circle(x=10 + 18 * i, y=6 + 26 * j, radius=radius / 2) for i in range(10) for j in range(2)),
             1: tuple(circle(x=20 + 40 * i, y=13, radius=radius) for i in range(5)),
             3: tuple(circle(x=20 + 40 * i, y=13, radius=radius) for i in range(5))}
    cut = math.pi * radius**2 * (20 / 4 + 10)
    share = cut / FACETS
    check = open_area(tray(holes), asked=asked - 0.2 + share, tray="tray")
    assert (check.status, check.id) == (status, "sample.open_area")
    assert check.value == pytest.approx(share, rel=1e-9)
    assert check.limit == pytest.approx(asked - 0.2 + share - OPEN_TOLERANCE)


def test_a_part_without_a_folded_tray_is_not_assessed():
    check = open_area(part_of(sheet_piece("tray", plate(20, 20))), asked=0.25, tray="tray")
    assert check.status == "not assessed" and "no folded piece called tray" in check.method


SWEPT = swept_bodies(cylinder_region(80.0))


@pytest.mark.parametrize(("gap", "asked", "status"), [(4.0, 4.0, "pass"), (3.9, 4.0, "fail"), (2.0, 2.0, "caution"), (-0.5, 4.0, "fail")])
def test_swing_to_screen(gap, asked, status):
    """Under 2.5 mm from rod to tray is a caution (common practice)."""
    bodies = part_bodies(meshes_of(part_of(solid_piece("tray", block((0, -100, -80 - gap - 1.5), (200, 100, -80 - gap))))))
    check = swing_clearance("windage_screen", SWEPT, bodies, asked=asked)
    assert (check.status, check.limit, check.id) == (status, asked - MEASURING_MM, "windage_screen.swing_clearance")
    assert gap - CIRCLE_SPARE - 1e-6 <= check.value <= gap + 1e-6
    assert f"{LEAST_SCREEN_MM:g} mm (common practice" in check.source
