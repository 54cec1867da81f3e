"""What the engine does: power, driving, oil, and the sheet it is all made from."""

import math
from typing import Annotated, Literal

from pydantic import Field, StrictBool, StrictStr

from generators.parameters.fields import (
    Acceleration,
    Angle,
    Density,
    Duration,
    FilePath,
    Flow,
    Gap,
    Inconsistent,
    Length,
    Mass,
    Power,
    Record,
    Temperature,
    Viscosity,
    Volume,
)
from generators.parameters.lap import LapColumns
from generators.standards.materials import least_bend_radius, material, material_names
from generators.standards.measured_k import SAME_MM, MeasuredK, k_of
from generators.standards.tables import Unknown
from generators.units import read

USUAL = "common practice"

NO_COLUMNS = (
    "is missing: a log needs a table [driving.columns] that says which of its columns is what, e.g. "
    'time = { column = "Time", unit = "s" }, and so longitudinal (with positive = "speeding up" or "braking") and lateral '
    '(with positive = "left turn" or "right turn")'
)

USUAL_SMOOTHING = 0.3
"""s, of a lap whose file does not say."""

LONGEST_SMOOTHING = 2.0
"""s. A swing of the steering takes about as long (common practice)."""

def _default(text: str, dimension: str, because: str = USUAL):
    """A default written as a user would write it, and why."""
    return Field(default_factory=lambda: read(text, dimension), description=because)


class Engine(Record):
    """What the circuit carries: W, m3/s; mass, kg, of the engine without the parts made here. None is sized where it is
    needed."""

    power: Power | None = None
    mass: Mass | None = None
    oil_flow: Flow | None = None
    blow_by: Flow | None = None
    lubrication: Literal["dry", "wet"] = Field(
        "dry", description="the system that this file asks for unless it says wet"
    )


class Driving(Record):
    """The vehicle's largest accelerations (m/s2), how fast they come (rise_time) and last (hold), s; or, beside them, a
    lap as logged: its file, its columns, and `smoothing`, s: swings quicker than this are filtered out, none where it is 0;
    None where there is no lap."""

    cornering: Acceleration
    braking: Acceleration
    acceleration: Acceleration
    crest: Acceleration = _default("0.3 g", "acceleration", "a moderate crest taken at speed (common practice)")
    compression: Acceleration = _default("0.5 g", "acceleration", "a moderate dip taken at speed (common practice)")
    rise_time: Duration = _default("0.4 s", "time", "from straight to full cornering (common practice)")
    hold: Duration = _default("4 s", "time", "one long corner (common practice)")
    log: FilePath | None = None
    columns: LapColumns | None = None
    smoothing: Duration | None = Field(
        None, description="quicker swings are vibration: the oil of a pan swings in half a second to a second (common practice)"
    )

    def model_post_init(self, context: object, /) -> None:
        problems = []
        if self.log and self.columns is None:
            problems.append(("columns", NO_COLUMNS))
        if self.columns and self.log is None:
            problems.append(("log", 'is missing: name the file that [driving.columns] tells of, log = "lap.csv"'))
        elif self.log is None and "smoothing" in self.model_fields_set:
            problems.append(("smoothing", "is of a logged lap, but there is none: give log and [driving.columns], or leave it out"))
        if self.smoothing and self.smoothing > LONGEST_SMOOTHING:
            problems.append(("smoothing", f"must not be more than {LONGEST_SMOOTHING:g} s: corners would be filtered out"))
        if problems:
            raise Inconsistent(problems)
        if self.log and self.smoothing is None:
            object.__setattr__(self, "smoothing", USUAL_SMOOTHING)


class Oil(Record):
    """The oil: m2/s, kg/m3, K, m3."""

    viscosity_40C: Viscosity = _default("85 cSt", "viscosity", "a usual multigrade for hard use (common practice)")
    viscosity_100C: Viscosity = _default("14 cSt", "viscosity", "a usual multigrade for hard use (common practice)")
    density_15C: Density = _default("860 kg/m^3", "density", "a usual engine oil (common practice)")
    temperature: Temperature = _default("110 degC", "temperature", "hot in hard use (common practice)")
    volume: Volume | None = None
    running_volume: Volume | None = None

    def model_post_init(self, context: object, /) -> None:
        problems = []
        if self.viscosity_100C >= self.viscosity_40C:
            problems.append(("viscosity_100C", "must be less than viscosity_40C: oil thins as it warms"))
        if self.volume and self.running_volume and self.running_volume > self.volume:
            problems.append(("running_volume", "must not be more than volume, which is all the oil there is"))
        if problems:
            raise Inconsistent(problems)


class Stock(Record):
    """The sheet as bought, mm."""

    width: Length
    length: Length

    def model_post_init(self, context: object, /) -> None:
        small = [(key, f"must be at least {LEAST_STOCK_MM:g} mm: is the unit right?") for key in ("width", "length") if getattr(self, key) < LEAST_STOCK_MM]
        if small:
            raise Inconsistent(small)


LEAST_STOCK_MM = 50.0
"""Smaller sheet is not sold, and has no room between its edges' margins."""


class Deduction(Record):
    """What the shop takes off the sum of the two outside legs of a bend that turns through `angle` (rad from flat), mm; of the
    sheet's own bend_radius and thickness unless said."""

    angle: Angle
    deduction: Gap
    radius: Length | None = None
    thickness: Length | None = None


class Sheet(Record):
    """What folded pieces are made of. thickness, bend_radius (inside) mm; density kg/m3. `deductions` are the shop's own, and stand
    over k_factor for the bends that they tell of; `etch_names`: part, piece and which way it goes in are marked on every flat. On the
    stock, pieces lie `spacing` mm apart, and `nest_time` s are spent on each sheet."""

    material: StrictStr = Field("5052-H32", description="folds tightly, welds, and stands oil and weather")
    thickness: Length = Field(2.0, description="the usual thickness of a welded aluminium pan (common practice)")
    bend_radius: Length | None = Field(
        None, description="the material's least inside radius, and no less than the thickness"
    )
    k_factor: Annotated[float, Field(gt=0, le=0.6, strict=True)] | None = Field(
        None, description="the material's, for an air bend"
    )
    density: Density | None = Field(None, description="the material's")
    stock: Stock = Field(default_factory=lambda: Stock(width=1250.0, length=2500.0), description="a usual sheet size")
    grain: Literal["length", "none"] = Field("length", description="sheet is rolled along its length; a bend across the grain cracks least")
    spacing: Length | None = Field(None, description="the thickness, and no less than 5 mm (common practice)")
    nest_time: Duration = Field(0.0, description="the same layout every time")
    deductions: tuple[Deduction, ...] = ()
    etch_names: StrictBool = Field(False, description="not every shop etches, and what is etched stays to be seen")

    def model_post_init(self, context: object, /) -> None:
        own = {key: getattr(self, key) for key in ("bend_radius", "k_factor", "density")}
        if None in own.values():
            for key, value in _from_table(self.material, self.thickness, own).items():
                object.__setattr__(self, key, value)
        if self.deductions:
            object.__setattr__(self, "k_factor", _measured(self))


SAME_RAD = math.radians(0.01)
"""Angles nearer than this are the same."""

LEAST_K, MOST_K = 0.0, 0.6
"""A neutral fibre outside of this share of the thickness is none."""


def _measured(sheet: Sheet) -> MeasuredK:
    """The K-factor with the shop's deductions. Raises Inconsistent where one cannot be."""
    rows, problems = [], []
    for i, d in enumerate(sheet.deductions):
        radius, thickness = d.radius or sheet.bend_radius, d.thickness or sheet.thickness
        try:
            k = k_of(deduction=d.deduction, angle=d.angle, radius=radius, thickness=thickness)
        except ValueError as bad:
            problems.append((f"deductions.{i}.angle", str(bad)))
            continue
        if not LEAST_K < k <= MOST_K:
            least, most = (_deduction(d.angle, radius, thickness, k) for k in (MOST_K, LEAST_K))
            said = f"between {least:.2f} and {most:.2f} mm off the sum of its outside legs"
            problems.append((f"deductions.{i}.deduction",
                             f"cannot be: with {radius:g} mm inside in {thickness:g} mm sheet such a bend takes {said}"))
        if any(abs(d.angle - a) < SAME_RAD and abs(radius - r) < SAME_MM and abs(thickness - t) < SAME_MM for a, r, t, _ in rows):
            problems.append((f"deductions.{i}.angle", "is told of already: one deduction for an angle, a radius and a thickness"))
        rows.append((d.angle, radius, thickness, k))
    if problems:
        raise Inconsistent(problems)
    return MeasuredK(sheet.k_factor, tuple(rows))


def _deduction(angle: float, radius: float, thickness: float, k: float) -> float:
    """The deduction (mm) of a bend with the K-factor `k`."""
    return 2 * (radius + thickness) * math.tan(angle / 2) - angle * (radius + k * thickness)


def _from_table(name: str, thickness: float, own: dict) -> dict:
    """`own` with each None filled from the table of materials."""
    if name not in material_names():
        known = ", ".join(material_names())
        message = f"is not in the table: give density, k_factor and bend_radius beside it, or use one of {known}"
        raise Inconsistent([("material", message)])
    row = material(name)
    found = {"k_factor": row.k_factor, "density": row.density}
    if own["bend_radius"] is None:
        found["bend_radius"] = _bend_radius(name, thickness)
    return {key: value if value is not None else found[key] for key, value in own.items()}


def _bend_radius(name: str, thickness: float) -> float:
    try:
        return max(least_bend_radius(name, thickness=thickness), thickness)
    except Unknown as unknown:
        raise Inconsistent([("bend_radius", f"is needed: {unknown}")]) from unknown
