"""Where each flat lies in its part, and what is etched of it: which side it is, and an arrow."""

import math
from functools import cache
from importlib import import_module

import numpy as np
import pytest
from sample_parts import DENSITY
from shapely import unary_union
from shapely.geometry import LineString, MultiLineString, Point, Polygon

from configs import read, region
from generators.outlines import circle, flattened, polygon_loop, rectangle
from generators.pieces import Piece
from generators.sheet.flat import FlatPattern
from generators.sheet.folded import Bend, FoldedSheet, Region, flat_of
from generators.sheet.frames import frame
from generators.sheet.solids import folded_solid, prism
from generators.shop.etching import AWAY_MM, NO_ROOM_FOR_ARROW, marks
from generators.shop.orientation import orientation

CASES = [("hillclimb_four", "scavenge_pan"), ("hillclimb_four", "windage_scraper"),
         ("hillclimb_four", "gate_baffle"), ("hillclimb_four", "reservoir"), ("club_vee_eight", "deep_pan"),
         ("club_vee_eight", "windage_screen"), ("road_four_improved", "gate_baffle")]

INSET_MM, RIM_POINTS = 0.05, 24
SIDEWAYS = {"FRONT": (1, 0, 0), "LEFT": (0, 1, 0), "UP": (0, 0, 1)}
SIDES = {"TOP": (0, 0, 1), "BOTTOM": (0, 0, -1), "FRONT": (1, 0, 0), "REAR": (-1, 0, 0), "LEFT": (0, 1, 0), "RIGHT": (0, -1, 0)}


@cache
def made(config: str, part: str):
    parameters = read(config).parameters
    module = import_module(f"generators.parts.{part}")
    return module.part(module.dimension(parameters, region(parameters)))


def root_metal(flat: FlatPattern) -> Polygon:
    """Metal of the region that the others hang on."""
    return Polygon(flattened(flat.root or flat.outer)).difference(unary_union([Polygon(flattened(h)) for h in flat.holes]))


def _rim(shape) -> np.ndarray:
    """Points within the metal: all along its rim, some of which a solid misses that is turned or mirrored otherwise."""
    rim = shape.buffer(-INSET_MM).boundary
    return np.array([rim.interpolate(share, normalized=True).coords[0] for share in np.linspace(0, 1, RIM_POINTS, endpoint=False)])


@pytest.mark.parametrize("config, part", CASES)
def test_a_flat_lies_where_its_solid_is(config, part):
    """Just within both sides of the sheet there is metal at every point of the flat, and just beyond them none that is not another
    region's; in the middle of each hole there is none."""
    for piece in made(config, part).pieces:
        if piece.kind not in ("folded", "plate"):
            continue
        assert len(piece.laid) == piece.quantity, piece.name
        metal = root_metal(piece.flat)
        points = _rim(metal)
        holes = [Polygon(flattened(h)) for h in piece.flat.holes[:6]]
        voids = [p for p in (h.representative_point() for h in holes) if Polygon(flattened(piece.flat.root or piece.flat.outer)).contains(p)]
        for where, solid in zip(piece.laid, piece.solids, strict=True):
            for z in (INSET_MM, piece.thickness - INSET_MM):
                inside = where.points(np.column_stack([points, np.full(len(points), z)]))
                assert all(solid.isInside(tuple(map(float, p)), 1e-6) for p in inside), piece.name
            for void in voids:
                (p,) = where.points([(void.x, void.y, piece.thickness / 2)])
                assert not solid.isInside(tuple(map(float, p)), 1e-6), piece.name
            if not piece.flat.bends:
                for z in (-INSET_MM, piece.thickness + INSET_MM):
                    beyond = where.points(np.column_stack([points, np.full(len(points), z)]))
                    assert not any(solid.isInside(tuple(map(float, p)), 1e-6) for p in beyond[::4]), piece.name


def test_the_shell_lies_with_its_seam_at_both_ends_of_the_flat():
    (shell,) = (p for p in made("hillclimb_four", "reservoir").pieces if p.name == "shell")
    (where,) = shell.laid
    middle = where.points([(0, 0, 0)])[0]
    assert shell.solids[0].isInside((*map(float, middle[:2]), 1.0), 1e-6)
    assert where.matrix[:3, 1] == pytest.approx((0, 0, 1)) and where.matrix[:3, 2] @ middle < 0
    told = orientation(shell, own_frame=True)
    assert (told.side, told.shows, told.angle) == ("INNER", "UP", pytest.approx(math.pi / 2))


@pytest.mark.parametrize("config, part", CASES)
def test_what_is_told_holds_for_every_copy(config, part):
    """The side is checked on the normal, the arrow by a point a little farther along it."""
    whole = made(config, part)
    told = {p.name: (p, orientation(p, own_frame=whole.own_frame)) for p in whole.pieces if p.kind in ("folded", "plate")}
    assert told and any(o for _, o in told.values())
    for piece, said in told.values():
        if said is None:
            continue
        for where in piece.laid:
            if said.side:
                assert where.matrix[:3, 2] @ np.array(SIDES[said.side]) >= math.cos(math.radians(30))
            if said.shows:
                there, here = where.points([(math.cos(said.angle), math.sin(said.angle)), (0, 0)])
                assert (there - here) @ np.array(SIDEWAYS[said.shows]) >= math.cos(math.radians(30))
        if whole.own_frame:
            assert said.shows in (None, "UP") and said.side in (None, "TOP", "BOTTOM")


def plate_at(*places, flat=None):
    flat = flat or FlatPattern(rectangle(x0=0, y0=0, x1=120, y1=60), (circle(x=20, y=20, radius=5),))
    return Piece("end", "plate", "5052-H32", DENSITY, tuple(prism(flat.outer, height=2, holes=flat.holes, where=w) for w in places), 2.0, flat,
                 laid=places)


ACROSS = frame(origin=(0, 0, 0), x=(0, 1, 0), z=(1, 0, 0))
TURNED = frame(origin=(0, 0, 0), x=(0, -1, 0), z=(-1, 0, 0))
ON_END = frame(origin=(0, 0, 0), x=(0, 0, 1), z=(-1, 0, 0))
UPSIDE_DOWN = frame(origin=(0, 0, 0), x=(0, -1, 0), z=(1, 0, 0))


@pytest.mark.parametrize("places, side, shows", [
    ((ACROSS,), "FRONT", "UP"), ((ACROSS, TURNED), None, "UP"), ((ACROSS, UPSIDE_DOWN), "FRONT", None), ((TURNED, UPSIDE_DOWN), None, "LEFT"), ((ACROSS, ON_END), None, None),
])
def test_only_what_all_copies_share_is_told(places, side, shows):
    said = orientation(plate_at(*places), own_frame=False)
    assert (said.side if said else None, said.shows if said else None) == (side, shows)


def test_a_piece_that_nobody_placed_tells_nothing():
    assert orientation(Piece("x", "plate", "5052-H32", DENSITY, plate_at(ACROSS).solids, 2.0, plate_at(ACROSS).flat), own_frame=False) is None


def test_a_number_of_frames_other_than_of_copies_is_refused():
    with pytest.raises(ValueError, match="1 copies, but 2 are laid out"):
        Piece("x", "plate", "5052-H32", DENSITY, plate_at(ACROSS).solids, 2.0, plate_at(ACROSS).flat, laid=(ACROSS, TURNED))


@pytest.mark.parametrize("turn", [0.0, 30.0, -75.0, 180.0])
def test_the_arrow_on_the_metal_points_where_it_says(turn):
    """The arrow is the last letter: its shaft runs from its second stroke's middle to its tip."""
    a = math.radians(turn)
    where = frame(origin=(0, 0, 0), x=(0, math.cos(a), -math.sin(a)), z=(1, 0, 0))
    piece = plate_at(where)
    etched = marks("pan", piece, own_frame=False)
    assert etched.missing == ()
    shaft = etched.strokes[-2]
    tail, tip = where.points(shaft[[0, -1]])
    assert (tip - tail) / np.linalg.norm(tip - tail) == pytest.approx((0, 0, 1), abs=1e-9)
    metal = Polygon(flattened(piece.flat.outer), [flattened(h) for h in piece.flat.holes]).buffer(-AWAY_MM + 1e-6)
    assert all(metal.covers(Point(p)) for stroke in etched.strokes for p in stroke)


def test_name_and_arrow_do_not_touch():
    piece = plate_at(ACROSS)
    strokes = marks("pan", piece, own_frame=False).strokes
    name = MultiLineString([LineString(s) for s in strokes[:11]])
    way = MultiLineString([LineString(s) for s in strokes[-8:]])
    assert name.distance(way) >= AWAY_MM - 1e-9


def test_of_a_folded_piece_the_root_carries_the_arrow():
    sheet = FoldedSheet(2.0, 0.42, (Region("wall", rectangle(x0=0, y0=0, x1=90, y1=30)), Region("floor", rectangle(x0=0, y0=0, x1=90, y1=200))),
                        (Bend("wall", "floor", 2, math.pi / 2, 3.0),))
    piece = Piece("angle", "folded", "5052-H32", DENSITY, (folded_solid(sheet, where=ACROSS),), 2.0, flat_of(sheet), laid=(ACROSS,))
    etched = marks("pan", piece, own_frame=False)
    assert etched.missing == ()
    assert etched.strokes[-1][:, 1].max() < 30 and etched.strokes[0][:, 1].min() > 30


def test_where_an_arrow_has_no_room_the_drawing_says_so_in_words():
    piece = plate_at(ACROSS, flat=FlatPattern(polygon_loop([(0, 0), (60, 0), (60, 7), (0, 7)])))
    missing = marks("a", piece, own_frame=False).missing
    assert missing == (f"{NO_ROOM_FOR_ARROW}: this is the front side, up is at 90 deg from x",)
