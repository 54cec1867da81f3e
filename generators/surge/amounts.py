"""How much oil is in a vessel: while the engine runs, and parked. m3."""

from dataclasses import dataclass

from generators.oil.demand import pump_draw
from generators.oil.standing import UPRIGHT
from generators.oil.surface import Skin, volumes_below
from generators.vessels import Vessel

MM3_IN_M3 = 1e9

HOLD_UP_S = 6.0
"""Oil that the pump has sent up is so long on its way back, hot (4 to 10 s: common practice, from memory)."""

MOST_HELD_UP = 0.5
"""Share of all the oil: no engine that runs keeps more of it up (our bound)."""

ON_THE_WAY_S = 0.5
"""Oil that falls into a scavenge pan is so long on its way to a pickup: what runs 200 mm down a third of its own weight
(derived; good to a factor of two)."""

ON_THE_WAY = 0.3e-3
"""m3 on the way where the flow is not known: of 36 L/min."""


@dataclass(frozen=True)
class Amount:
    """A volume of oil, m3, and why it is that."""

    volume: float
    because: str


def keeps_oil(vessel: Vessel) -> bool:
    """Whether oil stands in the vessel when the engine is stopped: it has a full mark."""
    return vessel.part.full_mark is not None


def parked(vessel: Vessel, space: Skin) -> Amount | None:
    """All its oil, drained down; None in a vessel that keeps none."""
    if not keeps_oil(vessel):
        return None
    if vessel.part.oil is not None:
        return _fitted(Amount(vessel.part.oil, "what stands in it at rest"), space)
    held = float(volumes_below(space, UPRIGHT, vessel.part.full_mark)[0]) / MM3_IN_M3
    return Amount(held, "as much as fits below the full mark, for the file does not say how much there is")


def running(parameters, vessel: Vessel, space: Skin) -> Amount:
    """What is left in the vessel while the engine runs: as the file says, else all its oil less what is up in the engine; in
    a pan that keeps none what is on its way to the pickups."""
    flow = pump_draw(parameters)
    if not keeps_oil(vessel):
        return _fitted(_on_the_way(parameters, flow), space)
    all_of_it = parked(vessel, space)
    stated = parameters.oil.running_volume
    if stated is not None and stated <= all_of_it.volume:
        return Amount(stated, "oil.running_volume")
    if stated is not None:
        return Amount(all_of_it.volume, f"{all_of_it.because}, for oil.running_volume, {1000 * stated:.2f} L, is more")
    if flow is None:
        return Amount(all_of_it.volume, f"{all_of_it.because}: how much is up in the engine is not known, give oil.running_volume")
    up = min(flow * HOLD_UP_S, MOST_HELD_UP * all_of_it.volume)
    return Amount(all_of_it.volume - up,
                  f"{1000 * all_of_it.volume:.2f} L, {all_of_it.because}, less {1000 * up:.2f} L up in the engine: {HOLD_UP_S:g} s of what "
                  "the pump draws, at most half (common practice; oil.running_volume replaces it)")


def _on_the_way(parameters, flow: float | None) -> Amount:
    given = parameters.scavenge_pan.running_volume
    if given is not None:
        return Amount(given, "scavenge_pan.running_volume")
    if parameters.engine.oil_flow or flow:
        return Amount((parameters.engine.oil_flow or flow) * ON_THE_WAY_S,
                      f"{ON_THE_WAY_S:g} s of the engine's oil flow on its way to the pickups (derived, good to a factor of two)")
    return Amount(ON_THE_WAY, "on its way to the pickups (common practice; the flow is not known)")


def _fitted(amount: Amount, space: Skin) -> Amount:
    """The amount, or as much of it as the vessel holds."""
    whole = space.volume / MM3_IN_M3
    if amount.volume <= whole:
        return amount
    return Amount(whole, f"{amount.because}, {1000 * amount.volume:.2f} L, of which {1000 * whole:.2f} L fill the vessel to its rim")
