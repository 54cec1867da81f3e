"""The space for oil as written against the kernel's own solids: what the pieces leave of the inside, nothing more or less."""

import pytest

from configs import read, region
from generators.meshes import part_meshes
from generators.parts import deep_pan, gate_baffle, reservoir, scavenge_pan, windage_screen
from generators.vessels import vessel


@pytest.mark.parametrize("name", ["hillclimb_four", "sprint_vee_six", "endurance_flat_six"])
@pytest.mark.parametrize("module, share", [(scavenge_pan, 1e-4), (reservoir, 5e-4)], ids=["scavenge_pan", "reservoir"])
def test_metal_and_oil_fill_the_inside(module, share, name):
    """The inside less what each piece takes of it (exact solids, cut by the kernel) is the oil space's mesh, within the
    beads along its welds and the closed pockets of fits, which hold no oil: 1 in 10,000. A round wall's facets lie inside
    it by two thirds of the chord of 0.04 mm on average: 4 in 10,000 of a tank of 180 mm."""
    parameters = read(name).parameters
    part = module.part(module.dimension(parameters, region(parameters)))
    taken = sum(part.cavity.intersect(solid).Volume(1e-6) for piece in part.pieces for solid in piece.solids)
    oil = part_meshes(part).oil_space
    assert oil.is_watertight
    assert oil.volume == pytest.approx(part.cavity.Volume(1e-6) - taken, rel=share)


def test_metal_and_oil_fill_a_deep_pan_with_all_that_stands_in_it():
    """The same for the pan of the vee eight, its notch and kick-outs among it, with cell and screen in it: no piece overlaps
    another, so what each takes of the inside (exact solids, cut by the kernel) may be added up."""
    parameters = read("club_vee_eight").parameters
    parts = [m.part(m.dimension(parameters, region(parameters))) for m in (deep_pan, gate_baffle, windage_screen)]
    inside = parts[0].cavity
    taken = sum(inside.intersect(solid).Volume(1e-6) for part in parts for piece in part.pieces for solid in piece.solids)
    held = vessel(part_meshes(parts[0]), [part_meshes(part) for part in parts[1:]])
    assert held.gross == pytest.approx(inside.Volume(1e-6), rel=1e-4)
    assert held.oil_space.volume == pytest.approx(inside.Volume(1e-6) - taken, rel=1e-4)
