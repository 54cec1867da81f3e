"""What the pump draws through: the pickup's place in the sump, its bell, and its way out. mm, engine frame."""

from dataclasses import dataclass

from generators import standards
from generators.crank import SweptRegion
from generators.fittings import WeldEnd, weld_end
from generators.sump.inside import Inside

BELL_OVER_BORE = 1.5
"""Mouth of a pickup's bell over its bore (common practice)."""

BELL_WALL_MM = 1.5
"""Wall of the turned bell at its mouth."""

TUBE_WALL_MM = 1.2
"""Least wall of the pickup's tube (stock sizes)."""

WELD_LEG_MM = 3.0
"""Room for a fillet round a boss."""

BESIDE_BEND_MM = 1.0
"""Flat metal between a boss and a bend."""


@dataclass(frozen=True)
class Draw:
    """The pickup: its axis at x, y; mouth `mouth_z` high, `bell` wide inside; `bore` and outside `outer` of its tube.
    `port` and `leg_z` (height of the leg that runs to the falling side) are None in a pan that is there already."""

    x: float
    y: float
    bore: float
    bell: float
    mouth_z: float
    outer: float
    port: WeldEnd | None
    leg_z: float | None
    because: str

    @property
    def bell_outside(self) -> float:
        """Outside of the bell at its mouth."""
        return self.bell + 2 * BELL_WALL_MM


def tube_for(bore: float, *, thickness: float) -> WeldEnd:
    """The smallest flare end whose tube has that bore with its least wall, in sheet of `thickness`. Raises ValueError."""
    for dash in standards.flare_dashes():
        if standards.flare(dash).tube_od >= bore + 2 * TUBE_WALL_MM:
            return weld_end(dash, thickness=thickness)
    raise ValueError(f"deep_pan.pickup.bore: {bore:g} mm is more than the largest flare end's tube holds, "
                     f"{standards.flare(standards.flare_dashes()[-1]).tube_od - 2 * TUBE_WALL_MM:.1f} mm; a smaller bore would do")


def draw_of(parameters, region: SweptRegion, inside: Inside) -> Draw:
    """The pickup of the deep pan. Raises ValueError, naming key and numbers, where it does not fit its sump."""
    want = parameters.deep_pan.pickup if parameters.deep_pan and parameters.deep_pan.pickup else None
    given = type(want) if want else None
    (s0, _), (s1, _) = inside.floor_ends
    x = want.x if given and want.x is not None else (inside.x0 + inside.x1) / 2
    y = want.y if given and want.y is not None else inside.side * (s0 + s1) / 2
    bore = want.bore if given else USUAL_BORE_MM
    gap = want.floor_gap if given else USUAL_GAP_MM
    bell = want.bell if given and want.bell is not None else BELL_OVER_BORE * bore
    if bell < bore:
        raise ValueError(f"deep_pan.pickup.bell: {bell:g} mm is less than the bore of {bore:g} mm that it leads to")
    port = tube_for(bore, thickness=inside.thickness) if inside.is_made else None
    half = bell / 2
    mouth = max(inside.floor(y - half), inside.floor(y + half)) + gap
    leg = _leg_height(inside, x, port) if port else None
    because = "as the file says" if given and want.x is not None else "the middle of the sump"
    made = Draw(x, y, bore, bell, mouth, port.tube_od if port else bore + 2 * TUBE_WALL_MM, port, leg, because)
    _inside_the_sump(made, inside)
    if leg is not None and leg - made.outer / 2 - made.mouth_z < made.bell_outside / 2:
        raise ValueError(f"deep_pan.sump.depth: mouth of the pickup at {made.mouth_z:.1f} mm and its leg at {leg:.1f} mm leave no "
                         f"room for a bell of {bell:g} mm between them; a deeper sump or a smaller bore would")
    return made


USUAL_BORE_MM, USUAL_GAP_MM = 22.0, 8.0
"""Bore of the pickup and gap under its mouth where the file says nothing (common practice; the records' own)."""


def _leg_height(inside: Inside, x: float, port: WeldEnd) -> float:
    """As high as the port's base can be welded to the neck under the body's floor."""
    return inside.body_floor(inside.join) - inside.thickness - WELD_LEG_MM - port.base_diameter / 2


def neck_for(port: WeldEnd, *, thickness: float, radius: float) -> float:
    """Height of a neck's wall, from the underside of the body's floor to the sharp inside corner of its shelf, in which
    such a port stands clear of weld and bend."""
    return WELD_LEG_MM + port.base_diameter + BESIDE_BEND_MM + radius + thickness


def _inside_the_sump(draw: Draw, inside: Inside) -> None:
    (s0, _), (s1, _) = inside.floor_ends
    half, s = draw.bell_outside / 2, inside.side * draw.y
    low, high = s0 + inside.radius, s1 - inside.radius
    for key, at, a, b in (("x", draw.x, inside.x0, inside.x1), ("y", s, low, high)):
        if not a + half <= at <= b - half:
            near, far = sorted(inside.side * v for v in (a, b)) if key == "y" else (a, b)
            raise ValueError(f"deep_pan.pickup.{key}: the bell of {draw.bell_outside:.1f} mm at {key} = "
                             f"{draw.y if key == 'y' else draw.x:.1f} mm does not stand on the sump's floor, which reaches from "
                             f"{near:.1f} to {far:.1f} mm; move it or the sump")


