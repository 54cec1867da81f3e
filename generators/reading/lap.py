"""A logged lap (CSV) -> Lap in SI and in the vehicle's axes, or one error that names every fault by its row."""

import re
from collections.abc import Callable, Collection
from pathlib import Path

import numpy as np

from generators import units
from generators.findings import BadFile, Problem
from generators.parameters import Lap, LapColumn, LapColumns
from generators.parameters.fields import LARGEST
from generators.reading.table import (
    HEADER_WITHIN,
    NUMBER,
    ODD_WIDTH,
    PART_NAMES,
    UNREADABLE,
    Faults,
    Table,
    header_in,
    missing,
    table,
)

LARGEST_BYTES = 200_000_000
"""Hours of a hundred channels; one lap is far smaller."""

FEWEST_ROWS, SHORTEST = 20, 2.0
"""Rows, and seconds: a start or one corner at the least."""

LONGEST_STEP, LEAST_STEP = 0.5, 1e-4
"""s, of the median step. Two rows a second show the shape of a corner, just; 10 kHz is no lap's log. Beyond either the
unit of time is wrong."""

GAP_STEPS, LEAST_GAP = 5, 0.25
"""A gap is a step longer than 5 median steps and than 0.25 s, which the smoothing bridges: in more, a whole turn of the
steering may be lost."""

LARGEST_ACCELERATION, LARGEST_SPEED = LARGEST["acceleration"], 150.0
"""m/s2 (10 g) and m/s: more than any vehicle pulls or runs on a circuit, so a slip of the unit or a faulty sensor."""

DIMENSIONS = {"time": "time", "speed": "speed"}
"""Of a column, by its key; all others are accelerations."""

UNIT_WORDS = {
    "s": "s", "sec": "s", "secs": "s", "second": "s", "seconds": "s", "ms": "ms", "msec": "ms", "min": "min",
    "g": "g", "m/s2": "m/s^2", "m/s/s": "m/s^2", "mps2": "m/s^2", "ms-2": "m/s^2",
    "m/s": "m/s", "mps": "m/s", "km/h": "km/h", "kmh": "km/h", "kph": "km/h", "mph": "mph", "mi/h": "mph",
}
"""How loggers write the units of a lap (small letters, brackets, blanks and the mark of a power left out)."""

IN_BRACKETS = re.compile(r".*[\[(]([^\[\]()]+)[\])]\s*")

WEIGHT_AWAY = 0.7 * units.GRAVITY
"""m/s2. So far from rest no vehicle stays for half a lap: its weight is counted twice or not at all."""

NEAR_REST = 0.3 * units.GRAVITY
"""m/s2. So near to a round number of g a column is taken to read that at rest."""

SIGNS = {"longitudinal": ("speeding up", 0), "lateral": ("left turn", 1), "vertical": ("compression", 2)}
"""Of each column of accelerations what ISO 8855 counts as positive, and the axis."""


def read_lap(path: Path | str, *, name: str, columns: LapColumns) -> Lap:
    """The lap in the file at `path`, which the user knows as `name`. Raises BadFile with every fault found: text that is no
    table, a column that is not there, cells that are no numbers, time that does not rise or has gaps, values that make no
    sense in the unit that `columns` states."""
    text = _text(Path(path), name)
    wanted = {key: one.column for key, one in columns.named.items()}
    header = header_in(text, list(wanted.values()))
    if header is None or _is_data(header.names, wanted.values()):
        raise BadFile.whole(name, f"has no header in its first {HEADER_WITHIN} lines: put a line with the names of the columns ("
                                  f"{', '.join(wanted.values())}) above the numbers, cells parted by {', '.join(PART_NAMES.values())}")
    lacking = list(missing(header, wanted.values()))
    if lacking:
        raise BadFile([Problem(name, header.line, column, "", message) for column, message in lacking])
    found = table(text, header, list(wanted.values()), is_unit=lambda cell: _unit_word(cell) is not None)
    values = {key: found.numbers[:, k] for k, key in enumerate(wanted)}
    with np.errstate(over="ignore", invalid="ignore"):  # a cell of 1e308 is too large as it is
        _judge(found, columns, values)
    problems = found.faults.problems(name)
    if problems:
        raise BadFile(problems)
    return _lap(str(path), found.rows, columns, values)


def _is_data(names: tuple[str, ...], wanted: Collection[str]) -> bool:
    """Whether what came nearest to a header is a row of readings: none of the names, and half or more of it numbers."""
    said = [n for n in names if n]
    return not set(said) & set(wanted) and 2 * sum(1 for n in said if NUMBER.fullmatch(n)) >= len(said)


# ---------------------------------------------------------------- text


def _text(path: Path, name: str) -> str:
    try:
        size = path.stat().st_size
        if size > LARGEST_BYTES:
            raise BadFile.whole(name, f"has {size / 1e6:.0f} MB; a lap has at most {LARGEST_BYTES / 1e6:.0f} MB: export one lap, and "
                                      "only the channels that are needed")
        data = path.read_bytes()
    except OSError as bad:
        raise BadFile.whole(name, f"cannot be read: {bad.strerror or bad}") from bad
    if not data.strip():
        raise BadFile.whole(name, "is empty: export the lap again")
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise BadFile.whole(name, "is UTF-16 text: save it as CSV in UTF-8")
    if b"\0" in data:
        raise BadFile.whole(name, "is not text but a binary file: export the lap as CSV from the logger's own program")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")


# ---------------------------------------------------------------- what is wrong


def _judge(found: Table, columns: LapColumns, values: dict[str, np.ndarray]) -> None:
    """Add to the table's faults all that is wrong with the lap as a whole."""
    faults, rows = found.faults, found.rows
    for k, (key, one) in enumerate(columns.named.items()):
        _judge_unit(found, k, key, one)
        if key == "time":
            continue
        largest, at_rest = (LARGEST_SPEED, 0.0) if key == "speed" else (LARGEST_ACCELERATION, one.at_rest)
        _judge_size(faults, rows, values[key], key, one, at_rest=at_rest, largest=largest)
    time = values["time"] * _factor("time", columns.time)
    sound = np.isfinite(time)
    if faults.of(ODD_WIDTH, UNREADABLE):
        return
    if len(time) == 0:
        faults.add("rows", found.header.line, "", "", "there are no rows under this header: export the lap again")
    elif sound.all() and _rises(faults, rows, time, columns.time):
        _judge_steps(faults, rows, time, columns.time)
    if columns.vertical is not None and len(rows):
        _judge_rest(faults, rows, values["vertical"], columns.vertical)


def _judge_rest(faults: Faults, rows: np.ndarray, values: np.ndarray, one: LapColumn) -> None:
    """Name a vertical column that is as far from what it is said to read at rest as weight would put it, over half of the lap."""
    middle = float(np.nanmedian(values)) * _factor("vertical", one) if np.isfinite(values).any() else one.at_rest
    if WEIGHT_AWAY < abs(middle - one.at_rest) <= LARGEST_ACCELERATION:  # farther away each row is named already
        faults.add("rest", int(rows[0]), one.column, f"{middle / units.GRAVITY:.2f} g", "is the middle of all that this column reads, but "
                   f"driving.columns.vertical.at_rest says {one.at_rest / units.GRAVITY:g} g, and a vehicle spends most of a lap near its own "
                   f"weight{_rest(middle, one)}")


def _rest(middle: float, one: LapColumn) -> str:
    """A question for what would put the middle (m/s2) of a vertical column right."""
    def is_near(value: float, rest: float) -> bool:
        return abs(value - rest) < NEAR_REST

    if one.at_rest and (asked := _better("vertical", one, lambda scale: is_near(middle * scale, one.at_rest))):
        return asked
    for rest, words in ((1, "compression"), (-1, "crest")):
        if is_near(middle, rest * units.GRAVITY):
            return f': is it at_rest = "{rest} g" with positive = "{words}"?'
    if is_near(middle, 0.0):
        return ': is it at_rest = "0 g"?'
    return _better("vertical", one, lambda scale: is_near(abs(middle) * scale, units.GRAVITY)) or ": is the sensor stuck?"


def _judge_unit(found: Table, k: int, key: str, one: LapColumn) -> None:
    """The unit that the header or a row of units gives for column number `k` against the one that the file states."""
    bracket = IN_BRACKETS.fullmatch(one.column)
    said = [(found.header.line, bracket[1])] if bracket and _unit_word(bracket[1]) else []
    if _unit_row(found.units[k]):
        said.append((found.header.line + 1, found.units[k]))
    for line, word in said:
        if _unit_word(word) != one.unit:
            told = f'the log names this unit, but driving.columns.{key} says unit = "{one.unit}": one of the two is wrong'
            found.faults.add("unit", line, one.column, word, told)


def _unit_row(cell: str) -> bool:
    """Whether a cell in a row of units says anything."""
    return cell.strip(" []()-_") != ""


def _unit_word(cell: str) -> str | None:
    """The unit, as a parameter file writes it, that a cell of the log names; None where it names none."""
    word = re.sub(r"[\s\[\]()^]|\*\*", "", cell.lower().replace("²", "2"))
    return UNIT_WORDS.get(word)


def _factor(key: str, one: LapColumn, unit: str | None = None) -> float:
    return units.convert(1.0, unit or one.unit, DIMENSIONS.get(key, "acceleration"))


def _better(key: str, one: LapColumn, makes_sense: Callable[[float], bool]) -> str:
    """A question for the unit in which the values would make sense; empty where none does."""
    others = [u for u in units.allowed(DIMENSIONS.get(key, "acceleration")) if u != one.unit]
    fits = [u for u in others if makes_sense(_factor(key, one, u) / _factor(key, one))]
    return f": is the column in {fits[0]}?" if fits else ""


def _judge_size(faults: Faults, rows: np.ndarray, values: np.ndarray, key: str, one: LapColumn, *, at_rest: float,
                largest: float) -> None:
    """Name the rows whose value lies further than `largest` (m/s2 or m/s) from rest."""
    sizes = np.abs(values * _factor(key, one) - at_rest)
    many = sizes > largest
    if not many.any():
        return
    top = float(np.nanmax(np.abs(values))) * _factor(key, one)
    asked = _better(key, one, lambda scale: top * scale <= largest) or ": a faulty sensor? Mend the rows, or take them out"
    dimension = DIMENSIONS.get(key, "acceleration")
    said = f"more than {units.echo(largest, dimension, one.unit)} from rest, which no vehicle reaches{asked}"
    for i in np.flatnonzero(many):
        faults.add("size", int(rows[i]), one.column, f"{values[i]:g} {one.unit}", said)


def _rises(faults: Faults, rows: np.ndarray, time: np.ndarray, one: LapColumn) -> bool:
    """Whether each time is later than the one before; the rows where it is not are named."""
    steps = np.diff(time)
    for i in np.flatnonzero(steps <= 0):
        told = f"{time[i + 1] / _factor('time', one):.10g} {one.unit}"
        if steps[i] == 0:
            faults.add("repeated", int(rows[i + 1]), one.column, told, f"is the time of line {rows[i]} too: each row needs its own, so "
                                                                       "export the time with more decimals")
        else:
            faults.add("back", int(rows[i + 1]), one.column, told, f"is earlier than line {rows[i]}: sort the rows by time, and keep one "
                                                                   "lap in a file or a time that runs on")
    return bool((steps > 0).all())


def _judge_steps(faults: Faults, rows: np.ndarray, time: np.ndarray, one: LapColumn) -> None:
    """Time (s) that rises: are its steps a lap's, has it gaps, is it long enough?"""
    steps = np.diff(time)
    if len(time) < FEWEST_ROWS:
        faults.add("short", int(rows[-1]), "", "", f"is the last of only {len(time)} rows: at least {FEWEST_ROWS} are needed")
        return
    step = float(np.median(steps))
    if not LEAST_STEP <= step <= LONGEST_STEP:
        asked = _better("time", one, lambda scale: LEAST_STEP <= step * scale <= LONGEST_STEP)
        bound = f"more than {LONGEST_STEP:g} s, too far to see a corner" if step > LONGEST_STEP else f"less than {LEAST_STEP * 1e3:g} ms"
        faults.add("step", int(rows[0]), one.column, "", f"its rows are {step:.4g} s apart (half of them more), {bound}{asked}")
        return
    limit = max(GAP_STEPS * step, LEAST_GAP)
    for i in np.flatnonzero(steps > limit):
        faults.add("gap", int(rows[i + 1]), one.column, f"{time[i + 1] / _factor('time', one):.10g} {one.unit}",
                   f"is {steps[i]:.3g} s after line {rows[i]}: a gap of more than {limit:.3g} s ({GAP_STEPS} usual steps, and no less than "
                   f"{LEAST_GAP:g} s) may hide a corner; export a lap without gaps")
    if time[-1] - time[0] < SHORTEST:
        asked = _better("time", one, lambda scale: (time[-1] - time[0]) * scale >= SHORTEST and step * scale <= LONGEST_STEP)
        faults.add("short", int(rows[-1]), one.column, "", f"the lap lasts only {time[-1] - time[0]:.3g} s; at least {SHORTEST:g} s are "
                                                           f"needed{asked}")


# ---------------------------------------------------------------- what it says


def _lap(path: str, rows: np.ndarray, columns: LapColumns, values: dict[str, np.ndarray]) -> Lap:
    """The lap in SI, accelerations turned to the vehicle's axes and counted from rest."""
    acceleration = np.zeros((len(rows), 3))
    for key, (iso, axis) in SIGNS.items():
        one = getattr(columns, key)
        if one is not None:
            sign = 1 if one.positive == iso else -1
            acceleration[:, axis] = sign * (values[key] * _factor(key, one) - one.at_rest)
    speed = values["speed"] * _factor("speed", columns.speed) if columns.speed else None
    return Lap(path, rows, values["time"] * _factor("time", columns.time), acceleration, columns.vertical is not None, speed)
