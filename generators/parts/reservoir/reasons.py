"""Why the tank is sized as it is: one line for each value that the tool chose. mm and rad in, text out."""

import math

from generators.findings import Sized
from generators.parts.reservoir.ends import why_it_bears
from generators.parts.reservoir.plates import baffle_centres
from generators.parts.reservoir.records import ReservoirDimensions
from generators.parts.reservoir.usual import (
    INLET_PLACE,
    NECK_RADIUS_MM,
    SLENDERNESS,
    SPARE_SHARE,
    WALL_GRAZE_MM,
)


def reasons(d: ReservoirDimensions, want, sheet) -> tuple[Sized, ...]:
    """The chosen values of `d`; `want` and `sheet` are the tables [reservoir] and [sheet] of the parameter file."""
    return (*_body(d, want), *_ends(d, sheet), *_ports(d, want), *_fittings(d), *_baffles(d, want))


def _sized(key: str, value: str, because: str) -> Sized:
    return Sized(f"reservoir.{key}", value, because)


def _body(d: ReservoirDimensions, want) -> list[Sized]:
    across = 2 * d.inside_radius
    tall = (d.height + d.cone_depth) / across
    out = [
        _sized("height", f"{d.height:.1f} mm",
               f"straight shell: {1000 * d.oil:.2f} L of oil and {SPARE_SHARE:.1%} spare below the full mark, "
               f"{want.headspace:.0%} of the whole above it, metal inside taken off; height over diameter {tall:.2f} "
               "(2 to 3 is usual)"),
        _sized("full_mark", f"{d.full_mark:.1f} mm",
               "above the bottom of the straight shell: the oil asked for, with what stands in it"),
    ]
    if want.diameter is None:
        near = f"height over diameter near {SLENDERNESS:g} (2 to 3: common practice)"
        out.append(_sized("diameter", f"{across:.0f} mm", near))
    return out


def _ends(d: ReservoirDimensions, sheet) -> list[Sized]:
    bears = why_it_bears(sheet, radius=d.outside_radius, thickness=d.top_thickness)
    top = _sized("top_thickness", f"{d.top_thickness:.1f} mm", bears)
    if not d.cone_depth:
        return [top, _sized("base_thickness", f"{d.base_thickness:.1f} mm", bears)]
    runs = "slope 45 deg: at 1 g sideways the oil still runs along it to the outlet"
    return [top, _sized("cone_depth", f"{d.cone_depth:.1f} mm", runs)]


def _ports(d: ReservoirDimensions, want) -> list[Sized]:
    flares = (("outlet", want.outlet_bore, d.outlet.flare), ("inlet", want.inlet_bore, d.inlet.flare))
    fall = math.degrees(math.pi / 2 - d.inlet.angle)
    return [
        *(_sized(f"{name}.size", f.dash, f"smallest flare end with a bore of {bore:g} mm or more: {f.bore:.1f} mm")
          for name, bore, f in flares),
        _sized("inlet.offset", f"{d.inlet.offset:.2f} mm",
               f"bore ends {WALL_GRAZE_MM:g} mm short of the wall, so that oil runs along it; it turns anticlockwise seen "
               "from above"),
        _sized("inlet.height", f"{d.inlet.height:.1f} mm",
               f"at {INLET_PLACE:g} of the shell where that clears the full mark and the top plate; falls {fall:.0f} deg "
               "into the tank"),
    ]


def _fittings(d: ReservoirDimensions) -> list[Sized]:
    fits = "the largest thread up to the usual one that fits the curve of the wall and stands clear of the baffles"
    return [
        _sized("breather.size", d.top.breather.dash,
               "no narrower than the return, so that what comes back can also leave; from the highest point, shielded"),
        _sized("filler.bore", f"{2 * d.top.neck_bore:.1f} mm",
               f"{2 * (NECK_RADIUS_MM - d.thickness):.0f} mm where the plate has room for it beside the breather"),
        _sized("brackets", str(len(d.brackets.heights)),
               f"folded, one {d.brackets.bolt} bolt in each ear, clear of the tank for a socket"),
        *(_sized(b.name, b.thread, f"at {b.height:.1f} mm: {fits}") for b in d.bosses),
    ]


def _baffles(d: ReservoirDimensions, want) -> list[Sized]:
    if not want.baffles:
        return []
    open_ = len(baffle_centres(d.baffles, web=d.thickness)) * d.baffles.hole**2 / d.inside_radius**2
    return [_sized("baffles.open_area", f"{open_:.0%}",
                   f"holes of {2 * d.baffles.hole:.1f} mm at {d.baffles.pitch:.1f} mm, of the section; four notches at "
                   "the wall let oil and air past")]
