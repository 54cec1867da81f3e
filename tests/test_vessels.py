"""A box with a walled cell in it: every volume by hand, whole, split and full."""

import itertools

import numpy as np
import pytest

from generators.bodies import part_bodies
from generators.checks import levels, together
from generators.checks.gates import flap_clearance, flap_opening
from generators.meshes import part_meshes
from generators.oil.standing import level, volume_below
from generators.pieces import Part
from generators.vessels import vessel, vessels
from tests.small_parts import block, meshes_of, part_of, solid_piece
from tests.test_checks_gates import OPEN, at_angle, flap, hinge, post, stop_block

IN = (200.0, 100.0, 80.0)
"""Inside of the box, mm, from the origin."""

CELL = (60.0, 20.0, 140.0, 80.0, 50.0)
"""x0, y0, x1, y1 of the cell's inside, and its height to the underside of the lid."""

T = 2.0


def box(**more) -> Part:
    """A box of 2 mm walls, open on top; a drain boss of 10 x 10 x 10 mm stands on its floor."""
    x, y, z = IN
    walls = [block((-T, -T, -T), (x + T, y + T, 0)), block((-T, -T, 0), (0, y + T, z)), block((x, -T, 0), (x + T, y + T, z)),
             block((0, -T, 0), (x, 0, z)), block((0, y, 0), (x, y + T, z))]
    boss = solid_piece("boss", block((10, 10, 0), (20, 20, 10)))
    cavity = block((-T / 2, -T / 2, -T / 2), (x + T / 2, y + T / 2, z))
    pieces = [solid_piece(f"wall_{i}", w) for i, w in enumerate(walls)]
    return Part("deep_pan", (*pieces, boss), None, cavity=cavity, full_mark=60.0, **more)


def cell() -> Part:
    """Four walls on the floor and a lid, with a slot of 10 x 10 mm through the wall at the front that a gate would shut."""
    x0, y0, x1, y1, h = CELL
    rear = block((x0 - T, y0 - T, 0), (x0, y1 + T, h))
    front = [block((x1, y0 - T, 0), (x1 + T, 45, h)), block((x1, 55, 0), (x1 + T, y1 + T, h)),
             block((x1, 45, 10), (x1 + T, 55, h))]
    sides = [block((x0, y0 - T, 0), (x1, y0, h)), block((x0, y1, 0), (x1, y1 + T, h))]
    lid = block((x0 - T, y0 - T, h), (x1 + T, y1 + T, h + T))
    divided = block((x0 - T / 2, y0 - T / 2, -5), (x1 + T / 2, y1 + T / 2, h + T / 2))
    return Part("gate_baffle", tuple(solid_piece(f"piece_{i}", s) for i, s in enumerate([rear, *front, *sides, lid])), None,
                compartment=divided)


@pytest.fixture(scope="module")
def held():
    return vessel(part_meshes(box()), [part_meshes(cell())])


def metal_of_the_cell() -> float:
    x0, y0, x1, y1, h = CELL
    outer, inner = (x1 - x0 + 2 * T) * (y1 - y0 + 2 * T), (x1 - x0) * (y1 - y0)
    return (outer - inner) * h + outer * T - 10 * 10 * T


def test_the_whole_is_the_inside_less_all_metal(held):
    x, y, z = IN
    assert held.oil_space.volume == pytest.approx(x * y * z - 1000 - metal_of_the_cell(), rel=1e-6)
    assert held.guests == ("gate_baffle",)


def test_the_cell_holds_what_its_walls_enclose(held):
    """Its inside, and half of the way through the slot."""
    x0, y0, x1, y1, h = CELL
    inside = {c.name: c.oil_space.volume for c in held.compartments}
    assert inside["cell"] == pytest.approx((x1 - x0) * (y1 - y0) * h + 10 * 10 * T / 2, rel=1e-6)
    assert set(inside) == {"cell", "around"}


def test_compartments_and_pieces_fill_the_inside(held):
    parts = sum(c.oil_space.volume for c in held.compartments)
    assert parts == pytest.approx(held.oil_space.volume, rel=1e-9)
    assert parts + held.displaced == pytest.approx(held.gross, rel=1e-6)
    check = levels.compartments(held)
    assert check.status == "pass" and check.value < 1e-6


def test_a_compartment_that_is_lost_fails(held):
    import dataclasses

    check = levels.compartments(dataclasses.replace(held, compartments=held.compartments[:1]))
    assert check.status == "fail"


def test_each_compartment_by_height(held):
    """Below 30 mm: the cell's own floor; the rest of the box less cell walls and boss."""
    x0, y0, x1, y1, _ = CELL
    by_name = {c.name: c.oil_space for c in held.compartments}
    assert volume_below(by_name["cell"], 30.0) == pytest.approx((x1 - x0) * (y1 - y0) * 30 + 100, rel=1e-6)
    outer = (x1 - x0 + 2 * T) * (y1 - y0 + 2 * T)
    assert volume_below(by_name["around"], 30.0) == pytest.approx((IN[0] * IN[1] - outer) * 30 - 1000 + 100, rel=1e-6)


def test_more_oil_stands_higher(held):
    heights = [level(held.oil_space, volume=v) for v in np.linspace(1.0, held.oil_space.volume * 0.9999, 50)]
    assert all(b > a for a, b in itertools.pairwise(heights))


def test_a_vessel_that_nothing_stands_in_is_its_own():
    meshes = part_meshes(box())
    (only,) = vessels([meshes, part_meshes(cell())], {})
    assert only.oil_space is meshes.oil_space and only.compartments == ()
    assert only.displaced == pytest.approx(only.gross - IN[0] * IN[1] * IN[2] + 1000, rel=1e-6)


def test_a_pan_that_is_there_already_has_no_metal():
    inside = part_meshes(Part("deep_pan", (), None, cavity=block((0, 0, 0), IN), full_mark=60.0))
    assert inside.oil_space.volume == pytest.approx(200 * 100 * 80, rel=1e-9) and not len(inside.joined.faces)


# ---------------------------------------------------------------- level against the swing


def swing(held, **oil):
    return levels.level_below_swing(held, lowest=95.0, **{"running": None, "at_rest": None, **oil})


def test_level_while_running_by_hand(held):
    """Above the lid, 52 mm, all of the box is open: 60 mm of oil stands 35 mm under a swing that reaches down to 95 mm."""
    oil = (IN[0] * IN[1] * 60 - 1000 - metal_of_the_cell()) * 1e-9
    check = swing(held, running=oil)
    assert check.value == pytest.approx(35.0, abs=1e-4) and check.status == "caution"
    assert swing(held, running=oil / 2).status == "pass"
    assert swing(held, at_rest=oil).value == check.value and "all of it" in swing(held, at_rest=oil).method


def test_too_much_oil_fails_and_names_both_volumes(held):
    check = swing(held, running=2e-3)
    assert check.status == "fail" and check.value == pytest.approx(15.0)
    assert "2.000 L" in check.method and f"{held.oil_space.volume / 1e6:.3f} L" in check.method


def test_level_of_unknown_oil_is_not_assessed(held):
    assert swing(held).status == "not assessed"


# ---------------------------------------------------------------- parts beside each other


def bodies_of(*solids, name="sample"):
    return part_bodies(meshes_of(part_of(*(solid_piece(f"{name}_{i}", s) for i, s in enumerate(solids)))))


def test_parts_that_overlap_fail_by_their_depth():
    one, other = bodies_of(block((0, 0, 0), (50, 50, 50))), bodies_of(block((48.5, 10, 10), (80, 40, 40)), name="other")
    check = together.overlap({"pan": one, "baffle": other})
    assert check.status == "fail" and check.value == pytest.approx(1.5, abs=1e-3) and "pan sample_0 1 in baffle other_0 1" in check.method
    apart = together.overlap({"pan": one, "baffle": bodies_of(block((50.05, 10, 10), (80, 40, 40)))})
    assert apart.status == "pass" and apart.value == 0
    touching = together.overlap({"pan": one, "baffle": bodies_of(block((50, 10, 10), (80, 40, 40)))})
    assert touching.status == "pass"


def gate(*neighbours):
    part = part_of(solid_piece("flap", flap()), solid_piece("stop", stop_block(OPEN)), touching=(("flap", "stop"),), hinges=(hinge(),))
    return part, part_bodies(meshes_of(part)), bodies_of(*neighbours, name="pickup") if neighbours else ()


def test_a_flap_opens_to_its_stop():
    check = flap_opening(*gate())
    assert check.status == "pass" and check.value == pytest.approx(40.0) and check.limit == pytest.approx(40.0)


def test_a_flap_that_meets_another_part_on_its_way_fails():
    """A post whose face the flap's tip would meet at 22 degrees: it swings free to 20."""
    tip = at_angle(np.radians(22), 38.0)
    stands = block((tip[0], 10, tip[1] - 1), (tip[0] + 3, 20, tip[1] + 1))
    check = flap_opening(*gate(stands))
    assert check.status == "fail" and check.value in (pytest.approx(15.0), pytest.approx(20.0))
    assert flap_clearance(*gate(stands)).status == "fail"


def test_clearance_to_another_part_is_measured():
    """A post 1 mm beyond the reach of the flap's tip; the stop is farther, 20 mm sin(5 deg), where the last step begins."""
    reach = float(np.hypot(40.0, 1.2))
    check = flap_clearance(*gate(post(np.radians(20), reach + 1.0)))
    assert check.value == pytest.approx(1.0, abs=0.05) and "1 copies of other parts" in check.method
