"""In which order finished parts go on the engine, and what holds them."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from generators.pieces import Part
from generators.shop.hardware import CLAMPED, PAN_BOLT, Bought


@dataclass(frozen=True)
class BoltStep:
    """A step: the part that it is about, and what is done."""

    part: str
    what: str


def bolt_steps(parts: Sequence[Part], bought: Sequence[Bought], *, elsewhere: Collection[str] = ()) -> tuple[BoltStep, ...]:
    """The steps from washed parts to a filled system, of the parts that have a place under this engine (common practice)."""
    here = {p.name: p for p in parts if p.name not in elsewhere}
    count = {(b.part, b.name): b.quantity for b in bought}
    pan = next((b.part for b in bought if b.name == PAN_BOLT), None)
    return (*_ready(here, count), *_on_the_rail(here, count, pan), *_tank(here, count))


def _ready(here: dict[str, Part], count: dict) -> Iterator[BoltStep]:
    for name, part in here.items():
        if part.pieces and part.cavity is not None:
            yield BoltStep(name, "plugs with their washers, caps on the ports, leak test as below; then wash it out and let it dry")
    if "gate_baffle" in here:
        yield BoltStep("gate_baffle", "every flap falls shut by its own weight and opens to its stops, also after welding")
    if "windage_screen" in here:
        screws = count[("windage_screen", "screw")]
        yield BoltStep("windage_screen", f"the tray on its tabs, {screws} screws with their washers, wired or set in thread lock: last thing into the pan, when nothing "
                                         "under it has to be reached any more")


def _on_the_rail(here: dict[str, Part], count: dict, pan: str | None) -> Iterator[BoltStep]:
    clamped = [name for name in CLAMPED if name in here]
    if not clamped:
        return
    if pan is None:
        yield BoltStep(clamped[0], "over the engine's own pan, with the longer bolts, both joints sealed; turn the crank by hand through two "
                                   "turns first")
        return
    between = " and ".join(n for n in clamped if n != pan)
    bolts = count[(pan, PAN_BOLT)]
    yield BoltStep(pan, f"try it dry{f', with {between} between it and the block' if between else ''}: all {bolts} bolts by hand, crank turned by hand through two turns, "
                        "every clearance looked at, then off again")
    yield BoltStep(pan, f"{count[(pan, 'pan_seal')]} joint{'s' if between else ''} sealed, {bolts} bolts with washers from the middle outwards in two passes, by the "
                        "engine maker's figure; plugs wired")


def _tank(here: dict[str, Part], count: dict) -> Iterator[BoltStep]:
    if "reservoir" in here:
        yield BoltStep("reservoir", f"{count[('reservoir', 'bracket_bolt')]} bolts through rubbers in the ears of its brackets; hoses on, none of them pulling at an end; "
                                    "breather to a catch tank; filled to its mark, the system primed")
