"""What would make the parts clear an obstacle: the engine or the tank moved, softer or stiffer mounts, a step in the pan."""

import math
from collections.abc import Callable, Sequence

import numpy as np

from generators.crank import SweptRegion
from generators.fit.groups import Pair
from generators.fit.nearest import clear_after
from generators.fit.record import Cure, Row
from generators.sump.notch import Taken

WAYS = {"up": (0, 0, 1), "forward": (1, 0, 0), "rearward": (-1, 0, 0), "left": (0, 1, 0), "right": (0, -1, 0)}
"""Which way what is in the way can be left, along the vehicle's axes."""

MOST_MM = 150.0
"""Farther than this nobody moves an engine for the sake of its pan."""

STEP_MM = 1.0
"""Moves are told in whole steps of this: nobody sets an engine finer."""

Left = Callable[[np.ndarray], tuple[str, ...]]
"""What falls short with everything moved by a shift (3,) mm."""


def moves(what: str, pair: Pair, *, left: Left) -> list[Cure]:
    """How far `what`, the first of the pair, would have to move each way to leave what is wanted; the shortest that leaves
    nothing else short first."""
    moving, standing = pair.turns
    found = []
    for way, along in WAYS.items():
        away = np.array(along, float) if moving is pair.one else -np.array(along, float)
        by = clear_after(moving.bodies, standing.swelled(pair.allowed.shifts), pair.allowed, direction=away, wanted=pair.wanted, most=MOST_MM)
        if by is not None:
            whole = max(STEP_MM, STEP_MM * math.ceil(by / STEP_MM))
            found.append(Cure(way, whole, f"{what} {whole:g} mm {way}", left(whole * np.array(along, float))))
    return sorted(found, key=lambda c: (bool(c.then), c.by))


def stiffer(short: Sequence[Row]) -> list[Cure]:
    """Mounts that move less, where at rest there is room enough. `short`: the rows of one obstacle that fall short."""
    rest = min(r.nearest.at_rest for r in short)
    if any(r.nearest.at_rest < r.wanted for r in short):
        return []
    return [Cure("mounts", rest - short[0].wanted, f"mounts that let the engine move less: at rest it clears by {rest:.1f} mm")]


def notch(pan: tuple[np.ndarray, np.ndarray], room: Taken, region: SweptRegion, *, floor: float, thickness: float, said: str) -> list[Cure]:
    """The step that the pan's floor would need, in the engine frame: `pan` low and high corner (3,) of it there, `room` what the
    obstacle takes with its gap and the engine's movement. `floor` (mm) is what the crank's sweep wants under it, `thickness` the sheet's; `said`
    is why the tool makes no such step itself."""
    low, high = pan
    deep = room.high[2] - low[2]
    lengths = {"front": high[0] - room.low[0], "rear": room.high[0] - low[0], "left side": high[1] - room.low[1],
               "right side": room.high[1] - low[1]}
    end = min(lengths, key=lengths.__getitem__)
    short = region.lowest - floor - thickness - room.high[2]
    then = [] if short >= 0 else [f"the step's floor would come {-short:.0f} mm too near to the crank's sweep"]
    then += [said] if said else []
    return [Cure("notch", float(deep), f"a step in the pan's {end}, {math.ceil(deep):.0f} mm deep from its lowest point and "
                                       f"{math.ceil(lengths[end]):.0f} mm long", tuple(then))]
