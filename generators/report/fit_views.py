"""Pictures of the fit: all of it, and the tightest place of each obstacle."""

from collections.abc import Sequence

import numpy as np
import trimesh

from generators.bodies import Body as Solid
from generators.bodies import moved
from generators.crank import merged_bands, prism
from generators.exports import names
from generators.exports.step import COLOURS, OBSTACLE_COLOUR, SWEEP_COLOUR
from generators.findings import KernelFailure
from generators.fit.movement import pose_words
from generators.fit.record import Row
from generators.report.elements import Drawing
from generators.report.picture import Body, Cut, Window, picture
from generators.report.record import Run

ABOVE, LOW = (0.75, -1.0, 0.7), (0.55, -1.0, -0.35)
GROUND_COLOUR, LINE_COLOUR = (0.86, 0.87, 0.86), (0.80, 0.10, 0.10)
GROUND_OPACITY, SWEEP_OPACITY = 0.35, 0.3
GROUND_MM = 2.0
"""Thickness of the plate that stands for the ground."""

AROUND = 60.0
"""Least half height (mm) of what is shown round a tightest place: enough to recognise both bodies."""

GAPS = 2.2
"""Half height of it in gaps, where that is more."""

LINE_SHARE, POINT_SHARE = 0.008, 0.018
"""Radius of the line between the nearest points and of the balls on them, as shares of that half height."""

LIFT_SHARE = 0.05
"""The line lies so far before the cut, as a share of the half height, that it is not half in it."""


def drawings(run: Run) -> list[Drawing]:
    """The whole, from above and from below, and the tightest place of each obstacle."""
    fit = run.fit
    if not fit.rows:
        return []
    first, second = picture([*_all(run), _ground(run)], view=ABOVE), picture(_all(run), view=LOW)
    made = [Drawing(names.FIT_OVERVIEW, "All parts in the vehicle with what stands round them, from above, the vehicle's right side towards you.", first),
            Drawing(names.FIT_BELOW, "The same from below.", second)]
    return made + [tightest(run, min((r for r in fit.rows if r.obstruction is o), key=lambda r: r.clearance)) for o in fit.obstructions]


def overview(run: Run) -> bytes | None:
    """The whole from above, as in the file FIT_OVERVIEW; None where the engine's place in the vehicle is not known."""
    return picture([*_all(run), _ground(run)], view=ABOVE) if run.fit.bodies else None


def _coloured(run: Run, part: str) -> dict[str, tuple[float, float, float]]:
    found = next((p.part for p in run.placing.parts if p.part.name == part), None)
    return {p.name: COLOURS[i % len(COLOURS)] for i, p in enumerate(found.pieces)} if found else {}


def _shown(run: Run, part: str, bodies: Sequence[Solid]) -> list[Body]:
    colours = _coloured(run, part)
    return [Body(_mesh(b), colours.get(b.name, COLOURS[0])) for b in bodies]


def _mesh(body: Solid) -> trimesh.Trimesh:
    return trimesh.Trimesh(body.vertices, body.faces, process=False)


def _sweep(run: Run) -> list[Body]:
    at = run.placing.engine
    found = (prism(b) for b in merged_bands(run.region))
    return [Body(trimesh.Trimesh(at.points(v), f, process=False), SWEEP_COLOUR, SWEEP_OPACITY) for v, f in found]


def _all(run: Run) -> list[Body]:
    parts = [b for part, bodies in run.fit.bodies.items() for b in _shown(run, part, bodies)]
    obstacles = [Body(_mesh(b), OBSTACLE_COLOUR) for o in run.fit.obstructions for b in o.bodies]
    return [*parts, *obstacles, *_sweep(run)]


def _ground(run: Run) -> Body:
    """The ground as a plate under all that is shown."""
    boxes = [b.box for bodies in (*run.fit.bodies.values(), *(o.bodies for o in run.fit.obstructions)) for b in bodies]
    low, high = np.min([b[0] for b in boxes], axis=0) - AROUND, np.max([b[1] for b in boxes], axis=0) + AROUND
    return Body(trimesh.creation.box(bounds=((low[0], low[1], -GROUND_MM), (high[0], high[1], 0.0))), GROUND_COLOUR, GROUND_OPACITY)


def tightest(run: Run, row: Row) -> Drawing:
    """The tightest place of an obstacle: the engine where it is nearest, cut through both nearest points, looked at square to the
    cut."""
    fit, near, one = run.fit, row.nearest, row.obstruction
    turned, shift = fit.mounts.carried(near.pose)

    def there(bodies: Sequence[Solid], is_on_engine: bool) -> list[Solid]:
        return [moved(b, turn=turned, shift=shift) for b in bodies] if is_on_engine else list(bodies)

    parts = [b for part, bodies in fit.bodies.items() for b in _shown(run, part, there(bodies, part not in fit.fixed))]
    obstacles = [Body(_mesh(b), OBSTACLE_COLOUR) for b in there(one.bodies, one.moves_with_engine)]
    middle, half = near.points.mean(axis=0), max(AROUND, GAPS * near.gap)
    normal = _across(near.points, _nearest(there(one.bodies, one.moves_with_engine), near.points[1]))
    cut = Cut(tuple(-normal), float(-normal @ middle))
    line = _line(near.points + LIFT_SHARE * half * normal, half)
    window = Window(tuple(middle), half)
    try:
        image = picture([*parts, *obstacles, *_sweep(run)], view=tuple(normal), cut=cut, window=window, marks=line)
        words = "cut through both nearest points"
    except KernelFailure:  # a mesh that the cutter refuses is shown whole
        image = picture([*parts, *obstacles], view=tuple(normal), window=window, marks=line)
        words = "not cut: a mesh in it cannot be"
    gap = f"{near.gap:.2f} mm" if near.gap > 0 else "they meet"
    return Drawing(names.tightest(one.label), f"{one.name} and {row.part} {near.body.name}: {gap}, {row.wanted:g} mm wanted; engine "
                                              f"{pose_words(near.pose)}; {words}, {2 * half:.0f} mm high.", image)


def _nearest(bodies: Sequence[Solid], point: np.ndarray) -> Solid:
    return min(bodies, key=lambda b: float(np.linalg.norm(np.maximum(np.maximum(b.box[0] - point, point - b.box[1]), 0))))


def _across(points: np.ndarray, obstacle: Solid) -> np.ndarray:
    """The direction (3,) to look along: square to the line between the points and as nearly along the obstacle as can be, level where
    it can, from the right or from the front rather than from behind."""
    line = points[1] - points[0]
    line = line / np.linalg.norm(line) if np.linalg.norm(line) > 0 else np.array([0.0, 0.0, 1.0])
    sizes = obstacle.box[1] - obstacle.box[0]
    for axis in np.argsort(-sizes * np.array([1.0, 1.0, 0.0])):
        along = np.eye(3)[axis] - line * line[axis]
        if np.linalg.norm(along) > 1 / 2:
            along = along / np.linalg.norm(along)
            return along if along @ (1.0, -1.0, 0.1) > 0 else -along
    return np.array([0.0, -1.0, 0.0])


def _line(points: np.ndarray, half: float) -> list[Body]:
    """The nearest points and the line between them."""
    balls = [trimesh.creation.icosphere(subdivisions=2, radius=POINT_SHARE * half) for _ in points]
    for ball, point in zip(balls, points, strict=True):
        ball.apply_translation(point)
    rod = [trimesh.creation.cylinder(radius=LINE_SHARE * half, segment=points, sections=24)] if np.ptp(points, axis=0).any() else []
    return [Body(m, LINE_COLOUR) for m in (*balls, *rod)]
