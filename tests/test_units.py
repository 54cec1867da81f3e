"""The units reader: shop notation read right, everything doubtful refused."""

import math

import pint
import pytest

from generators import units

STANDARD = pint.UnitRegistry()
"""The library's own full sheet of units: the reference that our short sheet is held against."""

IN_PINT = {
    "mm": "mm",
    "cm": "cm",
    "m": "m",
    "in": "inch",
    "ft": "foot",
    "thou": "thou",
    "mm^2": "mm**2",
    "cm^2": "cm**2",
    "m^2": "m**2",
    "in^2": "inch**2",
    "deg": "degree",
    "rad": "radian",
    "s": "s",
    "ms": "ms",
    "min": "minute",
    "m/s": "m/s",
    "km/h": "km/hour",
    "mph": "mile/hour",
    "rpm": "rpm",
    "rad/s": "radian/s",
    "g": "standard_gravity",
    "m/s^2": "m/s**2",
    "kg": "kg",
    "lb": "pound",
    "L": "L",
    "mL": "mL",
    "cm^3": "cm**3",
    "m^3": "m**3",
    "in^3": "inch**3",
    "qt": "quart",
    "gal": "gallon",
    "L/min": "L/minute",
    "gal/min": "gallon/minute",
    "cm^3/s": "cm**3/s",
    "m^3/s": "m**3/s",
    "kW": "kW",
    "hp": "horsepower",
    "PS": "metric_horsepower",
    "W": "W",
    "Pa": "Pa",
    "kPa": "kPa",
    "bar": "bar",
    "psi": "psi",
    "degC": "degC",
    "degF": "degF",
    "K": "kelvin",
    "cSt": "cSt",
    "mm^2/s": "mm**2/s",
    "kg/m^3": "kg/m**3",
    "g/cm^3": "g/cm**3",
    "kg/s": "kg/s",
}
INSIDE = {
    "length": "mm",
    "area": "mm**2",
    "angle": "radian",
    "time": "s",
    "speed": "m/s",
    "speed of rotation": "radian/s",
    "acceleration": "m/s**2",
    "mass": "kg",
    "volume": "m**3",
    "flow": "m**3/s",
    "power": "W",
    "pressure": "Pa",
    "temperature": "kelvin",
    "viscosity": "m**2/s",
    "density": "kg/m**3",
    "mass flow": "kg/s",
}
EVERY_UNIT = [(dimension, unit) for dimension in units.DIMENSIONS for unit in units.allowed(dimension)]


@pytest.mark.parametrize(("dimension", "unit"), EVERY_UNIT)
def test_every_unit_agrees_with_the_full_sheet_of_pint(dimension, unit):
    expected = STANDARD.Quantity(7.25, IN_PINT[unit]).to(INSIDE[dimension]).magnitude
    assert units.read(f"7.25 {unit}", dimension) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        # NIST SP 811 (2008), appendix B.8: exact factors, in bold there
        ("1 in", "length", 25.4),
        ("1 ft", "length", 304.8),
        ("1 lb", "mass", 0.45359237),
        ("1 gal", "volume", 3.785411784e-3),
        ("1 mph", "speed", 0.44704),
        ("1 g", "acceleration", 9.80665),
        ("1 cSt", "viscosity", 1e-6),
        # the same appendix, seven digits as printed there
        ("1 psi", "pressure", 6894.757),
        ("1 hp", "power", 745.6999),
        ("1 PS", "power", 735.4988),
        # SI brochure, 9th edition: the Celsius scale
        ("0 degC", "temperature", 273.15),
        ("-273.15 degC", "temperature", 0.0),
        ("212 degF", "temperature", 373.15),
        ("60 rpm", "speed of rotation", 2 * math.pi),
        ("180 deg", "angle", math.pi),
    ],
)
def test_handbook_factors(text, dimension, value):
    assert units.read(text, dimension) == pytest.approx(value, rel=1e-7, abs=1e-10)


@pytest.mark.parametrize(
    ("text", "millimetres"),
    [
        ("86 mm", 86.0),
        ("86mm", 86.0),
        (" 3.4 in ", 86.36),
        ("1/2 in", 12.7),
        ("2 1/2 in", 63.5),
        ("-2 1/2 in", -63.5),
        ("2  1/2 in", 63.5),
        ("5/2 in", 63.5),
        (".5 in", 12.7),
        ("60 thou", 1.524),
        ("+4 cm", 40.0),
        ("1e2 mm", 100.0),
        ("3 3/8 in", 85.725),
        ("1/64 in", 0.396875),
    ],
)
def test_shop_notation(text, millimetres):
    assert units.read(text, "length") == pytest.approx(millimetres, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("3,5 mm", "decimal point"),
        ("1,000 mm", "decimal point"),
        ("1 ft 6 in", "allowed units of length"),
        ('2.5"', "allowed units of length"),
        ("2-1/2 in", "allowed units"),
        ("86", "has no unit"),
        ("mm", "not a number"),
        ("", "not a number"),
        ("nan mm", "not a number"),
        ("inf mm", "not a number"),
        ("1e400 mm", "finite"),
        ("86 * ", "allowed units"),
        ("1/0 in", "below its line"),
        ("2 3/2 in", "not less than one"),
        ("1.5 g", "acceleration"),
        ("8000 rpm", "speed of rotation"),
        ("86 MM", "allowed units"),
        ("86 mm mm", "allowed units"),
        ("--3 mm", "not a number"),
        ("２ mm", "not a number"),
        ("2 1 mm", "allowed units"),
        ("9" * 5000 + "/2 mm", "not a number"),
        ("1_0 mm", "allowed"),
        ("0x10 mm", "allowed"),
        ("86 mm\n", "allowed"),
        (86, "has no unit"),
        (8.6, "has no unit"),
        (True, "in quotes"),
        (None, "in quotes"),
        (["86 mm"], "in quotes"),
    ],
)
def test_doubtful_lengths_are_refused_with_what_is_allowed(text, remedy):
    with pytest.raises(units.Unreadable, match=remedy) as refused:
        units.read(text, "length")
    if "finite" not in remedy and "/" not in str(text):
        assert "mm" in str(refused.value)


def test_g_is_gravity_only_where_an_acceleration_is_meant():
    assert units.read("1.2 g", "acceleration") == pytest.approx(11.76798)
    with pytest.raises(units.Unreadable, match="kg, lb"):
        units.read("1.2 g", "mass")


def test_nothing_is_colder_than_absolute_zero():
    with pytest.raises(units.Unreadable, match="absolute zero"):
        units.read("-274 degC", "temperature")


@pytest.mark.parametrize(("dimension", "unit"), EVERY_UNIT)
def test_an_echo_reads_back(dimension, unit):
    value = units.read(f"12.5 {unit}", dimension)
    assert units.echo(value, dimension, unit) == f"12.5 {unit}"
    assert units.read(units.echo(value, dimension), dimension) == pytest.approx(value, rel=1e-5)


def test_echo_of_a_whole_number_shows_its_decimal():
    assert units.echo(48.0, "length") == "48.0 mm"


def test_every_example_is_allowed():
    for dimension in units.DIMENSIONS:
        assert units.read(units.example(dimension), dimension) > 0
