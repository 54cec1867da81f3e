"""The tank's volumes against the open library `fluids` (geometry.TANK: upright tank with a conical bottom head), and
its flat ends against the plate formulas of elasticity handbooks."""

import math
from types import SimpleNamespace

import pytest
from fluids.geometry import TANK

from generators.parameters.parts import Reservoir
from generators.parameters.work import Engine, Oil, Sheet
from generators.parts import reservoir
from generators.parts.reservoir.volumes import (
    below_shell,
    clamped_plate_deflection,
    frustum_volume,
    funnel_volume,
    plate_deflection,
    plate_stress,
)

MM, LITRE = 1e-3, 1e6


def parameters(**given):
    """8 L in 180 mm, 2 mm 5052, unless given."""
    return SimpleNamespace(
        reservoir=Reservoir(**{"oil_volume": 8e-3, "diameter": 180.0, **given}),
        sheet=Sheet(),
        oil=Oil(),
        engine=Engine(),
        crank=SimpleNamespace(throws=None, rods_per_throw=None),
    )


def test_straight_tank():
    """Inside 196 mm, 450 mm straight: 13.577 L gross, 10.183 L at 75 percent (by hand)."""
    tank = TANK(D=196 * MM, L=450 * MM, horizontal=False)
    assert math.pi * 98**2 * 450 / LITRE == pytest.approx(tank.V_total * 1000, rel=1e-9)
    assert tank.V_total * 1000 == pytest.approx(13.577, abs=1e-3)


@pytest.mark.parametrize("radius, foot, depth", [(90, 25.1, 64.9), (45, 17.6, 27.4), (128, 28, 100)])
def test_cone_is_the_reference_cone_less_its_tip(radius, foot, depth):
    """Two conical heads of the same slope, one cut from the other."""
    slope = depth / (radius - foot)
    whole, tip = (
        TANK(D=2 * r * MM, L=0.5, horizontal=False, sideA="conical", sideA_a=r * slope * MM) for r in (radius, foot)
    )
    heads = [t.V_total - math.pi * (t.D / 2) ** 2 * t.L for t in (whole, tip)]
    assert frustum_volume(small=foot, large=radius, height=depth) * 1e-9 == pytest.approx(heads[0] - heads[1], rel=1e-9)


@pytest.mark.parametrize("given", [{}, {"base": "flat"}, {"diameter": 200.0, "inlet_bore": 28.0}])
def test_level_of_the_tank_as_built(given):
    """The cavity filled to any level z holds what the reference's conical tank holds there, less the cone's cut-off
    tip, plus the outlet's funnel."""
    d = reservoir.dimension(parameters(**given))
    kind = {"sideA": "conical", "sideA_a": d.inside_radius * MM} if d.cone_depth else {}
    tank = TANK(D=2 * d.inside_radius * MM, L=d.height * MM, horizontal=False, **kind)
    head = d.inside_radius if d.cone_depth else 0.0
    tip = frustum_volume(small=1e-9, large=d.cone_foot, height=d.cone_foot) if d.cone_depth else 0.0
    for z in (0.0, d.full_mark, d.height):
        ours = d.area * z + below_shell(d)
        theirs = (tank.V_from_h((head + z) * MM) if head + z else 0.0) * 1e9 - tip + funnel_volume(d.outlet)
        assert ours == pytest.approx(theirs, rel=1e-8)


def test_flat_end_at_the_test_pressure():
    """35 kPa on radius 100, 2 mm aluminium (E 70.3 GPa, nu 0.33): clamped it sags 1.04 mm; simply supported about
    109 MPa (plate formulas as in handbooks of stress and strain, worked by hand)."""
    case = {"pressure": 0.035, "radius": 100.0, "thickness": 2.0}
    assert clamped_plate_deflection(**case, elastic=70300, poisson=0.33) == pytest.approx(1.04, abs=0.01)
    assert plate_stress(**case, poisson=0.33) == pytest.approx(109.3, abs=0.3)
    ratio = plate_deflection(**case, elastic=70300, poisson=0.3) / clamped_plate_deflection(
        **case, elastic=70300, poisson=0.3
    )
    assert ratio == pytest.approx(4.08, abs=0.01)


@pytest.mark.parametrize("given", [{}, {"base": "flat"}, {"diameter": 260.0, "oil_volume": 25e-3}])
def test_chosen_ends_bear_the_test_pressure_and_no_thinner_ones_do(given):
    """5052-H32: yield 193 MPa, half of it trusted beside a weld; sag a hundredth of the radius."""
    d = reservoir.dimension(parameters(**given))
    stock = [2.0, 2.5, 3.0, 4.0, 5.0, 6.0]

    def bears(thickness: float) -> bool:
        case = {"pressure": 0.035, "radius": d.outside_radius, "thickness": thickness, "poisson": 0.33}
        return plate_stress(**case) <= 96.5 and plate_deflection(**case, elastic=70300) <= d.outside_radius / 100

    assert d.top_thickness == min(t for t in stock if bears(t))
