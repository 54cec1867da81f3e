"""All that a shop is told of a design's parts."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from generators.parameters import Parameters
from generators.pieces import Part
from generators.shop.bending import BendPlan, bend_plans
from generators.shop.flat_files import FlatFile, flat_files
from generators.shop.hardware import Bought, hardware
from generators.shop.welding import WeldStep, weld_steps


@dataclass(frozen=True)
class Pack:
    """By part name: the drawings of its flats, how its folded pieces are bent, its seams in order; and what is bought."""

    files: dict[str, tuple[FlatFile, ...]]
    bends: dict[str, tuple[BendPlan, ...]]
    welds: dict[str, tuple[WeldStep, ...]]
    bought: tuple[Bought, ...]


def pack(parameters: Parameters, parts: Sequence[Part], *, elsewhere: Collection[str] = ()) -> Pack:
    """The pack of `parts`; those of `elsewhere` belong in a pan that is not made here."""
    rail = parameters.pan_rail
    return Pack({p.name: flat_files(p, marks=parameters.sheet.etch_names) for p in parts}, {p.name: bend_plans(p) for p in parts},
                {p.name: weld_steps(p) for p in parts}, hardware(parts, bolts=len(rail.bolts), size=rail.bolt_size, elsewhere=elsewhere))
