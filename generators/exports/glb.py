"""A GLB file (glTF 2.0, binary) of the whole assembly to look at: metres and y up, as that standard has it; x stays x, our z is
its y and our y its -z. Each body is a node of its own under the node of its part, without normals: they are then flat."""

from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
import trimesh
from trimesh.visual import TextureVisuals
from trimesh.visual.material import PBRMaterial

from generators.crank import SweptRegion, merged_bands, prism
from generators.exports import names
from generators.exports.step import COLOURS, OBSTACLE_COLOUR, OBSTACLES, SWEEP, SWEEP_COLOUR
from generators.fit.placing import Placing
from generators.fit.record import Obstruction
from generators.meshes import PartMeshes

MM_IN_M = 1e3
UPRIGHT = np.array([[1.0, 0, 0, 0], [0, 0, 1, 0], [0, -1, 0, 0], [0, 0, 0, 1]])
"""Our axes, z up, to those of glTF, y up."""

ROUGHNESS, SWEEP_OPACITY = 0.7, 0.35
ROOT = "assembly"


def write(meshes: Mapping[str, PartMeshes], placing: Placing, obstructions: Sequence[Obstruction], region: SweptRegion | None, file: Path) -> None:
    """Write all parts in their places, the obstacles and the crank's swept region to `file`."""
    file.write_bytes(scene(meshes, placing, obstructions, region).export(file_type="glb", include_normals=False))


def scene(meshes: Mapping[str, PartMeshes], placing: Placing, obstructions: Sequence[Obstruction], region: SweptRegion | None) -> trimesh.Scene:
    """The same as a scene: `meshes` by part name, mm in their own frames."""
    made = trimesh.Scene(base_frame="world")
    made.graph.update(ROOT, "world", matrix=UPRIGHT)
    for placed in placing.parts:
        group = placed.part.name
        made.graph.update(group, ROOT)
        colour = {p.name: COLOURS[i % len(COLOURS)] for i, p in enumerate(placed.part.pieces)}
        for (name, index), mesh in meshes[group].copies.items():
            _add(made, group, names.copy(placed.part.piece(name), index), placed.at.points(mesh.vertices), mesh.faces, colour[name])
    if obstructions:
        made.graph.update(OBSTACLES, ROOT)
    for one in obstructions:
        made.graph.update(one.label, OBSTACLES)
        for number, body in enumerate(one.bodies, start=1):
            _add(made, one.label, f"body_{number}", body.vertices, body.faces, OBSTACLE_COLOUR)
    if region is not None:
        made.graph.update(SWEEP, ROOT)
        for number, band in enumerate(merged_bands(region), start=1):
            vertices, faces = prism(band)
            _add(made, SWEEP, f"band_{number}", placing.engine.points(vertices), faces, SWEEP_COLOUR, opacity=SWEEP_OPACITY)
    return made


def _add(made: trimesh.Scene, group: str, name: str, points: np.ndarray, faces: np.ndarray, colour, *, opacity: float = 1.0) -> None:
    """A body in mm of the assembly's frame, called group/name."""
    factor = [*(linear(c) for c in colour), opacity]
    look = PBRMaterial(name=f"{group}/{name}", baseColorFactor=[round(255 * f) for f in factor], metallicFactor=0.0, roughnessFactor=ROUGHNESS,
                       alphaMode="BLEND" if opacity < 1 else "OPAQUE")
    mesh = trimesh.Trimesh(points / MM_IN_M, faces, process=False, visual=TextureVisuals(material=look))
    made.add_geometry(mesh, node_name=f"{group}/{name}", geom_name=f"{group}/{name}", parent_node_name=group)


def linear(value: float) -> float:
    """A share (0 to 1, no unit) of a colour as sRGB has it in linear light, which glTF wants (IEC 61966-2-1)."""
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4
