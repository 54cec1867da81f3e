"""The crankcase over a pan, into which oil climbs where its surface meets the rail. mm.

      z = swept radius   .- - - - - - - - - -.      What is under the rail is known: the pan, and all that stands in it. What is over
                         :  block, crank,    :      it is not: bays between webs, the crank, walls of a block that nobody measured. Two
      rail             ==+===================+==    bounds are looked at: none of it takes oil (the pan has a lid), or FREE_SHARE
                         |~~~~~~            /        of the room over the pan's opening does.
                         |~~~~~~~~~~ pan   /
"""

import numpy as np
import trimesh

from generators.findings import KernelFailure
from generators.oil.surface import Skin, skin

FREE_SHARE = 0.5
"""Of the room over the opening, up to the top of the crank's sweep: the rest is crank, rods, webs and cap bolts (an estimate;
what is empty over a pan of an engine without webs is more)."""

FLAT_MM = 0.01
"""What lies this near to the top is the pan's opening: no rail is flatter."""


def with_crankcase(oil_space: trimesh.Trimesh, *, up_to: float) -> Skin | None:
    """An oil space with FREE_SHARE of what lies over its top, up to z = `up_to` mm; None where that is no higher. Raises
    KernelFailure where the top is not flat."""
    top = float(oil_space.bounds[1, 2])
    if up_to <= top:
        return None
    points, faces = np.asarray(oil_space.vertices), np.asarray(oil_space.faces)
    lid = faces[(points[faces][:, :, 2] > top - FLAT_MM).all(axis=1)]
    if not len(lid):
        raise KernelFailure("oil space", "finding the opening at its top", f"no face within {FLAT_MM} mm of z = {top:.3f} mm")
    used, lid = np.unique(lid, return_inverse=True)
    lid = lid.reshape(-1, 3)
    under, over = points[used], points[used] + [0.0, 0.0, up_to - top]
    edges = np.concatenate([lid[:, [0, 1]], lid[:, [1, 2]], lid[:, [2, 0]]])
    count = len(used)
    keys, back = edges[:, 0] * count + edges[:, 1], edges[:, 1] * count + edges[:, 0]
    a, b = edges[~np.isin(keys, back)].T
    sides = np.concatenate([np.column_stack([a, b, b + count]), np.column_stack([a, b + count, a + count])])
    block = np.concatenate([lid[:, ::-1], lid + count, sides])
    shares = np.concatenate([np.ones(len(faces)), np.full(len(block), FREE_SHARE)])
    return skin(np.concatenate([points, under, over]), np.concatenate([faces, block + len(points)]), shares=shares)
