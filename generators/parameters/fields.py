"""The kinds of value a parameter file holds, and the record that holds them: frozen, no key it does not know."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated

from pydantic import BaseModel, BeforeValidator, ConfigDict, ValidationInfo

from generators import units
from generators.outlines import Loop

POSITIVE, NOT_NEGATIVE, ANY = "positive", "not negative", "any"

LARGEST = {"length": 10_000.0, "acceleration": 10 * 9.80665, "time": 86_400.0}
"""Beyond this a value is taken for a slip of the unit: 10 m of engine, 10 g of driving, a day."""

LARGEST_UNIT = {"length": "mm", "acceleration": "g", "time": "s"}


class Inconsistent(ValueError):
    """Values that cannot hold together. `problems`: (dotted key below the record, message) for each."""

    def __init__(self, problems: list[tuple[str, str]]):
        self.problems = tuple(problems)
        super().__init__("; ".join(f"{key}: {message}" if key else message for key, message in problems))


class Record(BaseModel):
    """A frozen table of values. Built in code from plain numbers (mm, else SI); a file gives text with units."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True, str_strip_whitespace=True)


@dataclass(frozen=True)
class Drawing:
    """What a drawing says about the pan rail, mm: the outer loop, and bolt centres, None where it shows none."""

    path: str
    outline: Loop
    bolts: tuple[tuple[float, float], ...] | None


@dataclass(frozen=True)
class FromFile:
    """The validation context where values come from a file: numbers then need units. The two functions turn a path as
    written into a Drawing or into a checked path; they raise ValueError with a sentence for the user."""

    drawing: Callable[[str], Drawing]
    path: Callable[[str], str]


@dataclass(frozen=True)
class Measure:
    """What a field's number means: its dimension, and which sign it may have."""

    dimension: str
    sign: str = POSITIVE


def _measure(dimension: str, sign: str = POSITIVE):
    def one(value: object, info: ValidationInfo) -> float:
        return _signed(_number(value, dimension, info), dimension, sign)

    return Annotated[float, BeforeValidator(one), Measure(dimension, sign)]


def _number(value: object, dimension: str, info: ValidationInfo) -> float:
    plain = isinstance(value, (int, float)) and not isinstance(value, bool)
    if plain and not isinstance(info.context, FromFile):
        return units.finite(float(value))
    return units.read(value, dimension)


def _signed(value: float, dimension: str, sign: str) -> float:
    if sign == POSITIVE and value <= 0:
        raise units.Unreadable("must be more than zero")
    if sign == NOT_NEGATIVE and value < 0:
        raise units.Unreadable("must not be negative")
    if abs(value) > LARGEST.get(dimension, abs(value)):
        limit = units.echo(LARGEST[dimension], dimension, LARGEST_UNIT[dimension])
        raise units.Unreadable(f"is more than {limit}: is the unit right?")
    return value


def _listed(value: object, key: str, unit_of: str) -> tuple[list, str]:
    """The list and unit of `{ unit = "mm", <key> = [...] }`."""
    example = f'write {{ unit = "{units.allowed(unit_of)[0]}", {key} = [...] }}'
    if not isinstance(value, dict):
        raise units.Unreadable(f"must name its unit once: {example}")
    for word in (key, "unit"):
        if word not in value:
            raise units.Unreadable(f"has no {word!r}: {example}")
    strangers = sorted(set(value) - {key, "unit"})
    if strangers:
        raise units.Unreadable(f"{strangers[0]!r} is not known here: {example}")
    if not isinstance(value[key], list) or not value[key]:
        raise units.Unreadable(f"{key!r} must be a list that is not empty: {example}")
    return value[key], value["unit"]


def _plain(value: object, unit: object, dimension: str, where: str) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise units.Unreadable(f"{where} must be bare numbers (the list names the unit once), not {value!r}")
    try:
        return _signed(units.convert(float(value), unit, dimension), dimension, ANY)
    except ValueError as bad:
        raise units.Unreadable(f"{where}: {bad}") from None


def points(value: object, info: ValidationInfo):
    """((x, y), ...) in mm from { unit, points = [[x, y], ...] }; in code a tuple of pairs passes as it is."""
    if isinstance(value, tuple) and not isinstance(info.context, FromFile):
        return tuple((units.finite(float(x)), units.finite(float(y))) for x, y in value)
    pairs, unit = _listed(value, "points", "length")
    out = []
    for i, pair in enumerate(pairs, start=1):
        if not isinstance(pair, list) or len(pair) != 2:
            raise units.Unreadable(f"point {i} must be two numbers [x, y], not {pair!r}")
        out.append(tuple(_plain(c, unit, "length", f"point {i}") for c in pair))
    return tuple(out)


def _series(dimension: str, key: str):
    def many(value: object, info: ValidationInfo):
        if isinstance(value, tuple) and not isinstance(info.context, FromFile):
            return tuple(units.finite(float(v)) for v in value)
        numbers, unit = _listed(value, key, dimension)
        return tuple(_plain(v, unit, dimension, f"{key} {i}") for i, v in enumerate(numbers, start=1))

    return Annotated[tuple[float, ...], BeforeValidator(many), Series(dimension, key)]


@dataclass(frozen=True)
class Series:
    """What a list of plain numbers means: its dimension, and the key that its numbers stand under beside their unit."""

    dimension: str
    key: str


def _corners(value: dict, words: tuple[str, ...], example: str) -> list[tuple[float, float, float]]:
    """The points (x, y, z) in mm that `value` has under each of `words`, in its unit."""
    for word in words:
        if not isinstance(value[word], list) or len(value[word]) != 3:
            raise units.Unreadable(f"{word} must be three numbers: {example}")
    return [tuple(_plain(c, value["unit"], "length", word) for c in value[word]) for word in words]


def _box(value: object, info: ValidationInfo):
    """((x, y, z), (x, y, z)) in mm from { unit, min = [x, y, z], max = [x, y, z] }; in code such a tuple as it is."""
    if isinstance(value, tuple) and not isinstance(info.context, FromFile):
        return value
    example = 'write { unit = "mm", min = [x, y, z], max = [x, y, z] }'
    if not isinstance(value, dict) or set(value) != {"unit", "min", "max"}:
        raise units.Unreadable(f"must have unit, min and max and nothing else: {example}")
    low, high = _corners(value, ("min", "max"), example)
    if any(a >= b for a, b in zip(low, high, strict=True)):
        raise units.Unreadable("min must be less than max in x, y and z")
    return low, high


def _cylinder(value: object, info: ValidationInfo):
    """((x, y, z), (x, y, z), radius) in mm from { unit, from = [x, y, z], to = [x, y, z], radius = r }, the middles of its
    ends; in code such a tuple as it is."""
    if isinstance(value, tuple) and not isinstance(info.context, FromFile):
        return value
    example = 'write { unit = "mm", from = [x, y, z], to = [x, y, z], radius = 25 }'
    if not isinstance(value, dict) or set(value) != {"unit", "from", "to", "radius"}:
        raise units.Unreadable(f"must have unit, from, to and radius and nothing else: {example}")
    start, end = _corners(value, ("from", "to"), example)
    radius = _plain(value["radius"], value["unit"], "length", "radius")
    if radius <= 0:
        raise units.Unreadable("radius must be more than zero")
    if start == end:
        raise units.Unreadable("from and to are the same point: they are the middles of its two ends")
    return start, end, radius


def _drawn(value: object, info: ValidationInfo) -> Drawing:
    if isinstance(value, Drawing):
        return value
    if not isinstance(value, str):
        raise units.Unreadable('must be the name of a drawing in quotes, e.g. "rail.dxf"')
    if not isinstance(info.context, FromFile):
        raise units.Unreadable("a drawing named by its path is read with its parameter file only")
    return info.context.drawing(value)


def _path(value: object, info: ValidationInfo) -> str:
    if not isinstance(value, str):
        raise units.Unreadable("must be the name of a file in quotes")
    return info.context.path(value) if isinstance(info.context, FromFile) else value


Length, Gap, Offset = _measure("length"), _measure("length", NOT_NEGATIVE), _measure("length", ANY)
Angle, Turn = _measure("angle"), _measure("angle", ANY)
Duration = _measure("time", NOT_NEGATIVE)
Acceleration, Pull = _measure("acceleration", NOT_NEGATIVE), _measure("acceleration", ANY)
Rotation = _measure("speed of rotation")
Power, Flow, Volume = _measure("power"), _measure("flow"), _measure("volume")
Temperature, Viscosity, Density = _measure("temperature"), _measure("viscosity"), _measure("density")
Mass = _measure("mass")
Points = Annotated[tuple[tuple[float, float], ...], BeforeValidator(points), Series("length", "points")]
Positions = _series("length", "positions")
Corners = Annotated[tuple[tuple[float, float, float], tuple[float, float, float]], BeforeValidator(_box)]
Rod = Annotated[tuple[tuple[float, float, float], tuple[float, float, float], float], BeforeValidator(_cylinder)]
Drawn = Annotated[Drawing, BeforeValidator(_drawn)]
FilePath = Annotated[str, BeforeValidator(_path)]
