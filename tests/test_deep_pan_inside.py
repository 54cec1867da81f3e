"""The inside of the deep pan, made or given: volumes by hand, and what is held against it."""

import math

import numpy as np
import pytest
from deep_pan_cases import GIVEN, PLAIN, SUMP, dimensions, judged, parameters
from shapely.geometry import LineString, Polygon, box

from configs import region
from generators.crank import merged_bands, outline
from generators.meshes import part_meshes
from generators.outlines import flattened
from generators.parts import deep_pan as pan
from generators.parts.deep_pan.space import cavity


def test_inside_of_a_plain_box_by_hand():
    """Half way into 2 mm of metal: the body's opening and the sump 1 mm larger all round, their bends at 4 mm; the flange's
    opening as large as the body."""
    d = dimensions(parameters(deep_pan=PLAIN))
    o = d.inside.opening
    corner = (1 - math.pi / 4) * 4**2
    body = ((o.width + 2) * (107 - 65 + 1) - 2 * corner) * (o.length + 2)
    sump = ((150 + 2) * (232 - 107) - 2 * corner) * (180 + 2)
    assert cavity(d).Volume(1e-7) == pytest.approx(body + sump, rel=1e-6)


def test_capacity_of_a_given_box_by_hand():
    """Nothing made, everything sharp and level: 180 x 180 x 125 mm of sump, 42 mm of body up to the rail's scraper."""
    p = parameters(deep_pan=GIVEN)
    part = pan.part(dimensions(p))
    o = part.dimensions.inside.opening
    assert part.pieces == () and part.seams == ()
    by_hand = 180 * 180 * 125 + o.length * o.width * 42
    assert part.cavity.Volume(1e-7) == pytest.approx(by_hand, rel=1e-6)
    meshes = part_meshes(part)
    assert meshes.oil_space.volume == pytest.approx(by_hand, rel=1e-6)
    found = judged(p, part, meshes)
    below = 180 * 180 * 125 + o.length * o.width * (107 + part.full_mark)
    assert found["deep_pan.oil_capacity"].value == pytest.approx(below * 1e-9, rel=1e-6)
    assert found["deep_pan.pickup_floor_gap"].value == pytest.approx(8.0)
    assert found["deep_pan.swing_clearance"].value == pytest.approx(_to_the_box(region(p), o, part.dimensions.inside.top, -107.0), abs=0.02)


def _to_the_box(swept, o, top: float, floor: float) -> float:
    """Least distance from the bands' outlines to walls, floor and ends of a box that is open above `top`."""
    walls = LineString([(o.y0, top), (o.y0, floor), (o.y1, floor), (o.y1, top)])
    under = box(o.y0, floor, o.y1, top)
    bands = [(b, Polygon(outline(b))) for b in merged_bands(swept)]
    to_ends = [min(b.x0 - o.x0, o.x1 - b.x1) for b, shape in bands if shape.intersects(under)]
    return min(*(shape.distance(walls) for _, shape in bands), *to_ends)


@pytest.mark.parametrize("radius, slope", [(0.0, 2.0), (12.0, 0.0), (12.0, 2.0)])
def test_inside_of_a_given_pan_with_slope_and_rounding(radius, slope):
    """Against a sum of thin slices, each the exact area of its section."""
    d = dimensions(parameters(deep_pan={**GIVEN, "corner_radius": radius, "floor_slope": math.radians(slope)}))
    i, o = d.inside, d.inside.opening
    sump = Polygon(flattened(i.section(), chord=1e-4) if radius else i.section().points)
    grid = np.linspace(o.x0, o.x1, 2001)
    middles = (grid[1:] + grid[:-1]) / 2
    rounding = 2 * (1 - math.pi / 4) * radius**2 / math.cos(i.body_slope)
    body = sum(((i.top - i.body_floor(x)) * o.width - rounding) for x in middles) * (grid[1] - grid[0])
    under = [box(-90, i.shallow_z, 90, i.body_floor(x)).area if i.x0 < x < i.x1 else 0.0 for x in middles]
    assert cavity(d).Volume(1e-7) == pytest.approx(body + sump.area * 180 + sum(under) * (grid[1] - grid[0]), rel=2e-4)


def test_a_given_sump_wider_than_the_rail_keeps_its_roof():
    p = parameters(deep_pan={**GIVEN, "sump": {**SUMP, "width": 260.0}})
    d = dimensions(p)
    assert cavity(d).Volume(1e-7) == pytest.approx(180 * 260 * 125 + d.inside.opening.length * d.inside.opening.width * 42, rel=1e-6)


def test_side_clearance_is_what_the_swing_is_held_to():
    p = parameters(deep_pan={**GIVEN, "side_clearance": 9.0})
    part = pan.part(dimensions(p))
    assert judged(p, part, part_meshes(part))["deep_pan.swing_clearance"].limit == pytest.approx(8.98)


@pytest.mark.parametrize("change", [{"make": True, "corner_radius": None}, {"corner_radius": 9.0}])
def test_keys_of_a_given_pan_act(change):
    other = {k: v for k, v in {**GIVEN, **change}.items() if v is not None}
    volumes = [cavity(dimensions(parameters(deep_pan=asked))).Volume(1e-6) for asked in (GIVEN, other)]
    assert abs(volumes[0] - volumes[1]) > 1000
