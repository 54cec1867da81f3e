"""What made the files of a run: the parameter file with all that it names, versions, and a checksum of every file; from it the same can
be made again."""

import hashlib
import json
import platform
import shutil
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from tempfile import TemporaryDirectory

from generators.exports import names
from generators.findings import BadFile
from generators.reading import Read
from generators.reading.source import inside

LIBRARIES = ("cadquery", "cadquery-ocp", "numpy", "scipy", "trimesh", "manifold3d", "python-fcl", "ezdxf", "shapely", "matplotlib", "vtk",
             "reportlab", "spyrrow", "lib3mf")
"""Those on which what comes out depends."""


@dataclass(frozen=True)
class Kept:
    """A manifest as read: `file`, its parameter file in a folder of its own; `only`, the parts that were asked for (None: all); the version that
    made it; `files`, checksums by path."""

    file: Path
    only: list[str] | None
    made_by: str
    files: dict[str, str]


def checksum(file: Path) -> str:
    """SHA-256 of a file's bytes, in hexadecimal."""
    return hashlib.sha256(file.read_bytes()).hexdigest()


def write(root: Path, *, file: Path, read: Read, only: Sequence[str] | None, program: str) -> None:
    """Put the run's inputs below `root`, and beside all that is there the manifest. `file` is the parameter file, `program` the version."""
    inputs = [file.name, *read.files]
    for name in inputs:
        there = root / names.INPUTS / name
        there.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(file.parent / name, there)
    paths = sorted(p.relative_to(root).as_posix() for p in root.rglob("*") if p.is_file())
    said = {
        "sumpwright": program, "title": read.parameters.title, "file": f"{names.INPUTS}/{file.name}", "only": list(only) if only else None,
        "made_with": {"python": platform.python_version(), **{name: _version(name) for name in LIBRARIES}},
        "parameters": read.as_report(),
        "files": {p: {"sha256": checksum(root / p), "bytes": (root / p).stat().st_size} for p in paths},
    }
    text = json.dumps({**said, OWN: _own_checksum(said)}, indent=1, ensure_ascii=False, allow_nan=False)
    (root / names.MANIFEST).write_text(text + "\n", encoding="utf-8")


OWN = "manifest_sha256"
"""Key of the checksum of all else in a manifest."""


def _own_checksum(said: dict) -> str:
    """SHA-256 of a manifest's content without its own checksum."""
    rest = {key: value for key, value in said.items() if key != OWN}
    return hashlib.sha256(json.dumps(rest, sort_keys=True).encode()).hexdigest()


def _version(library: str) -> str | None:
    try:
        return version(library)
    except PackageNotFoundError:
        return None


@contextmanager
def opened(path: Path) -> Iterator[Kept]:
    """The manifest with its inputs in a folder that is there until it is left. Raises BadFile where it is none, where it was changed, or where its inputs are
    missing or are not those that made its files."""
    found, sums = _loaded(path)
    with TemporaryDirectory(prefix="sumpwright-") as folder:
        for name in (n for n in sums if n.startswith(f"{names.INPUTS}/")):
            try:
                source = inside(path.parent, name)
            except ValueError as bad:
                raise BadFile.whole(path, f"{name}: {bad}") from bad
            if checksum(source) != sums[name]:
                raise BadFile.whole(path, f"{name} was changed since: give the parameter file itself to make a new design")
            there = Path(folder) / name
            there.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(source, there)
        yield Kept(Path(folder) / found["file"], found.get("only"), found["sumpwright"], sums)


def _loaded(path: Path) -> tuple[dict, dict[str, str]]:
    """A manifest's content, and its checksums by path."""
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
        sums = {str(name): str(about["sha256"]) for name, about in found["files"].items()}
        known = isinstance(found["sumpwright"], str) and found["file"] in sums and found["file"].startswith(f"{names.INPUTS}/")
        known = known and (found.get("only") is None or all(isinstance(part, str) for part in found["only"]))
    except FileNotFoundError:
        raise BadFile.whole(path, "there is no such file") from None
    except (OSError, UnicodeDecodeError) as bad:
        raise BadFile.whole(path, f"cannot be read: {bad}") from bad
    except (ValueError, TypeError, KeyError, AttributeError):
        known = False
    if not known:
        raise BadFile.whole(path, f"is no {names.MANIFEST} of ours: give that of an output folder, or a parameter file (TOML)")
    if found.get(OWN) != _own_checksum(found):
        raise BadFile.whole(path, f"was changed since it was written: it is a record; change the parameter file ({found['file']}) and make that")
    return found, sums


def unlike(kept: Kept, root: Path) -> list[str]:
    """Paths of files below `root` that are not as the manifest says, or of which one side has none."""
    here = {p.relative_to(root).as_posix(): p for p in root.rglob("*") if p.is_file() and not p.name.startswith(".") and p != root / names.MANIFEST}
    return sorted(name for name in here.keys() | kept.files.keys()
                  if name not in here or name not in kept.files or checksum(here[name]) != kept.files[name])
