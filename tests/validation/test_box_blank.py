"""Blanks and volumes of two plain folded pieces against hand arithmetic. Lengths in mm."""

import math

import pytest

from generators.outlines import flattened, rectangle
from generators.sheet.bending import bend_deduction
from generators.sheet.folded import Bend, FoldedSheet, Region, flat_of, metal_volume

LENGTH, WIDTH, HEIGHT = 400.0, 250.0, 60.0
THICKNESS, RADIUS, K_FACTOR = 2.0, 3.0, 0.42
BEND = {"angle": math.pi / 2, "radius": RADIUS, "thickness": THICKNESS, "k_factor": K_FACTOR}


def open_box() -> FoldedSheet:
    """A box open at the top, 400 x 250 x 60 outside, its corners left open."""
    flat_off = RADIUS + THICKNESS
    length, width, height = LENGTH - 2 * flat_off, WIDTH - 2 * flat_off, HEIGHT - flat_off
    sides = {"front": length, "right": width, "back": length, "left": width}
    walls = [Region(name, rectangle(x0=0, y0=0, x1=side, y1=height)) for name, side in sides.items()]
    bends = [Bend("floor", name, number, math.pi / 2, RADIUS) for number, name in enumerate(sides)]
    return FoldedSheet(
        THICKNESS, K_FACTOR, (Region("floor", rectangle(x0=0, y0=0, x1=length, y1=width)), *walls), tuple(bends)
    )


def test_blank_of_an_open_box():
    # outside sizes plus two walls less two deductions of 3.9681: 512.064 x 362.064, by hand
    points = flattened(flat_of(open_box()).outer)
    size = points.max(axis=0) - points.min(axis=0)
    assert size == pytest.approx([512.064, 362.064], abs=5e-4)
    assert size == pytest.approx([s + 2 * HEIGHT - 2 * bend_deduction(**BEND) for s in (LENGTH, WIDTH)], abs=1e-9)


def test_the_folded_box_has_its_outside_size():
    from generators.sheet.solids import folded_solid

    box = folded_solid(open_box()).BoundingBox(1e-3)
    assert (box.xlen, box.ylen, box.zlen) == pytest.approx((LENGTH, WIDTH, HEIGHT), abs=1e-6)


def bracket() -> FoldedSheet:
    """An angle with outside legs of 50 and 30, 20 wide."""
    legs = [leg - RADIUS - THICKNESS for leg in (50.0, 30.0)]
    long, short = (Region(f"leg {leg:g}", rectangle(x0=0, y0=0, x1=20, y1=leg)) for leg in legs)
    return FoldedSheet(THICKNESS, 0.5, (long, short), (Bend(long.name, short.name, 2, math.pi / 2, RADIUS),))


def test_a_brackets_volume_by_pappus_by_its_flat_and_by_the_kernel():
    from generators.sheet.solids import folded_solid

    # two straight legs of 45 and 25, a quarter ring of radii 3 and 5: (70 x 2 + pi / 4 x (25 - 9)) x 20 by hand
    by_hand = (70 * 2 + math.pi / 4 * (5**2 - 3**2)) * 20
    assert by_hand == pytest.approx(3051.3274, abs=5e-5)
    assert metal_volume(bracket()) == pytest.approx(by_hand, rel=1e-12)
    assert flat_of(bracket()).area * THICKNESS == pytest.approx(by_hand, rel=1e-12)  # K = 0.5: the middle is neutral
    solid = folded_solid(bracket())
    assert solid.Volume() == pytest.approx(by_hand, rel=1e-9)
    box = solid.BoundingBox(1e-3)
    assert (box.xlen, box.ylen, box.zlen) == pytest.approx((20, 50, 30), abs=1e-6)
