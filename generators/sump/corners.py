"""The sump's section: its sharp inside corners (s, z), mm, from the neck's top on the rising side round to the falling side's.

`base` holds the sizes that an Inside is made of but for the corners; `edges` are the s of the body's inside walls."""

import math

from generators import standards
from generators.parameters import DeepPan
from generators.parameters import Sump as Asked
from generators.sump.draw import SOCKET_MM, TOOL_PLAY_MM, USUAL_BORE_MM, neck_for, tube_for

BESIDE_NECK_MM = 3.0
"""Flat of the body's floor left beside the neck for its weld."""


def given_corners(base: dict, edges, sump: Asked, floor: float):
    """The section of a pan that is there: walls straight up to the body's floor, whatever its width."""
    middle = sum(edges) / 2
    s0, s1 = middle - sump.width / 2, middle + sump.width / 2
    _deeper(base, floor, sump)
    rise = sump.width * math.tan(base["floor_slope"])
    return (s0, base["shallow_z"]), (s0, floor), (s1, floor + rise), (s1, base["shallow_z"])


def _deeper(base: dict, floor: float, sump: Asked) -> None:
    highest = floor + sump.width * math.tan(base["floor_slope"])
    room = base["shallow_z"] - base["thickness"] - highest
    if room <= 2 * (base["radius"] + base["thickness"]):
        raise ValueError(f"deep_pan.sump.depth: {sump.depth:.1f} mm leaves {max(room, 0.0):.1f} mm of wall between the body's floor and the "
                         f"higher side of the sump's floor, more than {2 * (base['radius'] + base['thickness']):.1f} mm is needed; a "
                         "deeper sump or a smaller shallow_depth would do")


def made_corners(parameters, base: dict, edges, sump: Asked, floor: float):
    """The section of a pan to be made: neck under the body's floor, kick-outs below it where the sump is wider."""
    t, r = base["thickness"], base["radius"]
    _deeper(base, floor, sump)
    strip = beside_neck(t, r)
    n0, n1 = edges[0] + strip, edges[1] - strip
    top, extra = base["shallow_z"] - t, sump.width - (n1 - n0)
    if extra <= 0:
        middle = (n0 + n1) / 2
        n0, n1 = middle - sump.width / 2, middle + sump.width / 2
        rise = sump.width * math.tan(base["floor_slope"])
        return (n0, top), (n0, floor), (n1, floor + rise), (n1, top)
    out0, out1 = (extra, 0.0) if (parameters.deep_pan or DeepPan()).kick_outs == "rising" else (extra / 2, extra / 2)
    least = least_kick_out(t, r)
    if out0 < least:
        raise ValueError(f"deep_pan.sump.width: {sump.width:.1f} mm makes kick-outs of {out0:.1f} mm beside a neck of {n1 - n0:.1f} mm, the "
                         f"two bends of one need {least:.1f} mm; {n1 - n0:.0f} mm or less, or {n1 - n0 + least * (1 + (out1 > 0)):.0f} mm "
                         "or more would do")
    w0, w1 = n0 - out0, n1 + out1
    rise = sump.width * math.tan(base["floor_slope"])
    tool = standards.bolt(parameters.pan_rail.bolt_size).tool_radius + TOOL_PLAY_MM
    shelf = min(base["underside"] - SOCKET_MM - tool, top - standards.least_flange(t, bend_radius=r).value) - t
    corners = [(n0, top), (n0, shelf), (w0, shelf), (w0, floor), (w1, floor + rise)]
    if out1 and not base["leads_up"]:
        port = tube_for(bore_of(parameters), thickness=t)
        shelf = min(shelf, top - neck_for(port, thickness=t, radius=r))
    return (*corners, *([(w1, shelf), (n1, shelf)] if out1 else []), (n1, top))


def least_kick_out(t: float, r: float) -> float:
    """The least a kick-out of sheet t mm thick bent at r (mm) stands out beyond the neck: its two bends."""
    return 2 * r + t + standards.least_offset(t).value


def beside_neck(t: float, r: float) -> float:
    """From the inside of the body's wall to that of the neck's: a bend, the neck's wall and its weld; and enough to be bent."""
    return max(r + t + BESIDE_NECK_MM, standards.least_flange(t, bend_radius=r).value - t)


def bore_of(parameters) -> float:
    """Bore of the pickup, mm."""
    pickup = (parameters.deep_pan or DeepPan()).pickup
    return pickup.bore if pickup else USUAL_BORE_MM
