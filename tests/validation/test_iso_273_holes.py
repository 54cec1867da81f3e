"""Clearance holes and screws against ISO 273, ISO 724 and ISO 4762 / 4017 / 7089."""

import pytest

from generators import standards

ISO_273 = {  # ISO 273:1979 fine, medium, coarse, as two secondary hole tables give it
    "M3": (3.2, 3.4, 3.6), "M4": (4.3, 4.5, 4.8), "M5": (5.3, 5.5, 5.8), "M6": (6.4, 6.6, 7.0), "M8": (8.4, 9.0, 10.0),
    "M10": (10.5, 11.0, 12.0), "M12": (13.0, 13.5, 14.5), "M14": (15.0, 15.5, 16.5), "M16": (17.0, 17.5, 18.5),
}


@pytest.mark.parametrize("size", ISO_273)
def test_holes_are_those_of_iso_273(size):
    assert tuple(standards.clearance_hole(size, fit=fit) for fit in ("fine", "medium", "coarse")) == ISO_273[size]


def test_medium_is_the_fit_when_none_is_named():
    # ISO 273:1979 medium. M12 is the row that some open tables get wrong (14 mm)
    assert [standards.clearance_hole(size) for size in ("M6", "M8", "M12")] == [6.6, 9.0, 13.5]


@pytest.mark.parametrize(("size", "minor"), [  # ISO 724 basic minor diameters D1, from memory, unverified
    ("M4", 3.242), ("M5", 4.134), ("M6", 4.917), ("M8", 6.647), ("M10", 8.376), ("M12", 10.106)])
def test_minor_diameter_is_that_of_iso_724(size, minor):
    assert standards.bolt(size).minor_diameter == pytest.approx(minor, abs=5e-4)


@pytest.mark.parametrize(("size", "head", "height", "flats"), [  # ISO 4762 and ISO 4017, read in an open data table
    ("M5", 8.72, 5, 8), ("M6", 10.22, 6, 10), ("M8", 13.27, 8, 13), ("M10", 16.27, 10, 16)])
def test_heads_are_those_of_iso_4762_and_hexagons_those_of_iso_4017(size, head, height, flats):
    bolt = standards.bolt(size)
    assert (bolt.head_diameter, bolt.head_height, bolt.across_flats) == (head, height, flats)


@pytest.mark.parametrize(("size", "washer"), [("M6", 12), ("M8", 16)])  # ISO 7089, read in an open data table
def test_washers_are_those_of_iso_7089(size, washer):
    assert standards.bolt(size).washer_diameter == washer


@pytest.mark.parametrize(("size", "washer", "flats"), [("M4", 9, 7), ("M5", 10, 8), ("M10", 20, 16), ("M12", 24, 18)])
def test_other_washers_and_hexagons(size, washer, flats):
    # ISO 7089 and ISO 4017, from memory, unverified
    assert (standards.bolt(size).washer_diameter, standards.bolt(size).across_flats) == (washer, flats)


@pytest.mark.parametrize(("size", "drill"), [  # ISO 2306, from memory, unverified
    ("M6", 5.0), ("M8", 6.8), ("M10", 8.5)])
def test_tap_drills_are_those_of_iso_2306(size, drill):
    assert standards.bolt(size).tap_drill == drill


@pytest.mark.parametrize("size", standards.bolt_sizes())
def test_every_screw_passes_its_hole_and_its_head_does_not(size):
    bolt = standards.bolt(size)
    fine, medium, coarse = (standards.clearance_hole(size, fit=fit) for fit in standards.FITS)
    assert bolt.minor_diameter < bolt.tap_drill < bolt.diameter < fine < medium < coarse < bolt.head_diameter
    assert bolt.head_diameter / 2 < bolt.tool_radius
    # Corners of the hexagon turn inside the socket's free space: e = 2 s / sqrt(3)
    assert bolt.across_flats / 3**0.5 < bolt.tool_radius


@pytest.mark.parametrize(("size", "room"), [("M6", 9), ("M8", 11)])  # common practice: axis to the nearest wall
def test_a_socket_has_the_room_that_practice_keeps(size, room):
    assert standards.bolt(size).tool_radius >= room
