"""The dimensions of the tank: frozen records, mm and rad unless said, own frame."""

import math
from dataclasses import dataclass

from generators.findings import Sized
from generators.fittings import WeldEnd
from generators.sheet.branches import Branch
from generators.sheet.rolled import Frustum, Shell, frustum_on_inside
from generators.standards import Flare


@dataclass(frozen=True)
class Outlet:
    """The turned end at the lowest point: top face at `top`, a 45 degree funnel from `funnel_radius` to the bore, whose
    rim is the mouth; a drain port across at `port`; the collar ends at `foot`, then thread and nose."""

    flare: Flare
    radius: float
    funnel_radius: float
    top: float
    port: float
    foot: float

    @property
    def bore_radius(self) -> float:
        """Radius of the way out."""
        return self.flare.bore / 2

    @property
    def mouth(self) -> float:
        """Height of the bore's rim."""
        return self.top - (self.funnel_radius - self.bore_radius)


@dataclass(frozen=True)
class Inlet:
    """The return: a tube of outside `radius` and `bore` radius set on the shell; `end` along its axis."""

    bore: float
    radius: float
    offset: float
    height: float
    azimuth: float
    angle: float
    end: float
    flare: Flare
    collar: float

    def branch(self, radius: float) -> Branch:
        """The branch of that radius on the tube's axis."""
        return Branch(radius, self.height, self.azimuth, self.offset, self.angle)


@dataclass(frozen=True)
class RadialBoss:
    """A threaded boss through the wall: outside `radius`, `bore` radius, from `inside` to `outside` along its axis."""

    name: str
    thread: str
    radius: float
    bore: float
    height: float
    azimuth: float
    inside: float
    outside: float


@dataclass(frozen=True)
class Top:
    """What stands on the top plate: filler neck (radii, x of its axis, height above the plate), breather (x), and the
    shield under it (inside width across, depth, length along x)."""

    neck_radius: float
    neck_bore: float
    neck_x: float
    neck_height: float
    breather: WeldEnd
    breather_x: float
    shield_width: float
    shield_depth: float
    shield_length: float


@dataclass(frozen=True)
class Baffles:
    """Perforated plates with undersides at `heights`, outside `radius`, holes of `hole` radius at `pitch`, and notches
    of `notch` radius at the edge, the first at the shell's seam."""

    heights: tuple[float, ...]
    radius: float
    hole: float
    pitch: float
    notch: float
    turn: float


@dataclass(frozen=True)
class Vanes:
    """Two crossed plates over the outlet: feet from `inner` to `outer` radius, an arch at `arch` over the mouth,
    straight at `top`; lapped by halves at `lap`."""

    inner: float
    outer: float
    inner_foot: float
    outer_foot: float
    arch: float
    top: float
    lap: float


@dataclass(frozen=True)
class Brackets:
    """Folded brackets: back plate of `width` x `back` (between bends) whose ears carry one bolt hole each at `bolt_y`;
    flanges of `flange` width coped to the shell; inner face of the back plate `reach` behind the axis; `heights` of the
    lower bend line of each."""

    bolt: str
    hole: float
    width: float
    back: float
    step: float
    flange: float
    reach: float
    cope: float
    bolt_y: float
    heights: tuple[float, ...]


@dataclass(frozen=True)
class ReservoirDimensions:
    """Everything the tank is made from; `oil` in m3, densities kg/m3. `cone_depth` is 0 with a flat base."""

    base: str
    material: str
    density: float
    bar: str
    bar_density: float
    thickness: float
    bend_radius: float
    k_factor: float
    inside_radius: float
    height: float
    full_mark: float
    oil: float
    seam: float
    cone_depth: float
    cone_foot: float
    top_thickness: float
    base_thickness: float
    outlet: Outlet
    inlet: Inlet
    top: Top
    baffles: Baffles
    vanes: Vanes
    bosses: tuple[RadialBoss, ...]
    brackets: Brackets
    hole_clearance: float
    sized: tuple[Sized, ...] = ()

    @property
    def mean_radius(self) -> float:
        """Middle of the shell's wall."""
        return self.inside_radius + self.thickness / 2

    @property
    def outside_radius(self) -> float:
        """Outside of the shell."""
        return self.inside_radius + self.thickness

    def shell(self) -> Shell:
        """The rolled shell with a hole for the return and for each boss. Raises ValueError where one does not fit."""
        holes = [self.inlet.branch(self.inlet.bore)]
        holes += [
            Branch(b.radius + self.hole_clearance, b.height, b.azimuth, fit=self.inside_radius) for b in self.bosses
        ]
        return Shell(self.inside_radius, self.thickness, self.height, self.seam, tuple(holes))

    def cone(self) -> Frustum:
        """The cone under the shell, its inside edge on the shell's."""
        return frustum_on_inside(
            small=self.cone_foot,
            large=self.inside_radius,
            height=self.cone_depth,
            thickness=self.thickness,
            foot=-self.cone_depth,
        )

    def surface(self, radius: float) -> float:
        """Height of the inside of the base at `radius` from the axis."""
        return -self.cone_depth * (self.inside_radius - radius) / (self.inside_radius - self.cone_foot)

    @property
    def area(self) -> float:
        """Section of the straight shell, mm2."""
        return math.pi * self.inside_radius**2
