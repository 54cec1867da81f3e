"""Text with a unit -> a plain number, and back. Geometry is mm and mm2 inside; everything else is SI."""

import math
import re
from functools import cache

GRAVITY = 9.80665
"""Standard gravity, m/s2 (exact by definition: 3rd General Conference on Weights and Measures, 1901)."""

DEFINITIONS = (
    "millimeter = [length] = mm",
    "meter = 1000 * millimeter = m",
    "centimeter = 10 * millimeter = cm",
    "kilometer = 1000 * meter",
    "inch = 25.4 * millimeter = in",
    "foot = 12 * inch = ft",
    "mile = 5280 * foot",
    "thou = 0.001 * inch",
    "second = [time] = s",
    "millisecond = 0.001 * second = ms",
    "minute = 60 * second = min",
    "hour = 60 * minute",
    "radian = [] = rad",
    "degree = 3.141592653589793 / 180 * radian = deg",
    "revolution = 2 * 3.141592653589793 * radian",
    "kilogram = [mass] = kg",
    "gram = 0.001 * kilogram",
    "pound = 0.45359237 * kilogram = lb",
    f"standard_gravity = {GRAVITY} * meter / second ** 2",
    "cubic_meter = meter ** 3",
    "liter = 0.001 * meter ** 3 = L",
    "gallon = 231 * inch ** 3",
    "newton = kilogram * meter / second ** 2 = N",
    "pascal = newton / meter ** 2 = Pa",
    "bar = 100000 * pascal",
    "pound_force = pound * standard_gravity",
    "watt = newton * meter / second = W",
    "horsepower = 550 * foot * pound_force / second",
    "metric_horsepower = 75 * kilogram * standard_gravity * meter / second",
    "kelvin = [temperature]; offset: 0 = K",
    "degree_Celsius = kelvin; offset: 273.15 = degC",
    "degree_Fahrenheit = 5 / 9 * kelvin; offset: 233.15 + 200 / 9 = degF",
    "stokes = 0.0001 * meter ** 2 / second",
)
"""The few units of a shop, each from its exact definition (SI brochure; NIST SP 811 appendix B). Loading a library's
full sheet takes a third of a second; a test holds every unit here against that sheet."""

DIMENSIONS = {
    "length": (
        "millimeter",
        {"mm": "millimeter", "cm": "centimeter", "m": "meter", "in": "inch", "ft": "foot", "thou": "thou"},
    ),
    "area": ("millimeter**2", {"mm^2": "millimeter**2", "cm^2": "centimeter**2", "m^2": "meter**2", "in^2": "inch**2"}),
    "angle": ("radian", {"deg": "degree", "rad": "radian"}),
    "time": ("second", {"s": "second", "ms": "millisecond", "min": "minute"}),
    "speed": ("meter/second", {"m/s": "meter/second", "km/h": "kilometer/hour", "mph": "mile/hour"}),
    "speed of rotation": ("radian/second", {"rpm": "revolution/minute", "rad/s": "radian/second"}),
    "acceleration": ("meter/second**2", {"g": "standard_gravity", "m/s^2": "meter/second**2"}),
    "mass": ("kilogram", {"kg": "kilogram", "lb": "pound"}),
    "volume": (
        "meter**3",
        {
            "L": "liter",
            "mL": "0.001*liter",
            "cm^3": "centimeter**3",
            "m^3": "meter**3",
            "in^3": "inch**3",
            "qt": "0.25*gallon",
            "gal": "gallon",
        },
    ),
    "flow": (
        "meter**3/second",
        {
            "L/min": "liter/minute",
            "gal/min": "gallon/minute",
            "cm^3/s": "centimeter**3/second",
            "m^3/s": "meter**3/second",
        },
    ),
    "power": ("watt", {"kW": "1000*watt", "hp": "horsepower", "PS": "metric_horsepower", "W": "watt"}),
    "pressure": ("pascal", {"Pa": "pascal", "kPa": "1000*pascal", "bar": "bar", "psi": "pound_force/inch**2"}),
    "temperature": ("kelvin", {"degC": "degree_Celsius", "degF": "degree_Fahrenheit", "K": "kelvin"}),
    "viscosity": ("meter**2/second", {"cSt": "0.01*stokes", "mm^2/s": "millimeter**2/second"}),
    "density": ("kilogram/meter**3", {"kg/m^3": "kilogram/meter**3", "g/cm^3": "gram/centimeter**3"}),
    "mass flow": ("kilogram/second", {"kg/s": "kilogram/second"}),
}
"""Each dimension: the unit inside, and the white list of what may be written with the definition of each."""

NUMBER = re.compile(
    r"(?P<sign>[+-]?)(?:(?:(?P<whole>[0-9]+) +)?(?P<top>[0-9]+)/(?P<bottom>[0-9]+)"
    r"|(?P<decimal>(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?))(?P<rest>.*)",
    re.DOTALL,
)

LONGEST = 60
"""Characters; a longer text is no number that anyone measured."""

ECHO_DIGITS = 6
"""Significant digits of an echoed value: a micrometre in a metre."""


class Unreadable(ValueError):
    """Text that is not one number with one allowed unit; the message says what is allowed."""


def allowed(dimension: str) -> tuple[str, ...]:
    """The units that a value of `dimension` may be written in. Raises KeyError for an unknown dimension."""
    return tuple(DIMENSIONS[dimension][1])


def read(text: object, dimension: str) -> float:
    """The value of `text`, e.g. "2 1/2 in", in the inside unit of `dimension`: mm, mm2, else SI.

    Raises Unreadable for anything but one finite number and one unit of the white list."""
    if not isinstance(text, str):
        raise Unreadable(_bare(text, dimension))
    number, rest = _number(text, dimension)
    unit = rest.strip(" ")
    if not unit:
        raise Unreadable(_bare(text.strip(), dimension))
    return convert(number, unit, dimension)


def convert(number: float, unit: object, dimension: str) -> float:
    """`number` of `unit` (as written in a parameter file) in the inside unit of `dimension`.

    Raises Unreadable for a unit outside the white list and a number that is not finite."""
    inside, units = DIMENSIONS[dimension]
    if not isinstance(unit, str) or unit not in units:
        raise Unreadable(_unknown_unit(unit, dimension))
    if not math.isfinite(number):
        raise Unreadable(f"must be a finite number, not {number}")
    value = float(_quantity(number, units[unit]).to(inside).magnitude)
    if not math.isfinite(value):
        raise Unreadable("is too large to be a real measure")
    if dimension == "temperature" and value < 0:
        raise Unreadable("is below absolute zero (-273.15 degC)")
    return value


def echo(value: float, dimension: str, unit: str | None = None) -> str:
    """`value` (inside unit) as text in `unit`, by default the first allowed one: echo(48, "length") is "48.0 mm"."""
    inside, units = DIMENSIONS[dimension]
    unit = allowed(dimension)[0] if unit is None else unit
    target = units[unit]
    scale, _, name = target.rpartition("*") if target[0].isdigit() else ("1", "", target)
    number = _quantity(value, inside).to(name).magnitude / float(scale)
    text = f"{number:.{ECHO_DIGITS}g}"
    return f"{text if '.' in text or 'e' in text else text + '.0'} {unit}"


@cache
def _registry():
    import pint

    registry = pint.UnitRegistry(None)
    for definition in DEFINITIONS:
        registry.define(definition)
    return registry


def _quantity(number: float, definition: str):
    scale, _, name = definition.rpartition("*") if definition[0].isdigit() else ("1", "", definition)
    return _registry().Quantity(number * float(scale), name)


def _number(text: str, dimension: str) -> tuple[float, str]:
    match = NUMBER.fullmatch(text.strip(" ")) if len(text) <= LONGEST else None
    if match is None:
        raise Unreadable(f"is not a number with a unit: {_how(dimension)}")
    rest = match["rest"]
    if rest.startswith(","):
        raise Unreadable(f"has a comma in its number: write a decimal point and no thousands mark, {_how(dimension)}")
    if match["decimal"]:
        value = float(match["decimal"])
    else:
        value = _fraction(match["whole"], int(match["top"]), int(match["bottom"]))
    return (-value if match["sign"] == "-" else value), rest


def _fraction(whole: str | None, top: int, bottom: int) -> float:
    if bottom == 0:
        raise Unreadable("has a fraction with 0 below its line")
    if whole is not None and top >= bottom:
        raise Unreadable(f"has a whole number beside {top}/{bottom}, which is not less than one: write it as a decimal")
    return int(whole or 0) + top / bottom


def _how(dimension: str) -> str:
    units = allowed(dimension)
    return f'write for example "{_EXAMPLES[dimension]}"; allowed units of {dimension}: {", ".join(units)}'


def _bare(number: object, dimension: str) -> str:
    if isinstance(number, bool) or not isinstance(number, (int, float, str)):
        return f"is not a number with a unit in quotes: {_how(dimension)}"
    return f"has no unit: {_how(dimension)}"


def _unknown_unit(unit: object, dimension: str) -> str:
    homes = [name for name, (_, units) in DIMENSIONS.items() if isinstance(unit, str) and unit in units]
    if homes:
        return f"{unit!r} is a unit of {homes[0]}, but {dimension} is needed: {_how(dimension)}"
    return f"unit {unit!r} is not known here: {_how(dimension)}"


_EXAMPLES = {
    "length": "86 mm",
    "area": "500 mm^2",
    "angle": "60 deg",
    "time": "0.4 s",
    "speed": "120 km/h",
    "speed of rotation": "8000 rpm",
    "acceleration": "1.5 g",
    "mass": "12 kg",
    "volume": "5.5 L",
    "flow": "38 L/min",
    "power": "185 kW",
    "pressure": "4 bar",
    "temperature": "95 degC",
    "viscosity": "85 cSt",
    "density": "860 kg/m^3",
    "mass flow": "0.02 kg/s",
}


def example(dimension: str) -> str:
    """How a value of `dimension` may be written, e.g. "86 mm"."""
    return _EXAMPLES[dimension]


def finite(number: float) -> float:
    """The same number. Raises Unreadable where it is not finite."""
    if not math.isfinite(number):
        raise Unreadable(f"must be a finite number, not {number}")
    return number
