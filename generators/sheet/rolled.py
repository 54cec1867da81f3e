"""A rolled piece: a cylinder shell with developed holes, or a cone frustum. Developed on the mean surface.

    shell              cone                        Rolling stretches the outside and shrinks the inside
    |   |          \\   large end   /               alike, so the mean surface keeps its size:
    |   |           \\             /                solid volume = flat area x thickness.
    |   |            \\ small end /
      z               square edges

Lengths in mm, angles in rad. The axis is z.
"""

import math
from dataclasses import dataclass

import numpy as np

from generators.outlines import Loop, rectangle
from generators.sheet.branches import Branch, arcs_through, developed_hole, round_angles
from generators.sheet.flat import FlatPattern
from generators.sheet.frames import Frame, frame

HOLE_ARCS = 48
"""Arcs that a developed hole is cut in: enough for one that grazes the wall to stray less than 0.002 mm."""

ROUND_HOLE = 720
"""Steps in which a hole is walked round to find its extent and its length."""


@dataclass(frozen=True)
class Shell:
    """A full cylinder from z = 0 to `height`, butted at the azimuth `seam`. Each branch gives one hole, whose walls run
    radially. Raises ValueError where the sizes are impossible or a hole meets an edge or the seam."""

    inside_radius: float
    thickness: float
    height: float
    seam: float
    branches: tuple[Branch, ...] = ()

    def __post_init__(self):
        if min(self.inside_radius, self.thickness, self.height) <= 0:
            raise ValueError(f"a shell of {self.inside_radius} x {self.thickness} x {self.height} mm is impossible")
        for branch in self.branches:
            _require_inside(self, branch)

    @property
    def mean_radius(self) -> float:
        """Middle of the wall, mm."""
        return self.inside_radius + self.thickness / 2

    @property
    def outside_radius(self) -> float:
        """Outside of the wall, mm."""
        return self.inside_radius + self.thickness

    @property
    def width(self) -> float:
        """Developed length round the shell, mm: pi x mean diameter. No gap is taken off at the butt."""
        return 2 * math.pi * self.mean_radius


def hole_on_wall(shell: Shell, branch: Branch, phi) -> np.ndarray:
    """Points of the developed hole at the angles `phi` (n,) round the branch: (azimuth from the seam rad, z mm), shape
    (n, 2)."""
    points = developed_hole(branch, phi, mean_radius=shell.mean_radius)
    middle = branch.azimuth + math.asin(branch.offset / shell.mean_radius)
    turns = (middle - shell.seam) % (2 * math.pi)
    return np.column_stack([points[:, 0] - middle + turns, points[:, 1]])


def hole_on_flat(shell: Shell, branch: Branch, phi) -> np.ndarray:
    """The same on the flat, (n, 2) mm. The flat shows the inside of the shell, z upwards: rolled towards the viewer,
    what is marked on it comes to lie inside."""
    points = hole_on_wall(shell, branch, phi)
    return np.column_stack([shell.width - shell.mean_radius * points[:, 0], points[:, 1]])


def _require_inside(shell: Shell, branch: Branch) -> None:
    points = hole_on_flat(shell, branch, round_angles(ROUND_HOLE))
    room = min(points.min(), shell.width - points[:, 0].max(), shell.height - points[:, 1].max())
    if room < shell.thickness:
        raise ValueError(
            f"the hole of radius {branch.radius:g} mm at height {branch.height:g} mm leaves {room:.2f} mm to "
            f"the shell's edge or seam, less than its thickness of {shell.thickness:g} mm"
        )


def hole_loop(shell: Shell, branch: Branch) -> Loop:
    """The hole on the flat as a loop of arcs, each with an equal share of the length and of the turn."""
    fine = round_angles(ROUND_HOLE)
    points = hole_on_flat(shell, branch, fine)
    steps = np.roll(points, -1, axis=0) - points
    lengths = np.linalg.norm(steps, axis=1)
    headings = np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))
    turns = np.abs(np.append(np.diff(headings), 2 * math.pi - abs(headings[-1] - headings[0])))
    gone = np.concatenate([[0.0], np.cumsum(lengths / lengths.sum() + turns / turns.sum())])
    wanted = gone[-1] * np.arange(2 * HOLE_ARCS) / (2 * HOLE_ARCS)
    return arcs_through(hole_on_flat(shell, branch, np.interp(wanted, gone, [*fine, 2 * math.pi])))


def shell_flat(shell: Shell, *, rings: tuple[float, ...] = ()) -> FlatPattern:
    """The flat of the shell seen from its inside, seam at both short ends; the heights `rings` are etched across it
    (baffles, stiffeners)."""
    outer = rectangle(x0=0, y0=0, x1=shell.width, y1=shell.height)
    marks = tuple(((0.0, z), (shell.width, z)) for z in rings)
    return FlatPattern(outer, tuple(hole_loop(shell, b) for b in shell.branches), marks=marks)


def shell_middle(shell: Shell) -> Frame:
    """Frame on the mean surface opposite the seam, where the flat has its middle: x and y as on the flat, z towards the axis."""
    out = np.array([-math.cos(shell.seam), -math.sin(shell.seam), 0.0])
    return frame(origin=shell.mean_radius * out, x=np.cross((0, 0, 1), -out), z=-out)


@dataclass(frozen=True)
class Frustum:
    """A cone between two circles of its mean surface, `large` above `small` (radii, mm), `height` apart, edges square
    to the sheet; the mean surface's small end lies at z = `foot`. Raises ValueError where it is no cone or its inside
    folds over itself."""

    small: float
    large: float
    height: float
    thickness: float
    foot: float = 0.0

    def __post_init__(self):
        if not 0 < self.small < self.large or min(self.height, self.thickness) <= 0:
            raise ValueError(
                f"no cone runs from radius {self.small} to {self.large} mm in a height of {self.height} mm"
            )
        if self.small - self.thickness / 2 * self.height / self.slant <= 0:
            raise ValueError(f"a cone {self.thickness} mm thick cannot close to a mean radius of {self.small} mm")

    @property
    def slant(self) -> float:
        """Length along the mean surface, mm."""
        return math.hypot(self.height, self.large - self.small)

    @property
    def apex_radius(self) -> float:
        """Radius of the flat's outer arc, mm: slant x large / (large - small)."""
        return self.slant * self.large / (self.large - self.small)

    @property
    def sector(self) -> float:
        """Included angle of the flat, rad: 2 pi (large - small) / slant."""
        return 2 * math.pi * (self.large - self.small) / self.slant

    @property
    def area(self) -> float:
        """Mean surface, mm2: pi x slant x (small + large)."""
        return math.pi * self.slant * (self.small + self.large)

    @property
    def outward(self) -> tuple[float, float]:
        """Unit normal (radial, z) of the outside."""
        return self.height / self.slant, -(self.large - self.small) / self.slant


def frustum_on_inside(*, small: float, large: float, height: float, thickness: float, foot: float = 0.0) -> Frustum:
    """The frustum whose inside face runs between the radii `small` (at z = foot) and `large`, `height` above; mm."""
    slant = math.hypot(height, large - small)
    out, down = thickness / 2 * height / slant, thickness / 2 * (large - small) / slant
    return Frustum(small + out, large + out, height, thickness, foot - down)


def frustum_section(cone: Frustum) -> Loop:
    """Its section in (radius, z), anticlockwise: four corners, inside small end first."""
    n = np.array(cone.outward) * cone.thickness / 2
    low, high = np.array([cone.small, cone.foot]), np.array([cone.large, cone.foot + cone.height])
    corners = (low - n, low + n, high + n, high - n)
    return Loop(tuple((float(r), float(z), 0.0) for r, z in corners))


def frustum_flat(cone: Frustum) -> FlatPattern:
    """The flat: a sector about the origin that opens symmetrically about +y, arcs exact, the seam at its two ends."""
    outer, inner = cone.apex_radius, cone.apex_radius - cone.slant
    angles = math.pi / 2 - cone.sector / 2 + cone.sector * np.array([0.0, 0.5, 1.0])
    bulge = math.tan(cone.sector / 2 / 4)
    at = [(math.cos(a), math.sin(a)) for a in angles]
    out = [(outer * c, outer * s, bulge) for c, s in at]
    back = [(inner * c, inner * s, -bulge) for c, s in reversed(at)]
    out[-1], back[-1] = (*out[-1][:2], 0.0), (*back[-1][:2], 0.0)
    return FlatPattern(Loop(tuple(out + back)))
