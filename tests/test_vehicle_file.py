"""What a file may say of the vehicle, and how what it may not is named: obstacles, movement, weight."""

import math

import pytest

from generators.findings import BadFile
from generators.parameters import Obstacle, Vehicle
from generators.reading import read

ENGINE = """\
[pan_rail]
length = "420 mm"
width = "240 mm"
below_crank = "62 mm"
[crank]
swing_radius = "84 mm"
[driving]
cornering = "1.6 g"
braking = "1.4 g"
acceleration = "0.7 g"
[vehicle]
rail_above_ground = "260 mm"
"""

BOX = 'box = { unit = "mm", min = [300, -400, 60], max = [380, 400, 120] }\n'
BAR = f'[[vehicle.obstacle]]\nname = "bar"\n{BOX}'


def told(folder, text):
    """What is wrong with a file: (line, key, message) each."""
    (folder / "engine.toml").write_text(text, encoding="utf-8")
    for name in ("bar.step", "bar.stl", "bar.obj"):
        (folder / name).write_bytes(b"")
    with pytest.raises(BadFile) as bad:
        read(folder / "engine.toml")
    return [(p.line, p.key, p.message) for p in bad.value.problems]


def obstacle(*lines):
    return ENGINE + "[[vehicle.obstacle]]\n" + "".join(f"{line}\n" for line in lines)


CASES = {
    "no shape": (obstacle('name = "bar"'), "vehicle.obstacle[1]", "one of box, cylinder and file, and has none"),
    "two shapes": (obstacle('name = "bar"', BOX.strip(), 'file = "bar.step"'), "vehicle.obstacle[1]", "has box and file"),
    "no name": (obstacle(BOX.strip()), "vehicle.obstacle[1].name", "is missing"),
    "a name of signs": (obstacle('name = "--"', BOX.strip()), "vehicle.obstacle[1].name", "letters or digits"),
    "no such file": (obstacle('name = "bar"', 'file = "gone.step"'), "vehicle.obstacle[1].file", "there is no such file"),
    "a file elsewhere": (obstacle('name = "bar"', 'file = "../bar.step"'), "vehicle.obstacle[1].file", "leaves the folder"),
    "a file of another kind": (obstacle('name = "bar"', 'file = "bar.obj"'), "vehicle.obstacle[1].file", "must end in .step, .stp, .stl"),
    "a mesh without a unit": (obstacle('name = "bar"', 'file = "bar.stl"'), "vehicle.obstacle[1].unit", 'write unit = "mm"'),
    "a mesh in no unit": (obstacle('name = "bar"', 'file = "bar.stl"', 'unit = "yards"'), "vehicle.obstacle[1].unit", '"mm", "cm", "m", "in" or "ft"'),
    "a solid with a unit": (obstacle('name = "bar"', 'file = "bar.step"', 'unit = "mm"'), "vehicle.obstacle[1].unit", "says its own unit"),
    "a box that is set elsewhere": (obstacle('name = "bar"', BOX.strip(), 'position = { x = "1 mm", y = "1 mm", z = "1 mm" }'),
                                    "vehicle.obstacle[1].position", "is for a file"),
    "a box inside out": (obstacle('name = "bar"', 'box = { unit = "mm", min = [3, 0, 0], max = [1, 1, 1] }'), "vehicle.obstacle[1].box",
                         "min must be less than max"),
    "a cylinder of no length": (obstacle('name = "bar"', 'cylinder = { unit = "mm", from = [1, 2, 3], to = [1, 2, 3], radius = 5 }'),
                                "vehicle.obstacle[1].cylinder", "same point"),
    "a cylinder of no radius": (obstacle('name = "bar"', 'cylinder = { unit = "mm", from = [1, 2, 3], to = [1, 2, 9], radius = 0 }'),
                                "vehicle.obstacle[1].cylinder", "radius must be more than zero"),
    "a cylinder without its radius": (obstacle('name = "bar"', 'cylinder = { unit = "mm", from = [1, 2, 3], to = [1, 2, 9] }'),
                                      "vehicle.obstacle[1].cylinder", "unit, from, to and radius"),
    "a gap without a unit": (obstacle('name = "bar"', BOX.strip(), "gap = 10"), "vehicle.obstacle[1].gap", "has no unit"),
    "two of one name": (ENGINE + BAR + BAR.replace("bar", "Bar"), "vehicle.obstacle", "give each its own name"),
    "a name that a check has": (ENGINE + BAR.replace("bar", "Ground clearance"), "vehicle.obstacle", "a check of its own has that name"),
    "an engine that falls over": (ENGINE + 'movement = { roll = "20 deg" }\n', "vehicle.movement.roll", "not more than 15 deg"),
    "an engine that moves backwards": (ENGINE + 'movement = { x = "-2 mm" }\n', "vehicle.movement.x", "must not be negative"),
    "a share of all": (ENGINE + 'weighed = { mass = "900 kg", front_share = 1.0, centre_height = "450 mm", wheelbase = "2 m", track = "1 m", '
                                'front_axle = "1 m" }\n', "vehicle.weighed.front_share", "less than 1"),
}


@pytest.mark.parametrize("case", CASES)
def test_what_cannot_be_is_named_with_key_and_remedy(tmp_path, case):
    text, key, remedy = CASES[case]
    ((line, found, message),) = told(tmp_path, text)
    assert found == key and remedy in message, message
    assert line is not None and line > 10


WEIGHED = """\
[vehicle.weighed]
mass = "900 kg"
front_share = 0.5
centre_height = "450 mm"
wheelbase = "2 m"
track = "1 m"
front_axle = "1 m"
"""


@pytest.mark.parametrize("more", [BAR, WEIGHED])
def test_without_its_height_nobody_knows_where_the_engine_is(tmp_path, more):
    ((_, key, message),) = told(tmp_path, ENGINE.replace('rail_above_ground = "260 mm"\n', "") + more)
    assert key in ("vehicle.obstacle", "vehicle.weighed") and "vehicle.rail_above_ground" in message


def test_every_problem_of_every_obstacle_is_told_at_once(tmp_path):
    text = obstacle('name = "bar"', 'file = "bar.stl"') + '[[vehicle.obstacle]]\nname = "rack"\nfile = "gone.step"\n'
    assert [key for _, key, _ in told(tmp_path, text)] == ["vehicle.obstacle[1].unit", "vehicle.obstacle[2].file"]


def test_inches_are_inches(tmp_path):
    (tmp_path / "engine.toml").write_text(ENGINE + '[[vehicle.obstacle]]\nname = "Left  pipe, 2\\""\n'
                                          'cylinder = { unit = "in", from = [0, 10, 5], to = [20, 10, 5], radius = 1 }\ngap = "1/2 in"\n')
    (pipe,) = read(tmp_path / "engine.toml").parameters.vehicle.obstacle
    assert pipe.cylinder == ((0, 254, 127), (508, 254, 127), 25.4) and pipe.gap == 12.7
    assert (pipe.label, pipe.moves_with) == ("left_pipe_2", "vehicle")


def test_defaults_of_the_vehicle():
    v = Vehicle(rail_above_ground=260.0, obstacle=(Obstacle(name="bar", box=((0, 0, 0), (1, 1, 1))),))
    assert (v.ground_clearance, v.suspension_travel, v.obstacle[0].gap, v.movement.roll) == (70, 0, 10, 0)
    assert math.degrees(v.parked_slope) == pytest.approx(12)
