"""Whether a printer can make the mock-up: measured on the meshes that it is sent."""

import numpy as np

from generators.findings import Check, judged
from generators.mockup import Mockup
from generators.mockup.splitting import usable
from generators.mockup.variant import LEAST_MM
from generators.parameters import Bed

ROOM = 0.9999
"""Room over size that is enough: a piece cut to the bed exactly is off by rounding."""


def checks(made: Mockup, bed: Bed) -> list[Check]:
    """For each part that is printed, and the gauges: the thinnest wall, and whether every piece fits the bed."""
    out = []
    for group in dict.fromkeys(p.group for p in made.pieces):
        pieces = [p for p in made.pieces if p.group == group]
        thin = min(pieces, key=lambda p: p.thinnest)
        large = min(pieces, key=lambda p: _spare(p.size, bed))
        out.append(judged(id=f"mockup.{group}.wall", title="Thinnest wall that is printed", value=thin.thinnest, limit=LEAST_MM, unit="mm", sense=">=",
                          source="two lines of a usual nozzle (printing guides)",
                          method=f"through {len(pieces)} meshes, square to their skin, from 600 places of each; thinnest: {thin.name}"))
        out.append(judged(id=f"mockup.{group}.bed", title="Each printed piece fits the bed", value=_spare(large.size, bed), limit=ROOM, unit="1", sense=">=",
                          source=f"bed {bed.x:g} x {bed.y:g} x {bed.z:g} mm less 5 mm along each edge (common practice)",
                          method=f"room over size of {len(pieces)} pieces as they lie; largest: {large.name}"))
    return out


def _spare(size, bed: Bed) -> float:
    """Least ratio of the bed's room to a piece's size."""
    return float((usable((bed.x, bed.y, bed.z)) / np.array(size)).min())
