"""A parameter file -> Parameters, or one error that lists every problem with its line."""

from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from generators.findings import BadFile, Sized
from generators.parameters import FromFile, Lap, Parameters, problems_between
from generators.reading import account
from generators.reading.complaints import complaints, record_in, unknown_key
from generators.reading.lap import read_lap
from generators.reading.located import problems_at
from generators.reading.source import Source, inside, load

__all__ = ["Read", "read"]


@dataclass(frozen=True)
class Read:
    """A file as read: `sized`, what the tool chose and why; `given`, the dotted keys that the file states; `texts`, the
    user's own words for each of them; `lap`, the logged lap that it names, None where it names none; `files`, all files that it
    names, relative to its folder."""

    parameters: Parameters
    sized: tuple[Sized, ...]
    given: frozenset[str]
    texts: dict[str, str]
    lap: Lap | None = None
    files: tuple[str, ...] = ()

    def as_report(self) -> dict:
        """Every table as read, with defaults: finite numbers, and text with units."""
        return account.as_report(self.parameters, self.texts)


def read(path: Path | str) -> Read:
    """The parameters in the file and the lap that it names. Raises BadFile with every problem found: of the file, and of
    the lap where the file has none."""
    source = load(Path(path))
    named: list[str] = []
    context = _context(source.path.parent, named)
    tables, found = _tables(source, context)
    if not found:
        try:
            parameters = Parameters(**tables)
        except ValidationError as bad:
            found = list(complaints(Parameters, bad.errors(include_url=False)))
    else:
        found += [(tuple(key.split(".")), message) for key, message in problems_between(tables)]
    if found:
        raise BadFile(problems_at(source, found))
    texts = account.texts_in(source.tables)
    lap = _lap(source, parameters, texts)
    return Read(parameters, tuple(account.sized_in(parameters)), account.given_in(texts), texts, lap, tuple(sorted(set(named))))


def _lap(source: Source, parameters: Parameters, texts: dict[str, str]) -> Lap | None:
    driving = parameters.driving
    if driving.log is None or driving.columns is None:
        return None
    name = str(source.path.parent / texts["driving.log"])
    return read_lap(driving.log, name=name, columns=driving.columns)


def _context(folder: Path, named: list[str]) -> FromFile:
    """How paths are read: in the folder alone; each that is found is added to `named`."""
    def found(name: str) -> Path:
        target = inside(folder, name)
        named.append(target.relative_to(folder.resolve()).as_posix())
        return target

    def drawing(name: str):
        from generators.reading.drawing import read_drawing

        return read_drawing(found(name), name=name)

    return FromFile(drawing=drawing, path=lambda name: str(found(name)))


def _tables(source: Source, context: FromFile) -> tuple[dict, list]:
    """Each table of the file as its record, and (path, message) for all that is wrong with the others."""
    tables, found = {}, []
    for name in source.tables.keys() - Parameters.model_fields.keys():
        found.append(((name,), unknown_key(name, Parameters)))
    for name, info in Parameters.model_fields.items():
        model = record_in(info.annotation)
        if name not in source.tables:
            if info.is_required():
                found.append(
                    ((name,), f"is missing: add a table [{name}]; pan_rail, crank and driving are always needed")
                )
            elif model is not None:
                tables[name] = info.get_default(call_default_factory=True)
        elif model is None:
            tables[name] = source.tables[name]
        else:
            try:
                tables[name] = model.model_validate(source.tables[name], context=context)
            except ValidationError as bad:
                found += [((name, *path), text) for path, text in complaints(model, bad.errors(include_url=False))]
    return tables, found
