"""A pan and a tank made of boxes in a vehicle, and what stands round them: every gap has a closed form."""

from dataclasses import replace

import numpy as np
from small_parts import block, meshes_of, solid_piece

from configs import changed, region
from generators.fit.obstacles import obstructions
from generators.fit.placing import placing
from generators.fit.together import boxed, fits
from generators.parameters import Movement, Obstacle, Vehicle
from generators.pieces import Part
from generators.report.record import Run

RAIL = 300.0
"""Height (mm) of the pan rail over the ground."""

DEPTH, HALF, LENGTH = 60.0, 90.0, 400.0
"""Depth of the pan below the rail, half its width, its length, mm: its floor is 240 mm over the ground."""

TANK_AT = (-800.0, 300.0, 200.0)


def parameters(*obstacles, tank=False, movement=None, **vehicle):
    """The hillclimb four in a vehicle of its own, level, 300 mm over the ground."""
    made = changed("hillclimb_four")
    sits = Vehicle(rail_above_ground=RAIL, obstacle=obstacles, movement=movement or Movement(), **vehicle)
    return made.model_copy(update={"vehicle": sits})


def parts(*, tank: bool = False) -> list:
    """Meshes of a pan with its flange, 62 mm under the crank, and of a tank of 100 x 100 x 400 mm."""
    low = -62.0 - DEPTH
    pan = Part("scavenge_pan", (solid_piece("flange", block((0, -120, -70), (420, 120, -62))),
                                solid_piece("trough", block((10, -HALF, low), (10 + LENGTH, HALF, -70)))), None)
    made = [meshes_of(pan)]
    if tank:
        made.append(meshes_of(Part("reservoir", (solid_piece("shell", block((-50, -50, 0), (50, 50, 400))),), None, own_frame=True)))
    return made


def looked(p, *, tank: bool = False):
    """The fit, and a run of it."""
    made = parts(tank=tank)
    bounds = {m.part.name: np.array([[-200, -200, -200], [450, 200, 450.0]]) for m in made}
    where = placing([m.part for m in made], bounds, vehicle=p.vehicle, below_crank=62.0, positions={"reservoir": TANK_AT} if tank else {})
    seen = obstructions(p)
    meshes = {m.part.name: m for m in made}
    found = fits(boxed(p, seen), region(p), meshes, where, seen)
    as_read = type("Read", (), {"parameters": p})
    return found, Run("0", "box.toml", as_read, region(p), tuple(m.part for m in made), meshes, (), (), (), where, found)


def bar(low, high, *, name="bar", gap=10.0, **more):
    """A box in the vehicle."""
    return Obstacle(name=name, box=(low, high), gap=gap, **more)


def under(gap: float, **more):
    """A bar across under the middle of the pan, so far (mm) below its floor."""
    top = RAIL - DEPTH - gap
    return bar((180, -400, top - 40), (240, 400, top), **more)


__all__ = ["bar", "looked", "parameters", "parts", "replace", "under"]
