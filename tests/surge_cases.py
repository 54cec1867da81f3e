"""Box-shaped vessels for tests of the oil's surge: no kernel, every cover has a closed form."""

import numpy as np
import trimesh

from configs import changed, region
from generators.driving import envelope
from generators.pieces import Mouth, Part
from generators.surge import surges
from generators.vessels import CELL, Compartment, Vessel

LENGTH, WIDTH, HEIGHT = 400.0, 250.0, 300.0
"""mm, along the crank (and the vehicle), across, up."""

RIM_Z = 10.0


def rim(x: float, y: float, z: float = RIM_Z, *, radius: float = 1e-6) -> np.ndarray:
    """A level ring of points (n, 3), a point unless a radius is given."""
    turns = np.linspace(0, 2 * np.pi, 12, endpoint=False)
    return np.column_stack([x + radius * np.cos(turns), y + radius * np.sin(turns), np.full(12, z)])


def vessel(name: str = "deep_pan", *, mouths: dict | None = None, size=(LENGTH, WIDTH, HEIGHT), oil: float | None = None, full_mark: float | None = HEIGHT, floor: float = 0.0,
           own_frame: bool = False, cell=None, brim=None, dimensions=None) -> tuple[Vessel, dict]:
    """A box from x = 0, y = -width/2, z = floor, and the parts in it; `oil` m3; `cell` ((x0, y0, z0), (x1, y1, z1)) mm."""
    length, width, height = size
    space = trimesh.creation.box(bounds=[[0, -width / 2, floor], [length, width / 2, floor + height]])
    found = tuple(Mouth(n, r) for n, r in (mouths or {"pickup": rim(length / 2, 0)}).items())
    part = Part(name, (), dimensions, oil=oil, full_mark=full_mark, mouths=found, own_frame=own_frame)
    if cell is None:
        return Vessel(part, space, (), float(space.volume), 0.0), {}
    from generators.parts import gate_baffle

    walled = trimesh.creation.box(bounds=cell)
    baffle = Part("gate_baffle", (), gate_baffle.dimension(road(), region(road())), compartment=object(), brim=brim)
    return Vessel(part, space, (Compartment(CELL, walled),), float(space.volume), 0.0, ("gate_baffle",)), {"gate_baffle": baffle}


def road(**tables):
    """Parameters of the road engine with its own pan, some changed: table={key: plain number}."""
    return changed("road_four_improved", **tables)


def settled(parameters, *made):
    """The surges of vessels made by `vessel`."""
    held = [v for v, _ in made]
    guests = {name: part for _, inside in made for name, part in inside.items()}
    return surges(parameters, envelope.stated(parameters.driving), held, guests, region(parameters))
