"""Where a flat region lies in space: a right-handed frame whose z is square to the sheet."""

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Frame:
    """`matrix` (4, 4) takes local mm to the frame above it; its rotation is proper and orthonormal."""

    matrix: np.ndarray

    def __post_init__(self):
        turn = self.matrix[:3, :3]
        if not np.allclose(turn @ turn.T, np.eye(3), atol=1e-9) or np.linalg.det(turn) < 0:
            raise ValueError("a frame must turn without scaling or mirroring")

    def __matmul__(self, inner: "Frame") -> "Frame":
        return Frame(self.matrix @ inner.matrix)

    def points(self, local) -> np.ndarray:
        """Local points (n, 3) or (n, 2) in the frame above, shape (n, 3)."""
        local = np.atleast_2d(np.asarray(local, float))
        if local.shape[1] == 2:
            local = np.column_stack([local, np.zeros(len(local))])
        return local @ self.matrix[:3, :3].T + self.matrix[:3, 3]


def frame(*, origin, x, z) -> Frame:
    """The frame at `origin` (3,) whose x and z lie along the given directions (3,), which must be square."""
    x, z = (np.asarray(v, float) / np.linalg.norm(v) for v in (x, z))
    if abs(x @ z) > 1e-9:
        raise ValueError("x and z of a frame must be square to each other")
    matrix = np.eye(4)
    matrix[:3, :3] = np.column_stack([x, np.cross(z, x), z])
    matrix[:3, 3] = origin
    return Frame(matrix)


def identity() -> Frame:
    """The frame that changes nothing."""
    return Frame(np.eye(4))
