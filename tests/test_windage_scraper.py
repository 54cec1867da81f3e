"""The scraper follows the swing tooth by tooth; every parameter acts."""

import itertools
import math

import numpy as np
import pytest
from shapely.geometry import Point, Polygon

from configs import NAMES, changed, read, region
from generators.crank import merged_bands, outline
from generators.outlines import flattened, perimeter, signed_area
from generators.parts import windage_scraper as scraper

HILL = "hillclimb_four"


def dimensions(parameters):
    return scraper.dimension(parameters, region(parameters))


def gap(parameters, d, count=40):
    """Least distance from points in the swept region to the plate's metal, by brute force: for stations along the crank and
    heights, the distance in space to the plate's upper and lower inner edges."""
    hole = Polygon(flattened(scraper.opening_loop(d)))
    worst = math.inf
    for band in merged_bands(region(parameters)):
        points = outline(band)
        for x in np.linspace(band.x0, band.x1, count):
            for y, z in points:
                dz = max(d.bottom - z, z - d.bottom - d.thickness, 0.0)
                if dz > 3 * parameters.windage_scraper.edge_clearance:
                    continue
                at = Point(x, y)
                flat = hole.exterior.distance(at) if hole.contains(at) else 0.0
                worst = min(worst, math.hypot(flat, dz))
    return worst


@pytest.mark.parametrize("name", NAMES)
def test_edge_keeps_its_clearance_in_space(name):
    p = read(name).parameters
    assert gap(p, dimensions(p), count=9) >= p.windage_scraper.edge_clearance - 1e-3


def test_edge_of_a_cylinder_is_the_closed_form():
    """A cylinder of radius R at the height h of the plate's upper face: the edge stands sqrt((R + c)2 - h2) from the axis."""
    p = read("bench_mockup").parameters
    d = dimensions(p)
    asked = math.sqrt((80 + p.windage_scraper.edge_clearance) ** 2 - 58**2)
    (stair,) = [s for s in d.edges.values() if len(s) == 1 and s[0][2] < d.opening.y1]
    assert asked <= stair[0][2] <= asked + 0.11


def test_teeth_stand_between_the_throws():
    p = read(HILL).parameters
    d = dimensions(p)
    low = min(e for *_, e in d.edges["right"])
    notches = [(a + b) / 2 for a, b, e in d.edges["right"] if e > low + 1]
    assert notches == pytest.approx(p.crank.throws, abs=0.5)


def test_mirrored_rotation_gives_a_mirrored_plate():
    turned = changed(HILL, crank={"rotation": "anticlockwise"})
    a = flattened(scraper.opening_loop(dimensions(read(HILL).parameters)))
    b = flattened(scraper.opening_loop(dimensions(turned))) * (1, -1)
    assert Polygon(a).symmetric_difference(Polygon(b)).area < 1e-6 * Polygon(a).area


@pytest.mark.parametrize("table, change, acts", [
    ("windage_scraper", {"edge_clearance": 3.0}, lambda d: min(e for *_, e in d.edges["right"])),
    ("windage_scraper", {"thickness": 4.0}, lambda d: (d.thickness, d.corner)),
    ("windage_scraper", {"side": "both"}, lambda d: min(e for *_, e in d.edges["left"])),
    ("windage_scraper", {"side": "falling"}, lambda d: min(e for *_, e in d.edges["right"])),
    ("pan_rail", {"bolt_size": "M5"}, lambda d: d.bolt_hole),
    ("pan_rail", {"below_crank": 66.0}, lambda d: (d.bottom, d.edges)),
    ("sheet", {"material": "6061-T4"}, lambda d: d.material),
])
def test_every_parameter_acts(table, change, acts):
    assert acts(dimensions(changed(HILL, **{table: change}))) != acts(dimensions(read(HILL).parameters))


def test_plate_is_cut_as_described():
    d = dimensions(read(HILL).parameters)
    (piece,) = scraper.pieces(d)
    area = abs(signed_area(d.outline)) - abs(signed_area(scraper.opening_loop(d))) - len(d.bolts) * math.pi / 4 * 6.6**2
    assert piece.solids[0].Volume() == pytest.approx(area * d.thickness, rel=1e-9)
    assert piece.flat.cut_length > perimeter(d.outline)
    box = piece.solids[0].BoundingBox()
    assert (box.zmin, box.zmax) == pytest.approx((-65, -62))


@pytest.mark.parametrize("throws", [(10.0, 151.0, 242.0, 410.0), (60.0, 100.0, 140.0, 180.0), (40.0, 91.0, 300.0, 380.0)])
@pytest.mark.parametrize("side", ["rising", "both"])
def test_every_flat_of_the_edge_has_room_for_its_corners(throws, side):
    p = changed(HILL, crank={"throws": throws, "big_end": read(HILL).parameters.crank.big_end}, windage_scraper={"side": side})
    d = dimensions(p)
    for stair in d.edges.values():
        assert stair[0][0] == d.opening.x0 and stair[-1][1] == d.opening.x1
        if len(stair) > 1:
            assert min(b - a for a, b, _ in stair) >= 2 * d.corner
            assert min(abs(one[2] - other[2]) for one, other in itertools.pairwise(stair)) >= 2 * d.corner
    assert signed_area(scraper.opening_loop(d)) != 0


def test_a_throw_beside_the_end_of_the_opening_keeps_the_tooth_next_to_it():
    p = changed(HILL, crank={"throws": (10.0, 151.0, 242.0, 410.0)})
    stair = dimensions(p).edges["right"]
    assert [b[2] < min(a[2], c[2]) for a, b, c in zip(stair, stair[1:], stair[2:])].count(True) == 3


@pytest.mark.parametrize("seed", range(30))
def test_mending_the_stair_only_takes_metal_away(seed):
    """Random stairs, some of 1 mm: what comes out is no nearer the axis anywhere, and can be filleted."""
    rng = np.random.default_rng(seed)
    marks = np.concatenate([[0.0], np.cumsum(np.round(rng.uniform(1, 40, rng.integers(1, 15)), 1))])
    levels = np.round(rng.choice([20.0, 23.0, 35.0, 50.0, 58.0, 60.0], len(marks) - 1), 1)
    steps = [(float(a), float(b), float(e)) for a, b, e in zip(marks, marks[1:], levels)]
    made = scraper._makeable(steps, 3.0, 3.0, 60.0)
    assert (made[0][0], made[-1][1]) == (steps[0][0], steps[-1][1])
    assert all(one[1] == other[0] for one, other in itertools.pairwise(made))
    for x in np.arange(0.05, marks[-1], 0.1):
        before, after = (next(e for a, b, e in stair if a <= x <= b) for stair in (steps, made))
        assert after >= before
    if len(made) > 1:
        assert min(b - a for a, b, _ in made) > 6


def test_swing_above_the_plate_is_refused_with_the_numbers():
    p = read(HILL).parameters
    far = region(p)
    deep = p.model_copy(update={"pan_rail": p.pan_rail.model_copy(update={"below_crank": 90.0})})
    with pytest.raises(ValueError, match=r"windage_scraper: .*-82\.\d mm.*make = false"):
        scraper.dimension(deep, far)
