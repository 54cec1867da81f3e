"""Where in a parameter file a problem is."""

from collections.abc import Iterable

from generators.findings import Problem
from generators.reading.complaints import shown
from generators.reading.lines import line_of
from generators.reading.source import Source


def problems_at(source: Source, found: Iterable[tuple[tuple, str]]) -> list[Problem]:
    """What was found wrong, (path of the key, message) each, as problems in the order of their lines."""
    out = []
    for path, message in found:
        value = _value_at(source.tables, path)
        out.append(Problem(str(source.path), line_of(source.lines, path), _dotted(path), value, message))
    return sorted(dict.fromkeys(out), key=lambda p: (p.line is None, p.line or 0))


def _dotted(path: tuple) -> str:
    return "".join(f"[{p + 1}]" if isinstance(p, int) else f".{p}" for p in path).lstrip(".")


def _value_at(tables: object, path: tuple) -> str:
    """The value at `path` as text; empty where the file has none or it is a table."""
    for part in path:
        try:
            tables = tables[part]
        except (KeyError, IndexError, TypeError):
            return ""
    return "" if isinstance(tables, dict) and "unit" not in tables else shown(tables)
