"""What the wet system's drawings tell the shop: in which order to bend, how the pickup gets to its place, what stands in the way."""

import pytest
from deep_pan_cases import SUMP, dimensions, parameters
from gate_fitted_cases import in_given_pan, wet

import configs
from generators.parts import deep_pan, gate_baffle, windage_screen
from generators.sump.size import sharp_volume_below


def notes(part) -> dict[str, str]:
    return {p.name: p.note for p in part.pieces}


# ---------------------------------------------------------------- bending


@pytest.mark.parametrize("sump, said", [
    ({}, "neck, then shelf, the floor's two bends last"),
    ({"width": 150.0, "depth": 160.0}, "two bends"),
])
def test_the_sump_tells_how_it_is_bent(sump, said):
    p = parameters(deep_pan={"sump": {**SUMP, **sump}, "shallow_depth": 45.0})
    assert said in notes(deep_pan.part(dimensions(p)))["sump"]


# ---------------------------------------------------------------- the pickup's way


def gate_notes(p) -> dict[str, str]:
    return notes(gate_baffle.part(gate_baffle.dimension(p, configs.region(p))))


def test_a_cell_round_a_leg_is_there_before_the_pickup():
    said = gate_notes(wet("hillclimb_four"))
    assert "the port is pushed over the tube" in said["lid"] and "before the sump's end plates" in said["side_wall_low"]


def test_a_cell_round_the_engines_own_pickup_is_lifted_over_it():
    said = gate_notes(wet("hillclimb_four", deep_pan={"sump": SUMP, "pickup": {"outlet": "up"}}))
    assert "hangs from the engine" in said["lid"] and "port" not in said["lid"]


def test_a_cell_in_a_pan_that_is_there_stands_on_feet():
    said = gate_notes(in_given_pan(cell={"width": 161.0, "length": 115.0}, opening={"width": 60.0, "height": 40.0}))
    assert "hangs from the engine" in said["lid"] and "feet" in said["end_wall"] and "stitched" not in said["end_wall"]


@pytest.mark.parametrize("pan, passes", [
    ({"sump": SUMP, "pickup": {"outlet": "side"}}, False),
    ({"sump": SUMP, "pickup": {"outlet": "up"}}, True),
    ({"make": False, "sump": {**SUMP, "width": 180.0}, "shallow_depth": 45.0}, True),
])
def test_the_tray_tells_that_the_pumps_pipe_passes_it(pan, passes):
    p = parameters(deep_pan=pan)
    d = windage_screen.dimension(p, configs.region(p))
    assert d.past_pipe is passes
    assert ("pipe of the engine's own pump" in notes(windage_screen.part(d))["tray"]) is passes


def test_a_light_metal_tube_is_not_brazed_to_the_pumps_pipe():
    up = {"sump": SUMP, "pickup": {"outlet": "up"}}
    assert "does not braze" in notes(deep_pan.part(dimensions(parameters(deep_pan=up))))["pickup_tube"]
    steel = parameters(deep_pan=up, sheet={"material": "S235", "thickness": 1.5})
    assert "sleeve, brazed" in notes(deep_pan.part(dimensions(steel)))["pickup_tube"]


# ---------------------------------------------------------------- sizing where the running volume is not known


def test_a_sump_left_to_the_tool_holds_all_oil_under_the_swing_where_none_is_known_to_stay_up():
    """30 mm under the swing, as the level's check asks (common practice)."""
    p = parameters(oil={"volume": 6.0e-3})
    made = dimensions(p).inside
    assert sharp_volume_below(made, configs.region(p).lowest - 30.0) >= 6.0e6
