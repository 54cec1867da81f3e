"""A design that cannot be made, said of the line of the parameter file that asks for it."""

import re
from collections.abc import Iterable
from pathlib import Path

from generators.findings import BadFile, Problem
from generators.reading.lines import line_of
from generators.reading.located import problems_at
from generators.reading.source import load

KEYED = re.compile(r"([a-z_]+(?:\.[a-z_]+)*): (.+)", re.DOTALL)
"""What a part says when it cannot be made: the key to change, then the numbers and the remedy."""


def unmakeable(path: Path | str, said: str) -> BadFile:
    """The refusal `said` ("key: message") as a problem with the file at `path`, on the key's line where it has one."""
    found = KEYED.fullmatch(said)
    if not found:
        return BadFile.whole(path, said)
    key, message = found.groups()
    source = load(Path(path))
    parts = tuple(key.split("."))
    value = source.tables
    for part in parts:
        value = value.get(part, {}) if isinstance(value, dict) else {}
    return BadFile([Problem(str(path), line_of(source.lines, parts), key, str(value) if value else "", message)])


def refused(path: Path, problems: Iterable[tuple[tuple, str]]) -> BadFile:
    """Everything that is wrong with what the file at `path` names: (path of the key, message) each, told on the key's line."""
    source = load(Path(path))
    return BadFile(problems_at(source, problems))
