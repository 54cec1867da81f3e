"""A parameter file that says all there is to say, as text, and designs read from it with some of its words changed."""

import math
from functools import cache

from generators import reading
from generators.crank import swept_region

LAP = "t,long,lat,vert,v,long 2,lat 2,vert 2,v 2,t 2\n" + "".join(
    f"{i / 10:.1f},{0.9 * math.sin(i / 8):.4f},{1.2 * math.cos(i / 6):.4f},{1 + 0.2 * math.sin(i / 3):.4f},{90 + i % 7:.1f},"
    f"{0.8 * math.sin(i / 7):.4f},{1.1 * math.sin(i / 6):.4f},{1 + 0.1 * math.cos(i / 3):.4f},{95 + i % 9:.1f},{i / 9:.3f}\n"
    for i in range(60)
)
"""The lap that stands beside it: six seconds of nothing in particular, every channel twice."""

FULL = """\
title = "Everything said"

[pan_rail]
length = "430 mm"
width = "244 mm"
corner_radius = "22 mm"
face_width = "15 mm"
below_crank = "60 mm"
bolt_size = "M6"
bolt_pitch = "58 mm"

[crank]
rotation = "clockwise"
redline = "7800 rpm"
stroke = "84 mm"
rod_length = "142 mm"
throws = { unit = "mm", positions = [64, 156, 248, 340] }
big_end = { width = "23 mm", cap_depth = "37 mm", half_breadth = "33 mm" }
counterweight = { radius = "71 mm", width = "17 mm" }

[engine]
power = "170 kW"
mass = "104 kg"
oil_flow = "36 L/min"
blow_by = "40 L/min"
lubrication = "dry"

[driving]
cornering = "1.5 g"
braking = "1.3 g"
acceleration = "0.8 g"
crest = "0.25 g"
compression = "0.45 g"
rise_time = "0.35 s"
hold = "5 s"
log = "lap.csv"
smoothing = "0.25 s"

[driving.columns]
time = { column = "t", unit = "s" }
longitudinal = { column = "long", unit = "g", positive = "speeding up", at_rest = "0.01 g" }
lateral = { column = "lat", unit = "g", positive = "right turn", at_rest = "-0.02 g" }
vertical = { column = "vert", unit = "g", positive = "compression", at_rest = "1 g" }
speed = { column = "v", unit = "km/h" }

[oil]
viscosity_40C = "80 cSt"
viscosity_100C = "13 cSt"
density_15C = "870 kg/m^3"
temperature = "105 degC"
volume = "6 L"
running_volume = "4.5 L"

[vehicle]
front_of_engine = "forward"
pitch = "1 deg"
roll = "2 deg"
rail_above_ground = "270 mm"
ground_clearance = "75 mm"
suspension_travel = "30 mm"
parked_slope = "10 deg"
movement = { x = "4 mm", y = "5 mm", z = "6 mm", roll = "2 deg", pitch = "0.5 deg", yaw = "0.4 deg" }

[[vehicle.obstacle]]
name = "rear crossmember"
box = { unit = "mm", min = [-420, -380, 80], max = [-340, 380, 150] }
gap = "11 mm"

[[vehicle.obstacle]]
name = "rack"
cylinder = { unit = "mm", from = [520, -300, 190], to = [520, 300, 190], radius = 20 }
gap = "12 mm"

[[vehicle.obstacle]]
name = "brace"
file = "brace.stl"
unit = "mm"
position = { x = "-120 mm", y = "10 mm", z = "90 mm" }
rotation = { roll = "1.5 deg", pitch = "3 deg", yaw = "90 deg" }
moves_with = "vehicle"
gap = "14 mm"

[vehicle.weighed]
mass = "980 kg"
front_share = 0.52
left_share = 0.49
centre_height = "450 mm"
wheelbase = "2510 mm"
track = "1500 mm"
front_axle = "700 mm"

[sheet]
material = "5052-H32"
thickness = "2 mm"
bend_radius = "3 mm"
k_factor = 0.41
density = "2.69 g/cm^3"
stock = { width = "1250 mm", length = "2500 mm" }
grain = "length"
spacing = "6 mm"
nest_time = "0 s"
etch_names = false

[scavenge_pan]
floor_clearance = "11 mm"
side_clearance = "7 mm"
flange_thickness = "8 mm"
pickups = 3
port = "-10"
running_volume = "0.4 L"

[windage_scraper]
make = true
edge_clearance = "1.6 mm"
thickness = "3 mm"
side = "rising"

[windage_screen]
make = true
clearance = "4.5 mm"
thickness = "1.7 mm"
perforation = "slots"
hole = "5.5 mm"
open_area = 0.24

[deep_pan]
make = true
sump = { length = "185 mm", width = "250 mm", depth = "187 mm", x = "140 mm" }
shallow_depth = "47 mm"
kick_outs = "both"
floor_clearance = "13 mm"
side_clearance = "6.5 mm"
flange_thickness = "9 mm"
floor_slope = "1.2 deg"
pickup = { x = "138 mm", y = "3 mm", floor_gap = "9 mm", bore = "21 mm", bell = "37.5 mm", outlet = "side" }

[gate_baffle]
floor_depth = "120 mm"
cell = { length = "112 mm", width = "132 mm" }
gates_per_side = 1
opening = { width = "58 mm", height = "38 mm" }
head_loss = "6 mm"
flap_thickness = "1.2 mm"
open_angle = "38 deg"

[reservoir]
oil_volume = "7 L"
headspace = 0.26
diameter = "176 mm"
inlet_bore = "19 mm"
outlet_bore = "25 mm"
base = "cone"
baffles = 2
position = { x = "-850 mm", y = "340 mm", z = "160 mm" }

[pumps]
drive_ratio = 0.5
pressure_displacement = "26 cm^3"
scavenge_displacement = ["20 cm^3", "20 cm^3", "21 cm^3"]

[drawings]
paper = "A3"
projection = "first angle"
owner = "The owner"
drawn_by = "A drawer"
revision = "A"

[templates]
paper = "A4"

[mockup]
bed = { x = "210 mm", y = "200 mm", z = "240 mm" }
wall = "2.2 mm"
hole_growth = "0.3 mm"
clearance = "0.25 mm"
dowel = "5 mm"
hinge_clearance = "0.35 mm"
"""


BOX = ((0, 0, 0), (400, 0, 0), (0, 30, 0), (0, 0, 20))
"""A corner of a bar and its other ends along each edge, mm."""


def brace() -> str:
    """The bar as an STL file: twelve triangles."""
    o, a, b, c = (tuple(p) for p in BOX)

    def at(*ends):
        return tuple(sum(e[i] for e in ends) for i in range(3))

    squares = ((o, b, at(a, b), a), (c, at(a, c), at(a, b, c), at(b, c)), (o, a, at(a, c), c), (b, at(b, c), at(a, b, c), at(a, b)),
               (o, c, at(b, c), b), (a, at(a, b), at(a, b, c), at(a, c)))
    facets = [(p, q, r) for w, x, y, z in squares for p, q, r in ((w, x, y), (w, y, z))]
    lines = ["facet normal 0 0 0\nouter loop\n" + "".join(f"vertex {x} {y} {z}\n" for x, y, z in f) + "endloop\nendfacet" for f in facets]
    return "\n".join(("solid brace", *lines, "endsolid brace\n"))


def reworded(*changes: tuple[str, str]) -> str:
    """FULL with each (old, new) text exchanged; each old one must stand there once."""
    text = FULL
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


def read_text(folder, text: str):
    """The file with that text as read, from `folder`."""
    (folder / "lap.csv").write_text(LAP)
    (folder / "brace.stl").write_text(brace())
    (folder / "brace 2.stl").write_text(brace().replace(" 20\n", " 26\n"))
    (folder / "full.toml").write_text(text, encoding="utf-8")
    return reading.read(folder / "full.toml")


@cache
def _region_of(crank, rail_length: float):
    return swept_region(crank, rail_length=rail_length)


def region(parameters):
    """The swept region; worked out once for each crank."""
    return _region_of(parameters.crank, parameters.pan_rail.length)
