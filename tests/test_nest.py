"""Pieces laid out on sheets: held against an independent polygon library and against packings that are known to be the best."""

import dataclasses
import math
from io import StringIO
from itertools import combinations

import ezdxf
import numpy as np
import pytest
from sample_parts import bracket, trough
from shapely.geometry import Polygon, box
from small_parts import part_of, sheet_piece
from small_parts import plate as flat_plate

from configs import changed, region
from generators.checks.sheets import layouts
from generators.nest import CHORD_MM, MARGIN_MM, drawing, nests, picture, turns, usual_spacing
from generators.nest.laying import ROUNDING_MM, BadLayout, Place, Shape, _prove, lay_out
from generators.outlines import circle
from generators.parameters import Sheet, Stock
from generators.parts import gate_baffle, scavenge_pan
from generators.shop import cut_file


def rectangle(number: int, wide: float, high: float, copies: int, turned=(0.0,)) -> Shape:
    return Shape(number, np.array([(0, 0), (wide, 0), (wide, high), (0, high)], float), copies, turned)


def test_eight_rectangles_fill_a_sheet_that_holds_just_eight():
    """2 x 4 of 100 x 50 mm, 5 mm apart, take 205 mm up the sheet and 215 mm along it, and leave no room for a ninth."""
    sheets, left = lay_out([rectangle(0, 50, 100, 8)], width=212, length=222, spacing=5)
    assert [len(s) for s in sheets] == [8] and left == []
    sheets, left = lay_out([rectangle(0, 50, 100, 9)], width=212, length=222, spacing=5)
    assert [len(s) for s in sheets] == [8, 1] and [p.copy for s in sheets for p in s] == list(range(9))


def test_what_fits_on_no_sheet_is_told_and_the_rest_is_laid_out():
    sheets, left = lay_out([rectangle(0, 300, 20, 2), rectangle(1, 60, 20, 3), rectangle(2, 20, 300, 1, (0.0, 90.0))], width=100, length=310, spacing=5)
    assert left == [] and sum(len(s) for s in sheets) == 6
    sheets, left = lay_out([rectangle(0, 300, 20, 2), rectangle(1, 60, 20, 3)], width=100, length=250, spacing=5)
    assert left == [0] and {p.shape for s in sheets for p in s} == {1}


@pytest.mark.parametrize("places, words", [
    ([Place(0, 0, 0.0, 0, 0), Place(0, 1, 0.0, 54, 0)], "4.000 mm apart"),
    ([Place(0, 0, 0.0, -1, 0)], "off the sheet"),
    ([Place(0, 0, 90.0, 120, 0)], "turned by 90"),
])
def test_a_layout_that_does_not_hold_is_found(places, words):
    with pytest.raises(BadLayout, match=words):
        _prove({0: rectangle(0, 50, 100, 2)}, places, width=400, length=400, spacing=5)


@pytest.fixture(scope="module")
def made():
    """All sheet of two parts on a sheet so small that they need several."""
    p = changed("bench_mockup", sheet={"stock": {"width": 375.0, "length": 420.0}})
    parts = [m.part(m.dimension(p, region(p))) for m in (scavenge_pan, gate_baffle)]
    return p, parts, nests(parts, p.sheet)


def test_every_copy_lies_once_apart_and_within_the_margin(made):
    _, parts, found = made
    wanted = {(part.name, piece.name): piece.quantity for part in parts for piece in part.pieces if piece.kind in ("folded", "rolled", "plate")}
    laid = [one for nest in found for sheet in nest.sheets for one in sheet]
    assert {k: sum((one.part, one.piece.name) == k for one in laid) for k in wanted} == wanted and len(laid) == sum(wanted.values())
    assert max(len(nest.sheets) for nest in found) > 1
    for nest in found:
        inside = box(MARGIN_MM, MARGIN_MM, 420 - MARGIN_MM, 375 - MARGIN_MM).buffer(ROUNDING_MM)
        for sheet in nest.sheets:
            assert all(inside.contains(one.ground) for one in sheet)
            assert all(a.ground.distance(b.ground) >= usual_spacing(nest.thickness) - ROUNDING_MM for a, b in combinations(sheet, 2))


def test_areas_cuts_and_masses_add_up(made):
    _, parts, found = made
    pieces = [(piece, piece.quantity) for part in parts for piece in part.pieces if piece.flat is not None]
    assert sum(n.metal(i) for n in found for i in range(len(n.sheets))) == pytest.approx(sum(p.flat.area * q for p, q in pieces))
    assert sum(n.cut_length for n in found) == pytest.approx(sum(p.flat.cut_length * q for p, q in pieces))
    assert sum(n.pierces for n in found) == sum((1 + len(p.flat.holes)) * q for p, q in pieces)
    for n in found:
        assert n.mass == pytest.approx(len(n.sheets) * 0.375 * 0.42 * n.thickness * 1e-3 * 2680) and 0 < n.part_of_sheets <= n.part_of_used < 1


def test_bent_pieces_lie_with_their_longest_bend_across_the_grain(made):
    bent = [one for nest in made[2] for sheet in nest.sheets for one in sheet if one.piece.flat.bends]
    assert bent
    for one in bent:
        longest = max(one.piece.flat.bends, key=lambda b: b.length)
        direction = math.atan2(longest.end[1] - longest.start[1], longest.end[0] - longest.start[0]) + one.turn
        assert abs(math.cos(direction)) < 1e-6


def test_the_same_is_laid_out_every_time(made):
    p, parts, found = made
    again = nests(parts, p.sheet)
    assert [[(o.piece.name, o.turn, o.x, o.y) for s in n.sheets for o in s] for n in again] == [[(o.piece.name, o.turn, o.x, o.y) for s in n.sheets for o in s]
                                                                                            for n in found]


def test_grain_spacing_and_time_act():
    piece = trough().piece("channel")
    assert turns(piece, grain=True) == pytest.approx((90.0, 270.0)) and len(turns(piece, grain=False)) == 4
    long, narrow = 220.0, 700.0  # the channel's flat of 150 x 215 mm lies with its bends, 150 mm long, across 200 mm of sheet only
    across = nests([trough()], Sheet(stock=Stock(width=200.0, length=narrow)))
    (free,) = nests([trough()], Sheet(stock=Stock(width=long, length=190.0), grain="none"))
    (held,) = nests([trough()], Sheet(stock=Stock(width=long + 40, length=190.0)))
    assert across[0].unplaced == () and free.unplaced == ("trough/channel",) and held.unplaced == ("trough/channel",)
    check = layouts((held,))[0]
    assert check.status == "caution" and check.value == 1 and "trough/channel" in check.method and layouts(across)[0].status == "pass"
    (crumb,) = nests([trough()], Sheet(stock=Stock(width=100.0, length=100.0)))
    assert held.freed == ("trough/channel",) and 'would fit turned: sheet.grain = "none"' in check.method
    assert crumb.freed == () and "sheet.grain" not in layouts((crumb,))[0].method, "no turn would help"
    wide = nests([bracket()], Sheet(spacing=40.0, stock=Stock(width=200.0, length=700.0)))
    assert all(a.ground.distance(b.ground) >= 40 - ROUNDING_MM for n in wide for s in n.sheets for a, b in combinations(s, 2))
    (timed,) = nests([part_of(sheet_piece("lid", flat_plate(100, 60)))], Sheet(nest_time=1.0))
    assert len(timed.sheets) == 1


def test_thickness_and_material_part_the_stock():
    lids = [sheet_piece("a", flat_plate(50, 50), thickness=2.0), sheet_piece("b", flat_plate(50, 50), thickness=3.0),
            sheet_piece("c", flat_plate(50, 50), thickness=2.0, material="304"), sheet_piece("d", flat_plate(50, 50), thickness=2.0)]
    found = nests([part_of(*lids)], Sheet())
    assert [(n.material, n.thickness, sorted(o.piece.name for o in n.sheets[0])) for n in found] == [
        ("5052-H32", 2.0, ["a", "d"]), ("5052-H32", 3.0, ["b"]), ("304", 2.0, ["c"])]
    assert len({n.name for n in found}) == 3


def test_the_drawing_of_a_sheet_holds_every_loop(made):
    nest = made[2][0]
    text = drawing.text(nest, 0)
    document = ezdxf.read(StringIO(text))
    assert document.units == 4 and text == drawing.text(nest, 0)
    cut = document.modelspace().query('*[layer=="CUT"]')
    assert len(cut) == sum(1 + len(o.piece.flat.holes) for o in nest.sheets[0]) and {e.dxftype() for e in cut} <= {"LWPOLYLINE", "CIRCLE"}
    words = " ".join(t.dxf.text for t in document.modelspace().query("TEXT"))
    assert drawing.ESTIMATE in words and "grain along the arrow" in words
    faults = cut_file.read(text).faults
    assert not any("run on each other" in f or "crosses" in f for f in faults), faults


def test_the_picture_is_the_same_each_time(made):
    nest = made[2][0]
    assert picture.svg(nest, 0) == picture.svg(nest, 0) and b"<svg" in picture.svg(nest, 0)


def test_pieces_are_laid_out_by_outlines_that_hold_them():
    from generators.nest import _around

    piece = sheet_piece("disc", dataclasses.replace(flat_plate(10, 10), outer=circle(x=0, y=0, radius=40)))
    grown = Polygon(_around(piece))
    assert grown.contains(Polygon([(40 * math.cos(a), 40 * math.sin(a)) for a in np.linspace(0, 2 * math.pi, 999)]))
    assert np.linalg.norm(_around(piece), axis=1).max() <= 40 + CHORD_MM
