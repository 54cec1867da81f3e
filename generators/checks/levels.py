"""Where the oil of a wet pan stands against the crank, and whether the compartments add up."""

from generators.checks.vessels import MM3_IN_M3
from generators.findings import Check, judged, not_assessed
from generators.meshes import CHORD_MM
from generators.oil.standing import level
from generators.sump.size import RUNNING_BELOW_SWING_MM, USUAL_RUNNING_MM
from generators.vessels import Vessel

SUM_SHARE = 1e-6
"""Compartments that add up to less or more than this share of the whole have lost or doubled oil."""


def level_below_swing(vessel: Vessel, *, running: float | None, at_rest: float | None, lowest: float) -> Check:
    """From the swing's lowest point (mm) down to the oil while the engine runs (m3 left in the pan; all the oil where only
    that is known)."""
    words = {"id": f"{vessel.name}.level_below_swing", "title": "Crank's sweep down to the oil, running", "unit": "mm", "sense": ">="}
    source = (f"{RUNNING_BELOW_SWING_MM:g} mm at least, {USUAL_RUNNING_MM:g} mm usual, or foam and spray are beaten out of the surface "
              "(common practice)")
    oil = running if running is not None else at_rest
    if oil is None:
        return not_assessed(**words, reason="oil.running_volume and oil.volume are not known", source=source)
    what = f"{oil * 1000:.3f} L " + ("left in the pan while running" if running is not None else
                                     "of oil, all of it: how much stays in the pan while running is not known")
    height = level(vessel.oil_space, volume=oil * MM3_IN_M3)
    if height is None:
        holds, height = vessel.oil_space.volume / MM3_IN_M3, float(vessel.oil_space.bounds[1][2])
        what += f"; the pan holds {holds * 1000:.3f} L to its rim and runs over"
    return judged(
        **words, value=float(lowest - height), limit=RUNNING_BELOW_SWING_MM,
        caution_below=USUAL_RUNNING_MM - RUNNING_BELOW_SWING_MM, source=source,
        method=f"{what}: level at rest in the oil space's mesh (chord {CHORD_MM} mm), all that stands in it taken out, "
               f"z = {height:.2f} mm; lowest point of the swing z = {lowest:.2f} mm")


def compartments(vessel: Vessel) -> Check:
    """How far (share of the whole inside) the compartments and what stands in the vessel are from filling it."""
    parts = {c.name: float(c.oil_space.volume) for c in vessel.compartments}
    filled = sum(parts.values()) + vessel.displaced
    said = ", ".join(f"{name} {v / 1e6:.4f} L" for name, v in parts.items())
    return judged(
        id=f"{vessel.name}.compartments", title="Compartments and pieces against the whole inside",
        value=abs(filled - vessel.gross) / vessel.gross, limit=SUM_SHARE, unit="1", sense="<=",
        source="what is inside is oil or metal, once",
        method=f"volumes of the compartments' meshes with gates shut ({said}) and of the metal inside ({vessel.displaced / 1e6:.4f} L) "
               f"against the inside of {vessel.gross / 1e6:.4f} L")
