"""The vehicle's obstacles as closed bodies where they stand. mm, vehicle frame."""

from dataclasses import replace
from pathlib import Path, PurePath

import cadquery as cq
import numpy as np

from generators.bodies import Body, body
from generators.findings import KernelFailure
from generators.fit.mesh_file import read_mesh
from generators.fit.record import Obstruction
from generators.fit.step_file import read_solids
from generators.meshes import solid_mesh
from generators.outlines import circle, rectangle
from generators.parameters import Obstacle
from generators.parameters.vehicle import MESHES
from generators.sheet.frames import Frame, frame, identity
from generators.sheet.solids import location, prism
from generators.vehicle import turn

SMALL_MM, LARGE_MM = 60.0, 6000.0
"""What stands round an engine and is smaller or larger is most likely in another unit (common practice)."""

INCH_MM = 25.4


class BadObstacles(ValueError):
    """Files of obstacles that cannot be used. `problems`: (path of the key, message) for each."""

    def __init__(self, problems: list[tuple[tuple, str]]):
        self.problems = tuple(problems)
        super().__init__("; ".join(message for _, message in problems))


def obstructions(parameters) -> tuple[Obstruction, ...]:
    """Every obstacle of the file. Raises BadObstacles with all that is wrong with any of their files."""
    found, problems = [], []
    for number, obstacle in enumerate(parameters.vehicle.obstacle if parameters.vehicle else ()):
        try:
            found.append(obstruction(obstacle))
        except OSError as bad:
            problems.append((number, f"cannot be read: {bad.strerror or bad}"))
        except ValueError as bad:
            problems.append((number, str(bad)))
        except KernelFailure as bad:
            problems.append((number, f"has a solid whose skin does not close ({bad.dimensions}): repair it where it was drawn, or save it as STL"))
    if problems:
        raise BadObstacles([(("vehicle", "obstacle", number, "file"), message) for number, message in problems])
    return tuple(found)


def obstruction(obstacle: Obstacle) -> Obstruction:
    """One obstacle. Raises ValueError, with a sentence for the user, where its file cannot be used."""
    if obstacle.box is not None:
        solids, said = (_box(obstacle.box),), "box"
    elif obstacle.cylinder is not None:
        solids, said = (_cylinder(*obstacle.cylinder),), "cylinder"
    elif PurePath(obstacle.file).suffix.lower() in MESHES:
        return _from_mesh(obstacle)
    else:
        solids, unit = read_solids(Path(obstacle.file))
        said = f"{PurePath(obstacle.file).name}: {len(solids)} solid{'s' * (len(solids) != 1)}, in {unit}"
        solids = tuple(s.moved(location(_place(obstacle))) for s in solids)
    bodies = tuple(replace(body(obstacle.label, solid_mesh(s), i), solid=s) for i, s in enumerate(solids))
    return _standing(obstacle, bodies, solids, said)


def _from_mesh(obstacle: Obstacle) -> Obstruction:
    read, place = read_mesh(Path(obstacle.file), unit=obstacle.unit), _place(obstacle).matrix
    bodies = tuple(body(obstacle.label, mesh.copy().apply_transform(place), i, exact=True) for i, mesh in enumerate(read.bodies))
    count = len(read.bodies)
    said = f"{PurePath(obstacle.file).name}: {count} bod{'y' if count == 1 else 'ies'}, {read.triangles} triangles, in {obstacle.unit} as stated"
    return _standing(obstacle, bodies, (), f"{said}, {read.mended}" if read.mended else said)


def _standing(obstacle: Obstacle, bodies: tuple[Body, ...], solids: tuple[cq.Solid, ...], said: str) -> Obstruction:
    low, high = np.min([b.box[0] for b in bodies], axis=0), np.max([b.box[1] for b in bodies], axis=0)
    return Obstruction(obstacle.name, obstacle.label, bodies, solids, obstacle.gap, obstacle.moves_with == "engine", float((high - low).max()), said)


def _place(obstacle: Obstacle) -> Frame:
    """Where the origin of an obstacle's file stands, and how its axes lie."""
    turned, at = obstacle.rotation, obstacle.position
    axes = turn(roll=turned.roll, pitch=turned.pitch, yaw=turned.yaw) if turned else identity().matrix[:3, :3]
    return frame(origin=(at.x, at.y, at.z) if at else (0, 0, 0), x=axes[:, 0], z=axes[:, 2])


def _box(corners) -> cq.Solid:
    (x0, y0, z0), (x1, y1, z1) = corners
    return prism(rectangle(x0=x0, y0=y0, x1=x1, y1=y1), height=z1 - z0, where=frame(origin=(0, 0, z0), x=(1, 0, 0), z=(0, 0, 1)))


def _cylinder(start, end, radius: float) -> cq.Solid:
    along = np.subtract(end, start).astype(float)
    across = np.cross(along, np.eye(3)[int(np.argmin(np.abs(along)))])
    where = frame(origin=start, x=across, z=along)
    return prism(circle(x=0, y=0, radius=radius), height=float(np.linalg.norm(along)), where=where)


def size_doubt(obstruction: Obstruction) -> tuple[float, float, str, str]:
    """The longest side (mm) of an obstacle, what it is held against and in which sense, and a sentence: what is very small or very
    large is most likely told in another unit than it is in."""
    extent = obstruction.extent
    said = f"longest side along the vehicle's axes; {obstruction.said}"
    if extent > LARGE_MM:
        return extent, LARGE_MM, "<=", f"{said}; would be {extent / INCH_MM:.0f} mm were it told in inches and is in millimetres: is the unit right?"
    words = f"{said}; would be {extent * INCH_MM:.0f} mm were it in inches: is the unit right?" if extent < SMALL_MM else said
    return extent, SMALL_MM, ">=", words
