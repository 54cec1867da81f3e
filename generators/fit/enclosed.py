"""Whether one body lies wholly inside another, or inside what another covers as it shifts: their skins do not meet then."""

import fcl
import numpy as np

from generators.bodies import Body

LEAST_ROOM_MM = 1e-6
"""A box of shifts is taken to be as thick as this where it has no room: its search wants a solid."""


def is_inside(body: Body, point: np.ndarray) -> bool:
    """Whether a point (3,) lies inside the closed triangles: the solid angle that they fill, seen from it, is a whole turn."""
    if (point < body.box[0]).any() or (point > body.box[1]).any():
        return False
    a, b, c = np.moveaxis(body.vertices[body.faces] - point, 1, 0)
    la, lb, lc = (np.linalg.norm(v, axis=1) for v in (a, b, c))
    below = la * lb * lc + np.einsum("ij,ij->i", a, b) * lc + np.einsum("ij,ij->i", b, c) * la + np.einsum("ij,ij->i", c, a) * lb
    turns = 2 * np.arctan2(np.einsum("ij,ij->i", a, np.cross(b, c)), below).sum() / (4 * np.pi)
    return abs(turns) > 1 / 2


def is_passed(body: Body, point: np.ndarray, shifts: np.ndarray) -> bool:
    """Whether the skin of a body passes over a point (3,) as it shifts by `shifts` (3,) mm each way."""
    if not shifts.any():
        return False
    room = fcl.CollisionObject(fcl.Box(*np.maximum(2 * shifts, LEAST_ROOM_MM)), fcl.Transform(np.eye(3), np.asarray(point, float)))
    return any(fcl.collide(room, skin, fcl.CollisionRequest(), fcl.CollisionResult()) > 0 for skin, _ in body.colliders)


def is_enclosed(a: Body, b: Body, shifts: np.ndarray) -> bool:
    """Whether a lies inside of b or b inside of a at rest, or a in what b covers as it shifts, the skins apart. Each is one
    piece, so that any point of it tells."""
    low, high = np.maximum(a.box[0], b.box[0] - shifts), np.minimum(a.box[1], b.box[1] + shifts)
    if (low > high).any():
        return False
    mine, other = a.skins[0].vertices[a.skins[0].faces[0, 0]], b.skins[0].vertices[b.skins[0].faces[0, 0]]
    mine, other = mine @ a.turn.T + a.shift, other @ b.turn.T + b.shift
    return is_inside(b, mine) or is_inside(a, other) or is_passed(b, mine, shifts)
