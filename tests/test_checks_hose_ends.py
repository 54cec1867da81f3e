"""Room for a spanner on a hose's nut: free in the open, by hand beside a wall, and none in a pocket."""

import pytest
from small_parts import block, part_of, solid_piece

from configs import read, region
from generators import standards
from generators.checks.hose_ends import NEEDED_DEG, hose_room, spanner, swing
from generators.meshes import manifold, part_meshes
from generators.parts import deep_pan
from generators.pieces import HoseEnd
from generators.sheet.frames import frame

END = HoseEnd("boss", 0, "-10", frame(origin=(0, 0, 0), x=(0, 0, 1), z=(0, 1, 0)), 5.0)
NUT = standards.flare("-10").nut


def part(*walls):
    boss = solid_piece("boss", block((-10, 0, -10), (10, 5, 10)))
    made = part_of(boss, *(solid_piece(f"wall_{i}", w) for i, w in enumerate(walls)))
    return type(made)(made.name, made.pieces, None, hose_ends=(END,))


def room(*walls):
    made = part(*walls)
    (check,) = hose_room(made, part_meshes(made))
    return check


def test_nuts_of_hoses():
    """Across flats of 37 degree swivel nuts, SAE J514: 1 in for -10, 1 1/2 in for -16 (from memory, unverified)."""
    assert [standards.flare(d).nut for d in ("-10", "-16")] == pytest.approx([25.4, 38.1])


def test_a_spanner_has_its_size():
    """As broad as 2.1 jaws and 0.35 thick (common practice); its handle ends six jaws off the nut."""
    x0, y0, z0, x1, y1, z1 = spanner(END, 0.0, 10.0).bounding_box()
    assert (x1 - x0, y1 - y0) == pytest.approx((2.1 * NUT, 0.35 * NUT), rel=0.01)
    assert (z0, z1) == pytest.approx((-0.6 * NUT, 6 * NUT), rel=1e-6) and (y0 + y1) / 2 == pytest.approx(10.0)


def test_in_the_open_it_goes_on_from_everywhere():
    far = block((-10, 0, 400), (10, 10, 410))
    check = room(far)
    assert check.status == "pass" and check.value == 360.0


def test_a_wall_over_the_nut_leaves_the_lower_side():
    """A wall 0.65 of the jaw above the axis clears the jaw's tips from below; one 0.55 above it leaves no direction at all."""
    over = room(block((-300, 0, 0.65 * NUT), (300, 60, 0.65 * NUT + 2)))
    assert 0 < over.value < 180 and over.status == ("pass" if over.value >= NEEDED_DEG else "caution")
    shut = room(block((-300, 0, 0.55 * NUT), (300, 60, 0.55 * NUT + 2)))
    assert shut.value < over.value


def test_a_pocket_is_a_caution():
    """Walls above and below, nearer than half a spanner's head, as between a trough's floor and a kick-out."""
    half = NUT * 0.8
    check = room(block((-300, 0, half), (300, 60, half + 2)), block((-300, 0, -half - 2), (300, 60, -half)))
    assert check.status == "caution" and check.value < NEEDED_DEG and "tight for a plain spanner" in check.method


def test_the_place_along_the_nut_counts():
    """A step that is no higher than the nut's near end is passed farther out."""
    step = block((-300, 0, -300), (300, 5 + 0.2 * NUT, -0.7 * NUT))
    made = part(step)
    others = manifold(part_meshes(made).copies[("wall_0", 0)])
    assert swing(END, others) == 360.0
    taller = manifold(part_meshes(part(block((-300, 0, -300), (300, 5 + 0.95 * NUT, -0.7 * NUT)))).copies[("wall_0", 0)])
    assert swing(END, taller) < 360.0, "past the last place along the nut it stops the handle"


def test_a_wet_pans_port_between_floor_and_kick_out_is_told():
    parameters = read("club_vee_eight").parameters
    pan = deep_pan.part(deep_pan.dimension(parameters, region(parameters)))
    (check,) = hose_room(pan, part_meshes(pan))
    assert check.status == "caution" and "-16" in check.method
