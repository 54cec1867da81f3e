"""The demo parameter files as tests see them: read once, changed by key."""

from functools import cache
from pathlib import Path

from generators import reading
from generators.crank import swept_region
from generators.parameters import DeepPan, Vehicle

CONFIGS = Path(__file__).resolve().parent.parent / "configs"
ABSENT = {"deep_pan": DeepPan, "vehicle": Vehicle}
"""What stands in a table that a file may leave out."""

NAMES = ("hillclimb_four", "bench_mockup", "sprint_vee_six", "endurance_flat_six")
"""Engines with a dry system."""

WET_NAMES = ("club_vee_eight", "road_four_improved")
"""Engines with a wet system; the pan of the second is there already."""

WET_PARTS = {
    "club_vee_eight": ("deep_pan", "windage_scraper", "windage_screen", "gate_baffle"),
    "road_four_improved": ("windage_scraper", "windage_screen", "gate_baffle"),
}
"""What is made for each of them."""



@cache
def read(name: str):
    """The demo file `name` as read."""
    return reading.read(CONFIGS / f"{name}.toml")


def changed(name: str, **tables):
    """Parameters of a demo file with some values changed: table={"key": value} (plain numbers, mm else SI)."""
    parameters = read(name).parameters
    update = {}
    for table, values in tables.items():
        record = getattr(parameters, table)
        said = {k: getattr(record, k) for k in record.model_fields_set} if record is not None else {}
        update[table] = (ABSENT[table] if record is None else type(record))(**{**said, **values})
    return type(parameters)(**{**{k: getattr(parameters, k) for k in type(parameters).model_fields}, **update})


def region(parameters):
    """The swept region of `parameters`."""
    return swept_region(parameters.crank, rail_length=parameters.pan_rail.length)
