"""Deep pans as tests make them: a demo engine with a wet sump, its pan sized by the tool or said."""

from configs import changed, region
from generators import checks
from generators.parts import deep_pan as pan
from generators.vessels import vessels

HILL = "hillclimb_four"
WET = {"lubrication": "wet"}
SUMP = {"length": 180.0, "width": 280.0, "depth": 170.0, "x": 130.0}
PLAIN = {"sump": {**SUMP, "width": 150.0}, "shallow_depth": 45.0, "floor_slope": 0.0}
GIVEN = {"make": False, "sump": {**SUMP, "width": 180.0}, "shallow_depth": 45.0, "corner_radius": 0.0}


def parameters(name=HILL, *, deep_pan=None, **tables):
    """Parameters of a demo engine with a wet sump; nothing said of the pan unless given."""
    wet = {"engine": WET, **tables}
    return changed(name, **(wet if deep_pan is None else {**wet, "deep_pan": deep_pan}))


def dimensions(p):
    """The sizes of its pan."""
    return pan.dimension(p, region(p))


def judged(p, part, meshes):
    """Every check of the pan alone, by id."""
    found = checks.judge(p, region(p), (part,), {part.name: meshes}, vessels([meshes], {}))
    return {c.id: c for c in found}
