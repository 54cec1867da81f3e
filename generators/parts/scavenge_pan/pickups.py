"""How many pickups a scavenge pan has, and where their screens and ports stand. Pure arithmetic."""

import math
from dataclasses import dataclass

import numpy as np

from generators import standards
from generators.fittings import BASE_MM, WeldEnd, drain_boss, weld_end
from generators.rail import Opening

WELD_LEG_MM = 3.0
"""Room for a fillet between a boss and the flange above it."""

SCREEN_ROOM_MM = 3.0
"""Free space between the pickup tube and the screen over it, for oil to reach the mouth from all sides."""

SCREEN_LENGTH_MM = 110.0
"""Length of a pickup screen where the bay has room for it."""

SCREEN_END_MM = 5.0
"""Fold and thickness of a screen's end, as far as the pickup tube keeps from it."""

NEAR_MM = 1e-6

DRAIN_THREAD = "M14x1.5"
"""A low drain plug for a shallow pan (common practice)."""

FIT_MM = 0.2
"""Gap left round a plate that is welded into the trough."""


@dataclass(frozen=True)
class Pickup:
    """One scavenge pickup: its place along the crank and that of the middle of its screen (mm), and whether it stands in
    the gutter or on the falling side."""

    name: str
    x: float
    screen_x: float
    gutter: bool


def stages(parameters, bay: float, port: WeldEnd) -> tuple[int, str]:
    """Scavenge stages that draw from a pan with `bay` mm of gutter: as asked, else as many as are wanted and fit."""
    if parameters.scavenge_pan.pickups is not None:
        return parameters.scavenge_pan.pickups, "as the file asks"
    wanted, why = _wanted_stages(parameters)
    count = next((n for n in range(wanted, 1, -1) if _screen_room(bay, n - on_falling_side(n)) >= _least_screen(port)), 1)
    if count < wanted:
        why += f"; no more than {count} fit{'s' if count == 1 else ''} a gutter of {bay:.0f} mm with a {port.dash} port"
    return count, why


def on_falling_side(count: int) -> int:
    """How many of `count` pickups stand on the falling side: of two one, so that either corner finds one of them."""
    return 1 if count == 2 else count // 3


def _wanted_stages(parameters) -> tuple[int, str]:
    """Scavenge stages for the engine, where the file does not say."""
    cylinders = len(parameters.crank.throws or ()) * parameters.crank.rods_per_throw
    if not cylinders:
        return 3, "two in the gutter and one on the falling side see oil in every direction (number of cylinders not given)"
    count = min(4, max(2, math.ceil(cylinders / 2)))
    return count, f"one stage for each two of {cylinders} cylinders, at least two, at most four (common practice)"


def screen_length(bay: float, gutters: int, port: WeldEnd) -> tuple[float, float]:
    """Length of each screen, and the gap between neighbours in the gutter that leaves room for divider and drain, mm."""
    length = _screen_room(bay, gutters)
    if length < _least_screen(port):
        key, remedies = _remedies(bay, gutters, port)
        raise ValueError(f"{key}: {gutters} pickup{'s' if gutters > 1 else ''} along a "
                         f"gutter of {bay:.0f} mm leave{'' if gutters > 1 else 's'} {max(length, 0.0):.0f} mm for each screen, a {port.dash} "
                         f"port needs {_least_screen(port):.0f} mm; {' or '.join(remedies)} would fit")
    if gutters == 1:
        return length, _screen_gap()
    return length, (bay - 2 * WELD_LEG_MM - gutters * length) / (gutters - 1)


def _remedies(bay: float, gutters: int, port: WeldEnd) -> tuple[str, list[str]]:
    """The key to change, and what of it would give the screens room: only what does."""
    smaller = next((weld_end(dash, thickness=port.thickness) for dash in reversed(standards.flare_dashes())
                    if _least_screen(weld_end(dash, thickness=port.thickness)) <= _screen_room(bay, gutters)), None)
    fewer = gutters > 1 and _screen_room(bay, 1) >= _least_screen(port)
    remedies = [*(["fewer pickups"] if fewer else []), *([f"a port of {smaller.dash}"] if smaller else []), *([] if fewer else ["a longer rail"])]
    return "scavenge_pan.pickups" if fewer else "scavenge_pan.port" if smaller else "pan_rail.length", remedies


def _screen_gap() -> float:
    """Least gap between the screens of a gutter, with the drain half way between a screen and a divider, mm."""
    return 2 * (drain_boss(DRAIN_THREAD, thickness=1).diameter + 2 * WELD_LEG_MM)


def _screen_room(bay: float, gutters: int) -> float:
    """Length that `bay` mm of gutter leave for each of its screens, mm."""
    return min(SCREEN_LENGTH_MM, (bay - 2 * WELD_LEG_MM - _screen_gap() * max(1, gutters - 1)) / gutters)


def _least_screen(port: WeldEnd) -> float:
    """Shortest screen over a port, mm."""
    return port.base_diameter + 2 * WELD_LEG_MM


def placed(open_: Opening, gutters: int, falling: int, length: float, blocked, port: WeldEnd, *, forward: float = 0.0) -> tuple[Pickup, ...]:
    """The pickups; `blocked[gutter]` are stretches of x (mm) where a port on that wall would cover a bolt. `forward` is how far one that
    has the falling side to itself belongs before the middle, a share of its length."""
    first, last = open_.x0 + WELD_LEG_MM + length / 2, open_.x1 - WELD_LEG_MM - length / 2
    places = [float(x) for x in np.linspace(first, last, gutters)]
    words = {1: ["gutter"], 2: ["gutter_rear", "gutter_front"]}.get(gutters, [f"gutter_{i + 1}" for i in range(gutters)])
    aside = length / 2 - port.tube_od / 2 - SCREEN_ROOM_MM - SCREEN_END_MM
    if gutters == 1 and falling == 1:
        return (_with_screen("gutter_front", last, (last, last), aside, blocked[True], gutter=True),
                _with_screen("falling_side_rear", first, (first, (first + last) / 2), aside, blocked[False], gutter=False))
    if gutters == 1:
        rear = (first + last) / 2
        out = [_with_screen(words[0], rear, (rear, last), aside, blocked[True], gutter=True)]
    else:
        out = [_with_screen(w, x, (x, x), aside, blocked[True], gutter=True) for w, x in zip(words, places)]
    for i in range(falling):
        name = "falling_side" if falling == 1 else f"falling_side_{i + 1}"
        bay = (open_.x0 + open_.length * i / falling, open_.x0 + open_.length * (i + 1) / falling)
        middle, room = sum(bay) / 2, (bay[1] - bay[0] - length) / 2 - WELD_LEG_MM
        wanted = middle + (min(max(forward * open_.length, -room), room) if falling == 1 else 0.0)
        out.append(_with_screen(name, wanted, (middle - room, middle + room), aside, blocked[False], gutter=False))
    return tuple(out)


def _with_screen(name: str, wanted: float, between: tuple[float, float], aside: float, blocked, *, gutter: bool) -> Pickup:
    """A pickup whose screen's middle stands at `wanted`, or elsewhere `between` two places where bolts leave its port no
    room there; the port at most `aside` from the screen's middle."""
    x = _clear(wanted, (wanted - aside, wanted + aside), blocked)
    if _stands_free(x, blocked):
        return Pickup(name, x, wanted, gutter)
    x = _clear(wanted, (between[0] - aside, between[1] + aside), blocked)
    return Pickup(name, x, min(max(x, between[0]), between[1]), gutter)


def blocked_stretches(rail, port: WeldEnd, side: int, edges) -> dict[bool, list[tuple[float, float]]]:
    """For the gutter's wall (True) and the falling wall (False), whose outsides lie at s = `edges`: the stretches of x (mm)
    where a port's base or thread would stand in a bolt tool's way."""
    tool = standards.bolt(rail.bolt_size).tool_radius + FIT_MM
    out: dict[bool, list[tuple[float, float]]] = {True: [], False: []}
    for x, y in rail.bolts:
        gutter = side * y < 0
        beyond = abs(side * y - edges[0 if gutter else 1]) - tool
        reach = tool + (port.base_diameter if beyond < BASE_MM else port.major) / 2
        if beyond < port.height:
            out[gutter].append((x - reach, x + reach))
    return out


def _stands_free(x: float, blocked) -> bool:
    return not any(a + NEAR_MM < x < b - NEAR_MM for a, b in blocked)


def _clear(x: float, between: tuple[float, float], blocked) -> float:
    """The place nearest to x, between two others, outside the blocked stretches; x itself where there is none."""
    edges = [x, *(e for stretch in blocked for e in stretch)]
    free = [e for e in edges if between[0] <= e <= between[1] and _stands_free(e, blocked)]
    return min(free, key=lambda e: (abs(e - x), e), default=x)


def places_why(gutters: int, falling: int) -> str:
    """Why the pickups stand where they do."""
    if falling == 1 and gutters == 1:
        return ("at opposite corners: the one in the gutter at the front keeps oil when braking and in the corner that throws oil to "
                "the rising side, the one on the falling side at the rear when launching and in the other corner")
    if falling:
        return ("gutter pickups at the ends keep oil when braking and launching; the falling side has its own for the corner "
                "that throws oil out of the gutter, off its middle towards where the harder of braking and launching draws oil")
    return ("in the middle of the gutter on the rising side: in the corner that throws oil away from it, and where braking or launching "
            "draws it to an end, the pickup is not covered; two stages or more see oil in every direction")
