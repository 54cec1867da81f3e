"""Where the parts stand in the assembly: in the vehicle where the file says how the engine sits, else as modelled."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from generators.pieces import Part
from generators.sheet.frames import Frame, frame, identity
from generators.vehicle import engine_in_vehicle

BESIDE_MM = 100.0
"""Room left between the engine's parts and a part that is set beside them for want of a known place."""


@dataclass(frozen=True)
class Placed:
    """A part and the frame that it stands in."""

    part: Part
    at: Frame


@dataclass(frozen=True)
class Placing:
    """Every part in its place, the engine's own frame, a sentence that says which frame the assembly is in, and the names
    of the parts that are set beside the engine for want of a place in it."""

    parts: tuple[Placed, ...]
    engine: Frame
    said: str
    beside: tuple[str, ...] = ()


def placing(parts: Sequence[Part], bounds: dict[str, np.ndarray], *, vehicle=None, below_crank: float = 0.0,
            positions: dict[str, tuple[float, float, float]] | None = None, elsewhere: Collection[str] = ()) -> Placing:
    """Each part's frame. `bounds` (2, 3) mm of each part in its own frame; `positions` (mm, vehicle frame) of parts that
    have a frame of their own. Where the engine's height in the vehicle or a position is unknown such a part is set
    beside the engine, and so is a part of `elsewhere`, which belongs in a pan that is not made here; `said` says so."""
    known = vehicle is not None and vehicle.rail_above_ground is not None
    engine = engine_in_vehicle(vehicle, below_crank=below_crank) if known else identity()
    beside, placed, aside = _room_beside([p for p in parts if p.name not in elsewhere], bounds), [], []
    for part in parts:
        where = (positions or {}).get(part.name) if known else None
        if not part.own_frame and part.name not in elsewhere:
            placed.append(Placed(part, engine))
        elif part.own_frame and where is not None:
            placed.append(Placed(part, frame(origin=where, x=(1, 0, 0), z=(0, 0, 1))))
        else:
            aside.append(part.name)
            origin = (0.0, beside - bounds[part.name][0][1], 0.0)
            beside += float(bounds[part.name][1][1] - bounds[part.name][0][1]) + BESIDE_MM
            placed.append(Placed(part, engine @ frame(origin=origin, x=(1, 0, 0), z=(0, 0, 1))))
    return Placing(tuple(placed), engine, _sentence(known, aside, elsewhere), tuple(aside))


def _room_beside(parts: Sequence[Part], bounds: dict[str, np.ndarray]) -> float:
    """y (mm, engine frame) at which there is room to the left of all that is on the engine."""
    return max((float(bounds[p.name][1][1]) for p in parts if not p.own_frame), default=0.0) + BESIDE_MM


def _sentence(known: bool, aside: list[str], elsewhere: Collection[str]) -> str:
    said = ("The assembly is in the vehicle's frame (x forward, y left, z up from the ground)." if known else
            "The assembly is in the engine's frame: the file does not say how high the rail stands in the vehicle.")
    unknown = [n for n in aside if n not in elsewhere]
    if unknown:
        said += f" Set beside the engine because its place is not known: {', '.join(unknown)}."
    return said + "".join(f" Set beside the engine: {n}, which {astray(n)}." for n in aside if n in elsewhere)


def astray(name: str) -> str:
    """Why a part has no place in the system of the engine that it is made for, to follow its name and "which"."""
    return ASTRAY.get(name, "belongs in a deep pan, and the pan of this engine is another")


ASTRAY = {"scavenge_pan": "belongs under an engine with a dry sump, and this one's is wet",
          "deep_pan": "belongs under an engine with a wet sump, and this one's is dry"}
