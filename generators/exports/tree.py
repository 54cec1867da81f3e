"""The output folder, all or nothing: a run writes beside the last good output and takes its place when it is done."""

import json
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from generators.findings import BadFile

REPORTS = ("report.json", "comparison.json")
"""What a run leaves in its folder, one or the other."""

MANIFEST = ".sumpwright_files"
"""Lists what a run wrote, so that a later run takes away nothing else."""

NEW, OLD = "new", "old"


def ready(path: Path | str, *, keep: Path | str | None = None) -> Path:
    """The folder that output may be written to, resolved; nothing is left on the disk.

    Raises BadFile where it cannot be made or replaced: it is a file, cannot be written, is not one of our own folders,
    holds files that a run did not write, or holds the current folder or the file `keep` (the run's own input)."""
    try:
        return _checked(path, Path(path).resolve(), Path(keep).resolve() if keep else None)
    except (OSError, ValueError) as problem:
        raise BadFile.whole(path, f"cannot be used as the output folder: {problem}") from problem


def _checked(path: Path | str, folder: Path, keep: Path | None) -> Path:
    above = next(p for p in folder.parents if p.exists())
    if folder.exists() and not folder.is_dir():
        raise BadFile.whole(path, "is a file; the output needs a folder")
    if not above.is_dir():
        raise BadFile.whole(path, f"cannot be made: {above} is a file")
    if not os.access(above, os.W_OK | os.X_OK) or (folder.exists() and not os.access(folder, os.R_OK | os.W_OK | os.X_OK)):
        raise BadFile.whole(path, "cannot be written: permission denied")
    _try_out(path, above)
    for what, held in (("the current folder", Path.cwd()), ("the parameter file", keep)):
        if held is not None and held.is_relative_to(folder):
            raise BadFile.whole(path, f"holds {what}, which would be lost; choose another output folder")
    if folder.exists():
        _require_own(path, folder)
    return folder


def _try_out(path: Path | str, above: Path) -> None:
    """Make a folder in `above` and take it away: file systems that take none may still say that they can be written."""
    try:
        Path(tempfile.mkdtemp(prefix=".sumpwright-", dir=above)).rmdir()
    except OSError as problem:
        raise BadFile.whole(path, f"cannot be written: no folder can be made in {above} ({problem.strerror}); choose another "
                                  "output folder") from problem


def _require_own(path: Path | str, folder: Path) -> None:
    if not any(folder.iterdir()):
        return
    if not _is_ours(folder):
        raise BadFile.whole(path, f"is not empty and holds no {' or '.join(REPORTS)} of ours; choose another output folder")
    if strays := _strays(folder):
        raise BadFile.whole(path, f"holds files that a run did not write and would lose: {', '.join(strays)}; move them away")


def _is_ours(folder: Path) -> bool:
    return any(_is_report(folder / name) for name in REPORTS)


def _is_report(file: Path) -> bool:
    try:
        return "sumpwright" in json.loads(file.read_text(encoding="utf-8"))
    except (OSError, ValueError, TypeError):
        return False


def _files(folder: Path) -> list[str]:
    return sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if not p.is_dir())


def _strays(folder: Path) -> list[str]:
    """Files that are not on the list of what was written; none where there is no list."""
    manifest = folder / MANIFEST
    if not manifest.is_file():
        return []
    known = {MANIFEST, *manifest.read_text(encoding="utf-8").splitlines()}
    return [name for name in _files(folder) if name not in known]


def _beside(folder: Path, kind: str) -> Path:
    """The hidden folder of this process next to `folder`, on the same file system."""
    return folder.parent / f".{folder.name}.{kind}-{os.getpid()}"


def _is_running(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True


def _recover(folder: Path) -> None:
    """Put right what a killed run left: bring the last good output back where it was moved away, remove the rest."""
    for kind in (OLD, NEW):
        for left in folder.parent.glob(f".{folder.name}.{kind}-*"):
            owner = left.name.rpartition("-")[2]
            if not owner.isdigit() or (_is_running(int(owner)) and int(owner) != os.getpid()):
                continue
            if kind == OLD and not folder.exists():
                left.rename(folder)
            else:
                shutil.rmtree(left)


@contextmanager
def replaced(path: Path | str, *, keep: Path | str | None = None) -> Iterator[Path]:
    """A fresh folder to write into; on leaving it takes the place of `path`. Whatever goes wrong or interrupts before
    that, `path` is as it was and the fresh folder is gone. Raises BadFile as `ready` does."""
    folder = ready(path, keep=keep)
    made = [p for p in folder.parents if not p.exists()]
    fresh = _beside(folder, NEW)
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        _recover(folder)
        fresh.mkdir()
    except OSError as problem:
        raise BadFile.whole(path, f"cannot be used as the output folder: {problem}") from problem
    try:
        yield fresh
        (fresh / MANIFEST).write_text("".join(f"{name}\n" for name in _files(fresh)), encoding="utf-8")
        ready(path, keep=keep)
        _swap(fresh, folder)
    except BaseException:
        shutil.rmtree(fresh, ignore_errors=True)
        for parent in made:
            with suppress(OSError):
                parent.rmdir()
        raise


def _swap(fresh: Path, folder: Path) -> None:
    old = _beside(folder, OLD)
    had = folder.exists()
    if had:
        folder.rename(old)
    try:
        fresh.rename(folder)
    except BaseException:
        if had:
            old.rename(folder)
        raise
    if had:
        shutil.rmtree(old)
