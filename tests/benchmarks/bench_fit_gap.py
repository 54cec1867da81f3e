"""The least gap over a movement against the kernel's own distance pose by pose, and against a large obstacle. Run by hand:

    python tests/benchmarks/bench_fit_gap.py

A demo's pan against a made-up crossmember; then every piece of the hillclimb four against a made-up casting of half a million triangles.
The kernel is asked solid by solid, at KERNEL_POSES poses; POSES of them are reckoned from that.
"""

import math
import sys
import time
from dataclasses import replace
from pathlib import Path

import cadquery as cq
import numpy as np
import trimesh
from OCP.BRepExtrema import BRepExtrema_DistShapeShape

from generators import crank, reading
from generators.bodies import body, part_bodies
from generators.fit.movement import mounts
from generators.fit.nearest import clear_after, least_over, room_to
from generators.fit.swollen import swollen
from generators.fit.together import placed
from generators.meshes import part_meshes, solid_mesh
from generators.parts import deep_pan, reservoir, scavenge_pan, windage_scraper
from generators.vehicle import engine_in_vehicle

CONFIGS = Path(__file__).resolve().parents[2] / "configs"
POSES = 27
"""Three places along each of the vehicle's axes: the least that anyone would try by hand."""

KERNEL_POSES = 2
"""Poses at which the kernel is asked, for one takes seconds."""

FLOOR_GAP_MM = 18.0
"""How far under the pan the crossmember lies at rest."""

ROLL_DEG = 1.0
"""Less than it takes for the pan to meet the crossmember."""

DOWN = np.array([0.0, 0.0, -1.0])


def parts(name: str, *modules):
    """The parameters of the file `name`, and the bodies of some of its parts as they lie in the vehicle."""
    p = reading.read(CONFIGS / f"{name}.toml").parameters
    region = crank.swept_region(p.crank, rail_length=p.pan_rail.length)
    engine = engine_in_vehicle(p.vehicle, below_crank=p.pan_rail.below_crank)
    made = [module.part(module.dimension(p, region)) for module in modules]
    return p, [placed(b, engine) for part in made for b in part_bodies(part_meshes(part))]


def moves(p, *, shifts, roll: float):
    """The engine's mounts with another movement: mm and rad, each way."""
    own = mounts(p.vehicle, below_crank=p.pan_rail.below_crank, rail_length=p.pan_rail.length)
    return replace(own, shifts=np.array(shifts, float), turns=np.array([roll, 0.0, 0.0]))


def crossmember(length: float, x: float, top: float):
    """A rounded square tube across the vehicle, mm, with lightening holes through its flanks; its top at `top`."""
    outside = cq.Workplane("XZ").rect(70, 60).extrude(length / 2, both=True).edges("|Y").fillet(14)
    inside = cq.Workplane("XZ").rect(64, 54).extrude(length / 2 + 1, both=True).edges("|Y").fillet(11)
    holes = cq.Workplane("YZ").rarray(60, 1, int(length // 70), 1).circle(17).extrude(100, both=True)
    return outside.cut(inside).cut(holes).translate((x, 0, top - 30)).val()


def low(bodies) -> tuple[float, float]:
    """x (mm) and height (mm) of what hangs lowest."""
    lowest = min(bodies, key=lambda b: b.box[0, 2])
    return float(lowest.box[:, 0].mean()), float(lowest.box[0, 2])


def casting(x: float, top: float, triangles: int):
    """A wavy closed slab of 700 x 500 mm under the engine, so many triangles; its highest is at `top`."""
    n = math.isqrt(triangles // 4) + 1
    u, v = (m.reshape(-1) for m in np.meshgrid(np.linspace(-350, 350, n), np.linspace(-250, 250, n), indexing="ij"))
    wave = 6 * np.sin(u / 25 + 0.3 * np.sin(v / 17)) * np.cos(v / 30) - 6
    points = np.vstack([np.column_stack([u, v, wave]), np.column_stack([u, v, wave - 40])])
    corner = (np.arange(n - 1)[:, None] * n + np.arange(n - 1)).reshape(-1)
    upper = np.vstack([np.column_stack([corner, corner + n, corner + n + 1]), np.column_stack([corner, corner + n + 1, corner + 1])])
    side, up = np.arange(n), n * (n - 1)
    rim = np.concatenate([side * n, up + side[1:], (side[::-1] * n + n - 1)[1:], side[::-1][1:-1]])
    after = np.roll(rim, -1)
    wall = np.vstack([np.column_stack([after, rim, rim + n * n]), np.column_stack([after, rim + n * n, after + n * n])])
    mesh = trimesh.Trimesh(points + (x, 0, top), np.vstack([upper, upper[:, ::-1] + n * n, wall]), process=False)
    return body("casting", mesh, exact=True)


def timed(make):
    """Seconds and the result."""
    start = time.perf_counter()
    result = make()
    return time.perf_counter() - start, result


def kernel_time(pan, cross) -> tuple[float, float]:
    """Seconds of one pose by the kernel, solid by solid, and the distance at the last pose asked, mm."""
    placed_solids = [b.solid.moved(cq.Location(cq.Plane(tuple(b.shift), tuple(b.turn[:, 0]), tuple(b.turn[:, 2])))) for b in pan]
    found, start = math.inf, time.perf_counter()
    for k in range(KERNEL_POSES):
        there = cross.moved(cq.Location((0, 0, -float(k))))
        found = min(BRepExtrema_DistShapeShape(s.wrapped, there.wrapped).Value() for s in placed_solids)
    return (time.perf_counter() - start) / KERNEL_POSES, found - (KERNEL_POSES - 1)


def told(what: str, seconds: float, found) -> str:
    """One line."""
    return f"{what}: {seconds:.2f} s, gap {found.gap:.3f} mm (at rest {found.at_rest:.3f}), known to {found.slack:.3f} mm\n"


def against_kernel(write) -> None:
    """The pan of the club eight over a crossmember: shifts alone, then with roll."""
    p, pan = parts("club_vee_eight", deep_pan)
    x, height = low(pan)
    cross = crossmember(700, x, height - FLOOR_GAP_MM)
    standing = body("crossmember", solid_mesh(cross))
    write(f"{len(pan)} pieces, {sum(len(b.faces) for b in pan)} triangles, against {len(standing.faces)}\n")
    allowed = moves(p, shifts=(5, 5, 8), roll=0.0), moves(p, shifts=(5, 5, 8), roll=math.radians(ROLL_DEG))
    as_meshed = [replace(b, solid=None) for b in pan]
    seconds, found = timed(lambda: least_over(as_meshed, [standing], allowed[0]))
    write(told("meshes as they are, shifts 5, 5, 8 mm", seconds, found))
    with_roll, rolled = timed(lambda: least_over(as_meshed, [standing], allowed[1]))
    write(told(f"and roll of {ROLL_DEG} deg", with_roll, rolled))
    fine, finest = timed(lambda: least_over(pan, [replace(standing, solid=cross)], allowed[0]))
    write(told("meshed finer where they are nearest, shifts 5, 5, 8 mm", fine, finest))
    one, distance = kernel_time(pan, cross)
    write(f"kernel: {one:.2f} s a pose, at rest {distance:.3f} mm; {POSES} poses {POSES * one / seconds:.0f} x the time of the shifts, "
          f"{POSES * one / with_roll:.0f} x that with roll\n")


def against_casting(write) -> None:
    """Every piece on the hillclimb four's engine against half a million triangles."""
    p, pieces = parts("hillclimb_four", scavenge_pan, windage_scraper, deep_pan, reservoir)
    x, height = low(pieces)
    block = casting(x, height - 30, 500_000)
    allowed = moves(p, shifts=(5, 5, 8), roll=math.radians(3))
    write(f"{len(pieces)} pieces, {sum(len(b.faces) for b in pieces)} triangles, against {len(block.faces)}\n")
    seconds, around = timed(lambda: swollen([block], allowed.shifts))
    write(f"what it covers as the engine shifts: {seconds:.2f} s, {len(around[0].triangles)} triangles\n")
    seconds, found = timed(lambda: least_over(pieces, [block], allowed, around=around))
    write(told("shifts 5, 5, 8 mm and roll of 3 deg", seconds, found))
    seconds, gone = timed(lambda: room_to(pieces, around, allowed, direction=DOWN, wanted=1.0, most=300.0))
    write(f"room to go down: {seconds:.2f} s, {gone:.2f} mm\n")
    seconds, up = timed(lambda: clear_after(pieces, around, allowed, direction=-DOWN, wanted=found.gap + 10, most=150.0))
    write(f"raised for 10 mm more: {seconds:.2f} s, {up:.2f} mm\n")
    near = [s.shifted(np.array([0, 0, found.gap + 5])) for s in around]
    seconds, up = timed(lambda: clear_after(pieces, near, allowed, direction=-DOWN, wanted=10.0, most=150.0))
    write(f"raised out of an overlap of 5 mm: {seconds:.2f} s, {up:.2f} mm\n")


def main() -> None:
    against_kernel(sys.stdout.write)
    against_casting(sys.stdout.write)


if __name__ == "__main__":
    main()
