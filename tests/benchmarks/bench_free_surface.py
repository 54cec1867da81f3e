"""The oil's surface in a pan of 11 L and 21,000 triangles against what other libraries take for it. Run by hand:

    python tests/benchmarks/bench_free_surface.py [directions] [repeats]

Same cavity, same directions, same oil, one run. The others cut the mesh and find the height with scipy's brentq, stopped at a
ten-millionth of a millimetre. Then 1,000 directions in fresh processes, with all that a
process needs: its start, imports, reading the mesh and making it ready.
"""

import importlib.util
import statistics
import subprocess
import sys
import tempfile
import time
from functools import partial
from pathlib import Path

import manifold3d
import numpy as np
import trimesh
from scipy.optimize import brentq

from generators.oil.surface import offsets, skin

OIL_SHARE = 0.4
"""Of the whole."""

EDGE_MM = 33.0
"""The cavity's longest edge: about 21,000 triangles."""

STOP = {"xtol": 1e-7, "rtol": 1e-14}

CAPPED_BY = ("networkx", "rtree", "mapbox_earcut")
"""What trimesh closes its cuts with; this tool needs none of them."""

MANY = 1000
FRESH = """
import sys
import numpy as np
from generators.oil.surface import offsets, skin
mesh = np.load(sys.argv[1])
space = skin(mesh["vertices"], mesh["faces"])
offsets(space, mesh["ups"], float(mesh["share"]) * space.volume)
"""


def cavity() -> manifold3d.Manifold:
    """A shallow tray with round corners and a deep sump with a sloping kick-out; bosses, bolts, a riser and a walled cell with
    slots stand in it. mm."""
    m = manifold3d.Manifold

    def block(low, high):
        return m.cube(np.subtract(high, low)).translate(low)

    def post(radius, low, high):
        return m.cylinder(high[2] - low[2], radius, radius, 96).translate(low)

    corners = [post(30, (x, y, -30), (x, y, 0)) for x in (30, 430) for y in (-110, 110)]
    tray = m.batch_hull(corners)
    sump = m.batch_hull([post(15, (x, y, -170), (x, y, -25)) for x in (15, 190) for y in (-115, 115)])
    kick = m.hull_points([(x, y, z) for x in (40, 180) for y, z in ((100, -165), (190, -130), (190, -80), (100, -80))])
    walls = [block((x, -70, -169.5), (x + 2, 70, -90)) for x in (50, 160)] + [block((50, y, -169.5), (162, y + 2, -90)) for y in (-70, 68)]
    slots = [block((x - 5, y, -160), (x + 7, y + 40, -125)) for x in (50, 160) for y in (-55, 15)]
    cell = m.batch_boolean([*walls, block((48, -72, -90), (164, 72, -88))], manifold3d.OpType.Add)
    cell -= m.batch_boolean([*slots, post(20, (105, 0, -95), (105, 0, -80))], manifold3d.OpType.Add)
    metal = [cell, post(14, (20, -60, -180), (20, -60, -155)), post(12, (105, 0, -150), (105, 0, 10)),
             *(post(8, (x, y, -60), (x, y, 10)) for x in (240, 310, 380, 430) for y in (-118, 118))]
    inside = m.batch_boolean([tray, sump, kick], manifold3d.OpType.Add) - m.batch_boolean(metal, manifold3d.OpType.Add)
    return inside.refine_to_length(EDGE_MM)


def by_manifold(whole: manifold3d.Manifold, up, ends, volume: float) -> float:
    """Offset, mm: its cuts."""
    return brentq(lambda c: whole.trim_by_plane(tuple(-up), -c).volume() - volume, *ends, **STOP)


def by_capped_cuts(body: trimesh.Trimesh, up, ends, volume: float) -> float:
    """Offset, mm: trimesh's closed cuts."""
    inner = np.array([1e-6, -1e-6]) + ends
    return brentq(lambda c: body.slice_plane(up * c, -up, cap=True).volume - volume, *inner, **STOP)


def uncapped(vertices, faces, volume: float) -> float:
    """What a cut mesh that is open in a plane through the origin holds more than `volume`, mm3."""
    a, b, c = np.moveaxis(vertices[faces], 1, 0)
    return float(np.einsum("ij,ij->", a, np.cross(b, c))) / 6 - volume


def by_open_cuts(body: trimesh.Trimesh, up, ends, volume: float) -> float:
    """Offset, mm: trimesh's cuts without a cap; seen from a point in the plane a cap would hold nothing."""

    def more(c):
        cut = body.slice_plane(up * c, -up)
        return uncapped(cut.vertices - up * c, cut.faces, volume)

    return brentq(more, *np.array([1e-6, -1e-6]) + ends, **STOP)


def by_open_faces(body: trimesh.Trimesh, up, ends, volume: float) -> float:
    """Offset, mm: the same on bare arrays, with no new Trimesh for each cut."""
    vertices, faces = np.array(body.vertices), np.array(body.faces)

    def more(c):
        cut, left, _ = trimesh.intersections.slice_faces_plane(vertices, faces, -up, up * c)
        return uncapped(cut - up * c, left, volume)

    return brentq(more, *ends, **STOP)


def timed(way, *given) -> tuple[float, float]:
    """Time in ms, and the result."""
    start = time.perf_counter()
    result = way(*given)
    return 1e3 * (time.perf_counter() - start), result


def directions(count: int) -> np.ndarray:
    """Unit vectors (count, 3) of up to 2 g each way along and across, and 0.5 g up or down."""
    found = np.random.default_rng(1).uniform((-2, -2, 0.5), (2, 2, 1.5), (count, 3))
    return found / np.linalg.norm(found, axis=1)[:, None]


def side_by_side(whole: manifold3d.Manifold, body: trimesh.Trimesh, count: int) -> None:
    """Print the table."""
    space = skin(body.vertices, body.faces)
    volume = OIL_SHARE * space.volume
    ways = {
        "this tool": lambda up, ends: offsets(space, up, volume)[0],
        "manifold3d `trim_by_plane`": lambda up, ends: by_manifold(whole, up, ends, volume),
        "trimesh `slice_plane`, capped": lambda up, ends: by_capped_cuts(body, up, ends, volume),
        "trimesh `slice_plane`, uncapped": lambda up, ends: by_open_cuts(body, up, ends, volume),
        "trimesh `slice_faces_plane`, uncapped": lambda up, ends: by_open_faces(body, up, ends, volume),
    }
    if not all(importlib.util.find_spec(name) for name in CAPPED_BY):
        print(f"without trimesh's closed cuts: install {', '.join(CAPPED_BY)} to see them\n")
        del ways["trimesh `slice_plane`, capped"]
    ups = directions(count)
    ends = np.column_stack([(body.vertices @ ups.T).min(axis=0), (body.vertices @ ups.T).max(axis=0)])
    runs = {name: [timed(way, *given) for given in zip(ups, ends, strict=True)] for name, way in ways.items()}
    took = {name: [ms for ms, _ in run] for name, run in runs.items()}
    found = {name: [offset for _, offset in run] for name, run in runs.items()}
    ours = took["this tool"]
    print(f"| {len(body.faces)} triangles, {space.volume / 1e6:.2f} L, {count} directions "
          "| ms a direction, median (least) | times ours | offsets differ by at most, mm |\n|---|---|---|---|")
    for name in ways:
        middle, apart = statistics.median(took[name]), np.abs(np.subtract(found[name], found["this tool"])).max()
        print(f"| {name} | {middle:.2f} ({min(took[name]):.2f}) | {middle / statistics.median(ours):.0f} | {apart:.1e} |")


def fresh(body: trimesh.Trimesh, repeats: int) -> None:
    """Print the time of MANY directions in processes of their own."""
    with tempfile.TemporaryDirectory() as folder:
        mesh = Path(folder) / "mesh.npz"
        np.savez(mesh, vertices=body.vertices, faces=body.faces, ups=directions(MANY), share=OIL_SHARE)
        run = partial(subprocess.run, [sys.executable, "-c", FRESH, str(mesh)], check=True)
        took = [timed(run)[0] for _ in range(repeats)]
    print(f"\n{MANY} directions in a fresh process: median {statistics.median(took) / 1e3:.2f} s, least {min(took) / 1e3:.2f} s "
          f"of {repeats}   (goal 1.5 s)")


def main() -> None:
    """Print both."""
    count, repeats = (int(given) for given in (*sys.argv[1:], *("20", "5")[len(sys.argv) - 1:]))
    whole = cavity()
    mesh = whole.to_mesh64()
    body = trimesh.Trimesh(mesh.vert_properties[:, :3], mesh.tri_verts, process=False)
    side_by_side(whole, body, count)
    fresh(body, repeats)


if __name__ == "__main__":
    main()
