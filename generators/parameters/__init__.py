"""What a user may say: frozen records and the rules between their fields. Geometry in mm, all else SI."""

from pydantic import Field, StrictStr

from generators.parameters.fields import Drawing, FromFile, Inconsistent, Measure, Record, Series
from generators.parameters.lap import Lap, LapColumn, LapColumns
from generators.parameters.parts import (
    Bed,
    Cell,
    DeepPan,
    GateBaffle,
    Mockup,
    Opening,
    Pickup,
    Pumps,
    Reservoir,
    ScavengePan,
    Sump,
    WindageScraper,
    WindageScreen,
)
from generators.parameters.printing import Drawings, Templates
from generators.parameters.rail import PanRail, Shift
from generators.parameters.rotating import BigEnd, Counterweight, Crank
from generators.parameters.rules import problems_between
from generators.parameters.vehicle import Movement, Obstacle, Place, Rotation, Vehicle, Weighed
from generators.parameters.work import Driving, Engine, Oil, Sheet, Stock

__all__ = [
    "Bed",
    "BigEnd",
    "Cell",
    "Counterweight",
    "Crank",
    "DeepPan",
    "Drawing",
    "Drawings",
    "Driving",
    "Engine",
    "FromFile",
    "GateBaffle",
    "Inconsistent",
    "Lap",
    "LapColumn",
    "LapColumns",
    "Measure",
    "Mockup",
    "Movement",
    "Obstacle",
    "Oil",
    "Opening",
    "PanRail",
    "Parameters",
    "Pickup",
    "Place",
    "Pumps",
    "Record",
    "Reservoir",
    "Rotation",
    "ScavengePan",
    "Series",
    "Sheet",
    "Shift",
    "Stock",
    "Sump",
    "Templates",
    "Vehicle",
    "Weighed",
    "WindageScraper",
    "WindageScreen",
    "problems_between",
]


class Parameters(Record):
    """A whole parameter file. vehicle, deep_pan, pumps and mockup are None where the file has no such table."""

    title: StrictStr = Field("", max_length=200)
    pan_rail: PanRail
    crank: Crank
    engine: Engine = Field(default_factory=Engine)
    driving: Driving
    oil: Oil = Field(default_factory=Oil)
    vehicle: Vehicle | None = None
    sheet: Sheet = Field(default_factory=Sheet)
    scavenge_pan: ScavengePan = Field(default_factory=ScavengePan)
    windage_scraper: WindageScraper = Field(default_factory=WindageScraper)
    windage_screen: WindageScreen = Field(default_factory=WindageScreen)
    deep_pan: DeepPan | None = None
    gate_baffle: GateBaffle = Field(default_factory=GateBaffle)
    reservoir: Reservoir = Field(default_factory=Reservoir)
    pumps: Pumps | None = None
    drawings: Drawings = Field(default_factory=Drawings)
    templates: Templates = Field(default_factory=Templates)
    mockup: Mockup | None = None

    def model_post_init(self, context: object, /) -> None:
        if problems := problems_between(dict(self)):
            raise Inconsistent(problems)
