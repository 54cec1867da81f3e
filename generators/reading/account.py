"""What was read, what was not given and why it is what it is: for the report."""

from generators.findings import Sized
from generators.outlines import Loop
from generators.parameters import Drawing, Measure, Record, Series
from generators.reading.complaints import meaning
from generators.units import convert, echo

UNIT_OF = {"length": "mm", "angle": "deg"}
"""The unit that a list is reported in."""


def texts_in(tables: object, path: tuple[str, ...] = ()) -> dict[str, str]:
    """The user's own text of every value, by dotted key; elements of a list of tables by their number from 0."""
    if isinstance(tables, dict):
        parts = tables.items()
    elif isinstance(tables, list) and tables and all(isinstance(t, dict) for t in tables):
        parts = ((str(i), t) for i, t in enumerate(tables))
    else:
        return {".".join(path): str(tables).lower() if isinstance(tables, bool) else str(tables)}
    out = {}
    for name, value in parts:
        out |= texts_in(value, (*path, name))
    return out


def given_in(texts: dict[str, str]) -> frozenset[str]:
    """Every dotted key that the file states, its tables too."""
    keys = [key.split(".") for key in texts]
    return frozenset(".".join(key[:n]) for key in keys for n in range(1, len(key) + 1))


def sized_in(record: Record, path: tuple[str, ...] = ()):
    """A Sized for each value that no one gave and that has a reason, record by record."""
    for name, info in type(record).model_fields.items():
        value, key = getattr(record, name), (*path, name)
        if isinstance(value, Record):
            inner = list(sized_in(value, key))
            if not inner and name not in record.model_fields_set and info.description:
                inner = [Sized(".".join(key), _record_text(value), f"not given; {info.description}")]
            yield from inner
        elif isinstance(value, tuple) and value and all(isinstance(v, Record) for v in value):
            for number, one in enumerate(value, start=1):
                yield from sized_in(one, (*path, f"{name}[{number}]"))
        elif value is not None and name not in record.model_fields_set and info.description:
            yield Sized(".".join(key), _as_text(name, value, meaning(info)), f"not given; {info.description}")


def _record_text(record: Record) -> str:
    """The values of a record in one line, e.g. "width 1250.0 mm, length 2500.0 mm"."""
    fields = type(record).model_fields
    return ", ".join(f"{name} {_as_text(name, getattr(record, name), meaning(info))}" for name, info in fields.items())


def _as_text(name: str, value: object, means: Measure | Series | None) -> str:
    if isinstance(means, Measure):
        return echo(value, means.dimension)
    return f"{len(value)} {name}" if isinstance(means, Series) else str(value)


def as_report(record: Record, texts: dict[str, str], path: tuple[str, ...] = ()) -> dict:
    """The record as plain JSON values: the user's own text where given, else the value with its unit."""
    out = {}
    for name, info in type(record).model_fields.items():
        value, key = getattr(record, name), (*path, name)
        if isinstance(value, Record):
            out[name] = as_report(value, texts, key)
        elif isinstance(value, tuple) and value and all(isinstance(v, Record) for v in value):
            out[name] = [as_report(v, texts, (*key, str(i))) for i, v in enumerate(value)]
        else:
            out[name] = _plain(value, meaning(info), texts.get(".".join(key)))
    return out


def _plain(value: object, means: Measure | Series | None, text: str | None) -> object:
    if isinstance(value, Loop):
        return {"unit": "mm", "x_y_bulge": [list(v) for v in value.vertices]}
    if isinstance(value, Drawing):
        return value.path
    if isinstance(value, str) and text is not None:  # of a file's path the part that the user wrote
        return text
    if isinstance(value, tuple) and isinstance(means, Measure):
        return [echo(v, means.dimension) for v in value]
    if isinstance(value, float) and isinstance(means, Measure):
        return text if text is not None else echo(value, means.dimension)
    if isinstance(value, tuple) and isinstance(means, Series):
        return _series(value, means)
    return [list(v) if isinstance(v, tuple) else v for v in value] if isinstance(value, tuple) else value


def _series(values: tuple, means: Series) -> dict:
    unit = UNIT_OF[means.dimension]
    one = convert(1.0, unit, means.dimension)
    return {"unit": unit, means.key: [list(v) if isinstance(v, tuple) else v / one for v in values]}
