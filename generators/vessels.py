"""What the parts that stand in a vessel leave of it for the oil: the whole, and each cell with its gates shut."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import manifold3d
import trimesh

from generators.meshes import PartMeshes, closed, manifold, metal, solid_mesh, union
from generators.pieces import Part

CELL, AROUND = "cell", "around"
"""The compartments of a vessel in which a walled cell stands: inside of the cell, and all else."""


@dataclass(frozen=True)
class Compartment:
    """One compartment's oil space, mm, closed."""

    name: str
    oil_space: trimesh.Trimesh = field(repr=False)


@dataclass(frozen=True)
class Vessel:
    """The vessel that `part` makes or stands for. `oil_space` is its inside less every piece in it, its own and those of
    other parts; `compartments` divide that, none where nothing divides it. `gross` is the whole inside and `displaced`
    what all pieces take of it, mm3. `guests` are the names of the other parts in it."""

    part: Part
    oil_space: trimesh.Trimesh = field(repr=False)
    compartments: tuple[Compartment, ...]
    gross: float
    displaced: float
    guests: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """The part's."""
        return self.part.name


def vessels(hosts: Sequence[PartMeshes], guests: Mapping[str, Sequence[PartMeshes]]) -> tuple[Vessel, ...]:
    """A vessel for each of `hosts` that has an inside; `guests`, by host, are the parts that stand in it. Raises
    KernelFailure where a mesh does not close."""
    return tuple(vessel(h, guests.get(h.part.name, ())) for h in hosts if h.part.cavity is not None)


def vessel(host: PartMeshes, guests: Sequence[PartMeshes] = ()) -> Vessel:
    """One vessel with what stands in it."""
    gross = manifold(solid_mesh(host.part.cavity))
    if not guests:
        return Vessel(host.part, host.oil_space, (), gross.volume(), gross.volume() - host.oil_space.volume)
    solid = union([body for m in (host, *guests) for group in metal(m.part, m.copies) for body in group])
    free = gross - solid
    whole = closed(free, host.part.name, "taking what stands in it out of the oil space")
    walls = [g.part.compartment for g in guests if g.part.compartment is not None]
    compartments = _split(free, walls, host.part.name) if walls else ()
    return Vessel(host.part, whole, compartments, gross.volume(), (gross ^ solid).volume(), tuple(g.part.name for g in guests))


def _split(free: manifold3d.Manifold, walls: Sequence, name: str) -> tuple[Compartment, ...]:
    """The free space inside and outside of the solids that run through the middle of a cell's walls, floor and lid."""
    cells = [manifold(solid_mesh(w)) for w in walls]
    names = [CELL] if len(cells) == 1 else [f"{CELL}_{i}" for i in range(1, len(cells) + 1)]
    parts = [(n, free ^ cell) for n, cell in zip(names, cells, strict=True)] + [(AROUND, free - union(cells))]
    return tuple(Compartment(n, closed(body, name, f"dividing the oil space: {n}")) for n, body in parts)
