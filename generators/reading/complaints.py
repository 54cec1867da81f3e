"""What a record refuses -> problems that name the key as the user wrote it, and what would be right."""

import difflib
import typing

from generators.parameters import Inconsistent, Measure, Record, Series
from generators.units import example

SHOWN = 60
"""Characters of a value that an error repeats."""

CLOSE_ENOUGH = 0.6
"""How alike two words must be for one to be offered for the other (difflib's own default)."""

NEEDS = {
    "string_type": "must be text in quotes",
    "int_type": "must be a whole number",
    "bool_type": "must be true or false",
    "float_type": "must be a bare number",
    "model_type": "must be a table of keys",
    "tuple_type": "must be a list [...]",
    "dict_type": "must be a table of keys",
    "string_too_short": "must not be empty",
    "int_from_float": "must be a whole number",
}


def complaints(model: type[Record], errors: list[dict]):
    """(path below the record, message) for each of pydantic's errors()."""
    for error in errors:
        loc, cause = tuple(error["loc"]), error.get("ctx", {}).get("error")
        if isinstance(cause, Inconsistent):
            for key, message in cause.problems:
                yield (*loc, *(int(k) if k.isdigit() else k for k in key.split(".") if k)), message
        else:
            yield loc, _message(model, loc, error, cause)


def _message(model: type[Record], loc: tuple, error: dict, cause: Exception | None) -> str:
    kind = error["type"]
    if cause is not None:
        return str(cause)
    if kind == "extra_forbidden":
        return unknown_key(str(loc[-1]), record_at(model, loc[:-1]))
    if kind == "missing":
        return f"is missing: add {_example(record_at(model, loc[:-1]), str(loc[-1]))}"
    if kind == "literal_error":
        return f"must be {error['ctx']['expected'].replace(chr(39), chr(34))}"
    if kind == "string_too_long":
        return f"must have at most {error['ctx']['max_length']} characters"
    if kind == "tuple_type" and (row := _row_at(model, loc)):
        return f"must be a list of tables, as [{row}]"
    return NEEDS.get(kind, error["msg"].replace("Input should be", "must be"))


def _row_at(model: type[Record], loc: tuple) -> str:
    """The least that a table of the list at `loc` says; empty where the list is not one of tables."""
    holder = record_at(model, loc[:-1])
    row = record_in(holder.model_fields[str(loc[-1])].annotation) if holder and str(loc[-1]) in holder.model_fields else None
    return f"{{ {', '.join(_example(row, k) for k, i in row.model_fields.items() if i.is_required())} }}" if row else ""


def unknown_key(key: str, model: type[Record] | None) -> str:
    """What to say of a key that `model` does not have."""
    known = list(model.model_fields) if model else []
    near = difflib.get_close_matches(key.lower(), known, n=1, cutoff=CLOSE_ENOUGH)
    guess = f"did you mean {near[0]}? " if near else ""
    return f"is not a known key here: {guess}allowed: {', '.join(known)}"


def _example(model: type[Record] | None, key: str) -> str:
    info = model.model_fields.get(key) if model else None
    measure = meaning(info) if info else None
    if isinstance(measure, Measure):
        return f'{key} = "{example(measure.dimension)}"'
    if info and typing.get_origin(info.annotation) is typing.Literal:
        return f"{key} = " + " or ".join(f'"{word}"' for word in typing.get_args(info.annotation))
    return key


def meaning(info) -> Measure | Series | None:
    """What the number or list of a field means, as its type says; None where it is neither."""
    return _marked((*info.metadata, info.annotation))


def _marked(things) -> Measure | Series | None:
    for thing in things:
        if isinstance(thing, (Measure, Series)):
            return thing
        found = _marked((*typing.get_args(thing), *getattr(thing, "__metadata__", ())))
        if found is not None:
            return found
    return None


def record_at(model: type[Record], path: tuple) -> type[Record] | None:
    """The record that holds the key after `path`; None where the path leads through something else."""
    for name in path:
        if isinstance(name, int):
            continue
        info = model.model_fields.get(name)
        model = record_in(info.annotation) if info else None
        if model is None:
            return None
    return model


def record_in(annotation: object) -> type[Record] | None:
    """The record class in an annotation such as `Cell | None`."""
    if isinstance(annotation, type) and issubclass(annotation, Record):
        return annotation
    return next(filter(None, (record_in(inner) for inner in typing.get_args(annotation))), None)


def shown(value: object) -> str:
    """A value as a user would know it again, cut to SHOWN characters."""
    text = f'"{value}"' if isinstance(value, str) else str(value).lower() if isinstance(value, bool) else repr(value)
    return text if len(text) <= SHOWN else text[:SHOWN] + " ..."
