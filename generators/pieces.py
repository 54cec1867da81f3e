"""What a part is made of: real pieces, the seams that join them, and the space for oil inside."""

import re
from dataclasses import dataclass, field
from functools import cached_property

import cadquery as cq
import numpy as np

from generators.findings import Sized
from generators.sheet.branches import TubeEnd
from generators.sheet.flat import FlatPattern
from generators.sheet.frames import Frame
from generators.sheet.solids import INTEGRATION

NAME_PATTERN = re.compile("[a-z][a-z0-9_]*")
"""How pieces and mouths are named: their names are file names, products in STEP files and halves of identifiers."""

PAN = "pan"
"""What a part that stands in a pan calls it, whichever of its pieces it is."""

KINDS = ("folded", "rolled", "plate", "tube", "turned", "bought")


def _proper(name: str) -> None:
    if not NAME_PATTERN.fullmatch(name):
        raise ValueError(f"{name!r}: a name is made of small letters, digits and underscores")


@dataclass(frozen=True)
class Tube:
    """What a tube is cut from: outside diameter, bore, and length along its axis before ends are coped and mitres cut, mm."""

    outer: float
    bore: float
    length: float


@dataclass(frozen=True)
class Extra:
    """What is bought for a part and not drawn: what it is called, how many, and what to know."""

    name: str
    quantity: int
    note: str


@dataclass(frozen=True)
class Piece:
    """A piece as ordered or made. `solids` holds one placed solid a copy, in the part's frame (mm). `density` in
    kg/m3, `thickness` in mm (None unless sheet). All pieces are one rigid body, but the copies of a piece with
    `loose` set: each of those moves on its own (flaps, pins). A tube is cut from `stock`; `ends` are those of its that are not cut square. `laid` has for
    each copy of a plate or a folded piece the frame that takes its flat (of a folded one: the root of it), lower side at z = 0,
    to where it lies in the part; of a shell the frame at the middle of its flat."""

    name: str
    kind: str
    material: str
    density: float
    solids: tuple[cq.Solid, ...]
    thickness: float | None = None
    flat: FlatPattern | None = None
    loose: bool = False
    note: str = ""
    ends: tuple[TubeEnd, ...] = ()
    laid: tuple[Frame, ...] = ()
    stock: Tube | None = None

    def __post_init__(self):
        _proper(self.name)
        if self.kind not in KINDS:
            raise ValueError(f"{self.name}: kind must be one of {KINDS}, not {self.kind!r}")
        if self.kind in ("folded", "rolled", "plate") and (self.flat is None or self.thickness is None):
            raise ValueError(f"{self.name}: a sheet piece needs its flat and its thickness")
        if self.kind == "tube" and self.stock is None:
            raise ValueError(f"{self.name}: what is it cut from?")
        if len(self.laid) not in (0, len(self.solids)):
            raise ValueError(f"{self.name}: {len(self.solids)} copies, but {len(self.laid)} are laid out")

    @property
    def quantity(self) -> int:
        """How many are made."""
        return len(self.solids)

    def distance(self, point) -> float:
        """From a point (3,) to the nearest of its copies, mm."""
        spot = cq.Vertex.makeVertex(*map(float, point))
        return min(spot.distance(s) for s in self.solids)

    @cached_property
    def volume(self) -> float:
        """Volume of one copy, mm3."""
        return self.solids[0].Volume(INTEGRATION)

    @property
    def mass(self) -> float:
        """Mass of one copy, kg."""
        return self.volume * 1e-9 * self.density


@dataclass(frozen=True)
class Seam:
    """A weld between two pieces along `path` (n, 3) mm; `leg` mm; leak-tight or stitched."""

    a: str
    b: str
    path: np.ndarray
    leg: float
    leak_tight: bool = True

    @property
    def length(self) -> float:
        """Length, mm."""
        return float(np.linalg.norm(np.diff(self.path, axis=0), axis=1).sum())


@dataclass(frozen=True)
class Hinge:
    """What swings: the copy `index` of piece `piece` about the axis through `point` along `axis` (each (3,), mm), from
    shut (as modelled) to `open_angle` rad by the right-hand rule; `rides` are pieces that swing with it."""

    piece: str
    index: int
    point: tuple[float, float, float]
    axis: tuple[float, float, float]
    open_angle: float
    rides: tuple[str, ...] = ()


@dataclass(frozen=True)
class HoseEnd:
    """Where a hose is screwed on: copy `index` of the piece `piece`, the size of its flare, the frame whose z runs out along it from the sheet's
    outer face, and how far from there (mm) the nut begins."""

    piece: str
    index: int
    dash: str
    where: Frame
    base: float


@dataclass(frozen=True)
class Mouth:
    """A pickup or outlet: points on its rim (n, 3) in the part's frame, mm."""

    name: str
    rim: np.ndarray

    def __post_init__(self):
        _proper(self.name)


@dataclass(frozen=True)
class Part:
    """A part as made, in its own frame (mm). `touching` are pairs of pieces that meet without a weld (bolted, clamped,
    pinned). `cavity` is the gross inside of a vessel before its own pieces are taken out, `full_mark` the height (mm)
    of the full mark in it, `oil` the volume (m3) held at rest. `compartment` is what a walled cell divides off in the
    vessel that it stands in: to the middle of its walls and lid, and through the floor under it; `brim` (n, 3) mm is the rim
    of its opening on top, over which it spills. `into` are welds to the pan that it stands in: their `b` is PAN; `extras` are
    bought for it and not drawn; `hose_ends` are those of a pan that need room for a spanner. A vessel that is there already has no pieces."""

    name: str
    pieces: tuple[Piece, ...]
    dimensions: object
    sized: tuple[Sized, ...] = ()
    seams: tuple[Seam, ...] = ()
    touching: tuple[frozenset[str], ...] = ()
    hinges: tuple[Hinge, ...] = ()
    cavity: cq.Solid | None = None
    full_mark: float | None = None
    oil: float | None = None
    mouths: tuple[Mouth, ...] = ()
    own_frame: bool = False
    compartment: cq.Solid | None = None
    brim: np.ndarray | None = None
    into: tuple[Seam, ...] = ()
    extras: tuple[Extra, ...] = ()
    hose_ends: tuple[HoseEnd, ...] = ()
    joined: frozenset[frozenset[str]] = field(init=False)

    def __post_init__(self):
        names = [p.name for p in self.pieces]
        if len(set(names)) != len(names):
            raise ValueError(f"{self.name}: two pieces share a name")
        pairs = {frozenset((s.a, s.b)) for s in self.seams} | set(self.touching)
        strangers = ({n for pair in pairs for n in pair} | {s.a for s in self.into}) - set(names)
        if strangers:
            raise ValueError(f"{self.name}: joins name pieces that do not exist: {sorted(strangers)}")
        object.__setattr__(self, "joined", frozenset(pairs))

    def piece(self, name: str) -> Piece:
        """The piece called `name`. Raises KeyError."""
        found = {p.name: p for p in self.pieces}
        return found[name]

    @property
    def mass(self) -> float:
        """Mass of all copies, kg."""
        return sum(p.mass * p.quantity for p in self.pieces)
