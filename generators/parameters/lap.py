"""A logged lap: how a file names its columns, and what the lap is once it has been read.

[driving] gives the log and how far it is smoothed, [driving.columns] what is in it:

    log = "lap.csv"
    smoothing = "0.3 s"
    [driving.columns]
    time = { column = "Time", unit = "s" }
    longitudinal = { column = "Long", unit = "g", positive = "speeding up" }
    lateral = { column = "Lat", unit = "g", positive = "left turn" }
    vertical = { column = "Vert", unit = "g", positive = "compression", at_rest = "1 g" }
    speed = { column = "Speed", unit = "km/h" }

`positive` has no default: loggers differ, and a wrong guess throws the oil to the wrong side. It says what the vehicle does
while the column reads more than at rest. `at_rest` is what the column reads while the vehicle stands level, in the column's
own sign: 1 g of weight for most vertical ones, -1 g for those that count it downwards."""

from dataclasses import dataclass
from typing import Annotated, Literal

import numpy as np
from pydantic import BeforeValidator, Field, StrictStr

from generators import units
from generators.parameters.fields import Inconsistent, Pull, Record

Title = Annotated[StrictStr, Field(min_length=1)]

AT_REST = "a column of accelerations that reads zero while the vehicle stands level"


def _unit_of(dimension: str):
    def one(value: object) -> object:
        if value not in (allowed := units.allowed(dimension)):
            raise units.Unreadable(f"is not a unit of {dimension} here: one of {', '.join(allowed)}, as text in quotes")
        return value

    return Annotated[str, BeforeValidator(one)]


TimeUnit, SpeedUnit, AccelerationUnit = _unit_of("time"), _unit_of("speed"), _unit_of("acceleration")


class LapColumn(Record):
    """One column of the log: `column`, its name as the header of the log has it."""

    column: Title


class TimeColumn(LapColumn):
    """When each row was taken; counted from anywhere."""

    unit: TimeUnit


class SpeedColumn(LapColumn):
    """The vehicle's speed, to hold the longitudinal column's sign against."""

    unit: SpeedUnit


class AccelerationColumn(LapColumn):
    """The vehicle's acceleration along one of its axes; `at_rest` m/s2, as the column reads."""

    unit: AccelerationUnit
    at_rest: Pull = Field(0.0, description=AT_REST)


class LongitudinalColumn(AccelerationColumn):
    """Along the vehicle: +x of ISO 8855 is speeding up."""

    positive: Literal["speeding up", "braking"]


class LateralColumn(AccelerationColumn):
    """Across the vehicle: +y of ISO 8855 is turning left."""

    positive: Literal["left turn", "right turn"]


class VerticalColumn(AccelerationColumn):
    """Square to the vehicle's floor: +z of ISO 8855 is compression. What a sensor reads at rest is weight, which pushes as
    compression does."""

    positive: Literal["compression", "crest"]

    def model_post_init(self, context: object, /) -> None:
        right = "compression" if self.at_rest > 0 else "crest"
        if abs(self.at_rest) > HALF_WEIGHT and self.positive != right:
            said = (f'must be "{right}" where the column reads {units.echo(self.at_rest, "acceleration", "g")} at rest: what it reads then is '
                    "weight, which pushes as compression does; or at_rest has the other sign")
            raise Inconsistent([("positive", said)])


HALF_WEIGHT = units.GRAVITY / 2
"""m/s2. More than this at rest is weight, less the offset of a sensor."""


class LapColumns(Record):
    """The columns of a log. Without `vertical` the lap is level; without `speed` its signs cannot be checked."""

    time: TimeColumn
    longitudinal: LongitudinalColumn
    lateral: LateralColumn
    vertical: VerticalColumn | None = None
    speed: SpeedColumn | None = None

    @property
    def named(self) -> dict[str, LapColumn]:
        """Those that the file names, by key."""
        every = ((key, getattr(self, key)) for key in type(self).model_fields)
        return {key: column for key, column in every if column is not None}

    def model_post_init(self, context: object, /) -> None:
        first: dict[str, str] = {}
        problems = []
        for key, one in self.named.items():
            if (other := first.setdefault(one.column, key)) != key:
                problems.append((f"{key}.column", f"is the column of {other} already: each has one of its own"))
        if problems:
            raise Inconsistent(problems)


@dataclass(frozen=True, eq=False)
class Lap:
    """A logged lap in SI and in the vehicle's axes (ISO 8855), n samples in the order of their time.

    path: the file it was read from. rows (n,) int: line of the file that each sample comes from. time (n,) s.
    acceleration (n, 3) m/s2, the vehicle's: +x speeding up, +y turning left, +z compression, 0 at rest; z is 0 where it
    was not logged (`has_vertical` False). speed (n,) m/s, None where it was not logged.

    It is what a sensor fixed to the vehicle feels, gradient, banking and roll in it, and so does the oil."""

    path: str
    rows: np.ndarray
    time: np.ndarray
    acceleration: np.ndarray
    has_vertical: bool
    speed: np.ndarray | None = None
