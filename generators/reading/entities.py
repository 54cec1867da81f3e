"""A DXF text as its units and the things drawn in it.

A drawing library takes half a second to load; a rail needs five kinds of entity, and a bad file is answered at once."""

import itertools
import math
from dataclasses import dataclass
from pathlib import Path

BINARY_MARK = b"AutoCAD Binary DXF"
"""How a binary DXF begins (DXF reference)."""

LAYER, PAPER = 8, 67
"""Group codes: layer name, 1 for paper space."""


@dataclass(frozen=True)
class Entity:
    """One thing drawn: its kind, e.g. "LINE", its (group code, text) in order, and a POLYLINE's vertices."""

    kind: str
    tags: tuple[tuple[int, str], ...]
    parts: tuple["Entity", ...] = ()

    @property
    def layer(self) -> str:
        """Name of its layer in capitals: layer names ignore case."""
        return self.text(LAYER, "0").strip().upper()

    def text(self, code: int, default: str) -> str:
        """The first text under a group code."""
        return next((value for c, value in self.tags if c == code), default)

    def number(self, code: int, default: float = 0.0) -> float:
        """The first number under a group code. Raises ValueError where it is no number."""
        return finite_number(self.text(code, str(default)))

    def flags(self) -> int:
        """The bits under group code 70."""
        return int(self.number(70))


def finite_number(text: str) -> float:
    """The number in a tag. Raises ValueError where there is none or it is not finite."""
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise ValueError(f"has {text!r} where a number should be: save it again")
    return value


@dataclass(frozen=True)
class Document:
    """`units`: $INSUNITS, 0 where the drawing does not say; `entities` of model space."""

    units: int
    entities: tuple[Entity, ...]


def read_document(path: Path) -> Document:
    """The DXF file at `path`. Raises ValueError where it is not DXF text."""
    data = path.read_bytes()
    if data.startswith(BINARY_MARK):
        raise ValueError("is a binary DXF: save it again as a text (ASCII) DXF")
    if b"\0" in data or not data.strip():
        raise ValueError("is not a DXF drawing: save the outline as a text (ASCII) DXF")
    tags = _tags(data.decode("utf-8", errors="replace"))
    sections = dict(_sections(tags))
    if "ENTITIES" not in sections:
        raise ValueError("has no section ENTITIES, so it is not a whole DXF drawing: save it again")
    return Document(_units(sections.get("HEADER", [])), tuple(_model_space(sections["ENTITIES"])))


def _tags(text: str) -> list[tuple[int, str]]:
    lines = text.removeprefix("\ufeff").splitlines()
    out = []
    for i in range(0, len(lines) - 1, 2):
        try:
            out.append((int(lines[i]), lines[i + 1].strip()))
        except ValueError:
            raise ValueError(
                f"is not a DXF drawing: line {i + 1} should be a group code: save it again as a text DXF"
            ) from None
    if not out or (0, "EOF") not in out[-2:]:
        raise ValueError("is cut short (it does not end in EOF), so something may be missing: save it again")
    return out


def _sections(tags: list[tuple[int, str]]):
    """(name, tags) of each section."""
    start = None
    for i, tag in enumerate(tags):
        if tag == (0, "SECTION"):
            start = i + 2
        elif tag == (0, "ENDSEC") and start is not None:
            yield tags[start - 1][1], tags[start:i]
            start = None


def _units(header: list[tuple[int, str]]) -> int:
    for name, value in itertools.pairwise(header):
        if name == (9, "$INSUNITS"):
            return int(finite_number(value[1]))
    return 0


def _entities(tags: list[tuple[int, str]]):
    starts = [i for i, (code, _) in enumerate(tags) if code == 0] + [len(tags)]
    for start, end in itertools.pairwise(starts):
        yield Entity(tags[start][1], tuple(tags[start + 1 : end]))


def _model_space(tags: list[tuple[int, str]]):
    """Entities of model space; a POLYLINE with the VERTEX entities that follow it."""
    polyline, vertices = None, []
    for entity in _entities(tags):
        if polyline is not None and entity.kind == "VERTEX":
            vertices.append(entity)
        elif polyline is not None and entity.kind == "SEQEND":
            yield Entity("POLYLINE", polyline.tags, tuple(vertices))
            polyline, vertices = None, []
        elif entity.text(PAPER, "0") == "1":
            continue
        elif entity.kind == "POLYLINE":
            polyline = entity
        else:
            yield entity
