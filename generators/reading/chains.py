"""Loose lines and arcs -> the closed loops that they make."""

import itertools
import math
from dataclasses import dataclass

import numpy as np

from generators.outlines import Loop, without_repeats

JOINED_MM = 0.01
"""Ends nearer than this meet: what drawing programs leave by rounding, and less than a laser's width."""


@dataclass(frozen=True)
class Piece:
    """An open run of sides, mm: vertices (x, y, bulge), each with the side that starts there, and the last end."""

    vertices: tuple[tuple[float, float, float], ...]
    end: tuple[float, float]

    @property
    def start(self) -> tuple[float, float]:
        """Where the first side starts, mm."""
        return self.vertices[0][:2]

    @property
    def length(self) -> float:
        """Of the chords, mm."""
        corners = [*(v[:2] for v in self.vertices), self.end]
        return sum(math.dist(a, b) for a, b in itertools.pairwise(corners))

    def backwards(self) -> "Piece":
        """The same run from its other end."""
        ends = [*(v[:2] for v in self.vertices[1:]), self.end]
        turned = zip(reversed(ends), reversed(self.vertices), strict=True)
        return Piece(tuple((*end, -vertex[2]) for end, vertex in turned), self.start)


def chained(pieces: list[Piece]) -> list[Loop]:
    """The closed loops that the pieces make, joined end to end within JOINED_MM.

    Raises ValueError where more than two ends meet, or a run stays open: the message has the gap and its place."""
    if not pieces:
        return []
    _require_pairs(pieces)
    left, loops = list(pieces), []
    while left:
        run, left = _run(left)
        if math.dist(run.start, run.end) > JOINED_MM:
            raise ValueError(_gap(run, left))
        loops.append(without_repeats(list(run.vertices)))
    return loops


def _ends(pieces: list[Piece]) -> np.ndarray:
    """Both ends of each piece, shape (n, 2, 2), mm."""
    return np.array([(p.start, p.end) for p in pieces], dtype=float)


def _require_pairs(pieces: list[Piece]) -> None:
    ends = _ends(pieces).reshape(-1, 2)
    for x, y in ends:
        meeting = int(np.count_nonzero(np.hypot(ends[:, 0] - x, ends[:, 1] - y) <= JOINED_MM))
        if meeting > 2:
            raise ValueError(
                f"has {meeting} ends that meet at {points_text((x, y))} on layer OUTLINE, so the way is not clear: "
                "delete what is drawn twice and move inner lines to another layer"
            )


def _run(pieces: list[Piece]) -> tuple[Piece, list[Piece]]:
    """The first piece with all that joins on to its end, and the pieces left over."""
    run, left = pieces[0], pieces[1:]
    while left and math.dist(run.start, run.end) > JOINED_MM:
        distances = np.linalg.norm(_ends(left) - run.end, axis=2)
        i, side = np.unravel_index(np.argmin(distances), distances.shape)
        if distances[i, side] > JOINED_MM:
            back = np.linalg.norm(_ends(left) - run.start, axis=2)
            if back.min() > JOINED_MM:
                break
            run = run.backwards()
            continue
        following = left.pop(int(i))
        following = following.backwards() if side else following
        run = Piece((*run.vertices, *following.vertices), following.end)
    return run, left


def _gap(run: Piece, left: list[Piece]) -> str:
    here, there = run.end, run.start
    if left:
        ends = _ends(left).reshape(-1, 2)
        nearest = ends[np.argmin(np.linalg.norm(ends - here, axis=1))]
        if math.dist(nearest, here) < math.dist(there, here):
            there = tuple(map(float, nearest))
    return (
        f"has an open loop on layer OUTLINE: a gap of {math.dist(here, there):.3g} mm between {points_text(here)} and "
        f"{points_text(there)}; join the ends (they may lie up to {JOINED_MM:g} mm apart)"
    )


def points_text(point) -> str:
    """A place in a drawing, mm."""
    return f"({point[0]:.2f}, {point[1]:.2f}) mm"
