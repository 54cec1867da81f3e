"""Every parameter has an effect on what is made or judged, and what has none is told to the user."""

import dataclasses
from functools import cache
from types import SimpleNamespace

import manifold3d
import pytest
from fit_cases import looked
from full_file import FULL, read_text, region, reworded
from sample_parts import bracket, trough
from small_parts import part_of, sheet_piece
from surge_cases import rim, vessel

from generators import __main__ as program
from generators import checks, mockup
from generators.drawings import part_drawing
from generators.driving import envelope
from generators.driving.lap import smoothed
from generators.meshes import part_meshes
from generators.mockup.gauges import bolt_strip
from generators.mockup.variant import Printable, printable, thick_enough
from generators.nest import nests
from generators.parameters import Parameters
from generators.parts import deep_pan, gate_baffle, reservoir, scavenge_pan, windage_scraper, windage_screen
from generators.parts.gate_baffle import flow
from generators.reading.complaints import record_in
from generators.report import json_report, mass_entries
from generators.report.idle import IDLE, NUMBER, idle
from generators.report.idle import LOGGED as LOGGED_KEYS
from generators.sheet.channel import Channel
from generators.sheet.folded import flat_of
from generators.shop.pack import pack
from generators.surge import surges
from generators.templates import part_templates

PARTS = {"scavenge_pan": scavenge_pan, "deep_pan": deep_pan, "windage_scraper": windage_scraper, "windage_screen": windage_screen,
         "gate_baffle": gate_baffle, "reservoir": reservoir}

NO_DEEP_PAN = (FULL[FULL.index("[deep_pan]"):FULL.index("[gate_baffle]")], "")
VEE = ("throws = ", 'bank_angle = "60 deg"\nrods_per_throw = 1\nthrows = ')
PICKUP = 'pickup = { x = "138 mm", y = "3 mm", floor_gap = "9 mm", bore = "21 mm", bell = "37.5 mm", outlet = "side" }\n'
NO_PICKUP = (PICKUP, "")
WET = ('"dry"', '"wet"')
THERE = ('make = true\nsump', 'make = false\nsump')
NO_SHALLOW = ('shallow_depth = "47 mm"\n', "")
RISER = ('outlet = "side"', 'outlet = "up"')
NO_SCREEN = ("make = true\nclearance", "make = false\nclearance")
ASIDE = ("min = [-420, -380, 80], max = [-340, 380, 150]", "min = [190, 148, 80], max = [260, 380, 100]")
IN_THE_WAY = ("min = [-420, -380, 80], max = [-340, 380, 150]", "min = [190, -380, 80], max = [260, 380, 100]")
NO_PUMPS = (FULL[FULL.index("[pumps]"):FULL.index("[mockup]")], "")
NO_OPENING = ('opening = { width = "58 mm", height = "38 mm" }\n', "")
NO_CELL = ('cell = { length = "112 mm", width = "132 mm" }\n', "")
NO_OIL_VOLUME = ('oil_volume = "7 L"\n', "")
LOGGED = FULL[FULL.index('log = "lap.csv"'):FULL.index("[oil]")]
NO_LAP = (LOGGED, "")
DEDUCTION = ("etch_names = false", 'etch_names = false\ndeductions = [{ angle = "90 deg", deduction = "3.9 mm", radius = "3 mm", thickness = "2 mm" }]')
SWING = ("big_end = ", 'swing_radius = "92 mm"\n# big_end = ')

# key: (part or other thing that it changes, its words, others in their place, what else must be changed besides)
ACTS = {
    "pan_rail.length": ("scavenge_pan", 'length = "430 mm"', 'length = "440 mm"'),
    "pan_rail.width": ("scavenge_pan", 'width = "244 mm"', 'width = "250 mm"'),
    "pan_rail.corner_radius": ("windage_scraper", 'corner_radius = "22 mm"', 'corner_radius = "30 mm"'),
    "pan_rail.face_width": ("scavenge_pan", '"15 mm"', '"17 mm"'),
    "pan_rail.below_crank": ("windage_scraper", '"60 mm"', '"63 mm"'),
    "pan_rail.bolt_size": ("scavenge_pan", '"M6"', '"M5"'),
    "pan_rail.bolt_pitch": ("windage_scraper", '"58 mm"\n\n[crank]', '"48 mm"\n\n[crank]'),
    "pan_rail.bolts": ("scavenge_pan", 'bolt_pitch = "58 mm"',
                       'bolts = { unit = "mm", points = [[8, 0], [422, 60], [422, -60]] }'),
    "pan_rail.outline": ("scavenge_pan", 'length = "430 mm"\nwidth = "244 mm"\ncorner_radius = "22 mm"',
                         'outline = { unit = "mm", points = [[0, -122], [430, -122], [430, 118], [0, 122]] }'),
    "crank.swing_radius": ("region", *SWING),
    "crank.rotation": ("scavenge_pan", '"clockwise"', '"anticlockwise"'),
    "crank.redline": ("draw", '"7800 rpm"', '"7000 rpm"'),
    "crank.stroke": ("region", '"84 mm"', '"82 mm"'),
    "crank.rod_length": ("region", '"142 mm"', '"150 mm"'),
    "crank.throws": ("windage_scraper", "[64, 156, 248, 340]", "[70, 162, 254, 346]"),
    "crank.big_end.width": ("windage_scraper", '"23 mm"', '"27 mm"'),
    "crank.big_end.cap_depth": ("region", '"37 mm"', '"39 mm"'),
    "crank.big_end.half_breadth": ("region", '"33 mm"', '"35 mm"'),
    "crank.big_end.outline": ("region", 'cap_depth = "37 mm", half_breadth = "33 mm"',
                              'outline = { unit = "mm", points = [[-33, -30], [33, -30], [30, 33], [-30, 33]] }'),
    "crank.counterweight.radius": ("windage_scraper", '"71 mm"', '"82 mm"'),
    "crank.counterweight.width": ("region", 'width = "17 mm"', 'width = "20 mm"'),
    "crank.bank_angle": ("region", *VEE),
    "crank.rods_per_throw": ("windage_scraper", "rods_per_throw = 1", "rods_per_throw = 2", VEE),
    "engine.oil_flow": ("draw", '"36 L/min"', '"46 L/min"', NO_PUMPS),
    "engine.lubrication": ("names", '"dry"', '"wet"', NO_DEEP_PAN),
    "driving.cornering": ("heads", '"1.5 g"', '"1.9 g"'),
    "driving.braking": ("surge", '"1.3 g"', '"1.2 g"', NO_LAP),
    "driving.acceleration": ("surge", '"0.8 g"', '"0.7 g"', NO_LAP),
    "driving.crest": ("surge", '"0.25 g"', '"0.4 g"', NO_LAP),
    "driving.compression": ("surge", '"0.45 g"', '"0.5 g"', NO_LAP),
    "driving.rise_time": ("surge", '"0.35 s"', '"0.5 s"'),
    "driving.hold": ("surge", '"5 s"', '"0.1 s"'),
    "driving.log": ("lap", "\n[oil]\n", f"\n{LOGGED}[oil]\n", NO_LAP),
    "driving.smoothing": ("lap", '"0.25 s"', '"0.5 s"'),
    "driving.columns.time.column": ("lap", 'column = "t"', 'column = "t 2"'),
    "driving.columns.longitudinal.column": ("lap", '"long"', '"long 2"'),
    "driving.columns.longitudinal.unit": ("lap", '"long", unit = "g"', '"long", unit = "m/s^2"'),
    "driving.columns.longitudinal.positive": ("lap", '"speeding up"', '"braking"'),
    "driving.columns.longitudinal.at_rest": ("lap", '"0.01 g"', '"0.03 g"'),
    "driving.columns.lateral.column": ("lap", '"lat"', '"lat 2"'),
    "driving.columns.lateral.unit": ("lap", '"lat", unit = "g"', '"lat", unit = "m/s^2"'),
    "driving.columns.lateral.positive": ("lap", '"right turn"', '"left turn"'),
    "driving.columns.lateral.at_rest": ("lap", '"-0.02 g"', '"0.02 g"'),
    "driving.columns.vertical.column": ("lap", '"vert"', '"vert 2"'),
    "driving.columns.vertical.at_rest": ("lap", 'at_rest = "1 g"', 'at_rest = "0.9 g"'),
    "driving.columns.speed.column": ("lap", '"v"', '"v 2"'),
    "driving.columns.speed.unit": ("lap", '"km/h"', '"mph"'),
    "oil.viscosity_40C": ("heads", "80 cSt", "90 cSt"),
    "oil.viscosity_100C": ("heads", "13 cSt", "12 cSt"),
    "oil.density_15C": ("oil mass", "870", "880"),
    "oil.temperature": ("heads", '"105 degC"', '"115 degC"'),
    "oil.running_volume": ("surge", '"4.5 L"', '"4 L"'),
    "oil.volume": ("reservoir", '"6 L"', '"6.5 L"', NO_OIL_VOLUME),
    "vehicle.front_of_engine": ("place", '"forward"', '"left"'),
    "vehicle.pitch": ("place", '"1 deg"', '"3 deg"'),
    "vehicle.roll": ("place", 'roll = "2 deg"\nrail', 'roll = "4 deg"\nrail'),
    "vehicle.parked_slope": ("surge", '"10 deg"', '"15 deg"'),
    "vehicle.rail_above_ground": ("place", '"270 mm"', '"280 mm"'),
    "engine.mass": ("mass", '"104 kg"', '"124 kg"'),
    "vehicle.ground_clearance": ("fit", '"75 mm"', '"85 mm"'),
    "vehicle.suspension_travel": ("fit", '"30 mm"', '"40 mm"'),
    "vehicle.movement.roll": ("fit", 'roll = "2 deg", pitch', 'roll = "1 deg", pitch'),
    "vehicle.movement.pitch": ("fit", '"0.5 deg"', '"0.8 deg"'),
    "vehicle.movement.yaw": ("fit", '"0.4 deg"', '"0.8 deg"'),
    "vehicle.obstacle.cylinder": ("fit", "radius = 20 }", "radius = 21 }"),
    "vehicle.obstacle.file": ("fit", '"brace.stl"', '"brace 2.stl"'),
    "vehicle.obstacle.unit": ("fit", 'unit = "mm"\nposition', 'unit = "cm"\nposition'),
    "vehicle.obstacle.position.x": ("fit", '"-120 mm"', '"-124 mm"'),
    "vehicle.obstacle.position.y": ("fit", 'y = "10 mm", z = "90 mm"', 'y = "14 mm", z = "90 mm"'),
    "vehicle.obstacle.position.z": ("fit", 'z = "90 mm"', 'z = "95 mm"'),
    "vehicle.obstacle.rotation.roll": ("fit", 'roll = "1.5 deg"', 'roll = "4 deg"'),
    "vehicle.obstacle.rotation.pitch": ("fit", 'pitch = "3 deg"', 'pitch = "5 deg"'),
    "vehicle.obstacle.rotation.yaw": ("fit", '"90 deg"', '"80 deg"'),
    "vehicle.obstacle.moves_with": ("fit", 'moves_with = "vehicle"', 'moves_with = "engine"'),
    "vehicle.weighed.mass": ("mass", '"980 kg"', '"990 kg"'),
    "vehicle.weighed.front_share": ("mass", "front_share = 0.52", "front_share = 0.53"),
    "vehicle.weighed.left_share": ("mass", "left_share = 0.49", "left_share = 0.5"),
    "vehicle.weighed.centre_height": ("mass", '"450 mm"', '"460 mm"'),
    "vehicle.weighed.wheelbase": ("mass", '"2510 mm"', '"2600 mm"'),
    "vehicle.weighed.track": ("mass", '"1500 mm"', '"1550 mm"'),
    "vehicle.weighed.front_axle": ("mass", '"700 mm"', '"710 mm"'),
    "sheet.material": ("scavenge_pan", '"5052-H32"', '"6061-T4"'),
    "sheet.thickness": ("gate_baffle", 'thickness = "2 mm"', 'thickness = "2.5 mm"'),
    "sheet.bend_radius": ("gate_baffle", 'bend_radius = "3 mm"', 'bend_radius = "4 mm"'),
    "sheet.k_factor": ("gate_baffle", "k_factor = 0.41", "k_factor = 0.44"),
    "sheet.density": ("reservoir", "2.69 g", "2.71 g"),
    "sheet.stock.width": ("stock", '"1250 mm"', '"240 mm"'),
    "sheet.stock.length": ("stock", '"2500 mm"', '"1600 mm"', ('"1250 mm"', '"1600 mm"')),
    "scavenge_pan.floor_clearance": ("scavenge_pan", '"11 mm"\nside', '"40 mm"\nside'),
    "scavenge_pan.side_clearance": ("scavenge_pan", '"7 mm"', '"20 mm"'),
    "scavenge_pan.flange_thickness": ("scavenge_pan", '"8 mm"', '"10 mm"'),
    "scavenge_pan.pickups": ("scavenge_pan", "pickups = 3", "pickups = 2"),
    "scavenge_pan.port": ("scavenge_pan", '"-10"', '"-8"'),
    "scavenge_pan.running_volume": ("surge", '"0.4 L"', '"0.5 L"'),
    "windage_scraper.make": ("names", "make = true\nedge", "make = false\nedge"),
    "windage_scraper.edge_clearance": ("windage_scraper", '"1.6 mm"', '"2.6 mm"'),
    "windage_scraper.thickness": ("windage_scraper", 'thickness = "3 mm"', 'thickness = "4 mm"'),
    "windage_scraper.side": ("windage_scraper", '"rising"', '"both"'),
    "windage_screen.make": ("names", "make = true\nclearance", "make = false\nclearance"),
    "windage_screen.clearance": ("windage_screen", '"4.5 mm"', '"5 mm"'),
    "windage_screen.thickness": ("windage_screen", '"1.7 mm"\nperf', '"1.5 mm"\nperf'),
    "windage_screen.perforation": ("windage_screen", '"slots"', '"holes"'),
    "windage_screen.hole": ("windage_screen", '"5.5 mm"', '"6 mm"'),
    "windage_screen.open_area": ("windage_screen", "open_area = 0.24", "open_area = 0.2"),
    "deep_pan.make": ("names", "make = true\nsump", "make = false\nsump"),
    "deep_pan.sump.length": ("deep_pan", '"185 mm"', '"190 mm"'),
    "deep_pan.shallow_depth": ("deep_pan", '"47 mm"', '"48 mm"'),
    "deep_pan.kick_outs": ("deep_pan", 'kick_outs = "both"', 'kick_outs = "rising"', NO_PICKUP),
    "deep_pan.floor_clearance": ("deep_pan", '"13 mm"', '"26 mm"', NO_SHALLOW, NO_SCREEN, RISER),
    "deep_pan.side_clearance": ("swing", '"6.5 mm"', '"8 mm"'),
    "deep_pan.flange_thickness": ("deep_pan", 'flange_thickness = "9 mm"', 'flange_thickness = "10 mm"'),
    "deep_pan.floor_slope": ("deep_pan", '"1.2 deg"', '"1.4 deg"'),
    "deep_pan.corner_radius": ("deep_pan", 'sump = {', 'corner_radius = "9 mm"\nsump = {', THERE),
    "deep_pan.pickup.floor_gap": ("deep_pan", 'floor_gap = "9 mm"', 'floor_gap = "8.5 mm"'),
    "deep_pan.pickup.bell": ("deep_pan", 'bell = "37.5 mm"', 'bell = "38 mm"'),
    "deep_pan.pickup.outlet": ("deep_pan", 'outlet = "side"', 'outlet = "up"'),
    "vehicle.obstacle.box": ("deep_pan", "min = [190,", "min = [195,", IN_THE_WAY),
    "vehicle.obstacle.gap": ("deep_pan", '"11 mm"\n\n[[', '"15 mm"\n\n[[', IN_THE_WAY),
    "vehicle.movement.x": ("deep_pan", 'movement = { x = "4 mm"', 'movement = { x = "9 mm"', IN_THE_WAY),
    "vehicle.movement.y": ("deep_pan", 'y = "5 mm", z', 'y = "0 mm", z', ASIDE),
    "vehicle.movement.z": ("deep_pan", 'z = "6 mm", roll', 'z = "9 mm", roll', IN_THE_WAY),
    "deep_pan.sump.depth": ("gate_baffle", '"187 mm"', '"190 mm"'),
    "deep_pan.sump.width": ("gate_baffle", 'width = "250 mm"', 'width = "256 mm"'),
    "deep_pan.sump.x": ("deep_pan", 'x = "140 mm"', 'x = "144 mm"', NO_PICKUP),
    "deep_pan.pickup.x": ("gate_baffle", 'x = "138 mm"', 'x = "139 mm"'),
    "deep_pan.pickup.y": ("gate_baffle", 'y = "3 mm"', 'y = "0 mm"'),
    "deep_pan.pickup.bore": ("gate_baffle", '"21 mm"', '"19 mm"'),
    "gate_baffle.floor_depth": ("gate_baffle", '"120 mm"', '"125 mm"', NO_DEEP_PAN),
    "gate_baffle.cell.length": ("gate_baffle", '"112 mm"', '"120 mm"'),
    "gate_baffle.cell.width": ("gate_baffle", '"132 mm"', '"140 mm"'),
    "gate_baffle.gates_per_side": ("gate_baffle", "gates_per_side = 1", "gates_per_side = 2", ('width = "58 mm"',
                                   'width = "28 mm"')),
    "gate_baffle.opening.width": ("gate_baffle", '"58 mm", height', '"54 mm", height'),
    "gate_baffle.opening.height": ("gate_baffle", '"38 mm" }', '"36 mm" }'),
    "gate_baffle.head_loss": ("gate_baffle", 'head_loss = "6 mm"', 'head_loss = "4 mm"', NO_CELL, NO_OPENING,
                              NO_PUMPS),
    "gate_baffle.flap_thickness": ("gate_baffle", '"1.2 mm"', '"1.5 mm"'),
    "gate_baffle.open_angle": ("gate_baffle", '"38 deg"', '"35 deg"'),
    "gate_baffle.wall_height": ("gate_baffle", "flap_thickness", 'wall_height = "74 mm"\nflap_thickness'),
    "reservoir.oil_volume": ("reservoir", '"7 L"', '"7.5 L"'),
    "reservoir.headspace": ("reservoir", "0.26", "0.3"),
    "reservoir.diameter": ("reservoir", '"176 mm"', '"auto"'),
    "reservoir.inlet_bore": ("reservoir", '"19 mm"', '"22 mm"'),
    "reservoir.outlet_bore": ("reservoir", '"25 mm"', '"20 mm"'),
    "reservoir.base": ("reservoir", '"cone"', '"flat"'),
    "reservoir.baffles": ("reservoir", "baffles = 2", "baffles = 1"),
    "reservoir.position.x": ("place", '"-850 mm"', '"-800 mm"'),
    "reservoir.position.y": ("place", '"340 mm"', '"300 mm"'),
    "reservoir.position.z": ("place", '"160 mm"', '"170 mm"'),
    "sheet.grain": ("nest", 'grain = "length"', 'grain = "none"'),
    "sheet.spacing": ("nest", 'spacing = "6 mm"', 'spacing = "9 mm"'),
    "sheet.nest_time": ("nest", 'nest_time = "0 s"', 'nest_time = "1 s"'),
    "sheet.etch_names": ("shop", "etch_names = false", "etch_names = true"),
    "sheet.deductions.angle": ("shop", 'angle = "90 deg"', 'angle = "91 deg"', DEDUCTION),
    "sheet.deductions.deduction": ("shop", 'deduction = "3.9 mm"', 'deduction = "4 mm"', DEDUCTION),
    "sheet.deductions.radius": ("shop", 'radius = "3 mm", thickness = "2 mm" }]', 'radius = "3.5 mm", thickness = "2 mm" }]', DEDUCTION),
    "sheet.deductions.thickness": ("shop", 'thickness = "2 mm" }]', 'thickness = "2.1 mm" }]', DEDUCTION),
    "drawings.paper": ("drawing", 'paper = "A3"', 'paper = "A2"'),
    "drawings.projection": ("drawing", '"first angle"', '"third angle"'),
    "drawings.owner": ("drawing", '"The owner"', '"Another"'),
    "drawings.drawn_by": ("drawing", '"A drawer"', '"Another"'),
    "drawings.revision": ("drawing", 'revision = "A"', 'revision = "B"'),
    "templates.paper": ("templates", '[templates]\npaper = "A4"', '[templates]\npaper = "Letter"'),
    "mockup.bed.x": ("mockup", 'bed = { x = "210 mm"', 'bed = { x = "230 mm"'),
    "mockup.bed.y": ("mockup", 'y = "200 mm", z = "240', 'y = "260 mm", z = "240'),
    "mockup.bed.z": ("mockup", 'z = "240 mm" }', 'z = "90 mm" }'),
    "mockup.wall": ("mockup", 'wall = "2.2 mm"', 'wall = "2.4 mm"'),
    "mockup.hole_growth": ("mockup", '"0.3 mm"\nclearance', '"0.5 mm"\nclearance'),
    "mockup.clearance": ("mockup", '"0.25 mm"', '"0.15 mm"'),
    "mockup.dowel": ("mockup", 'dowel = "5 mm"', 'dowel = "4 mm"'),
    "mockup.hinge_clearance": ("hinge", '"0.35 mm"', '"0.45 mm"'),
    "pumps.drive_ratio": ("draw", "drive_ratio = 0.5", "drive_ratio = 0.55"),
    "pumps.pressure_displacement": ("draw", '"26 cm^3"', '"30 cm^3"'),
}

TOLD = {"title", "vehicle.obstacle.name"}
"""Only said again: the tests of the report hold that."""

ELSEWHERE = {"pan_rail.drawing", "pan_rail.offset.x", "pan_rail.offset.y"}
"""Other ways to the same outline: the tests of the reader hold that they give it."""


REFUSED = {"driving.columns.time.unit", "driving.columns.vertical.unit", "driving.columns.vertical.positive"}
"""A lap that makes sense in one unit of time, or with one unit and sign of weight, makes none with another: the tests of the lap hold
that it is refused, and what each sign does."""


def dimensions(parameters, name):
    """Dimensions of a part without the sentences about them."""
    return dataclasses.replace(PARTS[name].dimension(parameters, region(parameters)), sized=())


def place(parameters):
    """Where the engine and the tank stand in the vehicle, as `make` asks for it."""
    box = ((0, 0, 0), (1, 1, 1))
    parts = [SimpleNamespace(name=name, own_frame=name == "reservoir") for name in PARTS]
    meshed = {name: SimpleNamespace(joined=SimpleNamespace(bounds=box)) for name in PARTS}
    return [(p.part.name, p.at) for p in program._placing(parameters, parts, meshed, ()).parts]


def stock(parameters):
    """What the scraper's check of the stock finds."""
    part = windage_scraper.part(windage_scraper.dimension(parameters, region(parameters)))
    found = checks.general(parameters, part, part_meshes(part), ())
    return next((c.value, c.limit) for c in found if c.id.endswith(".stock"))


def shop(parameters):
    """The drawing of an angle folded from the file's sheet."""
    s = parameters.sheet
    flat = flat_of(Channel(((0.0, 40.0), (0.0, 0.0), (60.0, 0.0)), s.thickness, s.bend_radius, 90.0, s.k_factor).sheet())
    part = part_of(sheet_piece("angle", flat, kind="folded"))
    return [f.whole for f in pack(parameters, [part]).files["sample"]]


def nest(parameters):
    """Where a bent piece and some plates lie on their sheet."""
    return [[(o.piece.name, o.copy, o.turn, o.x, o.y) for s in n.sheets for o in s] for n in nests([trough(), bracket()], parameters.sheet)]


def printed(parameters):
    """What is printed of a block too large for the bed, and the gauges; how thick walls are asked to be."""
    block = Printable(SimpleNamespace(name="block", own_frame=True), {"block": manifold3d.Manifold.cube((215, 215, 180))})
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(mockup, "_gauges", lambda *_: [])
        made = mockup.mockup(parameters, region(parameters), [block])
    gauge = bolt_strip(parameters.pan_rail, growth=parameters.mockup.hole_growth).volume()
    return [(p.name, p.size, p.joints, p.mesh.volume) for p in made.pieces], thick_enough(parameters).gate_baffle.flap_thickness, gauge


def hinge(parameters):
    """What a gate's bodies weigh as they are printed."""
    part = gate_baffle.part(gate_baffle.dimension(parameters, region(parameters)))
    return [b.volume() for b in printable(part, None, parameters.mockup).bodies.values()]


def heads(parameters):
    """What the gates lose while the pump draws."""
    feed = flow.feed_of(parameters)
    return flow.heads_of(dimensions(parameters, "gate_baffle"), feed)


def swing(parameters):
    """What the deep pan's clearance to the swing is held against."""
    part = deep_pan.part(deep_pan.dimension(parameters, region(parameters)))
    meshes = part_meshes(part)
    case = checks.Case(parameters, part, meshes, checks.part_bodies(meshes), checks.swept_bodies(region(parameters)))
    return [(c.id, c.limit) for c in checks.OWN["deep_pan"](case) if c.id == "deep_pan.swing_clearance"]


def lap(read):
    """The lap that the driving is taken from, smoothed."""
    if read.lap is None:
        return None
    got = smoothed(read.lap, period=read.parameters.driving.smoothing)
    return [a.round(9).tolist() for a in (got.time, got.acceleration, got.speed)]


def surge(read):
    """How oil settles in three boxes: a deep pan with a cell in it, a pan that keeps none, and a tank that stands as the vehicle does."""
    made = [vessel(cell=((140, -60, 0), (260, 60, 70)), brim=rim(200, 0, 70.0, radius=25.0), oil=6e-3),
            vessel("scavenge_pan", mouths={"front": rim(380, 0), "rear": rim(20, 0)}, full_mark=None),
            vessel("reservoir", own_frame=True, oil=7e-3, mouths={"outlet": rim(200, 0)})]
    held, inside = [v for v, _ in made], {name: part for _, parts in made for name, part in parts.items()}
    found = surges(read.parameters, program._envelope(read), held, inside, region(read.parameters))
    return [(s.oil, s.offsets.tolist(), [(c.judged.tolist(), c.overshoot["bare"].tolist(), c.parked) for c in s.covers]) for s in found]


@cache
def in_vehicle(parameters):
    """A pan and a tank made of boxes in the vehicle: the fit, and what their mass does."""
    return looked(parameters, tank=True)


def fit(read):
    """What is found of the fit of two boxes."""
    found, _ = in_vehicle(read.parameters)
    rows = [(r.obstruction.name, r.part, round(r.nearest.gap, 6), round(r.nearest.at_rest, 6), r.wanted) for r in found.rows]
    return rows, found.ground.clearance, found.ground.wanted, found.drop


def mass(read):
    """What the mass of two boxes, and of the engine, does to the vehicle."""
    return json_report.finite(mass_entries.entry(in_vehicle(read.parameters)[1])["vehicle"])


@pytest.fixture(scope="module", autouse=True)
def coarse():
    """Fewer directions than the program looks at."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(envelope, "ANGLES", 12)
        yield


def effect(read, on: str) -> str:
    """What stands for `on` in a design, as text to compare."""
    p = read.parameters
    if on in PARTS:
        return repr(dimensions(p, on))
    if on == "region":
        return repr([(b.x0, b.x1, b.radius.tolist()) for b in region(p).bands])
    found = {"shop": lambda: shop(p), "nest": lambda: nest(p), "mockup": lambda: printed(p), "hinge": lambda: hinge(p),
             "drawing": lambda: part_drawing(bracket(), p, number=1, of=1).pdf, "templates": lambda: part_templates(bracket(), p).pdf,
             "fit": lambda: fit(read), "mass": lambda: mass(read), "lap": lambda: lap(read), "surge": lambda: surge(read), "draw": lambda: checks.pump_draw(p), "place": lambda: place(p), "stock": lambda: stock(p),
             "names": lambda: wanted(read), "heads": lambda: heads(p), "swing": lambda: swing(p), "oil mass": lambda: p.oil.density_15C * dimensions(p, "reservoir").oil}
    return repr(found[on]())


def wanted(read):
    """The parts that a make of the file would make, or the refusal."""
    try:
        return program.part_names(read, None)
    except ValueError as refused:
        return str(refused)


@pytest.fixture(scope="module")
def told(tmp_path_factory):
    """A file's text as read, and what stands for something in its design; each worked out once."""
    folder = tmp_path_factory.mktemp("told")

    @cache
    def as_read(text):
        return read_text(folder, text)

    @cache
    def found(text, on):
        return effect(as_read(text), on)

    return as_read, found


@pytest.mark.parametrize("key", ACTS)
def test_every_parameter_acts(told, key):
    as_read, found = told
    on, old, new, *needs = ACTS[key]
    before = reworded(*needs)
    after = before.replace(old, new)
    assert before.count(old) == 1
    assert key in {NUMBER.sub("", k) for k in as_read(before).given | as_read(after).given}
    assert found(before, on) != found(after, on)


def leaves(model, path=()):
    """Dotted keys of every value that a record of this class may hold."""
    for name, info in model.model_fields.items():
        inner = record_in(info.annotation)
        if inner is None:
            yield ".".join((*path, name))
        else:
            yield from leaves(inner, (*path, name))


def test_no_key_is_left_out():
    """Each key acts, is told, or is one that the user hears is not used yet."""
    known = set(leaves(Parameters))
    unused = {k for k in known if any(k == i or k.startswith(f"{i}.") for i in IDLE)}
    assert set(ACTS) & unused == set()
    assert known - set(ACTS) - unused == TOLD | ELSEWHERE | REFUSED
    assert all(any(k == i or k.startswith(f"{i}.") for k in known) for i in IDLE)


IDLE_WORDS = {
    "engine.power": ("170", "190"), "engine.blow_by": ('"40 L', '"50 L'),
    "pumps.scavenge_displacement": ('"21 cm^3"', '"22 cm^3"'),
}


@pytest.mark.parametrize("key", IDLE)
def test_what_is_called_unused_is_unused(told, key):
    as_read, found = told
    after = reworded(IDLE_WORDS[key])
    assert repr(as_read(FULL).parameters) != repr(as_read(after).parameters)
    for on in (*PARTS, "region", "draw", "place", "heads", "surge"):
        assert found(FULL, on) == found(after, on)


def test_only_what_was_given_is_called_unused(told):
    as_read, _ = told
    assert idle(as_read(FULL)) == [*LOGGED_KEYS, *IDLE]
    parameters = as_read(FULL).parameters
    assert idle(SimpleNamespace(parameters=parameters, lap=None, given={"driving", "driving.crest", "engine.power", "crank"})) == ["engine.power"]


def test_what_only_a_deep_pan_needs_is_called_unused_without_one(told):
    as_read, _ = told
    dry = as_read(reworded(NO_DEEP_PAN, NO_LAP))
    assert {"driving.hold", "oil.temperature"} <= set(idle(dry))
    assert [key for key in idle(dry) if key.startswith("driving")] == ["driving.hold"]
    there = as_read(reworded(WET, THERE))
    assert "driving.hold" not in idle(there)


def test_what_needs_the_engines_place_is_called_unused_without_it(told):
    as_read, _ = told
    vehicle = FULL[FULL.index("[vehicle]"):FULL.index("[sheet]")]
    nowhere = as_read(FULL.replace(vehicle, '[vehicle]\nground_clearance = "75 mm"\nmovement = { x = "4 mm" }\n\n'))
    assert {"vehicle.ground_clearance", "vehicle.movement", "engine.mass"} <= set(idle(nowhere))
    placed = as_read(FULL.replace(FULL[FULL.index("[vehicle.weighed]"):FULL.index("[sheet]")], ""))
    assert "vehicle.movement" not in idle(placed) and "engine.mass" in idle(placed)


@pytest.mark.parametrize("key", LOGGED_KEYS)
def test_what_a_lap_stands_for_is_called_unused(told, key):
    as_read, found = told
    on, old, new, *_ = ACTS[key]
    assert key in idle(as_read(FULL)) and found(FULL, on) == found(reworded((old, new)), on)
