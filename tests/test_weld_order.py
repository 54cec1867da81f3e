"""Welding in an order that can be done: what goes in first goes in first, on the real geometry, and what holds parts in a pan is told."""

import cadquery as cq
import manifold3d
import numpy as np
import pytest
from gate_fitted_cases import in_given_pan

from configs import read, region
from generators.fittings import SOCKET_MM
from generators.meshes import manifold, solid_mesh
from generators.parts import deep_pan, gate_baffle, reservoir, scavenge_pan, windage_screen
from generators.parts.reservoir import turned
from generators.pieces import PAN
from generators.shop.pack import pack
from generators.shop.welding import STAGES, weld_steps


def made(module, parameters):
    return module.part(module.dimension(parameters, region(parameters)))


@pytest.fixture(scope="module")
def dry():
    return made(scavenge_pan, read("hillclimb_four").parameters)


@pytest.fixture(scope="module")
def wet():
    """Pan, cell and screen of one engine."""
    parameters = read("club_vee_eight").parameters
    return parameters, [made(m, parameters) for m in (windage_screen, gate_baffle, deep_pan)]


def places(steps) -> dict[frozenset[str], int]:
    return {frozenset((s.a, s.b)): s.order for s in steps}


# ---------------------------------------------------------------- a dry pan


def test_a_pickup_goes_into_its_boss_from_inside_and_its_hood_over_it_last(dry):
    at = places(weld_steps(dry))
    for side in ("", "falling_side_"):
        tube, hood = f"{side}pickup_tube", f"{side}screen"
        assert at[frozenset((tube,))] < at[frozenset(("port_boss", "trough"))] < at[frozenset(("port_boss", tube))] < at[frozenset((hood, "trough"))]
        assert at[frozenset((hood,))] < at[frozenset((hood, "trough"))] < min(at[frozenset(("flange", "trough"))], at[frozenset(("trough", "end_plate"))])
        assert "from inside" in dry.piece(tube).note


CUP_MM, STICK_OUT_MM, LEAN_DEG = 5.0, 10.0, 55.0
"""Radius of a small torch's cup, how far its electrode stands out of it, and how the torch leans off the sheet (common practice)."""


def torch(foot, out, up) -> manifold3d.Manifold:
    """A torch's cup over the root of a fillet at `foot`: `out` points off the sheet, `up` off the boss (each (3,))."""
    lean = np.radians(LEAN_DEG)
    axis = np.sin(lean) * np.array(up) + np.cos(lean) * np.array(out)
    start, end = (np.array(foot) + s * axis for s in (STICK_OUT_MM, STICK_OUT_MM + 25.0))
    balls = [manifold3d.Manifold.sphere(CUP_MM, 24).translate(tuple(p)) for p in (start, end)]
    return manifold3d.Manifold.batch_hull(balls)


def test_a_torch_reaches_all_round_a_port_while_the_flange_is_off(dry):
    """With the flange on, its overhang would stop the cup over the bosses that stand nearest under it."""
    bodies = {p.name: [manifold(solid_mesh(s)) for s in p.solids] for p in dry.pieces if p.name in ("trough", "flange")}
    struck = {"trough": 0, "flange": 0}
    for seam in (s for s in dry.seams if {s.a, s.b} == {"port_boss", "trough"}):
        middle = seam.path[:-1].mean(axis=0)
        out = np.array([0.0, np.sign(middle[1]), 0.0])
        for point in seam.path[:-1:2]:
            cup = torch(point, out, (point - middle) / np.linalg.norm(point - middle))
            for name, all_ in bodies.items():
                struck[name] += any((cup ^ body).volume() > 1e-3 for body in all_)
    assert struck["trough"] == 0 and struck["flange"] > 0, struck


def test_a_torch_reaches_what_is_listed_of_a_pickups_joint(dry):
    """From inside, past the tube's own lower leg and over the floor, before the hood is on."""
    for seam in (s for s in dry.seams if "port_boss" in (s.a, s.b) and any(n.endswith("pickup_tube") for n in (s.a, s.b))):
        assert not seam.leak_tight
        name = next(n for n in (seam.a, seam.b) if n.endswith("pickup_tube"))
        others = [manifold(solid_mesh(s)) for n in (name, "trough", "port_boss") for s in dry.piece(n).solids]
        axis = np.mean(seam.path[[0, -1]], axis=0)
        top = seam.path[len(seam.path) // 2]
        radius = dry.dimensions.port.tube_od / 2
        centre = top - (0, 0, radius)
        assert axis[2] == pytest.approx(centre[2] - radius / 2, abs=1e-6), "a third of it, underneath, is left"
        inwards = -np.sign(centre[1])
        for point in seam.path[2:-2]:
            off = (point - centre) / radius
            cup = torch(point, (0, 0.15 * inwards, 0), off)
            assert not any((cup ^ other).volume() > 1e-3 for other in others), (name, point)


def _common(one: cq.Solid, other: cq.Solid) -> float:
    return sum(s.Volume() for s in one.intersect(other).Solids())


def test_nothing_but_the_hood_is_in_the_tubes_way(dry):
    """Drawn back out of its boss by more than the socket's depth, a tube meets no metal; through the hole in the wall it could not have come."""
    hole = dry.dimensions.port.spigot_diameter
    middle = np.mean([s.Center().y for s in dry.piece("trough").solids])
    for name in ("pickup_tube", "falling_side_pickup_tube"):
        for tube in dry.piece(name).solids:
            inwards = np.sign(middle - tube.Center().y)
            for off in (0.3, SOCKET_MM / 2, SOCKET_MM + 2.0):
                moved = tube.translate(cq.Vector(0, inwards * off, 0))
                others = [s for p in dry.pieces if not p.name.endswith("screen") and not p.name.endswith("pickup_tube") for s in p.solids]
                assert sum(_common(moved, other) for other in others) < 1e-6, (name, off)
        box = tube.BoundingBox()
        assert min(box.xlen, box.ylen, box.zlen) < hole < sorted((box.xlen, box.ylen, box.zlen))[1], "its bend is wider than the hole both ways"


# ---------------------------------------------------------------- a wet pan with what stands in it


def test_the_cell_is_in_before_the_ends_close_and_the_boss_on_before_the_tube_is_welded_to_it(wet):
    parameters, parts = wet
    packed = pack(parameters, parts)
    assert list(packed.welds)[-1] == "deep_pan", "what stands in it is finished first"
    at = places(packed.welds["deep_pan"])
    cell = [order for pair, order in at.items() if any(n.startswith("gate_baffle/") for n in pair)]
    tabs = [order for pair, order in at.items() if any(n.startswith("windage_screen/") for n in pair)]
    assert len(cell) == 4 and len(tabs) == 2
    assert max(cell) < at[frozenset(("port_boss", "sump"))] and at[frozenset(("port_boss", "pickup_tube"))] < at[frozenset(("sump", "trough_front"))], \
        "all inside while the folded sump is open above and at its ends"
    assert at[frozenset(("pickup_tube",))] < at[frozenset(("pickup_tube", "bell"))] and at[frozenset(("sump", "trough_front"))] < at[frozenset(("sump", "sump_end_rear"))]
    assert at[frozenset(("flange", "end_front"))] < min(tabs)
    assert at[frozenset(("pickup_tube", "bell"))] < at[frozenset(("port_boss", "sump"))] < at[frozenset(("port_boss", "pickup_tube"))]
    for name in ("gate_baffle", "windage_screen"):
        assert not any(PAN in (s.a, s.b) for s in packed.welds[name]), "told with the pan"


def test_the_welds_into_the_pan_lie_on_both_pieces(wet):
    _, parts = wet
    pan = parts[-1]
    for part in parts[:-1]:
        metal = [p for p in pan.pieces if p.kind in ("folded", "plate")]
        assert part.into
        for seam in part.into:
            for point in seam.path[::max(1, len(seam.path) // 4)]:
                assert part.piece(seam.a).distance(point) < 0.3 and min(p.distance(point) for p in metal) < 0.3, (part.name, seam.a, point)


def test_flaps_hang_before_their_stops_are_welded(wet):
    """A stop reaches over its flap's knuckle: set first, it would keep the flap out."""
    _, (_, cell, _) = wet
    stages = [(s.stage, {s.a, s.b}) for s in weld_steps(cell)]
    stops = [i for i, (_, pair) in enumerate(stages) if "stop" in pair]
    hinges = [i for i, (_, pair) in enumerate(stages) if pair & {"wall_knuckle", "flap_knuckle"}]
    assert hinges and stops and max(hinges) < min(stops) and stages[min(hinges)][1] == {"flap", "flap_knuckle"}


def test_the_cell_is_held_all_round(wet):
    """Ends and sides of the box that it stands in, less the notches that it drains through and what the sides stop short of the ends."""
    _, (_, cell, _) = wet
    d = cell.dimensions
    around = 2 * (d.length + d.width)
    assert around - 60 < sum(s.length for s in cell.into) < around + 20


def test_a_cell_in_a_pan_that_is_there_stands_on_its_feet():
    cell = made(gate_baffle, in_given_pan(cell={"width": 161.0, "length": 115.0}, opening={"width": 60.0, "height": 40.0}))
    last = weld_steps(cell)[-1]
    assert (last.a, last.b, last.seams, last.stage) == ("foot", PAN, cell.piece("foot").quantity, "feet")
    foot = cell.dimensions.foot
    assert last.length / last.seams == pytest.approx(foot.width + 2 * (foot.reach - cell.dimensions.thickness - cell.dimensions.bend_radius), abs=1e-6)


# ---------------------------------------------------------------- a tank


def test_brackets_are_welded_outside_and_the_returns_end_before_its_tube():
    tank = made(reservoir, read("bench_mockup").parameters)
    stage, at = {frozenset((s.a, s.b)): s.stage for s in weld_steps(tank)}, places(weld_steps(tank))
    assert stage[frozenset(("shell", "bracket"))] == "outside" and stage[frozenset(("shell", "baffle"))] == "inside"
    assert at[frozenset(("inlet_tube", "inlet_end"))] < at[frozenset(("shell", "inlet_tube"))]
    assert all(s.stage in STAGES for s in weld_steps(tank))


def test_what_the_tank_needs_besides_is_bought_and_its_tubes_are_long_enough():
    parameters = read("hillclimb_four").parameters
    tank = made(reservoir, parameters)
    d, bought = tank.dimensions, {b.name: b for b in pack(parameters, [tank]).bought}
    assert {b.thread for b in d.bosses} <= {bought[n].note.split()[0].rstrip(",") for n in ("heater_plug", "temperature_sender", "sight_fitting")}
    holes = sum(hole.as_circle() is not None for hole in tank.piece("bracket").flat.holes) * tank.piece("bracket").quantity
    assert bought["bracket_bolt"].quantity == bought["bracket_rubber"].quantity == holes and bought["bracket_washer"].quantity == 2 * holes
    axis = {"inlet_tube": turned.inlet_end_frame(d).matrix[:3, 2], "filler_neck": np.array([0, 0, 1])}
    for piece in (p for p in tank.pieces if p.kind == "tube"):
        points = np.array([v.toTuple() for v in piece.solids[0].tessellate(0.01)[0]]) @ axis[piece.name]
        assert np.ptp(points) == pytest.approx(piece.stock.length, abs=0.05), piece.name


def test_a_mitred_pickup_is_cut_from_a_tube_of_its_own_volume(dry, wet):
    for part in (dry, wet[1][-1]):
        for piece in (p for p in part.pieces if p.kind == "tube"):
            s = piece.stock
            assert np.pi / 4 * (s.outer**2 - s.bore**2) * s.length == pytest.approx(piece.volume, rel=1e-4), piece.name
