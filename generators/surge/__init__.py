"""Where the oil of each vessel settles under every acceleration that the vehicle can pull, and whether its pickups and
outlets stay covered. Computes; judges nothing."""

import math
from collections.abc import Mapping, Sequence

import numpy as np

from generators.crank import SweptRegion
from generators.driving.envelope import Envelope, parked, up_of
from generators.oil.surface import body_below, volumes_below
from generators.pieces import Mouth, Part
from generators.surge.amounts import MM3_IN_M3
from generators.surge.cell import seconds
from generators.surge.moments import DAMPING
from generators.surge.record import Cover, Kept, Surge
from generators.surge.space import EVERY, Space
from generators.surge.swings import Swings
from generators.vessels import Vessel

__all__ = ["Cover", "Surge", "surges"]


def surges(parameters, envelope: Envelope, held: Sequence[Vessel], guests: Mapping[str, Part], region: SweptRegion) -> tuple[Surge, ...]:
    """One Surge for each vessel with a mouth in it; `guests` are the parts that stand in vessels, by name."""
    return tuple(_surge(Space(parameters, envelope, v, guests, region)) for v in held if v.part.mouths)


def _surge(at: Space) -> Surge:
    """Everything about this vessel."""
    points = at.envelope.points
    ups, lasting = at.ups(points), seconds(at.envelope.is_brief, at.parameters.driving.hold)
    offs, risen = at.one_surface(ups), at.risen_surface(ups)
    swings = Swings(at, points)
    covers = tuple(_cover_of(at, m, ups, offs, risen, lasting, swings) for m in at.vessel.part.mouths)
    worst = int(np.argmin(np.max([c.judged for c in covers], axis=0)))
    return Surge(
        at.vessel, at.envelope, at.turned, ups, np.linalg.norm(up_of(points), axis=1), offs, lasting, at.oil, at.parked_oil,
        parked(at.slope), covers, worst, body_below(at.whole, ups[worst], offs[worst]), at.to_swing(ups, offs), swings.whole,
        swings.cell, swings.damping, swings.drawn_for)


def _cover_of(at: Space, mouth: Mouth, ups, offs, risen, lasting, swings: Swings) -> Cover:
    rim = np.asarray(mouth.rim, float)
    reach = (ups @ rim.T).max(axis=1)
    kept = None
    if at.cell:
        cover, volume = at.cell.covers(ups, seconds=lasting, reach=reach, outside=offs - reach)
        kept = Kept(cover, volume / MM3_IN_M3)
    risen_open = risen_cover = None if risen is None else risen - reach
    if at.cell and risen is not None:
        risen_cover = at.cell.covers(ups, seconds=lasting, reach=reach, outside=risen_open)[0]
    overshoot = {name: swings.cover(rim, name) for name in DAMPING}
    uncovered = math.inf if at.parked_oil is None else swings.uncovered(rim, overshoot[swings.damping])
    return Cover(
        mouth, offs - reach, kept, risen_open, risen_cover, volumes_below(at.whole, ups, reach) / MM3_IN_M3,
        None if at.risen is None else volumes_below(at.risen, ups, reach) / MM3_IN_M3, at.bares(rim), at.envelope.angles[::EVERY],
        overshoot, uncovered, at.parked_cover(rim), at.better(rim, ups, offs))
