"""A straight line as a body of no thickness, to measure from."""

import numpy as np

from generators.bodies import Body, Skin

SPREAD_MM = 1e-4
"""Width of the sliver that stands for a line in a search tree."""


def line(start: np.ndarray, end: np.ndarray) -> Body:
    """The straight line between two points (3,), mm, as a body of no thickness."""
    across = np.cross(end - start, np.eye(3)[int(np.argmin(np.abs(end - start)))])
    vertices = np.array([start, end, end + across / np.linalg.norm(across) * SPREAD_MM])
    return Body("axis", 0, vertices, np.zeros((0, 3), int), (Skin(vertices, np.array([[0, 1, 2]]), 0.0),))
