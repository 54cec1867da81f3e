"""Gates that swing: what the flaps meet on their way, and where they stop."""

import itertools
import math
from dataclasses import dataclass

import numpy as np

from generators.bodies import Body, gap, least_gap, moved
from generators.checks.solids import label
from generators.findings import Check, judged, not_assessed
from generators.meshes import CHORD_MM
from generators.pieces import Hinge, Part
from generators.standards import HINGE_FLOAT

STEP_RAD = math.radians(5)
"""Steps in which a flap is swung."""

FINEST_RAD = math.radians(0.5)
"""Steps are halved down to this where something could be passed between two of them."""

NEAR_END_RAD = STEP_RAD
"""So near to shut a flap still rises from its seat, so near to its stop it comes to it."""

BEARING_MM = 8.0
"""A declared partner that lies wholly within this of the hinge's axis is its pin or a knuckle, in touch all the way."""

CONTACT_MM = 0.02
"""Nearer than this a flap has met something."""

STOP_TOLERANCE_DEG = 2.0
"""A stop this far off still holds the flap in its range (bends are good to one degree, both parts of a stop are
bent)."""

BEYOND_RAD = math.radians(15)
"""A flap that meets nothing this far beyond its stop has none."""

SCAN_RAD = math.radians(2.5)
"""Steps in which the stop is looked for."""

SETTLED_RAD = math.radians(0.02)
"""An angle of first contact is known well enough when its bounds are this near."""


@dataclass(frozen=True, eq=False)
class Gate:
    """A hinge with the bodies that swing on it and those that stay: `pins` bear on the axis, `ends` are the declared
    partners that it may touch when shut and when open, `others` all else that stands still."""

    hinge: Hinge
    swinging: tuple[Body, ...]
    pins: tuple[Body, ...]
    ends: tuple[Body, ...]
    others: tuple[Body, ...]

    @property
    def in_the_way(self) -> tuple[Body, ...]:
        """All that stands still and is not a bearing."""
        return (*self.ends, *self.others)


def unit(direction) -> np.ndarray:
    """The direction (3,) with length 1."""
    return np.asarray(direction, float) / np.linalg.norm(direction)


def turn_about(axis, angle: float) -> np.ndarray:
    """Rotation (3, 3) by `angle` rad about the direction `axis`, right-handed (Rodrigues)."""
    x, y, z = unit(axis)
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.eye(3) + math.sin(angle) * cross + (1 - math.cos(angle)) * cross @ cross


def swung(body: Body, hinge: Hinge, angle: float) -> Body:
    """The body turned about the hinge by `angle` rad from where it was modelled."""
    turn, point = turn_about(hinge.axis, angle), np.array(hinge.point)
    return moved(body, turn=turn, shift=point - turn @ point)


# ---------------------------------------------------------------- who swings


def gates(part: Part, bodies: tuple[Body, ...], neighbours: tuple[Body, ...] = ()) -> tuple[Gate, ...]:
    """Every hinge of the part. A copy of a piece that rides along belongs to the nearest swinging copy; `neighbours` are
    bodies of other parts, which all stand still."""
    swinging = [_swinging(hinge, part, bodies) for hinge in part.hinges]
    every = {id(b) for group in swinging for b in group}
    return tuple(
        _gate(h, group, part, [b for b in bodies if id(b) not in every], neighbours) for h, group in zip(part.hinges, swinging)
    )


def _swinging(hinge: Hinge, part: Part, bodies) -> tuple[Body, ...]:
    leaves = [(h, b) for h in part.hinges for b in bodies if (b.name, b.index) == (h.piece, h.index)]
    own = [b for h, b in leaves if h is hinge]
    riders = [
        b
        for b in bodies
        if b.name in hinge.rides and min(leaves, key=lambda leaf: (gap(leaf[1], b), _apart(leaf[1], b)))[0] is hinge
    ]
    return (*own, *riders)


def _apart(a: Body, b: Body) -> float:
    return float(np.linalg.norm(a.box.mean(axis=0) - b.box.mean(axis=0)))


def _gate(hinge: Hinge, swinging: tuple[Body, ...], part: Part, still: list[Body], neighbours: tuple[Body, ...]) -> Gate:
    names = {b.name for b in swinging}
    pins, ends, others = [], [], []
    for b in still:
        partner = any(frozenset((name, b.name)) in part.joined for name in names)
        if partner and _bears(hinge, b):
            pins.append(b)
        else:
            (ends if partner else others).append(b)
    return Gate(hinge, swinging, tuple(pins), tuple(ends), (*others, *neighbours))


def arm(body: Body, hinge: Hinge) -> float:
    """Greatest distance (mm) of a body from the hinge's axis: how far it goes in one radian."""
    return float(np.linalg.norm(np.cross(body.vertices - np.array(hinge.point), unit(hinge.axis)), axis=1).max())


def _bears(hinge: Hinge, body: Body) -> bool:
    return arm(body, hinge) <= BEARING_MM


# ---------------------------------------------------------------- clear on the way


def steps(start: float, end: float, step: float = STEP_RAD) -> list[float]:
    """Angles from start to end, both among them, no farther apart than `step`; rad."""
    return [float(a) for a in np.linspace(start, end, max(1, math.ceil((end - start) / step - 1e-9)) + 1)]


def room(body: Body, hinge: Hinge, angles: list[float]) -> np.ndarray:
    """Bounding box (2, 3), mm, of all that a body passes on its way through the angles (rad)."""
    boxes = np.array([swung(body, hinge, a).box for a in angles])
    spill = arm(body, hinge) * max(np.diff(angles), default=0.0) / 2
    return np.array([boxes[:, 0].min(axis=0) - spill, boxes[:, 1].max(axis=0) + spill])


def room_gap(one: np.ndarray, other: np.ndarray) -> float:
    """Distance between two boxes (2, 3), mm."""
    return float(np.linalg.norm(np.maximum(np.maximum(one[0] - other[1], other[0] - one[1]), 0)))


def least_on_way(body: Body, other: Body, hinge: Hinge, angles: list[float], *, best: float) -> float:
    """Least gap (mm) between a swinging body and one that stands still, where it is less than `best`, else `best`.

    Between two angles nothing moves farther than arm x half the step, so a step in which less than `best` is
    possible is halved, down to FINEST_RAD."""
    reach = arm(body, hinge)
    known = {a: gap(swung(body, hinge, a), other) for a in angles}
    best = min(best, *known.values())
    open_steps = list(itertools.pairwise(angles))
    while open_steps:
        a, b = open_steps.pop()
        if b - a <= FINEST_RAD or (known[a] + known[b] - reach * (b - a)) / 2 >= best:
            continue
        middle = (a + b) / 2
        known[middle] = gap(swung(body, hinge, middle), other)
        best = min(best, known[middle])
        open_steps += [(a, middle), (middle, b)]
    return best


def past_what_stands(gate: Gate, *, best: float) -> tuple[float, str]:
    """Least gap (mm) between what swings and what stands still, and the pair; (`best`, "") where it is no less."""
    end, pair = gate.hinge.open_angle, ""
    ways = [(gate.others, steps(0.0, end))]
    if end > 2 * NEAR_END_RAD:
        ways.append((gate.ends, steps(NEAR_END_RAD, end - NEAR_END_RAD)))
    for stands, angles in ways:
        for body in gate.swinging:
            taken = room(body, gate.hinge, angles)
            for bound, i in sorted((room_gap(taken, other.box), i) for i, other in enumerate(stands)):
                if bound >= best:
                    break
                found = least_on_way(body, stands[i], gate.hinge, angles, best=best)
                if found < best:
                    best, pair = found, f"{label(body)} and {label(stands[i])}"
    return best, pair


def past_each_other(one: Gate, other: Gate, *, best: float) -> tuple[float, str]:
    """Least gap (mm) between two gates, each at any of its steps; (`best`, "") where it is no less."""
    pair = ""
    one_way, other_way = (steps(0.0, g.hinge.open_angle) for g in (one, other))
    for a in one.swinging:
        for b in other.swinging:
            if room_gap(room(a, one.hinge, one_way), room(b, other.hinge, other_way)) >= best:
                continue
            places = [swung(b, other.hinge, angle) for angle in other_way]
            found, _, _ = least_gap(
                [(swung(a, one.hinge, angle), place) for angle in one_way for place in places], beyond=best
            )
            if found < best:
                best, pair = found, f"{label(a)} and {label(b)}"
    return best, pair


def flap_clearance(part: Part, bodies: tuple[Body, ...], neighbours: tuple[Body, ...] = ()) -> Check:
    """Least distance (mm) from anything that swings to everything else on its whole way, `neighbours` of other parts
    among it."""
    words = {
        "id": f"{part.name}.flap_clearance",
        "title": "Flaps through their whole swing to everything else",
        "unit": "mm",
        "sense": ">=",
    }
    source = f"half of the least axial float of a hinge, {HINGE_FLOAT.least:g} mm in all; {HINGE_FLOAT.source}"
    if not part.hinges:
        return not_assessed(**words, reason="nothing swings", source=source)
    hung = gates(part, bodies, neighbours)
    best, pair = math.inf, "none"
    for i, gate in enumerate(hung):
        found = [past_what_stands(gate, best=best), *(past_each_other(gate, g, best=best) for g in hung[:i])]
        best, pair = min(((value, name) for value, name in found if name), default=(best, pair))
    if best == math.inf:
        return not_assessed(**words, reason="a flap has nothing beside it", source=source)
    return judged(
        **words,
        value=best,
        limit=HINGE_FLOAT.least / 2,
        source=source,
        method=f"least distance between meshes (chord {CHORD_MM} mm, sagitta of rounded outsides taken off) with "
        f"{len(hung)} hinges "
        f"swung from shut to open in steps of 5 degrees, halved down to 0.5 where something could be passed between "
        f"two; pin and knuckles left out, seat and stop in the first and last 5 degrees; {len(neighbours)} copies of other "
        f"parts looked at as well; nearest: {pair}",
    )


def free_angle(gate: Gate) -> float:
    """Angle (rad) to which a flap swings in steps of STEP_RAD before it meets anything; its open angle where it comes to
    its stop and to nothing else."""
    free = 0.0
    for angle in steps(0.0, gate.hinge.open_angle)[1:]:
        at_end = angle > gate.hinge.open_angle - NEAR_END_RAD
        stands = gate.others if at_end or angle <= NEAR_END_RAD else gate.in_the_way
        swinging = [swung(b, gate.hinge, angle) for b in gate.swinging]
        if least_gap([(a, b) for a in swinging for b in stands], beyond=CONTACT_MM)[1] is not None:
            return free
        free = angle
    return free


def flap_opening(part: Part, bodies: tuple[Body, ...], neighbours: tuple[Body, ...] = ()) -> Check:
    """How far (deg) the worst flap opens, step by step, with nothing hit."""
    words = {"id": f"{part.name}.flap_opening", "title": "Flaps open to their stops with nothing hit", "unit": "deg", "sense": ">="}
    source = "the open angle that the stops are made for"
    if not part.hinges:
        return not_assessed(**words, reason="nothing swings", source=source)
    hung = gates(part, bodies, neighbours)
    free, gate = min(((free_angle(g), g) for g in hung), key=lambda f: f[0] - f[1].hinge.open_angle)
    return judged(
        **words,
        value=math.degrees(free),
        limit=math.degrees(gate.hinge.open_angle),
        source=source,
        method=f"each of {len(hung)} flaps turned open in equal steps of at most {math.degrees(STEP_RAD):g} degrees; at each nothing nearer than "
        f"{CONTACT_MM} mm but its pin and knuckles, its seat in the first step and its stop in the last; "
        f"{len(neighbours)} copies of other parts looked at as well; least: {gate.hinge.piece} {gate.hinge.index + 1}",
    )


# ---------------------------------------------------------------- where it stops


def meets(gate: Gate, angle: float) -> bool:
    """Whether, at `angle` rad, anything that swings is in touch with something that stands still."""
    swinging = [swung(b, gate.hinge, angle) for b in gate.swinging]
    found, _, _ = least_gap([(a, b) for a in swinging for b in gate.in_the_way], beyond=2 * CONTACT_MM)
    return found <= CONTACT_MM


def stop_angle(gate: Gate) -> float:
    """Angle (rad) at which a flap that has left its seat first meets something; `open_angle` + BEYOND_RAD where
    nothing."""
    end = gate.hinge.open_angle + BEYOND_RAD
    before = min(NEAR_END_RAD, gate.hinge.open_angle / 2)
    for angle in steps(before, end, SCAN_RAD):
        if meets(gate, angle):
            break
        before = angle
    else:
        return end
    while angle - before > SETTLED_RAD:
        middle = (before + angle) / 2
        before, angle = (before, middle) if meets(gate, middle) else (middle, angle)
    return angle


def stop(part: Part, bodies: tuple[Body, ...], neighbours: tuple[Body, ...] = ()) -> Check:
    """How far (deg) the worst flap's stop is from its open angle."""
    words = {"id": f"{part.name}.stop", "title": "Flap's stop off its open angle", "unit": "deg", "sense": "<="}
    source = f"{STOP_TOLERANCE_DEG:g} degrees: two bends at one degree each (from memory, unverified)"
    if not part.hinges:
        return not_assessed(**words, reason="nothing swings", source=source)
    found = [(abs(met - g.hinge.open_angle), met, g) for g in gates(part, bodies, neighbours) for met in (stop_angle(g),)]
    off, met, gate = max(found, key=lambda f: f[0])
    nothing = "; it meets nothing" if met >= gate.hinge.open_angle + BEYOND_RAD else ""
    return judged(
        **words,
        value=math.degrees(off),
        limit=STOP_TOLERANCE_DEG,
        source=source,
        method=f"each of {len(found)} flaps' meshes (chord {CHORD_MM} mm) turned on from its seat until within "
        f"{CONTACT_MM} mm of "
        f"anything but its pin and knuckles; worst: {gate.hinge.piece} {gate.hinge.index + 1} at "
        f"{math.degrees(met):.2f} of "
        f"{math.degrees(gate.hinge.open_angle):.2f} deg{nothing}",
    )
