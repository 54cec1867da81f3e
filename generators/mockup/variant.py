"""A part as it is printed: thick enough, without what is bought, holes and hinges with room."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import manifold3d
import numpy as np
import trimesh

from generators.meshes import PartMeshes, metal, part_meshes, solid_mesh, union
from generators.parameters import Mockup, Parameters
from generators.parameters.parts import LEAST_WALL_MM
from generators.pieces import Part
from generators.shop.rail_holes import bolt_holes

LEAST_MM = LEAST_WALL_MM
"""Thinner is not printed."""

WALLED = (("sheet", "thickness"), ("windage_screen", "thickness"), ("windage_scraper", "thickness"), ("gate_baffle", "flap_thickness"))
"""Tables and keys of everything that is as thick as it is told."""

OVER_MM = 2.0
"""What is bored is bored so much further."""

SIDES = 48


@dataclass(frozen=True)
class Printable:
    """The bodies of a part to be printed, by name, mm in the part's frame; boxes (2, 3) that cuts keep off; what is said of it."""

    part: Part
    bodies: dict[str, manifold3d.Manifold] = field(repr=False)
    avoid: tuple[np.ndarray, ...] = ()
    notes: tuple[str, ...] = ()


def thick_enough(parameters: Parameters) -> Parameters:
    """The parameters with nothing thinner than `mockup.wall`; themselves where nothing is."""
    wall, update = parameters.mockup.wall, {}
    for table, key in WALLED:
        record = update.get(table, getattr(parameters, table))
        value = getattr(record, key)
        if value is None or value < wall:
            told = {k: getattr(record, k) for k in record.model_fields_set if k not in ("bend_radius", "k_factor", "deductions") or table != "sheet"}
            update[table] = type(record)(**{**told, key: wall})
    if not update:
        return parameters
    return type(parameters)(**{**{k: getattr(parameters, k) for k in type(parameters).model_fields}, **update})


def grows(name: str, parameters: Parameters, thick: Parameters) -> bool:
    """Whether the part of that name is another with the parameters `thick`: its own table or the sheet says so."""
    return thick.sheet != parameters.sheet or getattr(thick, name) != getattr(parameters, name)


def thicker(part: Part, remade: Callable[[], Part]) -> tuple[Part, str]:
    """The part as `remade` from thicker sheet, where it is the same part: the same pieces, as many of each; else the part itself. And what is said of
    it."""
    try:
        other = remade()
    except ValueError as bad:
        return part, f"printed as thin as it is made: thicker it does not go ({bad})"
    if [(p.name, p.quantity) for p in other.pieces] != [(p.name, p.quantity) for p in part.pieces]:
        return part, "printed as thin as it is made: thicker it would be another part, of other pieces"
    return other, ""


def printable(part: Part, meshes: PartMeshes | None, asked: Mockup, *, said: str = "") -> Printable:
    """The part's bodies as they are printed; `meshes` of the part where they are known; `said` is told of it too. Raises KernelFailure where they do not close."""
    left_out = [p for p in part.pieces if p.kind == "bought" or (p.thickness is not None and p.thickness < LEAST_MM)]
    pins = [p for p in part.pieces if p.loose and p.kind == "turned"]
    gone = {p.name for p in (*left_out, *pins)}
    kept = _without(part, gone)
    made = meshes if meshes is not None else part_meshes(kept)
    still, moving = metal(kept, {key: mesh for key, mesh in made.copies.items() if key[0] not in gone})
    bores = [_bore(mesh, asked.hinge_clearance) for mesh in _pins(part, pins, meshes)]
    holes = [_bolt(part, x, y, d + asked.hole_growth) for x, y, d in bolt_holes(part)]
    taken = union([*bores, *holes])
    bodies = {part.name: union(still) - taken}
    loose = [b - taken for b in moving]
    bodies |= {f"{part.name}_flap_{i}": b for i, b in enumerate(loose, start=1)}
    notes = [said] if said else []
    notes += [f"{p.name}: {'bought' if p.kind == 'bought' else f'{p.thickness:g} mm thin, not printed'}" for p in left_out]
    notes += [f"{p.name}: {p.quantity} pieces of rod, {_diameter(p):.1f} mm, in bores {_diameter(p) + 2 * asked.hinge_clearance:.1f} mm wide" for p in pins]
    thin = sorted({p.name for p in kept.pieces if p.thickness is not None and p.thickness < asked.wall - 1e-6})
    notes += [f"{', '.join(thin)}: thinner than {asked.wall:g} mm, printed as made"] if thin else []
    return Printable(part, {n: b for n, b in bodies.items() if not b.is_empty()}, tuple(_avoided(part)), tuple(notes))


def _without(part: Part, gone: set[str]) -> Part:
    """The part without some of its pieces."""
    if not gone:
        return part
    return replace(part, pieces=tuple(p for p in part.pieces if p.name not in gone), cavity=None,
                   seams=tuple(s for s in part.seams if s.a not in gone and s.b not in gone),
                   touching=tuple(pair for pair in part.touching if not pair & gone), hinges=())


def _pins(part: Part, pins, meshes: PartMeshes | None) -> list[trimesh.Trimesh]:
    if meshes is not None:
        return [mesh for (name, _), mesh in meshes.copies.items() if name in {p.name for p in pins}]
    return [solid_mesh(s) for p in pins for s in p.solids]


def _diameter(pin) -> float:
    """Of a round pin, mm."""
    box = pin.solids[0].BoundingBox()
    return min(box.xlen, box.ylen, box.zlen)


def _bore(pin: trimesh.Trimesh, clearance: float) -> manifold3d.Manifold:
    """A pin's way through its knuckles, `clearance` mm wider all round."""
    low, high = pin.bounds
    axis = int(np.argmax(high - low))
    radius = float(np.delete(high - low, axis).max()) / 2 + clearance
    return _cylinder((low + high) / 2, axis, radius, float((high - low)[axis]))


def _bolt(part: Part, x: float, y: float, diameter: float) -> manifold3d.Manifold:
    """A bolt's hole through the piece that lies on the rail."""
    boxes = [s.BoundingBox() for p in part.pieces if p.name in ("flange", "scraper") for s in p.solids]
    low, high = min(b.zmin for b in boxes) - OVER_MM, max(b.zmax for b in boxes) + OVER_MM
    return _cylinder(np.array([x, y, (low + high) / 2]), 2, diameter / 2, high - low)


def _cylinder(middle: np.ndarray, axis: int, radius: float, length: float) -> manifold3d.Manifold:
    """A round bar about an axis of the frame, its flats outside the circle of `radius` mm."""
    bar = manifold3d.Manifold.cylinder(length, radius / np.cos(np.pi / SIDES), circular_segments=SIDES).translate((0, 0, -length / 2))
    turn = np.eye(3)[[(1, 2, 0), (2, 0, 1), (0, 1, 2)][axis], :].T
    return bar.transform(np.column_stack([turn, middle]))


def _avoided(part: Part) -> list[np.ndarray]:
    """Boxes of bolt holes and of everything turned or of tube."""
    out = [np.array([[x - d, y - d, -np.inf], [x + d, y + d, np.inf]]) for x, y, d in bolt_holes(part)]
    for p in part.pieces:
        if p.kind in ("turned", "tube") and not p.loose:
            for b in (s.BoundingBox() for s in p.solids):
                out.append(np.array([[b.xmin, b.ymin, b.zmin], [b.xmax, b.ymax, b.zmax]]))
    return out
