"""What a run hands to its reports."""

from dataclasses import dataclass, field

from generators.crank import SweptRegion
from generators.findings import Check
from generators.fit.placing import Placing
from generators.fit.record import Fit
from generators.meshes import PartMeshes
from generators.mockup import Mockup
from generators.nest import Nest
from generators.pieces import Part
from generators.reading import Read
from generators.shop.pack import Pack
from generators.surge import Surge
from generators.vessels import Vessel


@dataclass(frozen=True)
class Run:
    """One design, made and judged. `source` is the parameter file's name, `meshes` are by part name, `vessels` hold the
    oil: those of the parts, and a pan that is there already; `surges` are how it settles in them;
    `fit` is what all of it clears in the vehicle; `pack` what a shop is told, `nests` the
    sheets that the pieces are cut from, `mockup` what is printed, None where none is asked for."""

    version: str
    source: str
    read: Read
    region: SweptRegion
    parts: tuple[Part, ...]
    meshes: dict[str, PartMeshes] = field(repr=False)
    vessels: tuple[Vessel, ...] = field(repr=False)
    surges: tuple[Surge, ...] = field(repr=False)
    checks: tuple[Check, ...]
    placing: Placing
    fit: Fit = field(default_factory=lambda: Fit(reason="nothing was looked at"), repr=False)
    nests: tuple[Nest, ...] = field(default=(), repr=False)
    mockup: Mockup | None = field(default=None, repr=False)
    pack: Pack = field(default_factory=lambda: Pack({}, {}, {}, ()), repr=False)
