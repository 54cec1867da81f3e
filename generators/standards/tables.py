"""The standards' tables as rows of text, and the answer to a name that is in none of them."""

import csv
import difflib
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType

DATA = Path(__file__).parent.parent / "data"

SHOWN = 8
"""How many known names an error lists: enough to find a slip of the finger, short enough to read."""


class Unknown(LookupError):
    """A name or size that is not in a table. The message lists what is known, nearest first."""

    def __init__(self, what: str, wanted: object, known: Iterable[object]):
        self.what, self.wanted, self.known = what, str(wanted), nearest(str(wanted), known)
        more = ", ..." if len(self.known) > SHOWN else ""
        super().__init__(f"no {what} {self.wanted!r}; known: {', '.join(self.known[:SHOWN])}{more}")


@dataclass(frozen=True)
class Limit:
    """A number and where it comes from. `value` is in the unit that its function or constant names."""

    value: float
    source: str


@dataclass(frozen=True)
class Span:
    """A number that practice keeps between two others: `usual` is the one to draw; all in one unit."""

    least: float
    usual: float
    greatest: float
    source: str


def nearest(wanted: str, known: Iterable[object]) -> tuple[str, ...]:
    """The known names, those most like `wanted` first, in spelling and first number; equals keep their order."""
    def likeness(name: str) -> float:
        spelling = difflib.SequenceMatcher(None, wanted.lower(), name.lower()).ratio()
        return spelling + 2 * _closeness(_first_number(wanted), _first_number(name))

    return tuple(sorted((str(name) for name in known), key=likeness, reverse=True))


def _first_number(name: str) -> float | None:
    found = re.search(r"\d+(\.\d+)?", name)
    return float(found[0]) if found else None


def _closeness(a: float | None, b: float | None) -> float:
    if a is None or b is None:
        return 0
    return min(a, b) / max(a, b) if max(a, b) > 0 else 1


@cache
def rows(table: str) -> tuple[Mapping[str, str], ...]:
    """Rows of data/`table`.csv, heading -> text, in the order of the file. Lines that begin with # are its passport."""
    with (DATA / f"{table}.csv").open(encoding="utf-8", newline="") as lines:
        return tuple(MappingProxyType(row) for row in csv.DictReader(x for x in lines if not x.startswith("#")))


def require_positive(name: str, value: float) -> None:
    """Refuse a size, in mm or any other unit, that is zero, negative or not a number."""
    if not value > 0:
        raise ValueError(f"{name} must be positive, not {value}")
