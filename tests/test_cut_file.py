"""Drawings for the cutter, read again: what is sound passes, and each fault that a cutter stumbles over is found."""

import dataclasses
import math
from io import StringIO

import ezdxf
import pytest
from sample_parts import bracket, trough
from shapely.geometry import Polygon
from small_parts import part_of, sheet_piece
from small_parts import plate as flat_plate

from generators.checks.cut_files import cut_files
from generators.outlines import circle, flattened
from generators.shop import cut_file, etching, flat_drawing
from generators.shop.etching import AWAY_MM
from generators.shop.flat_files import flat_files
from generators.shop.strokes import GLYPHS, stroke_width, strokes


def drawn(draw, *, insunits=4, measurement=1) -> str:
    """The text of a drawing made by hand, by another library's calls."""
    document = ezdxf.new("R2010", units=insunits)
    document.header["$MEASUREMENT"] = measurement
    draw(document.modelspace())
    stream = StringIO()
    document.write(stream)
    return stream.getvalue()


def rounded(space):
    """The plate 100 x 60 with corners of 5 mm, a bulge of tan(90 / 4) at each."""
    b = math.tan(math.pi / 8)
    points = [(5, 0, 0), (95, 0, b), (100, 5, 0), (100, 55, b), (95, 60, 0), (5, 60, b), (0, 55, 0), (0, 5, b)]
    space.add_lwpolyline(points, format="xyb", close=True, dxfattribs={"layer": "CUT"})


def test_a_rounded_plate_against_its_closed_form():
    """6000 - (4 - pi) 25 = 5978.540 mm2; 180 + 100 + 10 pi = 311.416 mm."""
    found = cut_file.read(drawn(rounded))
    assert found.faults == () and found.area == pytest.approx(5978.540, abs=5e-4) and found.cut_length == pytest.approx(311.416, abs=5e-4)


def square(space, low=0.0, high=50.0, **more):
    space.add_lwpolyline([(low, low), (high, low), (high, high), (low, high)], **{"close": True, "dxfattribs": {"layer": "CUT"}, **more})


def twice(space):
    square(space)
    square(space)


def shared_side(space):
    square(space)
    space.add_lwpolyline([(50, 10), (60, 10), (60, 40), (50, 40)], close=True, dxfattribs={"layer": "CUT"})


def hole_in_hole(space):
    square(space)
    for radius in (10, 5):
        space.add_circle((25, 25), radius, dxfattribs={"layer": "CUT"})


def spline(space):
    square(space)
    space.add_spline([(10, 10), (20, 15), (30, 10)], dxfattribs={"layer": "CUT"})


def bow_tie(space):
    space.add_lwpolyline([(0, 0), (50, 50), (50, 0), (0, 50)], close=True, dxfattribs={"layer": "CUT"})


def short(space):
    space.add_lwpolyline([(0, 0), (50, 0), (50.01, 0.01), (50, 50), (0, 50)], close=True, dxfattribs={"layer": "CUT"})


def beside(space):
    square(space)
    space.add_circle((80, 25), 5, dxfattribs={"layer": "CUT"})


@pytest.mark.parametrize("draw, words", [
    (lambda s: square(s, close=False), "not closed"),
    (twice, "run on each other over 200.000 mm"),
    (shared_side, "run on each other"),
    (hole_in_hole, "a loop inside a hole"),
    (beside, "a loop outside the outline"),
    (spline, "a SPLINE on CUT"),
    (bow_tie, "crosses itself"),
    (short, "shorter than 0.05"),
    (lambda s: s.add_line((0, 0), (5, 5), dxfattribs={"layer": "0"}), "a LINE on layer 0"),
    (lambda s: None, "nothing to cut"),
    (lambda s: s.add_circle((0, 0, 3), 5, dxfattribs={"layer": "CUT"}), "off the plane"),
    (lambda s: s.add_circle((0, 0), 5, dxfattribs={"layer": "CUT", "extrusion": (0, 0, -1)}), "does not lie in the plane"),
])
def test_each_fault_is_found(draw, words):
    assert any(words in fault for fault in cut_file.read(drawn(draw)).faults), cut_file.read(drawn(draw)).faults


@pytest.mark.parametrize("wrong, words", [({"insunits": 1}, "number 1, not 4"), ({"measurement": 0}, "inches")])
def test_a_wrong_unit_is_found(wrong, words):
    assert any(words in fault for fault in cut_file.read(drawn(rounded, **wrong)).faults)


@pytest.mark.parametrize("part", [bracket(), trough()], ids=lambda p: p.name)
def test_own_drawings_pass(part):
    check = cut_files(part, flat_files(part, marks=True))
    assert check.status == "pass" and check.value == 0 and f"of {len([p for p in part.pieces if p.flat])} pieces" in check.method


def test_a_drawing_of_another_piece_fails_the_check():
    part = part_of(sheet_piece("lid", flat_plate(100, 60, circle(x=20, y=20, radius=5))))
    (file,) = flat_files(part, marks=False)
    other = flat_drawing.text("sample", sheet_piece("lid", flat_plate(100, 60, circle(x=20, y=20, radius=5.1))), cut_only=True)
    check = cut_files(part, (dataclasses.replace(file, cut_only=other),))
    assert check.status == "fail" and "designed" in check.method and check.value >= 1


def test_a_piece_that_weighs_otherwise_than_its_drawing_fails_the_check():
    flat = flat_plate(100, 60)
    heavier = sheet_piece("lid", flat, solids=sheet_piece("lid", flat, thickness=2.01).solids)
    assert "weighs" in cut_files(part_of(heavier), flat_files(part_of(heavier), marks=False)).method


# ---------------------------------------------------------------- etched names


def test_names_are_etched_only_where_asked_and_on_free_metal():
    piece = bracket().piece("angle")
    plain = ezdxf.read(StringIO(flat_drawing.text("bracket", piece)))
    etched = ezdxf.read(StringIO(flat_drawing.text("bracket", piece, marks=etching.marks("bracket", piece, own_frame=False))))
    assert len(plain.modelspace().query('*[layer=="ETCH"]')) == 0
    lines = [[tuple(p) for p in e.get_points("xy")] for e in etched.modelspace().query('LWPOLYLINE[layer=="ETCH"]')]
    assert len(lines) == len(strokes("BRACKET/ANGLE", height=1))
    metal = Polygon(flattened(piece.flat.outer), [flattened(h) for h in piece.flat.holes]).buffer(-AWAY_MM + 1e-6)
    bend = piece.flat.bends[0]
    for line in lines:
        for x, y in line:
            assert metal.contains(Polygon([(x - 1e-6, y - 1e-6), (x + 1e-6, y - 1e-6), (x, y + 1e-6)]))
            assert abs(y - bend.start[1]) >= bend.allowance / 2 + AWAY_MM - 1e-6


def test_a_piece_too_small_for_its_name_says_so():
    piece = sheet_piece("tab", flat_plate(8, 8))
    marks = etching.marks("x", piece, own_frame=False)
    assert marks.strokes == ()
    assert etching.NO_ROOM in [t.dxf.text for t in ezdxf.read(StringIO(flat_drawing.text("x", piece, marks=marks))).modelspace().query("TEXT")]


def test_letters_stay_in_their_box():
    for letter in GLYPHS:
        for stroke in strokes(letter, height=6.0):
            assert stroke.min() >= 0 and stroke[:, 0].max() <= stroke_width(letter, height=6.0) + 1e-9 and stroke[:, 1].max() <= 6.0
    with pytest.raises(ValueError, match="cannot be etched"):
        strokes("ä", height=3.0)
