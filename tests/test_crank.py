"""The swept region as a record: bands along the crank, questions asked of it, its mesh."""

import math
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import pytest
import trimesh

from generators import crank as c
from generators.crank.sweep import Motion, big_end_radii
from generators.parameters.rotating import Crank as ReadCrank

RAIL = 420.0


@dataclass(frozen=True)
class BigEnd:
    width: float = 24.0
    cap_depth: float | None = 38.0
    half_breadth: float | None = 34.0
    outline: tuple | None = None


@dataclass(frozen=True)
class Weight:
    radius: float = 72.0
    width: float = 18.0


@dataclass(frozen=True)
class Crank:
    swing_radius: float | None = None
    stroke: float | None = 86.0
    rod_length: float | None = 150.0
    throws: tuple | None = (60.0, 151.0, 242.0, 333.0)
    big_end: BigEnd | None = BigEnd()
    counterweight: Weight | None = Weight()
    bank_angle: float | None = None
    rods_per_throw: int = 1
    rotation: str = "clockwise"


FOUR = Crank()
VEE = Crank(bank_angle=math.radians(60), rods_per_throw=2, throws=(80.0, 200.0, 320.0), big_end=BigEnd(width=20.0))
SWING = Crank(swing_radius=84.0, stroke=None, rod_length=None, throws=None, big_end=None, counterweight=None)


def region(crank):
    return c.swept_region(crank, rail_length=RAIL)


def dense(region, x0=-math.inf, x1=math.inf):
    """Points every 1/50 of each side of the outlines of bands that overlap x0 to x1, shape (n, 2)."""
    found = []
    for band in region.bands:
        if band.x1 >= x0 and band.x0 <= x1:
            p = c.outline(band)
            q = np.roll(p, -1, axis=0)
            found += [p + share * (q - p) for share in np.arange(50) / 50]
    return np.concatenate(found)


def test_bands_lie_where_the_parts_are():
    bands = region(FOUR).bands
    assert [(b.label, b.x0, b.x1) for b in bands[:3]] == [
        ("throw 1 counterweight", 30.0, 48.0), ("throw 1 big end", 48.0, 72.0), ("throw 1 counterweight", 72.0, 90.0)]
    assert len(bands) == 12
    assert [b.x0 for b in bands] == sorted(b.x0 for b in bands)
    assert len({id(b.radius) for b in bands}) == 2, "equal throws share one outline"


def test_figures_of_the_whole_region():
    """93.9902, 82.0193, 86.4664 mm: see validation/test_swept_region.py."""
    r = region(FOUR)
    assert (r.radius, -r.lowest, r.half_breadth) == pytest.approx((93.9902, 82.0193, 86.4664), abs=0.005)
    assert r.radius >= 93.9902 and -r.lowest >= 82.0193 and r.half_breadth >= 86.4664


def test_a_counterweight_larger_than_the_big_end_rules():
    assert region(replace(FOUR, counterweight=Weight(radius=99.0))).radius == pytest.approx(99, abs=0.002)


def test_swing_radius_alone_is_a_cylinder_between_the_end_walls():
    r = region(SWING)
    assert [(b.x0, b.x1, b.label) for b in r.bands] == [(c.END_WALL_MM, RAIL - c.END_WALL_MM, "swing")]
    assert (r.radius, -r.lowest, r.half_breadth) == pytest.approx((84, 84, 84), abs=0.002)
    assert min(r.radius, -r.lowest, r.half_breadth) >= 84


def test_swing_radius_with_throws_is_a_cylinder_over_them():
    (band,) = region(replace(SWING, throws=(60.0, 151.0, 242.0, 333.0))).bands
    assert (band.x0, band.x1) == (c.END_WALL_MM, 378.5)
    (band,) = region(replace(SWING, throws=(210.0,))).bands
    assert (band.x0, band.x1) == (c.END_WALL_MM, RAIL - c.END_WALL_MM)


def test_without_counterweights_the_detail_is_not_enough():
    """They may be what reaches furthest: the cylinder is kept."""
    r = region(replace(FOUR, counterweight=None, swing_radius=95.0))
    assert [b.label for b in r.bands] == ["swing"]
    with pytest.raises(ValueError, match="swing_radius"):
        region(replace(FOUR, counterweight=None))


@pytest.mark.parametrize(("swing", "labels", "words"), [
    (100.0, 13, "larger than the detail sweeps"), (90.0, 12, "the detail gives the shape"), (None, 12, "slider-crank")])
def test_swing_radius_beside_detail_is_kept_where_larger_and_reported(swing, labels, words):
    crank = replace(FOUR, swing_radius=swing)
    r = region(crank)
    assert len(r.bands) == labels
    assert words in c.reason(crank, r).because
    if labels == 13:
        band = next(b for b in r.bands if b.label == "swing")
        assert (band.x0, band.x1) == (30.0, 363.0)
        assert r.radius == pytest.approx(100, abs=0.002)


def test_reason_of_a_cylinder_names_its_stretch():
    assert "x 30.0 to 390.0 mm" in c.reason(SWING, region(SWING)).because


def test_mirrored_rotation_changes_only_the_rising_side():
    one, other = region(FOUR), region(replace(FOUR, rotation="anticlockwise"))
    assert (one.rising_side, other.rising_side) == ("right", "left")
    for a, b in zip(one.bands, other.bands, strict=True):
        assert np.allclose(a.radius, b.radius)


@pytest.mark.parametrize("crank", [FOUR, VEE, replace(VEE, bank_angle=math.pi)])
def test_left_and_right_are_mirror_images(crank):
    for band in region(crank).bands:
        n = len(band.radius)
        mirrored = band.radius[(n // 2 - np.arange(n)) % n]
        assert np.abs(band.radius - mirrored).max() < 2e-3


def test_a_vee_covers_both_banks_over_the_whole_pin():
    r = region(VEE)
    big_end = next(b for b in r.bands if "big end" in b.label)
    assert big_end.x1 - big_end.x0 == 40.0
    for half in (math.radians(30), -math.radians(30)):
        bank = big_end_radii(c.big_end_corners(VEE.big_end), Motion(43.0, 150.0), half)
        assert (big_end.radius >= bank).all()
    assert r.radius == pytest.approx(93.9902, abs=0.005)


def test_a_flat_engine_lays_the_sweep_of_one_bank_on_its_side():
    """At 180 degrees each bank is the upright sweep turned a quarter."""
    upright = region(FOUR).bands[1].radius
    flat = c.throw_radii(replace(FOUR, bank_angle=math.pi, rods_per_throw=2))
    quarter = len(upright) // 4
    assert flat == pytest.approx(np.maximum(np.roll(upright, quarter), np.roll(upright, -quarter)), abs=2e-3)


def test_an_outline_with_the_rectangle_s_corners_is_the_rectangle():
    traced = BigEnd(cap_depth=None, half_breadth=None, outline=((-34, 34), (34, 34), (34, -38), (-34, -38), (-34, 34)))
    a, b = region(FOUR), region(replace(FOUR, big_end=traced))
    assert a.bands[1].radius == pytest.approx(b.bands[1].radius, abs=1e-9)


@pytest.mark.parametrize("change", [
    {"big_end": BigEnd(cap_depth=39.0)}, {"big_end": BigEnd(half_breadth=35.0)}, {"stroke": 88.0},
    {"counterweight": Weight(radius=73.0)}])
def test_more_metal_or_throw_never_makes_the_region_smaller(change):
    """5e-3 mm allowed: both outlines exceed their sweeps by up to so much."""
    before, after = region(FOUR), region(replace(FOUR, **change))
    for a, b in zip(before.bands, after.bands, strict=True):
        assert (b.radius - a.radius).min() > -5e-3
    assert sum(b.radius.sum() for b in after.bands) > sum(b.radius.sum() for b in before.bands)


def test_region_in_a_scaled_engine_scales():
    twice = Crank(stroke=172.0, rod_length=300.0, big_end=BigEnd(width=48.0, cap_depth=76.0, half_breadth=68.0),
                  counterweight=Weight(radius=144.0, width=36.0), throws=(120.0, 302.0, 484.0, 666.0))
    for a, b in zip(region(FOUR).bands, region(twice).bands, strict=True):
        assert b.radius == pytest.approx(2 * a.radius, rel=1e-9)
        assert (b.x0, b.x1) == (2 * a.x0, 2 * a.x1)


def test_impossible_motion_is_refused():
    with pytest.raises(ValueError, match="longer than the throw"):
        region(replace(FOUR, rod_length=43.0))
    around = BigEnd(cap_depth=None, half_breadth=None, outline=((10, 10), (20, 10), (20, 20)))
    with pytest.raises(ValueError, match="round the crank pin"):
        region(replace(FOUR, big_end=around))


def test_radii_cannot_be_changed():
    with pytest.raises(ValueError, match="read-only"):
        region(FOUR).bands[0].radius[0] = 0


def test_outline_is_anticlockwise():
    y, z = c.outline(region(FOUR).bands[1]).T
    assert np.sum(y * np.roll(z, -1) - np.roll(y, -1) * z) > 0


@pytest.mark.parametrize("crank", [FOUR, VEE, SWING])
@pytest.mark.parametrize("span", [(None, None), (48.0, 72.0), (95.0, 100.0)])
def test_support_against_dense_points(crank, span):
    r = region(crank)
    x0, x1 = (-math.inf if span[0] is None else span[0]), (math.inf if span[1] is None else span[1])
    if not c.bands_between(r, *span):
        with pytest.raises(ValueError, match="nothing is swept"):
            c.support(r, (0.0, -1.0), *span)
        return
    points = dense(r, x0, x1)
    for a in np.linspace(0, 2 * math.pi, 13):
        n = np.array([math.cos(a), math.sin(a)])
        assert c.support(r, n, *span) == pytest.approx(float((points @ n).max()), abs=1e-9)


@pytest.mark.parametrize("slab", [(-65.0, -62.0), (-90.0, -80.0), (-82.0, -81.9), (-10.0, 10.0), (20.0, 300.0)])
@pytest.mark.parametrize("span", [(0.0, RAIL), (50.0, 60.0), (32.0, 40.0)])
def test_half_breadth_against_dense_points(slab, span):
    """The dense points are 1/50 of a side apart, so they may stop that much short of the slab's faces."""
    r = region(FOUR)
    points = dense(r, *span)
    inside = points[(points[:, 1] >= slab[0]) & (points[:, 1] <= slab[1])]
    left, right = c.half_breadth_between(r, *slab, *span)
    if not len(inside):
        assert (left, right) == (None, None)
        return
    apart = 0.02
    assert 0 <= left - inside[:, 0].max() < apart
    assert 0 <= right + inside[:, 0].min() < apart


def test_half_breadth_of_a_cylinder_in_a_plate():
    """sqrt(84^2 - 62^2) at the plate's upper face, the nearest to the axis."""
    left, right = c.half_breadth_between(region(SWING), -65.0, -62.0, 0.0, RAIL)
    assert left == pytest.approx(math.sqrt(84**2 - 62**2), abs=0.002)
    assert left == pytest.approx(right)
    assert left >= math.sqrt(84**2 - 62**2) - 1e-9


def test_half_breadth_below_the_region_is_none():
    assert c.half_breadth_between(region(FOUR), -200.0, -100.0, 0.0, RAIL) == (None, None)
    assert c.half_breadth_between(region(FOUR), -65.0, -62.0, 95.0, 100.0) == (None, None)
    with pytest.raises(ValueError, match="lies below its bottom"):
        c.half_breadth_between(region(FOUR), -62.0, -65.0, 0.0, RAIL)


def test_merged_bands_do_not_overlap_and_cover_all():
    crank = replace(FOUR, throws=(60.0, 100.0, 242.0, 333.0), swing_radius=97.0)
    r = region(crank)
    merged = c.merged_bands(r)
    assert len(merged) == 1, "the larger cylinder covers all"
    close = region(replace(FOUR, throws=(60.0, 100.0)))
    merged = c.merged_bands(close)
    assert all(a.x1 <= b.x0 + 1e-9 for a, b in pairwise(merged))
    assert [(b.x0, b.x1) for b in merged] == [(30, 48), (48, 72), (72, 88), (88, 112), (112, 130)]
    for x in np.arange(30.5, 130, 1.0):
        cover = np.max([b.radius for b in close.bands if b.x0 < x < b.x1], axis=0)
        (at_x,) = [b for b in merged if b.x0 < x < b.x1]
        assert (at_x.radius == cover).all()


def test_merged_bands_leave_the_main_bearings_free():
    merged = c.merged_bands(region(FOUR))
    assert [(a.x1, b.x0) for a, b in pairwise(merged) if b.x0 - a.x1 > 1] == [
        (90, 121), (181, 212), (272, 303)]


@pytest.mark.parametrize("crank", [FOUR, VEE, SWING, replace(FOUR, throws=(60.0, 100.0))])
def test_mesh_is_closed_and_holds_area_times_width(crank):
    r = region(crank)
    vertices, faces = c.mesh(r)
    body = trimesh.Trimesh(vertices, faces)
    expected = 0.0
    for band in c.merged_bands(r):
        y, z = c.outline(band).T
        expected += (band.x1 - band.x0) * 0.5 * float(np.sum(y * np.roll(z, -1) - np.roll(y, -1) * z))
    loose = trimesh.Trimesh(vertices, faces, process=False)
    for mesh in (loose, *loose.split(only_watertight=False)):
        assert mesh.is_watertight and mesh.is_winding_consistent and mesh.volume > 0
    assert loose.body_count == len(c.merged_bands(r))
    assert loose.volume == pytest.approx(expected, rel=1e-9)
    assert body.bounds[0] == pytest.approx([min(b.x0 for b in r.bands), -r.half_breadth, r.lowest], abs=2e-3)


def test_a_crank_as_read_from_a_file_is_understood():
    """Values of the parameter file's own record give the same region."""
    read = ReadCrank.model_construct(**{f: getattr(FOUR, f) for f in FOUR.__dataclass_fields__})
    for a, b in zip(region(FOUR).bands, region(read).bands, strict=True):
        assert (a.x0, a.x1, a.label) == (b.x0, b.x1, b.label)
        assert (a.radius == b.radius).all()
