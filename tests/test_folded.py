"""Folded pieces: flat and solid come from one description, so each is held against the other and against shapely.

A piece is drawn at random, within limits and from a seed: a root polygon, flanges of every kind on its sides and on
each other. Lengths in mm."""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from shapely.affinity import affine_transform
from shapely.geometry import LineString, Polygon
from shapely.ops import unary_union

from generators.outlines import circle, fillet, flattened, moved, polygon_loop, rectangle, signed_area
from generators.sheet.bending import bend_allowance
from generators.sheet.folded import (
    Bend,
    FoldedSheet,
    Region,
    allowance,
    flat_frames,
    flat_of,
    folded_frames,
    metal_volume,
    plate,
)
from generators.sheet.frames import frame

SEEDS = range(12)


def random_sheet(seed: int) -> FoldedSheet:
    """A tree of regions: whole-side and partial bends, several on one side, up and down, holes, up to four deep."""
    rng = np.random.default_rng(seed)
    thickness = float(rng.choice([1.0, 1.5, 2.0, 3.0]))
    corners = int(rng.integers(4, 7))
    turns = 2 * math.pi * (np.arange(corners) + rng.uniform(-0.15, 0.15, corners)) / corners
    root = Region(
        "root", polygon_loop(np.column_stack([np.cos(turns), np.sin(turns)]) * 150), (circle(x=5, y=-3, radius=11),)
    )
    regions, bends = [root], []
    for side in range(corners):
        _grow(rng, "root", side, regions, bends, thickness, depth=0)
    return FoldedSheet(thickness, 0.5, tuple(regions), tuple(bends))


def _grow(rng, parent: str, side: int, regions: list, bends: list, thickness: float, *, depth: int) -> None:
    """Hang nothing, one whole flange, a part flange or two on a side of `parent`; each may carry another."""
    a, b, _ = next(r for r in regions if r.name == parent).outer.segments()[side]
    length = float(np.linalg.norm(b - a))
    kind = (
        rng.choice(["none", "whole", "part", "two"], p=[0.15, 0.35, 0.25, 0.25])
        if depth
        else rng.choice(["whole", "part", "two"])
    )
    stretches = {
        "none": [],
        "whole": [(0.0, None)],
        "part": [(0.2 * length, 0.75 * length)],
        "two": [(0.0, 0.4 * length), (0.6 * length, length)],
    }[kind]
    for start, end in stretches:
        width = (length if end is None else end) - start
        if width < 25:
            continue
        name, high = f"region {len(regions)}", float(rng.uniform(12, 30))
        lean = float(rng.uniform(0, 0.12)) * width
        outer = polygon_loop([(0, 0), (width, 0), (width - lean, high), (lean, high)])
        regions.append(Region(name, outer, (circle(x=width / 2, y=high / 2, radius=float(rng.uniform(1.5, 4))),)))
        angle = float(rng.choice([-1, 1]) * rng.uniform(0.2, 1.3))
        bends.append(Bend(parent, name, side, angle, float(rng.uniform(0.8, 2)) * thickness, start, end))
        if depth < 3 and rng.random() < 0.6:
            _grow(rng, name, 2, regions, bends, thickness, depth=depth + 1)


SHEETS = {seed: random_sheet(seed) for seed in SEEDS}


def test_the_random_pieces_hold_every_kind():
    bends = [b for s in SHEETS.values() for b in s.bends]
    assert {b.angle > 0 for b in bends} == {True, False}
    assert {b.end is None for b in bends} == {True, False}
    shared = [
        len([b for b in s.bends if (b.parent, b.side) == (o.parent, o.side)]) for s in SHEETS.values() for o in s.bends
    ]
    assert max(shared) == 2
    assert any(
        b.parent not in ("root", *[c.child for c in s.bends if c.parent == "root"])
        for s in SHEETS.values()
        for b in s.bends
    )


def flat_metal(sheet: FoldedSheet) -> Polygon:
    """The flat put together by shapely: each region and each bend's strip moved to its place, then united."""
    placed = flat_frames(sheet)
    found = []
    for region in sheet.regions:
        origin, turn = placed[region.name]
        c, s = math.cos(turn), math.sin(turn)
        metal = Polygon(flattened(region.outer), [flattened(h) for h in region.holes])
        found.append(affine_transform(metal, [c, -s, s, c, *origin]))
    for bend in sheet.bends:
        origin, turn = placed[bend.child]
        c, s = math.cos(turn), math.sin(turn)
        length = sheet.by_name[bend.child].outer.points[1][0]
        strip = Polygon([(0, 0), (length, 0), (length, -allowance(sheet, bend)), (0, -allowance(sheet, bend))])
        found.append(affine_transform(strip, [c, -s, s, c, *origin]))
    return unary_union([f.buffer(1e-7, join_style="mitre") for f in found])


@pytest.mark.parametrize("seed", SEEDS)
def test_the_flat_is_one_sound_outline(seed):
    flat = flat_of(SHEETS[seed])
    outer = Polygon(flattened(flat.outer))
    assert outer.is_valid and outer.exterior.is_simple
    assert signed_area(flat.outer) > 0
    assert all(outer.contains_properly(Polygon(flattened(h))) for h in flat.holes)
    assert len(flat.holes) == len(SHEETS[seed].regions)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_flat_is_its_regions_and_strips_put_together(seed):
    flat = flat_of(SHEETS[seed])
    ours = Polygon(flattened(flat.outer), [flattened(h) for h in flat.holes])
    theirs = flat_metal(SHEETS[seed])
    assert theirs.geom_type == "Polygon"
    assert ours.symmetric_difference(theirs).area < 1e-3


@pytest.mark.parametrize("seed", SEEDS)
def test_with_a_neutral_middle_the_flat_holds_the_solid(seed):
    from generators.sheet.solids import folded_solid

    sheet = SHEETS[seed]
    solid = folded_solid(sheet)
    assert solid.isValid()
    assert flat_of(sheet).area * sheet.thickness == pytest.approx(solid.Volume(), rel=1e-6)
    assert flat_of(sheet).area * sheet.thickness == pytest.approx(metal_volume(sheet), rel=1e-10)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("k_factor", [0.3, 0.42])
def test_k_changes_the_widths_of_the_strips_alone(seed, k_factor):
    middle = SHEETS[seed]
    other = replace(middle, k_factor=k_factor)
    lost = sum(
        abs(b.angle) * (0.5 - k_factor) * middle.thickness * line.length
        for b, line in zip(ordered(middle), flat_of(middle).bends, strict=True)
    )
    assert flat_of(middle).area - flat_of(other).area == pytest.approx(lost, rel=1e-9)
    assert metal_volume(other) == metal_volume(middle)
    one, two = folded_frames(middle), folded_frames(other)
    assert all((one[name].matrix == two[name].matrix).all() for name in one)
    for a, b in zip(flat_of(middle).bends, flat_of(other).bends, strict=True):
        assert (a.angle, a.radius, a.length) == pytest.approx((b.angle, b.radius, b.length))


def ordered(sheet: FoldedSheet) -> list[Bend]:
    """The sheet's bends in the order of the flat's bend lines, told apart by their angles."""
    by_angle = {b.angle: b for b in sheet.bends}
    assert len(by_angle) == len(sheet.bends)
    return [by_angle[line.angle] for line in flat_of(sheet).bends]


@pytest.mark.parametrize("seed", SEEDS)
def test_bend_lines(seed):
    sheet = SHEETS[seed]
    flat = flat_of(sheet)
    outer = Polygon(flattened(flat.outer))
    assert len(flat.bends) == len(sheet.bends)
    for bend, line in zip(ordered(sheet), flat.bends, strict=True):
        start, end, _ = sheet.by_name[bend.parent].outer.segments()[bend.side]
        side = float(np.linalg.norm(end - start))
        assert line.length == pytest.approx((side if bend.end is None else bend.end) - bend.start, abs=1e-9)
        assert line.radius == bend.radius
        assert line.allowance == pytest.approx(
            bend_allowance(angle=bend.angle, radius=bend.radius, thickness=sheet.thickness, k_factor=sheet.k_factor),
            rel=1e-12,
        )
        drawn = LineString([line.start, line.end])
        assert outer.buffer(1e-6).contains(drawn)
        assert drawn.buffer(line.allowance / 2, cap_style="flat").difference(outer.buffer(1e-6)).area < 1e-6


@pytest.mark.parametrize("seed", SEEDS)
def test_folded_regions_stand_at_their_bends_angle(seed):
    sheet = SHEETS[seed]
    placed = folded_frames(sheet)
    for bend in sheet.bends:
        up, child_up = (placed[n].matrix[:3, 2] for n in (bend.parent, bend.child))
        assert up @ child_up == pytest.approx(math.cos(bend.angle), abs=1e-9)
        away = placed[bend.child].matrix[:3, 1]  # positive angles lift the child towards the parent's +z
        assert away @ up == pytest.approx(math.sin(bend.angle), abs=1e-9)


@pytest.mark.parametrize("angle", [0.6, math.pi / 2, 2.4, -0.6, -math.pi / 2, -2.4])
def test_a_child_starts_where_an_arc_round_the_bends_axis_ends(angle):
    # both faces of the sheet turn about one axis: inside radius on the side it bends to, r + t on the other
    sheet = FoldedSheet(
        2,
        0.4,
        (Region("a", rectangle(x0=0, y0=0, x1=30, y1=20)), Region("b", rectangle(x0=0, y0=0, x1=30, y1=20))),
        (Bend("a", "b", 2, angle, 3),),
    )
    axis = np.array([20, 5 if angle > 0 else -3])  # y, z of the bend's axis
    child = folded_frames(sheet)["b"]
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    for face in (0, 2):
        there = turn @ (np.array([20, face]) - axis) + axis
        assert child.points([(0, 0, face)])[0] == pytest.approx([0, *there], abs=1e-12)
        assert child.points([(30, 0, face)])[0] == pytest.approx([30, *there], abs=1e-12)


def test_the_solid_goes_where_its_root_goes():
    from generators.sheet.solids import folded_solid

    where = frame(origin=(10, 20, 30), x=(0, 0, 1), z=(1, 0, 0))
    here, there = folded_solid(SHEETS[0]), folded_solid(SHEETS[0], where=where)
    expected = where.points([here.Center().toTuple()])[0]
    assert there.Center().toTuple() == pytest.approx(tuple(expected), abs=1e-6)
    assert there.Volume() == pytest.approx(here.Volume(), rel=1e-9)


def test_a_plate_is_its_own_flat():
    hole = circle(x=30, y=30, radius=10)
    sheet = plate(outer=rectangle(x0=0, y0=0, x1=100, y1=60, corner=5), thickness=6, holes=(hole,))
    flat = flat_of(sheet)
    assert flat.area == pytest.approx(6000 - (4 - math.pi) * 25 - 100 * math.pi, rel=1e-12)
    assert flat.cut_length == pytest.approx(280 + 10 * math.pi + 20 * math.pi, rel=1e-12)
    assert flat.bends == () and flat.holes == (hole,)


def test_a_rounded_flange_keeps_its_arcs():
    rounded = Region("flange", fillet(rectangle(x0=0, y0=0, x1=40, y1=20), [0, 0, 6, 6]))
    sheet = FoldedSheet(
        2, 0.5, (Region("root", rectangle(x0=0, y0=0, x1=40, y1=30)), rounded), (Bend("root", "flange", 2, 1, 3),)
    )
    flat = flat_of(sheet)
    assert np.count_nonzero(flat.outer.bulges) == 2
    assert flat.area == pytest.approx(1200 + 40 * 4 * 1 + 800 - 2 * 36 * (1 - math.pi / 4), rel=1e-12)
    assert len(flat.outer.vertices) == 6  # the bend's ends and the run-on corners are gone


ROOT = Region("root", rectangle(x0=0, y0=0, x1=100, y1=60))
FLANGE = Region("flange", rectangle(x0=0, y0=0, x1=100, y1=20))
SMALL = [Region(name, rectangle(x0=0, y0=0, x1=40, y1=20)) for name in ("one", "two")]


def build(regions, bends, thickness=2.0, k_factor=0.42):
    """The sheet that these make."""
    return FoldedSheet(thickness, k_factor, tuple(regions), tuple(bends))


@pytest.mark.parametrize(
    ("regions", "bends", "words"),
    [
        ([ROOT, FLANGE], [], "exactly one bend"),
        ([ROOT, FLANGE], [Bend("root", "flange", 2, 1, 3), Bend("root", "flange", 0, 1, 3)], "exactly one bend"),
        ([ROOT, FLANGE], [Bend("root", "stranger", 2, 1, 3)], "exactly one bend"),
        ([ROOT, FLANGE], [Bend("stranger", "flange", 2, 1, 3)], "no region stranger"),
        ([ROOT, ROOT], [Bend("root", "root", 2, 1, 3)], "share a name"),
        ([ROOT, FLANGE], [Bend("root", "flange", 1, 1, 3)], "the child's side is 100"),
        ([ROOT, FLANGE], [Bend("root", "flange", 2, 1, 3, 0, 80)], "the child's side is 100"),
        ([ROOT, FLANGE], [Bend("root", "flange", 2, 1, 3, 20, 120)], "no part of a straight side"),
        ([ROOT, FLANGE], [Bend("root", "flange", 2, 1, 3, -20, 80)], "no part of a straight side"),
        ([ROOT, FLANGE], [Bend("root", "flange", 2, 1, 3, 80, 20)], "no part of a straight side"),
        ([ROOT, FLANGE], [Bend("root", "flange", 2, 0, 3)], "impossible"),
        ([ROOT, FLANGE], [Bend("root", "flange", 2, math.pi, 3)], "impossible"),
        ([ROOT, FLANGE], [Bend("root", "flange", 2, math.nan, 3)], "impossible"),
        ([ROOT, FLANGE], [Bend("root", "flange", 2, 1, 0)], "impossible"),
        ([ROOT, FLANGE], [Bend("root", "flange", 2, 1, -3)], "impossible"),
        ([ROOT, FLANGE], [Bend("root", "flange", 2, 1, math.nan)], "impossible"),
        ([ROOT, FLANGE], [Bend("root", "flange", -2, 1, 3)], "side -2"),
        ([ROOT, FLANGE], [Bend("root", "flange", 4, 1, 3)], "side 4"),
        ([ROOT, *SMALL], [Bend("root", "one", 2, 1, 3, 0, 40), Bend("root", "two", 2, 1, 3, 39, 79)], "overlap"),
        ([ROOT, *SMALL], [Bend("one", "two", 2, 1, 3), Bend("two", "one", 2, 1, 3)], "hang on each other"),
        (
            [ROOT, FLANGE, Region("under", FLANGE.outer)],
            [Bend("root", "flange", 2, 1, 3), Bend("flange", "under", 0, 1, 3)],
            "side 0",
        ),
        (
            [ROOT, Region("flange", rectangle(x0=1, y0=0, x1=101, y1=20))],
            [Bend("root", "flange", 2, 1, 3)],
            "from \\(0, 0\\)",
        ),
        (
            [ROOT, Region("flange", moved(FLANGE.outer, angle=0.1))],
            [Bend("root", "flange", 2, 1, 3)],
            "from \\(0, 0\\)",
        ),
        ([Region("root", circle(x=0, y=0, radius=50)), FLANGE], [Bend("root", "flange", 0, 1, 3)], "straight side"),
    ],
)
def test_descriptions_that_do_not_hold_together(regions, bends, words):
    with pytest.raises(ValueError, match=words):
        build(regions, bends)


@pytest.mark.parametrize(
    ("thickness", "k_factor"), [(0, 0.4), (-1, 0.4), (2, 0), (2, -0.1), (2, 1.01), (math.nan, 0.4), (2, math.nan)]
)
def test_impossible_sheets(thickness, k_factor):
    with pytest.raises(ValueError, match="impossible"):
        build([ROOT], [], thickness, k_factor)


def test_a_region_runs_anticlockwise():
    with pytest.raises(ValueError, match="anticlockwise"):
        Region("back", polygon_loop([(0, 0), (0, 10), (10, 10), (10, 0)]))


def test_bends_may_meet_on_a_side():
    meeting = [Bend("root", "one", 2, 1, 3, 0, 40), Bend("root", "two", 2, -1, 3, 40, 80)]
    sheets = [build([ROOT, *SMALL], order) for order in itertools.permutations(meeting)]
    assert flat_of(sheets[0]).area == pytest.approx(flat_of(sheets[1]).area, rel=1e-12)
    assert flat_of(sheets[0]).area == pytest.approx(6000 + 2 * (800 + 40 * (3 + 0.84)), rel=1e-12)
