"""Solids in a STEP file, mm. What cannot be used raises ValueError with a sentence for the user."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import cadquery as cq
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Message import Message, Message_Gravity
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_FACE, TopAbs_SHELL, TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer

LARGEST_BYTES = 200_000_000

UNIT = re.compile(rb"LENGTH_UNIT\s*\(")
NAMES = {b"MILLI": "millimetres", b"CENTI": "centimetres", b"$": "metres"}
SI_LENGTH = re.compile(rb"LENGTH_UNIT\s*\(\s*\)[^;]*?SI_UNIT\s*\(\s*(\.(?:MILLI|CENTI)\.|\$)\s*,\s*\.METRE\.\s*\)")
OTHER_LENGTH = re.compile(rb"CONVERSION_BASED_UNIT\s*\(\s*'([^']+)'[^;]*LENGTH_UNIT|LENGTH_UNIT[^;]*CONVERSION_BASED_UNIT\s*\(\s*'([^']+)'|"
                          rb"CONVERSION_BASED_UNIT\s*\(\s*'([^']+)'[^;]*\)\s*LENGTH_UNIT")


def read_solids(path: Path) -> tuple[tuple[cq.Solid, ...], str]:
    """Every solid in the file at `path`, placed, in mm, and the unit that the file is in. Raises ValueError where it is no STEP file,
    says no unit, or holds anything but sound solids."""
    size = path.stat().st_size
    if size > LARGEST_BYTES:
        raise ValueError(f"has {size / 1e6:.0f} MB; at most {LARGEST_BYTES / 1e6:.0f} MB are read: save only what is near the engine")
    data = path.read_bytes()
    if not data.strip():
        raise ValueError("is empty: save the solid again")
    if not data.lstrip().startswith(b"ISO-10303-21"):
        raise ValueError("is not a STEP file: save the solid as STEP")
    if b"END-ISO-10303-21" not in data:
        raise ValueError("is cut short: its last line is missing; save it again")
    if not UNIT.search(data):
        raise ValueError("does not say its unit of length: save it again with its unit, or as STL, of which you state it")
    shape = _shape(path)
    solids = tuple(cq.Solid(s) for s in _each(shape, TopAbs_SOLID))
    loose = sum(1 for _ in _each(shape, TopAbs_FACE, TopAbs_SOLID))
    shells = sum(1 for _ in _each(shape, TopAbs_SHELL, TopAbs_SOLID))
    if not solids or loose:
        found = f"{loose} face{'s' * (loose != 1)} in {shells} open shell{'s' * (shells != 1)}"
        beside = f"{found} beside its {len(solids)} solids" if solids else f"no solid, but {found}" if loose else "no solid"
        raise ValueError(f"holds {beside}: only closed solids can be measured to; make solids of the faces or leave them out, and save it again")
    for number, solid in enumerate(solids, start=1):
        if not solid.isValid() or not 0 < solid.Volume(1e-6) < 1e15:
            raise ValueError(f"holds an unsound solid, number {number} of {len(solids)}: repair it where it was drawn, and save it again")
    return solids, _unit(data)


def _unit(data: bytes) -> str:
    if found := OTHER_LENGTH.search(data):
        return next(g for g in found.groups() if g).decode("ascii", "replace").lower()
    found = SI_LENGTH.search(data)
    return NAMES.get(found[1].strip(b"."), "its own unit") if found else "its own unit"


def _shape(path: Path):
    """All that is in the file, as one kernel shape."""
    with _quiet():
        reader = STEPControl_Reader()
        try:
            is_read = reader.ReadFile(str(path)) == IFSelect_ReturnStatus.IFSelect_RetDone and reader.TransferRoots() > 0
        except Exception as bad:  # the kernel raises its own kinds for damaged files
            raise ValueError(f"cannot be read as STEP: it is damaged ({type(bad).__name__}); save it again") from bad
        if not is_read:
            raise ValueError("cannot be read as STEP: it is damaged or holds no shape; save it again")
        return reader.OneShape()


@contextmanager
def _quiet() -> Iterator[None]:
    """Without the kernel's own remarks on the standard output."""
    printers = list(Message.DefaultMessenger_s().Printers())
    before = [p.GetTraceLevel() for p in printers]
    for printer in printers:
        printer.SetTraceLevel(Message_Gravity.Message_Fail)
    try:
        yield
    finally:
        for printer, level in zip(printers, before, strict=True):
            printer.SetTraceLevel(level)


def _each(shape, kind, outside=None) -> Iterator:
    """Every shape of a kind within another, those within the kind `outside` left out."""
    walk = TopExp_Explorer(shape, kind, outside) if outside is not None else TopExp_Explorer(shape, kind)
    while walk.More():
        yield walk.Current()
        walk.Next()
