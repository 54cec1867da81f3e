"""Where the engine sits: its place and movement in the vehicle, what stands round it there, and what the vehicle weighs."""

import math
import re
from pathlib import PurePath
from typing import Annotated, Literal

from pydantic import AfterValidator, Field, StrictStr

from generators.parameters.fields import Corners, FilePath, Gap, Inconsistent, Length, Mass, Offset, Record, Rod, Turn

USUAL = "common practice"

PARKED_SLOPE = 0.20943951023931956
"""12 deg in rad."""

STEEPEST = 0.7853981633974483
"""45 deg in rad: nothing that drives is parked on more."""

MOST_TURN = 0.2617993877991494
"""15 deg in rad: no engine turns farther on its mounts, and what is measured over its movement counts on it."""

SOLIDS, MESHES = (".step", ".stp"), (".stl",)
"""How the names of files that hold obstacles end: solids say their own unit, meshes do not."""

OTHER_FITS = ("ground_clearance", "reservoir_engine")
"""What is said of the fit under these names besides the obstacles."""

Share = Annotated[float, Field(gt=0, lt=1, strict=True)]


def _up_to(most: float):
    """An angle (rad) that is not negative and not more than `most`; raises ValueError, told in degrees."""
    def within(value: float) -> float:
        if not 0 <= value <= most:
            raise ValueError(f"must not be negative and not more than {math.degrees(most):g} deg")
        return value

    return Annotated[Turn, AfterValidator(within)]


Swing, Slope = _up_to(MOST_TURN), _up_to(STEEPEST)


class Movement(Record):
    """How far the engine moves on its mounts, each way: mm along the vehicle's axes; rad, roll about the crank axis, pitch
    and yaw about the axes across it in the middle of the pan rail."""

    x: Gap = 0.0
    y: Gap = 0.0
    z: Gap = 0.0
    roll: Swing = 0.0
    pitch: Swing = 0.0
    yaw: Swing = 0.0


class Place(Record):
    """A point, mm."""

    x: Offset
    y: Offset
    z: Offset


class Rotation(Record):
    """Turns about the vehicle's axes, rad: first roll about x, then pitch about y, then yaw about z."""

    roll: Turn = 0.0
    pitch: Turn = 0.0
    yaw: Turn = 0.0


class Obstacle(Record):
    """Something that the parts must clear by `gap` mm, in the vehicle frame: a box, a cylinder, or what a file holds, there
    turned by `rotation` about the file's origin and then set at `position`. It stands in the vehicle or moves with the engine."""

    name: StrictStr
    box: Corners | None = None
    cylinder: Rod | None = None
    file: FilePath | None = None
    unit: Literal["mm", "cm", "m", "in", "ft"] | None = None
    position: Place | None = None
    rotation: Rotation | None = None
    moves_with: Literal["vehicle", "engine"] = Field("vehicle", description="bolted to the chassis")
    gap: Gap = Field(10.0, description=USUAL)

    @property
    def label(self) -> str:
        """Its name in small letters, digits and underscores; empty where it has none of them."""
        return re.sub("[^a-z0-9]+", "_", self.name.lower()).strip("_")

    def model_post_init(self, context: object, /) -> None:
        problems = []
        if not self.label:
            problems.append(("name", "must have letters or digits: checks and files are called after it"))
        said = [key for key in ("box", "cylinder", "file") if getattr(self, key) is not None]
        if len(said) != 1:
            found = " and ".join(said) or "none"
            problems.append(("", f"must have one of box, cylinder and file, and has {found}"))
        problems += self._of_files()
        if problems:
            raise Inconsistent(problems)

    def _of_files(self):
        if self.file is None:
            yield from ((key, "is for a file: a box or a cylinder is given where it stands") for key in ("unit", "position", "rotation")
                        if getattr(self, key) is not None)
            return
        kind = PurePath(self.file).suffix.lower()
        if kind not in (*SOLIDS, *MESHES):
            yield "file", f"must end in {', '.join((*SOLIDS, *MESHES))}: save the solid as STEP or its mesh as STL"
        elif kind in MESHES and self.unit is None:
            yield "unit", 'is needed: an STL file does not say its unit; write unit = "mm" (or cm, m, in, ft)'
        elif kind in SOLIDS and self.unit is not None:
            yield "unit", "is for STL files: a STEP file says its own unit, so leave it out"


class Weighed(Record):
    """The vehicle as weighed, driver and fuel in it, but without the parts made here and their oil: kg; front_share and
    left_share of it on the front axle and on the left wheels; height of its centre, wheelbase, track, and how far ahead of the
    vehicle frame's origin the front axle is, mm."""

    mass: Mass
    front_share: Share
    left_share: Share = Field(0.5, description="as heavy on the left as on the right")
    centre_height: Length
    wheelbase: Length
    track: Length
    front_axle: Offset


class Vehicle(Record):
    """How the engine sits: pitch, roll rad; rail_above_ground, ground_clearance (least wanted), suspension_travel (how far the
    body may sink from rest) mm; parked_slope, rad, the steepest that the vehicle is parked and started on, whichever way it falls."""

    front_of_engine: Literal["forward", "rearward", "left", "right"] = Field(
        "forward", description="the front of the engine faces forward in most vehicles"
    )
    pitch: Turn = Field(0.0, description="level")
    roll: Turn = Field(0.0, description="upright")
    rail_above_ground: Length | None = None
    ground_clearance: Gap = Field(70.0, description=USUAL)
    suspension_travel: Gap = Field(0.0, description="clearance is then that of the vehicle at rest")
    parked_slope: Slope = Field(
        PARKED_SLOPE, description="12 deg: a steep street, one in five (common practice)"
    )
    movement: Movement = Field(default_factory=Movement, description="a rigid mount")
    weighed: Weighed | None = None
    obstacle: tuple[Obstacle, ...] = ()

    def model_post_init(self, context: object, /) -> None:
        problems = []
        if self.rail_above_ground is None:
            problems += [(key, "needs vehicle.rail_above_ground too: without it nobody knows where the engine is in the vehicle")
                         for key in ("obstacle", "weighed") if getattr(self, key)]
        seen: dict[str, str] = {}
        for number, obstacle in enumerate(self.obstacle, start=1):
            if obstacle.label in seen:
                problems.append(("obstacle", f"number {number} is called {obstacle.name!r} like {seen[obstacle.label]}: give each its own name"))
            seen.setdefault(obstacle.label, f"number {number}")
            if obstacle.label in OTHER_FITS:
                problems.append(("obstacle", f"number {number} must not be called {obstacle.name!r}: a check of its own has that name"))
        if problems:
            raise Inconsistent(problems)
