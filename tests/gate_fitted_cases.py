"""Gate baffles fitted into deep pans, built once each."""

from functools import cache

import configs
from generators.checks import Case, part_bodies
from generators.meshes import part_meshes
from generators.parameters import GateBaffle, Pickup, Sump
from generators.parts.gate_baffle import dimension, part
from generators.sump import draw_of, inside_of

GIVEN_PAN = {"make": False, "corner_radius": 12.0, "shallow_depth": 50.0, "pickup": Pickup(x=135.0, y=0.0)}
"""A pan that is there already: walls as plumb as its corners are round, its inside 12 mm round at the floor."""


def left_open(parameters, **keys):
    """The parameters with nothing said of the gates but `keys`."""
    return type(parameters)(**{**dict(parameters), "gate_baffle": GateBaffle(**keys)})


def wet(name: str, **tables):
    """A demo file told to make a wet system, its gates left to the tool."""
    tables["engine"] = {**tables.get("engine", {}), "lubrication": "wet"}
    return left_open(configs.changed(name, **tables))


def in_given_pan(*, slope: float = 0.0, width: float = 175.0, **keys):
    """A cell in a sump that is there already; `slope` of its floor, rad."""
    sump = Sump(length=220.0, width=width, depth=170.0, x=135.0)
    pan = {**GIVEN_PAN, "sump": sump, **({"floor_slope": slope} if slope else {})}
    return left_open(configs.changed("hillclimb_four", engine={"lubrication": "wet"}, deep_pan=pan), **keys)


CASES = {
    **{name: (lambda name=name: wet(name)) for name in configs.NAMES},
    # as wide as the sump allows: 175 less walls, lid and play, 2 x (3 x 2 + 1) mm
    "given": lambda: in_given_pan(cell={"width": 161.0, "length": 115.0}, opening={"width": 60.0, "height": 40.0}),
    "given, sloped": lambda: in_given_pan(slope=0.06, cell={"width": 161.0}),
}


class Built:
    """A fitted part with what it stands in, its meshes and bodies."""

    def __init__(self, parameters):
        self.parameters, self.region = parameters, configs.region(parameters)
        self.inside = inside_of(parameters, self.region)
        self.draw = draw_of(parameters, self.region, self.inside)
        self.d = dimension(parameters, self.region)
        self.part = part(self.d)
        self.meshes = part_meshes(self.part)
        self.bodies = part_bodies(self.meshes)

    @property
    def case(self) -> Case:
        """As the checks look at it."""
        return Case(self.parameters, self.part, self.meshes, self.bodies, ())


@cache
def built(name: str) -> Built:
    """One of CASES."""
    return Built(CASES[name]())
