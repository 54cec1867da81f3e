"""A parameter file's bytes -> its tables and the lines they stand on, and the paths that it may name."""

import re
import stat
import tomllib
from dataclasses import dataclass
from pathlib import Path

from generators.findings import BadFile, Problem
from generators.reading.lines import key_lines

LARGEST_BYTES = 2_000_000
"""A parameter file is a few kilobytes; anything near this is another kind of file."""

BEGIN = "`sumpwright starter FILE` writes one to begin from"


@dataclass(frozen=True)
class Source:
    """A file as TOML: `tables` as tomllib gives them, `lines` from path of a key to its line."""

    path: Path
    tables: dict
    lines: dict


def load(path: Path) -> Source:
    """The file's tables. Raises BadFile for anything that is not TOML text of a reasonable size."""
    text = _text(path)
    tables = _parsed(path, text)
    if not tables:
        raise BadFile.whole(path, f"says nothing: {BEGIN}")
    return Source(path, tables, key_lines(text.replace("\r\n", "\n")))


def _text(path: Path) -> str:
    try:
        data = _bytes(path)
    except OSError as bad:
        raise BadFile.whole(path, f"cannot be read: {bad.strerror or bad}") from bad
    if not data.strip():
        raise BadFile.whole(path, f"is empty: {BEGIN}")
    if b"\0" in data:
        raise BadFile.whole(path, "is not text but a binary file: give the parameter file, which is TOML text")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as bad:
        line = data.count(b"\n", 0, bad.start) + 1
        message = "is not UTF-8 text here: save it as UTF-8 in the editor"
        raise BadFile([Problem(str(path), line, "", "", message)]) from bad


def _bytes(path: Path) -> bytes:
    try:
        about = path.stat()
    except FileNotFoundError as bad:
        raise BadFile.whole(path, f"there is no such file: check its name; {BEGIN}") from bad
    if stat.S_ISDIR(about.st_mode):
        raise BadFile.whole(path, "is a folder: give the parameter file in it")
    if not stat.S_ISREG(about.st_mode):
        raise BadFile.whole(path, "is not an ordinary file")
    if about.st_size > LARGEST_BYTES:
        raise BadFile.whole(
            path,
            f"has {about.st_size / 1e6:.0f} MB; a parameter file has at most {LARGEST_BYTES / 1e6:.0f} MB: "
            "is it the right file?",
        )
    return path.read_bytes()


def _parsed(path: Path, text: str) -> dict:
    try:
        return tomllib.loads(text)
    except RecursionError as bad:
        raise BadFile.whole(path, "nests its brackets too deeply") from bad
    except ValueError as bad:
        found = re.search(r" \(at line (\d+), column (\d+)\)$", str(bad))
        line = int(found[1]) if found else None
        if found is None and str(bad).endswith("(at end of document)"):
            line = text.count("\n") + 1
        reason = re.sub(r" \(at [^()]*\)$", "", str(bad))
        column = f" at column {found[2]}" if found else ""
        message = f'is not TOML{column}: {reason}; a line reads  key = "value with unit"  or  [table]'
        raise BadFile([Problem(str(path), line, "", "", message)]) from bad


def inside(folder: Path, name: str) -> Path:
    """The existing file `name` in `folder`. Raises ValueError where it is no file or lies outside, also by a link."""
    try:
        home, target = folder.resolve(), (folder / name).resolve()
        if Path(name).is_absolute() or not target.is_relative_to(home):
            raise ValueError(
                "leaves the folder of the parameter file: copy the file beside it and name it without a path"
            )
        if not target.exists():
            raise ValueError(f"there is no such file in the folder of the parameter file, {home}")
        if not target.is_file():
            raise ValueError("is not a file")
    except OSError as bad:
        raise ValueError(f"cannot be read: {bad.strerror or bad}") from bad
    return target
