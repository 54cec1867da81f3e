"""How deep a suction mouth must lie, held against the open library `fluids` and figures worked by hand."""

import math

import fluids
import pytest

from generators.oil.submergence import anti_vortex_submergence, drawdown_submergence, froude

G = 9.80665
FLOW = 40 / 60000
"""m3/s: 40 L/min."""


def test_froude_number_against_the_library():
    """40 L/min into 50 mm: 0.339531 m/s, Fr 0.484879; `fluids.core.Froude` gives V / sqrt(g L)."""
    speed = FLOW / (math.pi * 0.025**2)
    assert speed == pytest.approx(0.339531, abs=1e-6)
    assert froude(FLOW, diameter=0.050) == pytest.approx(0.484879, abs=1e-6)
    for gravity in (G, 1.8 * G):
        assert froude(FLOW, diameter=0.050, gravity=gravity) == pytest.approx(
            fluids.core.Froude(V=speed, L=0.050, g=gravity), rel=1e-12
        )


@pytest.mark.parametrize("times, millimetres", [(1.0, 105.761), (1.803, 91.527)])
def test_anti_vortex_submergence(times, millimetres):
    """ANSI/HI 9.8: D (1 + 2.3 Fr), 40 L/min into 50 mm, at rest and at 1.2 g and 0.9 g together with weight."""
    found = anti_vortex_submergence(FLOW, diameter=0.050, gravity=times * G)
    assert found == pytest.approx(millimetres / 1000, abs=1e-6)


@pytest.mark.parametrize("litres_a_minute, millimetres", [(40, 50), (30, 40), (90, 80)])
def test_anti_vortex_submergence_in_inches_and_gallons(litres_a_minute, millimetres):
    """The same standard prints S = D + 0.574 Q / D^1.5 with inches and US gallons a minute (from memory, unverified)."""
    gallons, inches = litres_a_minute / 3.785411784, millimetres / 25.4
    found = anti_vortex_submergence(litres_a_minute / 60000, diameter=millimetres / 1000)
    assert found / 0.0254 == pytest.approx(inches + 0.574 * gallons / inches**1.5, rel=5e-4)


def test_drawdown_submergence():
    """40 L/min into a drain of 25 mm radius: 23.448 mm (Lubin and Springer 1967; their formula from memory)."""
    assert drawdown_submergence(FLOW, radius=0.025) == pytest.approx(23.448e-3, abs=1e-6)


def test_drawdown_hardly_knows_the_drain():
    """a (Q2 / (g a5))^(1/5) is (Q2 / g)^(1/5): the radius cancels, as it does for a point sink (dimensional analysis)."""
    point = 0.69 * (FLOW**2 / G) ** 0.2
    for radius in (0.005, 0.025, 0.1):
        assert drawdown_submergence(FLOW, radius=radius) == pytest.approx(point, rel=1e-12)


def test_drawdown_lies_below_anti_vortex():
    """The one is the least, the other the safe depth, for flows and mouths of a car's oil."""
    for litres_a_minute in (5, 20, 60, 120):
        for diameter in (0.02, 0.05, 0.1):
            flow = litres_a_minute / 60000
            assert drawdown_submergence(flow, radius=diameter / 2) < anti_vortex_submergence(flow, diameter=diameter)


def test_nothing_drawn():
    assert anti_vortex_submergence(0.0, diameter=0.05) == 0.05
    assert drawdown_submergence(0.0, radius=0.025) == 0.0


@pytest.mark.parametrize("flow, size, gravity, words", [(-1.0, 0.05, G, "draws -1"), (math.nan, 0.05, G, "draws nan"),
                                                        (1e-3, 0.0, G, "is 0: wants"), (1e-3, 0.05, 0.0, "gravity")])
def test_no_such_mouth(flow, size, gravity, words):
    with pytest.raises(ValueError, match=words):
        anti_vortex_submergence(flow, diameter=size, gravity=gravity)
    with pytest.raises(ValueError, match=words):
        drawdown_submergence(flow, radius=size, gravity=gravity)
