"""All that a shop is told of a design's parts."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field

from generators.fit.placing import astray
from generators.parameters import Parameters
from generators.pieces import Part
from generators.shop.bending import BendPlan, bend_plans
from generators.shop.flat_files import FlatFile, flat_files
from generators.shop.hardware import Bought, hardware
from generators.shop.welding import WeldStep, weld_steps


@dataclass(frozen=True)
class Pack:
    """By part name: the drawings of its flats, how its folded pieces are bent, its seams in order; what is bought; and why parts that are made
    have no place in this engine's system."""

    files: dict[str, tuple[FlatFile, ...]]
    bends: dict[str, tuple[BendPlan, ...]]
    welds: dict[str, tuple[WeldStep, ...]]
    bought: tuple[Bought, ...]
    astray: dict[str, str] = field(default_factory=dict)


def pack(parameters: Parameters, parts: Sequence[Part], *, elsewhere: Collection[str] = (), bought: Iterable[Bought] = ()) -> Pack:
    """The pack of `parts`; those of `elsewhere` belong in a pan that is not made here; `bought` is bought besides."""
    rail, sheet = parameters.pan_rail, parameters.sheet
    things = (*hardware(parts, bolts=len(rail.bolts), size=rail.bolt_size, elsewhere=elsewhere), *bought)
    return Pack({p.name: flat_files(p, marks=sheet.etch_names, grain=sheet.grain == "length") for p in parts}, {p.name: bend_plans(p) for p in parts},
                _welds(parts, elsewhere), things,
                {p.name: astray(p.name) for p in parts if p.name in elsewhere})


def _welds(parts: Sequence[Part], elsewhere: Collection[str]) -> dict[str, tuple[WeldStep, ...]]:
    """By part, what stands in a pan before the pan itself: it is finished when it goes in."""
    pan = next((p for p in parts if p.name.endswith("pan") and p.name not in elsewhere), None)
    inside = [p for p in parts if p.into and p.name not in elsewhere] if pan else []
    steps = {p.name: weld_steps(p, inside if p is pan else (), told_by_pan=p in inside) for p in parts}
    return {name: steps[name] for name in sorted(steps, key=lambda n: pan is not None and n == pan.name)}


def astray_note(pack: Pack, name: str) -> str:
    """What the maker of a part has to be told where it has no place in this engine's system; empty where it has."""
    return f"Not for this engine as it stands: {name} {pack.astray[name]}." if name in pack.astray else ""
