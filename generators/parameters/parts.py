"""What the user may say of each part. None is sized by the tool."""

from typing import Annotated, Literal

from pydantic import AfterValidator, BeforeValidator, Field, StrictBool, StrictInt, StrictStr

from generators.parameters.fields import Angle, Gap, Inconsistent, Length, Offset, Record, Turn, Volume
from generators.parameters.vehicle import USUAL, Place
from generators.standards.tables import Unknown
from generators.standards.threads import flare

Count = Annotated[StrictInt, Field(ge=1, le=12)]
Share = Annotated[float, Field(gt=0, lt=0.6, strict=True)]


FLOOR_SLOPE_MOST = 0.17453292519943295
"""10 deg in rad."""


def _known_port(dash: str) -> str:
    try:
        flare(dash)
    except Unknown as unknown:
        raise ValueError(str(unknown)) from unknown
    return dash


class ScavengePan(Record):
    """The shallow pan of a dry system, mm; running_volume, m3, is the oil in it on its way to the pickups."""

    floor_clearance: Length = Field(12.0, description="room for oil to run off below the swing (common practice)")
    side_clearance: Length = Field(6.0, description=USUAL)
    flange_thickness: Length = Field(8.0, description="stiff enough between its bolts (common practice)")
    pickups: Count | None = Field(None, description="one stage for each two cylinders, at least two, at most four")
    port: Annotated[StrictStr, AfterValidator(_known_port)] = Field(
        "-10", description="the usual size of a scavenge line (common practice)"
    )
    running_volume: Volume | None = None


class WindageScraper(Record):
    """The plate that strips oil from the crank, mm. `make = false` leaves it out."""

    make: StrictBool = True
    edge_clearance: Length = Field(1.5, description="least for rigid metal beside a turning crank (common practice)")
    thickness: Length = Field(3.0, description=USUAL)
    side: Literal["rising", "falling", "both"] = Field("rising", description="oil is flung to the rising side")


class WindageScreen(Record):
    """The tray under the crank of a wet pan, mm; open_area as a share of what it covers. `make = false` leaves it out."""

    make: StrictBool = True
    clearance: Length = Field(4.0, description="rod bolts to a tray, 3 to 5 mm (common practice)")
    thickness: Length = Field(1.5, description="stiff once folded, light (common practice)")
    perforation: Literal["slots", "holes"] = Field("slots", description="slots along the crank strip the most oil")
    hole: Length = Field(5.0, description="slot width or hole diameter: larger than any debris that oil carries")
    open_area: Annotated[float, Field(gt=0.05, lt=0.5, strict=True)] | None = None


class Sump(Record):
    """The deep box of a wet pan, inside: depth of its lowest corner below the rail, x of its centre, mm."""

    length: Length
    width: Length
    depth: Length
    x: Offset


class Pickup(Record):
    """Where the pump draws: x, y; mouth above the floor; bore; width of the bell's mouth; mm. Its tube leaves by a port in
    the "side", or rises open "up" towards the engine's own pump."""

    x: Offset | None = None
    y: Offset | None = None
    floor_gap: Length | None = None
    bore: Length = Field(22.0, description=USUAL)
    bell: Length | None = None
    outlet: Literal["side", "up"] | None = None


class DeepPan(Record):
    """The deep pan of a wet system, mm; floor_slope rad. With `make = false` the pan is there already: its inside is
    as given, with `corner_radius` between floor and walls, and only what goes into it is made."""

    make: StrictBool = True
    sump: Sump | None = None
    shallow_depth: Length | None = None
    kick_outs: Literal["rising", "both"] | None = None
    floor_clearance: Length = Field(12.0, description="room for oil to run off below the swing (common practice)")
    side_clearance: Length = Field(6.0, description=USUAL)
    flange_thickness: Length = Field(8.0, description="stiff enough between its bolts (common practice)")
    floor_slope: Annotated[Turn, Field(ge=0, le=FLOOR_SLOPE_MOST)] | None = None
    corner_radius: Gap | None = None
    pickup: Pickup | None = None

    def model_post_init(self, context: object, /) -> None:
        problems = []
        if self.make and self.corner_radius is not None:
            said = "is for a pan that is there already (make = false); one that is made is bent at sheet.bend_radius"
            problems.append(("corner_radius", said))
        if not self.make:
            problems += [(key, "is needed: with make = false the pan's inside is as given")
                         for key in ("sump", "shallow_depth") if getattr(self, key) is None]
        if problems:
            raise Inconsistent(problems)


class Cell(Record):
    """The walled cell around the pickup: inside length along x, width along y, mm."""

    length: Length | None = None
    width: Length | None = None


class Opening(Record):
    """One gate's opening in its wall, mm."""

    width: Length | None = None
    height: Length | None = None


class GateBaffle(Record):
    """The cell with one-way gates, mm; open_angle rad. `head_loss` is how far the level in the cell may stand below that
    outside while the pump draws; `floor_depth` counts where no deep pan is there to stand in."""

    floor_depth: Length | None = None
    cell: Cell = Field(default_factory=Cell)
    gates_per_side: Annotated[StrictInt, Field(ge=1, le=4)] | None = None
    opening: Opening = Field(default_factory=Opening)
    head_loss: Length = Field(5.0, description="little beside the depth of oil over a pickup (common practice)")
    flap_thickness: Length | None = None
    open_angle: Angle = Field(0.6981317007977318, description="40 deg: gravity closes it again (common practice)")
    wall_height: Length | None = None


def _auto(value: object) -> object:
    return None if value == "auto" else value


class Reservoir(Record):
    """The tank of a dry system: oil_volume m3; diameter (inside) and bores mm; headspace as a share of the whole."""

    oil_volume: Volume | None = None
    headspace: Share = Field(0.25, description=USUAL)
    diameter: Annotated[Length | None, BeforeValidator(_auto)] = None
    inlet_bore: Length = Field(19.0, description=USUAL)
    outlet_bore: Length = Field(25.0, description=USUAL)
    base: Literal["cone", "flat"] = Field("cone", description="drains to its outlet from any side")
    baffles: Annotated[StrictInt, Field(ge=0, le=6)] = Field(2, description=USUAL)
    position: Place | None = None


class Pumps(Record):
    """The pumps: drive_ratio = pump speed / crank speed; displacement m3 a turn."""

    drive_ratio: Annotated[float, Field(gt=0, le=3, strict=True)] | None = None
    pressure_displacement: Volume | None = None
    scavenge_displacement: tuple[Volume, ...] | None = None


LEAST_BED_MM, LEAST_WALL_MM = 60.0, 0.8
"""A smaller bed is a slip of the unit; two lines of a usual nozzle are the thinnest wall (printing guides)."""


class Bed(Record):
    """The room of a printer, mm."""

    x: Length = Field(220.0, description=USUAL)
    y: Length = Field(220.0, description=USUAL)
    z: Length = Field(250.0, description=USUAL)

    def model_post_init(self, context: object, /) -> None:
        small = [(axis, f"must be at least {LEAST_BED_MM:g} mm: is the unit right?") for axis in "xyz" if getattr(self, axis) < LEAST_BED_MM]
        if small:
            raise Inconsistent(small)


class Mockup(Record):
    """What a printed mock-up needs, mm: the printer's room; the least thickness of its sheets; what holes are printed larger, on diameter; the
    clearance of joints, to each side; the diameter of dowels; the clearance of hinge bores, on radius."""

    bed: Bed = Field(default_factory=Bed)
    wall: Length = Field(2.0, description="five lines of a usual nozzle stand by themselves (common practice)")
    hole_growth: Gap = Field(0.4, description="printed holes come out small (printing guides)")
    clearance: Length = Field(0.2, description="joints slide together by hand (printing guides: 0.15 to 0.3)")
    dowel: Length = Field(4.0, description="a usual rod (common practice)")
    hinge_clearance: Length = Field(0.4, description="turns freely as printed (printing guides: 0.3 to 0.5)")

    def model_post_init(self, context: object, /) -> None:
        if self.wall < LEAST_WALL_MM:
            raise Inconsistent([("wall", f"must be at least {LEAST_WALL_MM:g} mm, two lines of a usual nozzle")])
