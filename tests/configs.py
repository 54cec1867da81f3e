"""The demo parameter files as tests see them: read once, changed by key."""

from functools import cache
from pathlib import Path

from generators import reading
from generators.crank import swept_region

CONFIGS = Path(__file__).resolve().parent.parent / "configs"
NAMES = ("hillclimb_four", "bench_mockup", "sprint_vee_six", "endurance_flat_six")


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
        update[table] = type(record)(**{**{k: getattr(record, k) for k in record.model_fields_set}, **values})
    return type(parameters)(**{**{k: getattr(parameters, k) for k in type(parameters).model_fields}, **update})


def region(parameters):
    """The swept region of `parameters`."""
    return swept_region(parameters.crank, rail_length=parameters.pan_rail.length)
