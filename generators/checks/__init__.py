"""Measured against limit: every part's checks, taken on its meshes, its solids and its flats as they will be cut."""

import math

from generators.checks import clearances, flats, gates, joints, openings, sheets, solids, vessels
from generators.checks.bodies import Body, part_bodies, swept_bodies
from generators.crank import SweptRegion
from generators.findings import Check, judged
from generators.meshes import PartMeshes
from generators.parameters import Parameters, Pickup
from generators.pieces import Part
from generators.standards import least_web

FLANGE, TROUGH = "flange", "trough"
"""The pieces of a pan that are bolted to the rail, and that lie under the swing."""


def judge(
    parameters: Parameters, region: SweptRegion, parts: tuple[Part, ...], meshes: dict[str, PartMeshes]
) -> tuple[Check, ...]:
    """Every check of every part, in the order of the parts. `meshes` by part name."""
    swept = swept_bodies(region)
    found = []
    for part in parts:
        bodies = part_bodies(meshes[part.name])
        found += general(parameters, part, meshes[part.name], bodies)
        found += OWN.get(part.name, _nothing)(parameters, part, meshes[part.name], bodies, swept)
    return tuple(found)


def general(parameters: Parameters, part: Part, meshes: PartMeshes, bodies: tuple[Body, ...]) -> list[Check]:
    """What holds for any part; how pieces meet only where there is more than one."""
    sheet = parameters.sheet.stock
    together = []
    if len(bodies) > 1:
        together = [solids.interpenetration(part, bodies), joints.strangers(part, bodies), joints.joints(part, bodies)]
    return [solids.solids(part, meshes), *together, sheets.sheet_limits(part),
            sheets.stock(part, width=sheet.width, length=sheet.length)]


def _nothing(parameters, part, meshes, bodies, swept) -> list[Check]:
    return []


def _scavenge_pan(parameters: Parameters, part: Part, meshes: PartMeshes, bodies, swept) -> list[Check]:
    asked, rail = parameters.scavenge_pan, parameters.pan_rail
    underside = float(min(b.box[0, 2] for b in bodies if b.name == FLANGE))
    return [
        clearances.swing_clearance(part.name, swept, bodies, floor=asked.floor_clearance, side=asked.side_clearance),
        clearances.floor_clearance(
            part.name, swept, bodies, floor=asked.floor_clearance, trough=TROUGH, underside=underside
        ),
        clearances.side_clearance(part.name, swept, bodies, side=asked.side_clearance, trough=TROUGH),
        clearances.bolt_access(
            part.name, bodies, bolts=rail.bolts, size=rail.bolt_size, underside=underside, flange=FLANGE
        ),
    ]


def _windage_scraper(parameters: Parameters, part: Part, meshes: PartMeshes, bodies, swept) -> list[Check]:
    return [
        clearances.edge_clearance(part.name, swept, bodies, asked=parameters.windage_scraper.edge_clearance),
        least_metal(part),
    ]


def least_metal(part: Part) -> Check:
    """Narrowest metal (mm) on any flat of the part."""
    pieces = sheets.sheet_pieces(part)
    width, thickness, name = min(
        (flats.narrowest(flats.shape(p.flat), most=WIDEST_MM), p.thickness, p.name) for p in pieces
    )
    limit = least_web(thickness)
    return judged(
        id=f"{part.name}.least_web",
        title="Narrowest metal",
        value=float(width),
        limit=limit.value,
        unit="mm",
        sense=">=",
        source=limit.source,
        method=f"narrowest neck, tongue or web on the flat by distances between its loops and by opening it "
        f"with discs of growing radius, within {flats.SETTLED_MM} mm; {WIDEST_MM:g} mm where nothing is narrower: "
        f"{name}",
    )


WIDEST_MM = 25.0
"""Narrow metal is looked for up to this width: wider is no web."""


def _gate_baffle(parameters: Parameters, part: Part, meshes: PartMeshes, bodies, swept) -> list[Check]:
    pickup = parameters.deep_pan.pickup if parameters.deep_pan else None
    bore = pickup.bore if pickup else Pickup.model_fields["bore"].default
    return [
        gates.flap_clearance(part, bodies),
        gates.stop(part, bodies),
        openings.opening_area(part, bodies, bore=bore, flow=pump_draw(parameters)),
    ]


def pump_draw(parameters: Parameters) -> float | None:
    """What the pressure pump draws at the redline, m3/s: displacement x its turns a second; else the engine's oil
    flow; None where neither is known."""
    pumps, redline = parameters.pumps, parameters.crank.redline
    if pumps and pumps.pressure_displacement and pumps.drive_ratio and redline:
        return pumps.pressure_displacement * pumps.drive_ratio * redline / (2 * math.pi)
    return parameters.engine.oil_flow


def _reservoir(parameters: Parameters, part: Part, meshes: PartMeshes, bodies, swept) -> list[Check]:
    asked = parameters.reservoir
    oil = asked.oil_volume if asked.oil_volume is not None else part.oil
    return [
        vessels.oil_capacity(part.name, meshes.oil_space, full_mark=part.full_mark, oil=oil),
        vessels.headspace(part.name, meshes.oil_space, full_mark=part.full_mark, share=asked.headspace),
    ]


OWN = {
    "scavenge_pan": _scavenge_pan,
    "windage_scraper": _windage_scraper,
    "gate_baffle": _gate_baffle,
    "reservoir": _reservoir,
}
"""What is checked of one part alone."""
