"""What is etched on a flat, and where: its name and which way it goes in, on metal that is neither cut nor bent."""

import math
from dataclasses import dataclass

import numpy as np
from shapely import affinity, prepare
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from generators.outlines import flattened
from generators.pieces import Piece
from generators.sheet.flat import FlatPattern
from generators.shop.orientation import Orientation, orientation
from generators.shop.strokes import stroke_width, strokes

HEIGHTS_MM = (6.0, 4.0, 3.0, 2.0)
"""Heights of letters that are tried, the largest first; smaller ones cannot be read on metal (common practice)."""

AWAY_MM = 2.0
"""Letters keep off edges and bends by this much."""

PLACES = 24
"""Places along each side of the flat at which words are tried."""

LENGTHWAYS = (0.0, math.pi / 2)
"""Directions (rad) in which a name may run."""

ARROW = ">"

NO_ROOM = "no room to etch the name: tag it"
NO_ROOM_FOR_ARROW = "no room to etch which way it goes in"


@dataclass(frozen=True)
class Marks:
    """Etched strokes (n, 2) mm on the flat, and what had no room."""

    strokes: tuple[np.ndarray, ...]
    missing: tuple[str, ...]


def marks(part_name: str, piece: Piece, *, own_frame: bool) -> Marks:
    """The name of a piece and which way it goes in, as there is room for on its flat. Lines that are etched anyway stay clear."""
    free, missing = _free(piece.flat), []
    made = words_on(free, f"{part_name}/{piece.name}", angles=LENGTHWAYS) or words_on(free, piece.name, angles=LENGTHWAYS)
    if made is None:
        missing.append(NO_ROOM)
    told = orientation(piece, own_frame=own_frame)
    way = None
    if told:
        root = free if piece.flat.root is None else free.intersection(Polygon(flattened(piece.flat.root)))
        way = _way(root if made is None else root.difference(made[1].buffer(AWAY_MM)), told)
        missing += [f"{NO_ROOM_FOR_ARROW}: {spoken(told)}"] if way is None else []
    return Marks(tuple(s for found in (made, way) if found for s in found[0]), tuple(missing))


def _way(free: BaseGeometry, told: Orientation) -> tuple[list[np.ndarray], Polygon] | None:
    """Which side looks where, and the arrow; the arrow alone where there is room for no more."""
    angles = LENGTHWAYS if told.angle is None else (told.angle,)
    short = f"{told.shows} {ARROW}" if told.shows else f"{told.side} SIDE"
    full = f"{told.side} SIDE / {short}" if told.shows and told.side else short
    return words_on(free, full, angles=angles) or words_on(free, short, angles=angles)


def spoken(told: Orientation) -> str:
    """The same for a line of text, where there is no room on the metal."""
    side = f"this is the {told.side.lower()} side" if told.side else ""
    degrees = None if told.angle is None else round(math.degrees(told.angle) % 360, 1) % 360
    arrow = f"{told.shows.lower()} is at {degrees:g} deg from x" if told.shows else ""
    return ", ".join(filter(None, (side, arrow)))


def words_on(free: BaseGeometry, words: str, *, angles: tuple[float, ...]) -> tuple[list[np.ndarray], Polygon] | None:
    """The words as strokes (n, 2) mm and the ground that they take, as large and as near the middle of `free` as there is room, along
    one of `angles` (rad); None where there is none."""
    for height in HEIGHTS_MM:
        for angle in angles:
            long = stroke_width(words, height=height)
            place = _place(affinity.rotate(free, -angle, origin=(0, 0), use_radians=True), long, height)
            if place is not None:
                c, s = math.cos(angle), math.sin(angle)
                turn = np.array([[c, -s], [s, c]])
                ground = box(*place, place[0] + long, place[1] + height)
                return ([(stroke + place) @ turn.T for stroke in strokes(words, height=height)],
                        affinity.rotate(ground, angle, origin=(0, 0), use_radians=True))
    return None


def _free(flat: FlatPattern) -> BaseGeometry:
    """Metal that letters may lie on."""
    metal = Polygon(flattened(flat.outer), [flattened(h) for h in flat.holes]).buffer(-AWAY_MM)
    for bend in flat.bends:
        metal = metal.difference(LineString([bend.start, bend.end]).buffer(bend.allowance / 2 + AWAY_MM, cap_style="square"))
    for mark in flat.marks:
        metal = metal.difference(LineString(mark).buffer(AWAY_MM))
    return metal


def _place(free: BaseGeometry, wide: float, tall: float) -> np.ndarray | None:
    """Lower left corner (2,) of words that fit on `free`."""
    if free.is_empty:
        return None
    prepare(free)
    x0, y0, x1, y1 = free.bounds
    middle = np.array([(x0 + x1) / 2, (y0 + y1) / 2])
    corners = [np.array([x, y]) for x in np.linspace(x0, max(x0, x1 - wide), PLACES) for y in np.linspace(y0, max(y0, y1 - tall), PLACES)]
    for corner in sorted(corners, key=lambda c: float(np.hypot(*(c + (wide / 2, tall / 2) - middle)))):
        if free.covers(box(*corner, corner[0] + wide, corner[1] + tall)):
            return corner
    return None
