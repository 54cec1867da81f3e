"""A folded piece of constant section: a polyline of its inside faces, bent at each corner, as long as you like.

      P0                    P3      inside faces P0..Pn (sharp corners), in the section's own u, v (mm);
       |   inside (left)   |        the inside lies to the left of the way from P0 to Pn,
       |                   |        the metal to the right
       P1-----------------P2
"""

import itertools
import math
from dataclasses import dataclass

import numpy as np

from generators.outlines import Loop, arc_of, rectangle, without_repeats
from generators.sheet.bending import inside_setback
from generators.sheet.folded import Bend, FoldedSheet, Region
from generators.sheet.frames import Frame, frame


@dataclass(frozen=True)
class Channel:
    """`corners` (n, 2) of the inside faces, thickness, inside bend radius, length along the channel; mm."""

    corners: tuple[tuple[float, float], ...]
    thickness: float
    radius: float
    length: float
    k_factor: float

    @property
    def angles(self) -> list[float]:
        """Turn at each inner corner, rad; positive turns left, towards the inside."""
        steps = np.diff(np.array(self.corners), axis=0)
        headings = np.arctan2(steps[:, 1], steps[:, 0])
        return [math.remainder(b - a, 2 * math.pi) for a, b in itertools.pairwise(headings)]

    @property
    def setbacks(self) -> list[float]:
        """Corner to tangent line along the inside faces, mm; a bend away from the inside turns about the far side."""
        radii = [self.radius if a > 0 else self.radius + self.thickness for a in self.angles]
        return [inside_setback(angle=a, radius=r) for a, r in zip(self.angles, radii, strict=True)]

    def faces(self) -> list[tuple[np.ndarray, np.ndarray]]:
        """Start and end, each (2,), of the flat stretches between bends, on the inside.

        Raises ValueError where a stretch is too short for its bends."""
        points = np.array(self.corners, float)
        trims = [0.0, *self.setbacks, 0.0]
        out = []
        for i, (a, b) in enumerate(itertools.pairwise(points)):
            length = float(np.linalg.norm(b - a))
            if length <= trims[i] + trims[i + 1]:
                raise ValueError(f"side {i + 1} of the section is {length:.2f} mm long, its bends need "
                                 f"{trims[i] + trims[i + 1]:.2f} mm")
            way = (b - a) / length
            out.append((a + way * trims[i], b - way * trims[i + 1]))
        return out

    def path(self, depth: float = 0.0) -> list[tuple[float, float, float]]:
        """Vertices (u, v, bulge) of the line at `depth` mm below the inside faces (0 inside, thickness outside)."""
        out = []
        for i, (a, b) in enumerate(self.faces()):
            way = (b - a) / np.linalg.norm(b - a)
            away = depth * np.array([way[1], -way[0]])
            turn = self.angles[i] if i < len(self.angles) else 0.0
            out.append((*(a + away), 0.0))
            out.append((*(b + away), math.tan(turn / 4)))
        return out

    def section(self) -> Loop:
        """Outline of the metal in the section, anticlockwise."""
        outside, inside = self.path(self.thickness), self.path()
        outside[-1] = (*outside[-1][:2], 0.0)
        back = [(u, v, -inside[i - 1][2] if i else 0.0) for i, (u, v, _) in reversed(list(enumerate(inside)))]
        return without_repeats([*outside, *back])

    def sheet(self, holes: dict[int, tuple[Loop, ...]] | None = None) -> FoldedSheet:
        """The folded description. `holes[i]` are loops on face i in its own frame: x along the channel from its near
        end, y along the section from the start of the flat stretch."""
        holes = holes or {}
        regions, bends = [], []
        for i, (a, b) in enumerate(self.faces()):
            outer = rectangle(x0=0, y0=0, x1=self.length, y1=float(np.linalg.norm(b - a)))
            regions.append(Region(f"face {i + 1}", outer, tuple(holes.get(i, ()))))
            if i:
                bends.append(Bend(f"face {i}", f"face {i + 1}", 2, self.angles[i - 1], self.radius))
        return FoldedSheet(self.thickness, self.k_factor, tuple(regions), tuple(bends))

    def root(self, *, origin, u, v) -> Frame:
        """Frame of the first face when the section's (0, 0) at the near end lies at `origin` (3,) and its u and v run
        along the given directions (3,); the channel then runs along u x v.

        Raises ValueError where u and v are not of unit length and square to each other."""
        u, v, origin = (np.asarray(w, float) for w in (u, v, origin))
        if not np.allclose([u @ u, v @ v, u @ v], [1, 1, 0]):
            raise ValueError(f"u and v must be of unit length and square to each other, not {u} and {v}")
        a, b = self.faces()[0]
        way = (b - a) / np.linalg.norm(b - a)
        inward = way[0] * v - way[1] * u
        start = origin + a[0] * u + a[1] * v - inward * self.thickness
        return frame(origin=start, x=np.cross(u, v), z=inward)


ARC_STEP = math.radians(10)
"""Spacing of the points of a weld path on a bend."""


def spread(path) -> list[tuple[float, float]]:
    """Points on an open path of lines and arcs, given as vertices (u, v, bulge)."""
    out = []
    for (u, v, bulge), after in itertools.pairwise(path):
        out.append((u, v))
        if bulge:
            centre, r, start, turn = arc_of((u, v), after[:2], bulge)
            count = max(2, math.ceil(abs(turn) / ARC_STEP))
            out += [tuple(centre + r * np.array([math.cos(start + turn * k / count), math.sin(start + turn * k / count)]))
                    for k in range(1, count)]
    return [*out, path[-1][:2]]


def closed(path) -> Loop:
    """An open path of vertices (u, v, bulge) closed by a straight line."""
    return Loop((*path[:-1], (*path[-1][:2], 0.0)))
