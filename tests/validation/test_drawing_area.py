"""Drawings read back: area and perimeter against closed forms, and against ezdxf, which reads DXF on its own."""

import itertools
import math
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from shapely.geometry import Polygon

from generators import outlines
from generators.reading.drawing import read_drawing

ROOT = Path(__file__).parents[2]
PLATE = outlines.rectangle(x0=0.0, y0=-30.0, x1=100.0, y1=30.0, corner=5.0)
AREA, PERIMETER = 5978.540, 311.416
"""Plate 100 x 60 with 5 mm corners: 6000 - (4 - pi) 25 and 180 + 100 + 10 pi, less rounding at the third decimal."""


def pieces(space, loop, scale):
    """`loop` as loose LINE and ARC, shuffled and some of them drawn backwards."""
    segments = loop.segments()
    for i in np.random.default_rng(3).permutation(len(segments)):
        start, end, bulge = segments[i]
        if not bulge:
            ends = (start * scale, end * scale)
            space.add_line(*(ends[::-1] if i % 2 else ends), dxfattribs={"layer": "OUTLINE"})
            continue
        centre, radius, first, included = outlines.arc_of(start, end, bulge)
        angles = sorted((math.degrees(first), math.degrees(first + included)))
        space.add_arc(centre * scale, radius * scale, *angles, dxfattribs={"layer": "OUTLINE"})


def light_polyline(space, loop, scale):
    space.add_lwpolyline(
        [(x * scale, y * scale, b) for x, y, b in loop.vertices],
        format="xyb",
        close=True,
        dxfattribs={"layer": "OUTLINE"},
    )


def polyline(space, loop, scale):
    space.add_polyline2d(
        [(x * scale, y * scale, b) for x, y, b in loop.vertices],
        format="xyb",
        close=True,
        dxfattribs={"layer": "OUTLINE"},
    )


def clockwise(space, loop, scale):
    light_polyline(space, outlines.reversed_loop(loop), scale)


def half_and_half(space, loop, scale):
    """Two open polylines that meet."""
    v = [(x * scale, y * scale, b) for x, y, b in loop.vertices]
    for part in (v[:4], [*v[3:], v[0]]):
        space.add_lwpolyline(part, format="xyb", dxfattribs={"layer": "OUTLINE"})


def written(folder, draw, loop, *, units=ezdxf.units.MM, scale=1.0, version="R2000"):
    document = ezdxf.new(version)
    document.header["$INSUNITS"] = units
    draw(document.modelspace(), loop, scale)
    document.saveas(folder / "rail.dxf")
    return read_drawing(folder / "rail.dxf", name="rail.dxf").outline


@pytest.mark.parametrize("draw", [pieces, light_polyline, polyline, clockwise, half_and_half], ids=lambda d: d.__name__)
@pytest.mark.parametrize(
    ("units", "per_mm"),
    [
        (ezdxf.units.MM, 1.0),
        (ezdxf.units.IN, 1 / 25.4),
        (ezdxf.units.M, 0.001),
        (ezdxf.units.CM, 0.1),
        (ezdxf.units.FT, 1 / 304.8),
    ],
)
def test_plate_read_back(tmp_path, draw, units, per_mm):
    got = written(tmp_path, draw, PLATE, units=units, scale=per_mm)
    assert abs(outlines.signed_area(got)) == pytest.approx(AREA, abs=1e-3)
    assert outlines.perimeter(got) == pytest.approx(PERIMETER, abs=1e-3)
    assert abs(outlines.signed_area(got)) == pytest.approx(6000 - (4 - math.pi) * 25, rel=1e-9)
    assert len(got.vertices) == 8, "arcs stay arcs"


@pytest.mark.parametrize("version", ["R2000", "R2004", "R2007", "R2010", "R2013", "R2018"])
def test_plate_of_every_version(tmp_path, version):
    assert abs(outlines.signed_area(written(tmp_path, pieces, PLATE, version=version))) == pytest.approx(AREA, abs=1e-3)


def test_gaps_of_a_hundredth_close_and_wider_ones_do_not(tmp_path):
    def with_gap(gap):
        corners = [(0, -30), (100, -30), (100, 30), (0, 30), (0, -30 + gap)]

        def draw(space, _loop, _scale):
            for a, b in itertools.pairwise(corners):
                space.add_line(a, b, dxfattribs={"layer": "OUTLINE"})

        return written(tmp_path, draw, PLATE)

    assert abs(outlines.signed_area(with_gap(0.009))) == pytest.approx(6000, abs=1)
    with pytest.raises(ValueError, match="gap of 0.011 mm"):
        with_gap(0.011)


def test_rail_of_the_flat_six_against_ezdxf():
    path = ROOT / "configs" / "endurance_flat_six_rail.dxf"
    got = read_drawing(path, name=path.name)
    space = ezdxf.readfile(path).modelspace()
    circles = {(round(c.dxf.center.x, 9), round(c.dxf.center.y, 9)) for c in space.query('CIRCLE[layer=="BOLTS"]')}
    assert {(round(x, 9), round(y, 9)) for x, y in got.bolts} == circles
    assert len(got.bolts) == len(circles) > 16
    lines, arcs = space.query('LINE[layer=="OUTLINE"]'), space.query('ARC[layer=="OUTLINE"]')
    length = sum(line.dxf.start.distance(line.dxf.end) for line in lines) + sum(
        arc.dxf.radius * math.radians((arc.dxf.end_angle - arc.dxf.start_angle) % 360) for arc in arcs
    )
    assert outlines.perimeter(got.outline) == pytest.approx(length, rel=1e-9)
    # 440 x 230 less the two trapezia beside the nose, 60 and 90 long and 19 wide, but for its rounded corners
    sharp = 440 * 230 - 2 * (60 + 90) / 2 * 19
    assert 0 < sharp - outlines.signed_area(outlines.anticlockwise(got.outline)) < 500
    assert Polygon(outlines.flattened(got.outline)).is_valid
