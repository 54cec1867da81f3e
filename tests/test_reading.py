"""A parameter file becomes Parameters, with the lines, reasons and words that the report needs."""

import json
import math
import re
import shutil
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from full_file import LAP

from generators import outlines
from generators.parameters import Measure, Parameters, Record
from generators.reading import read
from generators.reading.complaints import meaning
from generators.reading.lines import key_lines

ROOT = Path(__file__).parent.parent
CONFIGS = sorted((ROOT / "configs").glob("*.toml"))
STARTER = ROOT / "generators" / "data" / "starter.toml"

EVERY_KEY = """\
title = "Every key"
[pan_rail]
length = "420 mm"
width = "240 mm"
corner_radius = "20 mm"
face_width = "16 mm"
below_crank = "62 mm"
bolt_size = "M6"
bolt_pitch = "60 mm"
[crank]
swing_radius = "95 mm"
rotation = "clockwise"
redline = "8000 rpm"
stroke = "86 mm"
rod_length = "145 mm"
throws = { unit = "mm", positions = [60, 151, 242, 333] }
big_end = { width = "24 mm", cap_depth = "38 mm", half_breadth = "34 mm" }
counterweight = { radius = "72 mm", width = "18 mm" }
bank_angle = "90 deg"
rods_per_throw = 2
[engine]
power = "185 kW"
mass = "96 kg"
oil_flow = "38 L/min"
blow_by = "45 L/min"
lubrication = "wet"
[driving]
cornering = "1.6 g"
braking = "1.4 g"
acceleration = "0.7 g"
crest = "0.3 g"
compression = "0.5 g"
rise_time = "0.4 s"
hold = "4 s"
log = "lap.csv"
smoothing = "0.25 s"
[driving.columns]
time = { column = "t", unit = "s" }
longitudinal = { column = "long", unit = "g", positive = "braking", at_rest = "0.01 g" }
lateral = { column = "lat", unit = "g", positive = "right turn", at_rest = "-0.02 g" }
vertical = { column = "vert", unit = "g", positive = "compression", at_rest = "1 g" }
speed = { column = "v", unit = "mph" }
[oil]
viscosity_40C = "85 cSt"
viscosity_100C = "14 cSt"
density_15C = "860 kg/m^3"
temperature = "110 degC"
volume = "5.5 L"
running_volume = "4.2 L"
[vehicle]
front_of_engine = "left"
pitch = "-2 deg"
roll = "0 deg"
rail_above_ground = "260 mm"
ground_clearance = "70 mm"
suspension_travel = "40 mm"
parked_slope = "12 deg"
movement = { x = "5 mm", y = "5 mm", z = "8 mm", roll = "3 deg" }
weighed = { mass = "980 kg", front_share = 0.52, left_share = 0.49, centre_height = "450 mm", wheelbase = "2.5 m", track = "1.5 m", front_axle = "30 in" }
[[vehicle.obstacle]]
name = "crossmember"
box = { unit = "mm", min = [300, -400, 90], max = [380, 400, 160] }
gap = "10 mm"
[[vehicle.obstacle]]
name = "rack"
file = "rack.stl"
unit = "mm"
position = { x = "0 mm", y = "-5 mm", z = "1 mm" }
rotation = { roll = "0 deg", pitch = "10 deg", yaw = "-90 deg" }
moves_with = "engine"
[[vehicle.obstacle]]
name = "exhaust"
cylinder = { unit = "in", from = [-4, 10, 5], to = [12, 10, 6], radius = 1.25 }
[sheet]
material = "5052-H32"
thickness = "2 mm"
bend_radius = "3 mm"
k_factor = 0.42
density = "2.68 g/cm^3"
stock = { width = "1250 mm", length = "2500 mm" }
grain = "none"
spacing = "6 mm"
nest_time = "2 s"
deductions = [{ angle = "90 deg", deduction = "3.9 mm", radius = "3 mm", thickness = "2 mm" }]
etch_names = true
[scavenge_pan]
floor_clearance = "12 mm"
side_clearance = "6 mm"
flange_thickness = "8 mm"
pickups = 3
port = "-10"
running_volume = "0.3 L"
[windage_scraper]
make = true
edge_clearance = "1.5 mm"
thickness = "3 mm"
side = "both"
[windage_screen]
make = false
clearance = "4 mm"
thickness = "1.5 mm"
perforation = "holes"
hole = "5 mm"
open_area = 0.3
[deep_pan]
make = false
sump = { length = "180 mm", width = "300 mm", depth = "130 mm", x = "90 mm" }
shallow_depth = "40 mm"
kick_outs = "rising"
floor_clearance = "12 mm"
side_clearance = "6 mm"
flange_thickness = "8 mm"
floor_slope = "2 deg"
corner_radius = "0 mm"
pickup = { x = "90 mm", y = "0 mm", floor_gap = "8 mm", bore = "22 mm", bell = "40 mm", outlet = "up" }
[gate_baffle]
floor_depth = "120 mm"
cell = { length = "110 mm", width = "130 mm" }
gates_per_side = 1
opening = { width = "60 mm", height = "40 mm" }
flap_thickness = "1.2 mm"
head_loss = "5 mm"
open_angle = "40 deg"
wall_height = "80 mm"
[reservoir]
oil_volume = "8 L"
headspace = 0.25
diameter = "180 mm"
inlet_bore = "19 mm"
outlet_bore = "25 mm"
base = "flat"
baffles = 2
position = { x = "-900 mm", y = "350 mm", z = "150 mm" }
[pumps]
drive_ratio = 0.5
pressure_displacement = "28 cm^3"
scavenge_displacement = ["22 cm^3", "22 cm^3", "21 cm^3"]
[drawings]
paper = "A3"
projection = "third angle"
owner = "The owner"
drawn_by = "A drawer"
revision = "A"
[templates]
paper = "Letter"
[mockup]
bed = { x = "220 mm", y = "220 mm", z = "250 mm" }
wall = "2 mm"
hole_growth = "0.4 mm"
clearance = "0.2 mm"
dowel = "4 mm"
hinge_clearance = "0.4 mm"
"""


def read_text(folder, text):
    (folder / "lap.csv").write_text(LAP)
    for mesh in ("rack", "exhaust"):
        (folder / f"{mesh}.stl").write_bytes(b"")
    (folder / "engine.toml").write_text(text, encoding="utf-8")
    return read(folder / "engine.toml")


@pytest.mark.parametrize("path", [*CONFIGS, STARTER], ids=lambda p: p.stem)
def test_every_config_and_the_starter_read(path):
    got = read(path)
    assert got.parameters.title
    json.dumps(got.as_report(), allow_nan=False)
    assert all(s.because and s.value and s.key not in got.given for s in got.sized)


def test_the_demo_files_are_all_here():
    assert sorted(p.stem for p in CONFIGS) == sorted(
        ["bench_mockup", "club_vee_eight", "club_vee_eight_dry", "endurance_flat_six", "hillclimb_four", "road_four_improved", "sprint_vee_six"])


def test_starter_reads_with_every_line_of_its_optional_tables_taken_up(tmp_path):
    text = STARTER.read_text(encoding="utf-8")
    head, tail = text.split("# --- All that follows is optional")
    taken_up = "\n".join(re.sub(r"^# (?=\[|[a-z_0-9A-Z]+ = )", "", line) for line in tail.split("\n")[1:])
    got = read_text(tmp_path, head + taken_up).parameters
    assert got.reservoir.base == "cone"
    assert got.sheet.k_factor == 0.42


def test_starter_reads_with_its_measured_crank_and_its_points_instead(tmp_path):
    text = STARTER.read_text(encoding="utf-8")
    text = re.sub(r"^(swing_radius|length|width|corner_radius) = ", r"# \1 = ", text, flags=re.MULTILINE)
    for key in (
        "stroke",
        "rod_length",
        "throws",
        "big_end",
        "counterweight",
        "bank_angle",
        "rods_per_throw",
        "outline",
        "bolts",
    ):
        text, count = re.subn(rf"^# ({key} = )", r"\1", text, flags=re.MULTILINE)
        assert count == 1, key
    got = read_text(tmp_path, text).parameters
    assert got.crank.measured
    assert got.crank.rods_per_throw == 2
    assert (got.pan_rail.length, got.pan_rail.width) == (420.0, 240.0)
    assert len(got.pan_rail.bolts) == 4


def test_every_key_reads(tmp_path):
    got = read_text(tmp_path, EVERY_KEY)
    p = got.parameters
    assert {s.key for s in got.sized} == {"pan_rail.bolts", "vehicle.obstacle[1].moves_with", "vehicle.obstacle[2].gap",
                                          "vehicle.obstacle[3].moves_with", "vehicle.obstacle[3].gap"}
    assert p.deep_pan.sump.depth == 130.0
    assert p.vehicle.obstacle[0].box == ((300.0, -400.0, 90.0), (380.0, 400.0, 160.0))
    assert p.vehicle.obstacle[2].cylinder == tuple(pytest.approx(v) for v in ((-101.6, 254, 127), (304.8, 254, 152.4), 31.75))
    assert p.vehicle.obstacle[1].rotation.yaw == pytest.approx(-math.pi / 2)
    assert p.vehicle.weighed.wheelbase == 2500 and p.vehicle.weighed.front_axle == pytest.approx(762)
    assert p.vehicle.pitch == pytest.approx(math.radians(-2))
    assert p.pumps.scavenge_displacement == pytest.approx((22e-6, 22e-6, 21e-6))
    assert p.sheet.density == pytest.approx(2680)
    assert set(got.texts) >= {"vehicle.obstacle.0.gap", "driving.columns.time.unit", "sheet.stock.width"}
    json.dumps(got.as_report(), allow_nan=False)


def test_every_key_of_the_records_is_in_that_file(tmp_path):
    given = read_text(tmp_path, EVERY_KEY).given
    instead = {"pan_rail.outline", "pan_rail.drawing", "pan_rail.bolts", "pan_rail.offset", "crank.big_end.outline"}

    def keys(model, path=()):
        for name, info in model.model_fields.items():
            inner = next(
                (
                    a
                    for a in (info.annotation, *getattr(info.annotation, "__args__", ()))
                    if isinstance(a, type) and issubclass(a, Record)
                ),
                None,
            )
            yield ".".join((*path, name))
            if inner is not None:
                yield from keys(inner, (*path, name))

    missing = set(keys(Parameters)) - given - instead
    assert {
        k for k in missing if not k.startswith(("vehicle.movement.", "pan_rail.offset.", "vehicle.obstacle.", "sheet.deductions."))
    } == set()


def test_defaults_have_their_reasons(tmp_path):
    got = read(ROOT / "configs" / "bench_mockup.toml")
    reasons = {s.key: s for s in got.sized}
    assert reasons["scavenge_pan.floor_clearance"].value == "12.0 mm"
    assert reasons["driving.crest"].value == "0.3 g"
    assert reasons["sheet.stock"].value == "width 1250.0 mm, length 2500.0 mm"
    assert reasons["pan_rail.bolts"].value == f"{len(got.parameters.pan_rail.bolts)} bolts"
    assert all(s.because.startswith("not given; ") for s in got.sized)
    for name in ("rotation", "rods_per_throw"):
        assert f"crank.{name}" in reasons
    # every measure that has a value was either given or has a reason
    for table, record in got.parameters:
        for name, info in type(record).model_fields.items() if isinstance(record, Record) else ():
            if isinstance(meaning(info), Measure) and getattr(record, name) is not None:
                assert f"{table}.{name}" in got.given or f"{table}.{name}" in reasons


def test_report_repeats_the_users_words_and_fills_in_the_rest():
    report = read(ROOT / "configs" / "sprint_vee_six.toml").as_report()
    assert report["crank"]["stroke"] == "3 3/8 in"
    assert report["scavenge_pan"]["flange_thickness"] == "5/16 in"
    assert report["driving"]["rise_time"] == "0.4 s"
    assert report["crank"]["throws"] == {"unit": "mm", "positions": pytest.approx([82.55, 190.5, 298.45])}
    assert report["vehicle"] is None
    assert len(report["pan_rail"]["outline"]["x_y_bulge"]) == 12


def test_given_and_texts():
    got = read(ROOT / "configs" / "hillclimb_four.toml")
    assert {"crank", "crank.throws", "crank.big_end.width", "gate_baffle"} <= got.given
    assert "crank.swing_radius" not in got.given
    assert "pumps" not in got.given
    assert got.texts["crank.big_end.cap_depth"] == "38 mm"
    assert got.texts["sheet.k_factor"] == "0.42"


def in_inches(text):
    """The same file with every millimetre written as inches, the pan rail's and crank's lists too."""
    text = re.sub(r'"(-?[\d.]+) mm"', lambda m: f'"{float(m[1]) / 25.4!r} in"', text)

    def listed(match):
        numbers = re.sub(r"-?\d+(?:\.\d+)?", lambda n: repr(float(n[0]) / 25.4), match[2])
        return f'unit = "in"{match[1]}{numbers}'

    return re.sub(r'unit = "mm"(, (?:points|positions|min|from) = )(\[.*\](?:, radius = [\d.]+)?)', listed, text)


def numbers_in(value):
    if isinstance(value, Record):
        return [n for _, inner in value for n in numbers_in(inner)]
    if isinstance(value, outlines.Loop):
        return [n for vertex in value.vertices for n in vertex]
    if isinstance(value, tuple):
        return [n for inner in value for n in numbers_in(inner)]
    return [float(value)] if isinstance(value, (int, float)) else []


@pytest.mark.parametrize("config", ["hillclimb_four", "bench_mockup"])
def test_inches_and_millimetres_give_the_same_parameters(tmp_path, config):
    text = (ROOT / "configs" / f"{config}.toml").read_text(encoding="utf-8")
    inches = in_inches(text)
    for file in (ROOT / "configs").glob(f"{config}*.st*"):
        shutil.copy(file, tmp_path)
    assert '"420 mm"' not in inches
    assert " mm" not in re.sub(r"#.*", "", inches)
    one, other = numbers_in(read_text(tmp_path, text).parameters), numbers_in(read_text(tmp_path, inches).parameters)
    assert len(one) == len(other) > 80
    assert one == pytest.approx(other, rel=1e-12, abs=1e-9)


def test_one_file_may_mix_inches_fractions_and_millimetres(tmp_path):
    text = EVERY_KEY.replace('"420 mm"', '"16 1/2 in"').replace('face_width = "16 mm"', 'face_width = "5/8 in"')
    got = read_text(tmp_path, text).parameters.pan_rail
    assert got.length == pytest.approx(419.1, abs=1e-9)
    assert got.face_width == pytest.approx(15.875, abs=1e-9)
    assert got.width == pytest.approx(240.0, abs=1e-9)


def test_three_ways_to_the_same_rail(tmp_path):
    document = ezdxf.new("R2000")
    document.units = ezdxf.units.IN
    corners = [(0, -120), (420, -120), (420, 120), (0, 120)]
    document.modelspace().add_lwpolyline(
        [(x / 25.4, y / 25.4) for x, y in corners], close=True, dxfattribs={"layer": "Outline"}
    )
    document.saveas(tmp_path / "rail.dxf")
    shapes = [
        'length = "420 mm"\nwidth = "240 mm"\ncorner_radius = "0 mm"',
        f'outline = {{ unit = "mm", points = {[list(c) for c in corners[::-1]]} }}',
        'drawing = "rail.dxf"',
    ]
    rails = [
        read_text(tmp_path, re.sub(r"length = .*\nwidth = .*\ncorner.*", shape, EVERY_KEY, count=1)).parameters.pan_rail
        for shape in shapes
    ]
    for other in rails[1:]:
        assert sorted(other.outline.vertices) == [pytest.approx(v, abs=1e-9) for v in sorted(rails[0].outline.vertices)]
        assert np.allclose(sorted(other.bolts), sorted(rails[0].bolts), atol=1e-5)


def test_windows_text_reads_and_keeps_its_lines(tmp_path):
    got = read_text(tmp_path, "\ufeff" + EVERY_KEY.replace("\n", "\r\n"))
    assert got.parameters.title == "Every key"


TOML = '''\
# comment with [brackets] and = signs
title = "a # b"   # note
"quoted \\" key" = 1
[a]
b.c = 2
d = [1, [2,
  3], # here ]
  { e = 4 }]
text = """
[not a table]
x = 1
"""
raw = \'\'\'
'quoted' = 2\'\'\'\'
[[a.list]]
one = { two = { three = "}" }, four = 1 }
[[a.list]]
one = 1
[a.list.deep]
key = 2
[ "odd" . name ]
last = 1979-05-27T07:32:00Z'''


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_lines_of_keys(newline):
    lines = key_lines(TOML.replace("\n", newline))
    assert lines == lines | {
        ("title",): 2,
        ('quoted " key',): 3,
        ("a",): 4,
        ("a", "b"): 5,
        ("a", "b", "c"): 5,
        ("a", "d"): 6,
        ("a", "d", 0): 6,
        ("a", "d", 1, 0): 6,
        ("a", "d", 1, 1): 7,
        ("a", "d", 2): 8,
        ("a", "d", 2, "e"): 8,
        ("a", "text"): 9,
        ("a", "raw"): 13,
        ("a", "list", 0): 15,
        ("a", "list", 0, "one", "two", "three"): 16,
        ("a", "list", 0, "one", "four"): 16,
        ("a", "list", 1): 17,
        ("a", "list", 1, "one"): 18,
        ("a", "list", 1, "deep"): 19,
        ("a", "list", 1, "deep", "key"): 20,
        ("odd", "name"): 21,
        ("odd", "name", "last"): 22,
    }
    assert ("x",) not in lines
    assert ("a", "x") not in lines
