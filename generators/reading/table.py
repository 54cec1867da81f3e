"""A delimited text (CSV) -> columns of numbers with the line that each row stands on, and all that is wrong with them.

Comma, semicolon or tab between cells; a decimal comma where the comma does not part cells. Lines above the header are the
logger's own remarks: the header is the first line that has every column asked for."""

import csv
import difflib
import io
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from operator import itemgetter

import numpy as np

from generators.findings import Problem
from generators.reading.complaints import CLOSE_ENOUGH, SHOWN

DELIMITERS = (",", ";", "\t")
PART_NAMES = {",": "commas", ";": "semicolons", "\t": "tabs"}

HEADER_WITHIN = 100
"""Lines; no logger writes more about itself above its columns."""

FEW = 3
"""Rows that are named of each kind of fault; of the rest their number."""

NAMES_SHOWN = 20
"""Column names that a complaint lists."""

NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
NOT_FINITE = re.compile(r"[+-]?(?:nan|inf|infinity)", re.IGNORECASE)

NO_NUMBER = "is not a number: correct it, or take the row out"
NO_FINITE = "is not a finite number: the logger had no reading here; mend the row, or take it out"
EMPTY = "is empty: every row needs a number here (export all channels at one rate)"
UNDONE = "a quote is opened and never closed, or the line is no text: save the lap again as plain CSV"


ODD_WIDTH, UNREADABLE = "odd width", "unreadable"
"""Kinds of fault for which rows are left out, so that what holds between rows cannot be judged."""


@dataclass(frozen=True)
class Header:
    """The line of column names, counted from 1, and what parts its cells."""

    line: int
    delimiter: str
    names: tuple[str, ...]


@dataclass
class Faults:
    """What is wrong, gathered by kind: of each the first few rows, the last one, and how many."""

    shown: dict[tuple, list[tuple[int, str, str, str]]] = field(default_factory=dict)
    counted: dict[tuple, int] = field(default_factory=dict)
    last: dict[tuple, int] = field(default_factory=dict)

    def add(self, kind: str, line: int, column: str, value: str, message: str) -> None:
        """One more of a kind in a column."""
        key = (column, kind)
        self.counted[key] = self.counted.get(key, 0) + 1
        self.last[key] = line
        if self.counted[key] <= FEW:
            self.shown.setdefault(key, []).append((line, column, value, message))

    def of(self, *kinds: str) -> bool:
        """Whether there is any of these kinds."""
        return any(kind in kinds for _, kind in self.counted)

    def problems(self, file: str) -> list[Problem]:
        """All of them in the order of their lines; the last one shown of a kind tells how many more there are."""
        out = []
        for key, rows in self.shown.items():
            more = self.counted[key] - len(rows)
            for number, (line, column, value, message) in enumerate(rows, start=1):
                if more and number == len(rows):
                    message += f" ({more} more row{'s' if more > 1 else ''} like it, the last in line {self.last[key]})"
                out.append(Problem(file, line, column, value if len(value) <= SHOWN else value[:SHOWN] + " ...", message))
        return sorted(out, key=lambda p: p.line or 0)


@dataclass(frozen=True)
class Table:
    """rows (n,) int: the line of each row. numbers (n, k): the columns asked for, in that order, units as written; not a
    number where `faults` tells why. `units`: what a row right under the header says of each of them, empty where nothing."""

    header: Header
    rows: np.ndarray
    numbers: np.ndarray
    units: tuple[str, ...]
    faults: Faults


def header_in(text: str, wanted: list[str]) -> Header | None:
    """The first line that has all of the `wanted` names; else the one that comes nearest to a header, if any does."""
    best, most = None, (0, 0)
    for number, line in enumerate(_first_lines(text), start=1):
        for delimiter in DELIMITERS:
            names = _cells(line, delimiter)
            found = sum(name in names for name in wanted)
            if found == len(wanted):
                return Header(number, delimiter, names)
            words = sum(1 for name in names if name and not NUMBER.fullmatch(name))
            if (found, words) > most and len(names) > 1:
                best, most = Header(number, delimiter, names), (found, words)
    return best


def _first_lines(text: str) -> list[str]:
    lines = io.StringIO(text, newline=None)
    return [line for line, _ in zip(lines, range(HEADER_WITHIN), strict=False)]


def _cells(line: str, delimiter: str) -> tuple[str, ...]:
    try:
        return tuple(cell.strip() for row in csv.reader([line], delimiter=delimiter) for cell in row)
    except csv.Error:
        return ()


def missing(header: Header, wanted: Iterable[str]) -> Iterator[tuple[str, str]]:
    """(column, what to say) for each of the `wanted` names that the header has not, or has twice."""
    names = header.names
    there = ", ".join(names[:NAMES_SHOWN]) + (f" and {len(names) - NAMES_SHOWN} more" if len(names) > NAMES_SHOWN else "")
    by_small = {name.lower(): name for name in names}
    for name in wanted:
        if name not in names:
            near = difflib.get_close_matches(name.lower(), by_small, n=1, cutoff=CLOSE_ENOUGH)
            guess = f"did you mean {by_small[near[0]]}? " if near else ""
            yield name, f"there is no such column: {guess}the header has {there}"
        elif names.count(name) > 1:
            yield name, "stands twice in the header: give one of the two another name"


def table(text: str, header: Header, wanted: list[str], *, is_unit) -> Table:
    """The numbers under a header that has all the `wanted` columns. `is_unit` tells whether a cell is the name of a unit: a
    row right under the header with no number but one such is a row of units."""
    faults, at = Faults(), [header.names.index(name) for name in wanted]
    rows, cells = _rows(text, header, at, faults)
    units = ("",) * len(wanted)
    if cells and not any(_number(c, header) is not None for c in cells[0]) and any(is_unit(c) for c in cells[0]):
        units, rows, cells = tuple(c.strip() for c in cells[0]), rows[1:], cells[1:]
    numbers = _numbers(cells, header, quick=text.isascii() and "_" not in text).reshape(-1, len(wanted))
    blank = _name_faults(numbers, rows, cells, header=header, at=at, faults=faults)
    keep = np.setdiff1d(np.arange(len(rows)), blank)
    return Table(header, np.asarray(rows, dtype=int)[keep], numbers[keep], units, faults)


def _rows(text: str, header: Header, at: list[int], faults: Faults) -> tuple[list[int], list[tuple[str, ...]]]:
    """The line of each row and its cells in the columns `at`; rows too short or too long are faults, empty ones nothing."""
    lines = io.StringIO(text, newline=None)
    for _ in range(header.line):
        lines.readline()
    reader, pick, width, need = csv.reader(lines, delimiter=header.delimiter), itemgetter(*at), len(header.names), max(at)
    rows, cells = [], []
    try:
        for row in reader:
            if need < len(row) <= width or (len(row) > width and not any(c.strip() for c in row[width:])):
                rows.append(header.line + reader.line_num)
                cells.append(pick(row))
            elif any(cell.strip() for cell in row):
                faults.add(ODD_WIDTH, header.line + reader.line_num, "", "", _odd_width(len(row), header))
    except csv.Error:
        faults.add(UNREADABLE, header.line + reader.line_num, "", "", UNDONE)
    return rows, cells


def _odd_width(count: int, header: Header) -> str:
    said = f"has {count} cell{'s' if count > 1 else ''} under a header of {len(header.names)}"
    if count < len(header.names):
        return f"{said}: the row was cut off; mend it, or take it out"
    if header.delimiter == ",":
        return f"{said}: decimal commas, where commas part the cells? Export with semicolons or with decimal points"
    return f"{said}: mend the row, or take it out"


def _numbers(cells: list[tuple[str, ...]], header: Header, *, quick: bool) -> np.ndarray:
    """(n, k); not a number where a cell is none. `quick`: nothing in the text that Python alone takes for a number."""
    if quick:
        try:
            return np.array([[float(c) for c in row] for row in cells])
        except ValueError:
            pass
    return np.array([[np.nan if (x := _number(c, header)) is None else x for c in row] for row in cells])


def _number(cell: str, header: Header) -> float | None:
    """The number in a cell, as the logger counts; None where there is none."""
    cell = cell.strip()
    if header.delimiter != "," and cell.count(",") == 1 and "." not in cell:
        cell = cell.replace(",", ".")
    return float(cell) if NUMBER.fullmatch(cell) else None


def _name_faults(numbers: np.ndarray, rows: list[int], cells: list[tuple[str, ...]], *, header: Header, at: list[int],
                 faults: Faults) -> list[int]:
    """Add to `faults` each cell (column `at`) that is no finite number and make it none in `numbers`; which rows have all of
    them empty."""
    blank = []
    for i in np.flatnonzero(~np.isfinite(numbers).all(axis=1)):
        if not any(cell.strip() for cell in cells[i]):
            blank.append(i)
            continue
        for k in np.flatnonzero(~np.isfinite(numbers[i])):
            cell = cells[i][k].strip()
            infinite = NOT_FINITE.fullmatch(cell) or _number(cell, header) is not None
            message = EMPTY if not cell else NO_FINITE if infinite else NO_NUMBER
            faults.add(message, rows[i], header.names[at[k]], cell, message)
    numbers[~np.isfinite(numbers)] = np.nan
    return blank
