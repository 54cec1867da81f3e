"""Time of a throw's outline against a union of the outline at many positions, both at 0.01 mm. Run by hand:

    python tests/benchmarks/bench_swept_region.py
"""

import sys
import time

import numpy as np
import shapely

from generators.crank import Band, outline
from generators.crank.sweep import Motion, big_end_radii, placed

CORNERS = np.array([(-34.0, -38.0), (34.0, -38.0), (34.0, 34.0), (-34.0, 34.0)])
MOTION = Motion(43.0, 150.0)
ALLOWED_MM = 0.01


def union(positions: int):
    """Union of the big end's outline at evenly spaced positions."""
    angle = 2 * np.pi * np.arange(positions) / positions
    placed_corners = placed(CORNERS[None, :, :], angle[:, None], MOTION)
    return shapely.union_all(shapely.polygons(placed_corners))


def shortfall(shape) -> float:
    """How far the paths of the corners leave a shape, mm."""
    angle = 2 * np.pi * np.arange(20_000) / 20_000
    points = placed(CORNERS[:, None, :], angle[None, :], MOTION).reshape(-1, 2)
    return float(shapely.distance(shape, shapely.points(points)).max())


def timed(make, repeats: int):
    """Best time in ms and the result."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        result = make()
        times.append(1e3 * (time.perf_counter() - start))
    return min(times), result


def main() -> None:
    write = sys.stdout.write
    ours, radius = timed(lambda: big_end_radii(CORNERS, MOTION), 50)
    short = shortfall(shapely.Polygon(outline(Band(0, 1, radius, ""))))
    write(f"polar outline: {ours:.2f} ms, leaves out {short:.4f} mm\n")
    for positions in (720, 1440, 2880, 5760, 11520):
        theirs, shape = timed(lambda n=positions: union(n), 1)
        short = shortfall(shape)
        write(f"union of {positions} positions: {theirs:.0f} ms, leaves out {short:.4f} mm, "
              f"{theirs / ours:.0f} x the time\n")
        if short <= ALLOWED_MM:
            break


if __name__ == "__main__":
    main()
