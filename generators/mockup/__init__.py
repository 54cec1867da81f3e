"""A mock-up to print and bolt on before metal is cut: every part thick enough for a nozzle, in pieces that fit the bed, with gauges."""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import manifold3d
import numpy as np
import trimesh

from generators.crank import SweptRegion
from generators.meshes import PartMeshes, closed
from generators.mockup import gauges, splitting
from generators.mockup.marking import marked
from generators.mockup.variant import LEAST_MM, Printable, grows, printable, thick_enough, thicker
from generators.mockup.walls import thinnest
from generators.parameters import Parameters
from generators.pieces import Part

GAUGES = "gauges"


@dataclass(frozen=True)
class Printed:
    """A piece as it lies on the bed: what it belongs to, its name and mark, its mesh (mm, on z = 0), how it is joined to each piece that it meets,
    and the thinnest wall, mm."""

    group: str
    name: str
    mark: str
    mesh: trimesh.Trimesh = field(repr=False)
    joints: str
    thinnest: float
    note: str = ""

    @property
    def size(self) -> tuple[float, float, float]:
        """Room that it takes on the bed, mm."""
        return tuple(map(float, self.mesh.extents))


@dataclass(frozen=True)
class Mockup:
    """All pieces, what is said of each part that is printed, and how many dowels join them."""

    pieces: tuple[Printed, ...]
    notes: dict[str, tuple[str, ...]]
    dowels: int = 0


def printed_of(parameters: Parameters, region: SweptRegion, parts: Sequence[Part], meshed: Mapping[str, PartMeshes],
               again: Mapping[str, Callable[[Parameters], Part]]) -> Mockup | None:
    """The mock-up of parts with their meshes; None where the file asks for none. `again` makes a part of other parameters: of those whose sheets are
    thinner than the least wall."""
    if parameters.mockup is None:
        return None
    thick, made = thick_enough(parameters), []
    for part in parts:
        other, said = thicker(part, lambda name=part.name: again[name](thick)) if grows(part.name, parameters, thick) else (part, "")
        made.append(printable(other, meshed[part.name] if other is part else None, parameters.mockup, said=said))
    return mockup(parameters, region, made)


def mockup(parameters: Parameters, region: SweptRegion, parts: Sequence[Printable]) -> Mockup:
    """The pieces of the parts and of the gauges. Raises KernelFailure where one does not close."""
    asked = parameters.mockup
    bed, join = (asked.bed.x, asked.bed.y, asked.bed.z), splitting.Join(asked.clearance, asked.dowel)
    swing = _swing(region)
    pieces, dowels = [], 0
    for letter, one in zip(_letters(), parts, strict=False):
        number = 0
        for name, body in one.bodies.items():
            made = splitting.split(body, bed=bed, join=join, avoid=list(one.avoid), keep_clear=None if one.part.own_frame else swing,
                                   prints=_prints)
            pieces += _printed(one.part.name, name, made, bed, f"{letter}", number)
            number += len(made.pieces)
            dowels += made.dowels
    pieces += _gauges(parameters, region, bed, join)
    return Mockup(tuple(pieces), {one.part.name: one.notes for one in parts}, dowels)


def _letters() -> Iterable[str]:
    return "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def _printed(group: str, name: str, made: splitting.Split, bed, letter: str, number: int) -> list[Printed]:
    """The pieces and straps of one body, marked and laid on the bed."""
    out = []
    marks = [f"{letter}{number + i}" for i in range(1, len(made.pieces) + 1)]
    joints = joined(made, marks)
    for i, (piece, mark) in enumerate(zip(made.pieces, marks, strict=True), start=1):
        body, is_marked = marked(piece, mark)
        label = name if len(made.pieces) == 1 else f"{name}_{i}"
        own = "; ".join(f"to {next(iter(pair - {mark}))}: {said}" for pair, said in joints.items() if mark in pair) or "whole"
        note = "" if is_marked else f"no face holds its mark {mark}: write it on"
        out.append(_laid(Printed(group, label, mark if is_marked else "", _mesh(body, group, label), own, 0.0, note), bed))
    for i, strap in enumerate(made.straps, start=1):
        label = f"{name}_strap_{i}"
        over = _beside(strap, list(zip(made.pieces, marks, strict=True)))
        out.append(_laid(Printed(group, label, "", _mesh(strap, group, label), f"glued from inside over the joint of {over}", 0.0), bed))
    return out


def joined(made: splitting.Split, marks: Sequence[str]) -> dict[frozenset[str], str]:
    """What joins each pair of pieces that meet, by their `marks`: dowels and dovetails between them, straps over them; butted where nothing does."""
    pieces = list(zip(made.pieces, marks, strict=True))
    pairs = {frozenset((m, n)): Counter() for i, (a, m) in enumerate(pieces) for b, n in pieces[:i] if a.min_gap(b, BESIDE_MM) < BESIDE_MM}
    for kind, at in made.fixings:
        spot = manifold3d.Manifold.sphere(SPOT_MM, 8).translate(tuple(map(float, at)))
        near = sorted(pieces, key=lambda p: p[0].min_gap(spot, FAR_MM))[:2]
        pairs.setdefault(frozenset(m for _, m in near), Counter())[kind] += 1
    for strap in made.straps:
        over = {m for piece, m in pieces if strap.min_gap(piece, BESIDE_MM) < BESIDE_MM}
        for pair in (p for p in pairs if p <= over):
            pairs[pair][splitting.STRAP] += 1
    return {pair: " and ".join(splitting.counted(n, kind) for kind, n in kinds.items()) or splitting.BUTT for pair, kinds in sorted(pairs.items(), key=lambda p: sorted(p[0]))}


SPOT_MM, FAR_MM = 0.2, 50.0
"""How large a spot stands for a fixing, and how far from one a piece is looked for."""

BESIDE_MM = 1.0
"""Pieces whose gap is less meet."""


def _beside(body: manifold3d.Manifold, others) -> str:
    """The marks of those of `others` (body, mark) that meet a body."""
    return ", ".join(mark for other, mark in others if body.min_gap(other, BESIDE_MM) < BESIDE_MM)


def _prints(strap: manifold3d.Manifold) -> bool:
    """Whether a strap is thick enough for a nozzle."""
    return thinnest(_mesh(strap, "mockup", "strap")) >= LEAST_MM


def _mesh(body: manifold3d.Manifold, part: str, step: str) -> trimesh.Trimesh:
    return closed(body, part, f"printing {step}")


def _laid(piece: Printed, bed) -> Printed:
    """The piece turned as it fits the bed, its lowest corner in the origin; with its thinnest wall."""
    mesh = piece.mesh
    way = splitting.lying(mesh.extents, splitting.usable(bed))
    turn = np.eye(3)[list(way)]
    if np.linalg.det(turn) < 0:
        turn[0] *= -1
    vertices = mesh.vertices @ turn.T
    laid = trimesh.Trimesh(vertices - vertices.min(axis=0), mesh.faces, process=False)
    return replace(piece, mesh=laid, thinnest=thinnest(laid))


def _swing(region: SweptRegion) -> manifold3d.Manifold:
    """The crank's sweep, each band as the round bar about it."""
    bars = [manifold3d.Manifold.cylinder(b.x1 - b.x0, float(b.radius.max()), circular_segments=64).rotate((0, 90, 0)).translate((b.x0, 0, 0))
            for b in region.bands if b.radius.max() > 0]
    return manifold3d.Manifold.batch_boolean(bars, manifold3d.OpType.Add)


def _gauges(parameters: Parameters, region: SweptRegion, bed, join) -> list[Printed]:
    """The bolt pattern and the swing gauge."""
    rail = parameters.pan_rail
    made = [("bolt_pattern", gauges.bolt_strip(rail, growth=parameters.mockup.hole_growth), "G", "lay it on the rail: every bolt goes through")]
    swing = gauges.swing_gauge(rail, region, clearance=parameters.windage_scraper.edge_clearance)
    if swing is not None:
        made.append(("swing_gauge", swing, "S", "stand it across the rail at a throw and turn the crank by hand: it must not touch"))
    out = []
    for name, body, letter, note in made:
        box = [np.array([[x - 4, y - 4, -np.inf], [x + 4, y + 4, np.inf]]) for x, y in rail.bolts]
        for piece in _printed(GAUGES, name, splitting.split(body, bed=bed, join=join, avoid=box if name == "bolt_pattern" else []), bed, letter, 0):
            out.append(replace(piece, note="; ".join(filter(None, (note, piece.note)))))
    return out
