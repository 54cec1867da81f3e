"""Sheet gauges against the laws and fractions that define them."""

import itertools
from fractions import Fraction

import pytest

from generators import standards


@pytest.mark.parametrize(("number", "thickness"), [  # a published aluminium gauge table, mm
    (10, 2.588), (11, 2.305), (12, 2.053), (14, 1.628), (16, 1.291), (18, 1.024), (20, 0.812)])
def test_aluminium_follows_the_american_wire_gauge(number, thickness):
    assert standards.gauge_thickness(number, family="aluminium") == pytest.approx(thickness, abs=6e-4)


def test_the_wire_gauge_passes_through_two_known_sizes():
    # ASTM B258: gauge 36 is 0.005 in and gauge 0 is 0.3249 in (rounded; both from memory, unverified)
    assert standards.gauge_thickness(36, family="aluminium") == pytest.approx(0.005 * 25.4, rel=1e-12)
    assert standards.gauge_thickness(0, family="aluminium") == pytest.approx(0.3249 * 25.4, abs=0.00005 * 25.4)


OUNCES = {10: 90, 11: 80, 12: 70, 13: 60, 14: 50, 15: 45, 16: 40, 17: 36, 18: 32, 19: 28, 20: 24, 22: 20, 24: 16}
"""Weight of a steel gauge, oz/ft2: the US Standard Gauge's, from memory, unverified."""


@pytest.mark.parametrize("number", OUNCES)
def test_steel_weighs_what_its_gauge_says(number):
    # Manufacturers' Standard Gauge: 41.82 lb/ft2 for each inch of thickness
    inches = OUNCES[number] / 16 / 41.82
    # the table rounds to 0.0001 in
    assert standards.gauge_thickness(number, family="steel") == pytest.approx(inches * 25.4, abs=0.0001 * 25.4)


@pytest.mark.parametrize(("number", "inches"), [(10, 0.1345), (18, 0.0478), (20, 0.0359)])  # MSG, secondary copy
def test_steel_gauges_in_inches(number, inches):
    assert standards.gauge_thickness(number, family="steel") == pytest.approx(inches * 25.4, abs=6e-4)


FRACTIONS = {10: "9/64", 11: "1/8", 12: "7/64", 13: "3/32", 14: "5/64", 15: "9/128", 16: "1/16", 17: "9/160",
             18: "1/20", 19: "7/160", 20: "3/80", 22: "1/32", 24: "1/40"}
"""US Standard Gauge, inches, from memory, unverified."""


@pytest.mark.parametrize("number", FRACTIONS)
def test_stainless_is_a_fraction_of_an_inch(number):
    inches = float(Fraction(FRACTIONS[number]))
    assert standards.gauge_thickness(number, family="stainless") == pytest.approx(inches * 25.4, abs=6e-4)


def test_sixteen_gauge_is_three_thicknesses():
    # published tables: aluminium by the wire gauge, steel 0.0598 in, stainless 1/16 in
    sixteen = [standards.gauge_thickness(16, family=family) for family in ("aluminium", "steel", "stainless")]
    assert sixteen == pytest.approx([1.291, 1.519, 1.588], abs=6e-4)


@pytest.mark.parametrize("family", ["aluminium", "steel", "stainless"])
def test_a_higher_gauge_is_a_thinner_sheet(family):
    sheets = [standards.gauge_thickness(number, family=family) for number in sorted(FRACTIONS)]
    assert all(thick > thin for thick, thin in itertools.pairwise(sheets))


@pytest.mark.parametrize(("number", "family"), [(37, "aluminium"), (-1, "aluminium"), (9, "steel"), (21, "stainless")])
def test_a_gauge_that_is_not_in_the_table_is_unknown(number, family):
    with pytest.raises(standards.Unknown, match=f"no {family} gauge '{number}'; known: "):
        standards.gauge_thickness(number, family=family)
