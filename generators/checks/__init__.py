"""Measured against limit: every part's checks, taken on its meshes, its solids and its flats as they will be cut."""

from collections.abc import Collection
from dataclasses import dataclass

from generators.bodies import Body, part_bodies, swept_bodies
from generators.checks import (
    bends,
    clearances,
    cut_files,
    fits,
    flats,
    gates,
    hose_ends,
    joints,
    laps,
    levels,
    openings,
    pickups,
    printing,
    screens,
    sheets,
    solids,
    surge,
    together,
    vessels,
)
from generators.crank import SweptRegion
from generators.findings import Check, judged
from generators.fit.record import Fit
from generators.meshes import PartMeshes
from generators.mockup import Mockup
from generators.nest import Nest
from generators.oil.demand import pump_draw
from generators.parameters import Lap, Parameters, Pickup
from generators.pieces import Part
from generators.shop.pack import Pack
from generators.standards import least_web
from generators.sump import deep_pan
from generators.sump.draw import gap_of
from generators.sump.fitted import has_deep_pan
from generators.surge import Surge
from generators.vessels import Vessel

FLANGE, TROUGH = "flange", "trough"
"""The pieces of a pan that are bolted to the rail, and that lie under the swing."""


@dataclass(frozen=True)
class Case:
    """What the checks of one part look at: its meshes and the bodies of its copies, the swept region's, and those of the
    parts that stand beside it in the engine."""

    parameters: Parameters
    part: Part
    meshes: PartMeshes
    bodies: tuple[Body, ...]
    swept: tuple[Body, ...]
    neighbours: tuple[Body, ...] = ()


def judge(parameters: Parameters, region: SweptRegion, parts: tuple[Part, ...], meshes: dict[str, PartMeshes],
          held: tuple[Vessel, ...] = (), surges: tuple[Surge, ...] = (), *, lap: Lap | None = None,
          elsewhere: Collection[str] = (), fit: Fit | None = None, pack: Pack | None = None,
          nests: tuple[Nest, ...] = (), mockup: Mockup | None = None) -> tuple[Check, ...]:
    """Every check of every part, in the order of the parts, then how they stand together, what the vessels `held`
    hold, how the oil of `surges` settles, whether the `lap` that says so is to be believed, and what `fit` leaves them in the
    vehicle; with a `pack` also what the shop is told of each, with `nests` whether the sheets hold them all, and with a `mockup` whether it can be printed. `meshes` by part name; the parts of `elsewhere` belong in a pan that is not made here."""
    swept = swept_bodies(region)
    bodies = {part.name: part_bodies(meshes[part.name]) for part in parts}
    in_engine = [part.name for part in parts if not part.own_frame and part.name not in elsewhere]
    found = []
    for part in parts:
        beside = [n for n in in_engine if n != part.name] if part.name in in_engine else []
        case = Case(parameters, part, meshes[part.name], bodies[part.name], swept, tuple(b for n in beside for b in bodies[n]))
        found += general(parameters, part, case.meshes, case.bodies)
        found += OWN.get(part.name, _nothing)(case)
        found += [cut_files.cut_files(part, pack.files[part.name]), *bends.checks(part, pack.bends[part.name])] if pack else []
    if len(in_engine) > 1:
        found.append(together.overlap({n: bodies[n] for n in in_engine}))
    for vessel in held:
        if vessel.part not in parts:  # there already: nothing of it is made, but it is stood in
            found += OWN.get(vessel.name, _nothing)(Case(parameters, vessel.part, meshes[vessel.name], (), swept))
        found += HOLDS.get(vessel.name, _holds_nothing)(parameters, region, vessel)
    found += surge.checks(parameters, surges)
    found += sheets.layouts(nests)
    found += printing.checks(mockup, parameters.mockup.bed) if mockup is not None else []
    found += laps.lap_checks(parameters.driving, lap) if lap is not None else []
    return tuple(found + (fits.checks(fit, has_vehicle=parameters.vehicle is not None) if fit is not None else []))


def general(parameters: Parameters, part: Part, meshes: PartMeshes, bodies: tuple[Body, ...]) -> list[Check]:
    """What holds for any part; how pieces meet only where there is more than one."""
    sheet = parameters.sheet.stock
    together = []
    if len(bodies) > 1:
        together = [solids.interpenetration(part, bodies), joints.strangers(part, bodies), joints.joints(part, bodies)]
    return [solids.solids(part, meshes), *together, sheets.sheet_limits(part),
            sheets.stock(part, width=sheet.width, length=sheet.length), *hose_ends.hose_room(part, meshes)]


def _nothing(case: Case) -> list[Check]:
    return []


def _holds_nothing(parameters: Parameters, region: SweptRegion, vessel: Vessel) -> list[Check]:
    return []


def _scavenge_pan(case: Case) -> list[Check]:
    asked, rail = case.parameters.scavenge_pan, case.parameters.pan_rail
    part, bodies, swept = case.part, case.bodies, case.swept
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


def _deep_pan(case: Case) -> list[Check]:
    asked, rail, part = deep_pan(case.parameters), case.parameters.pan_rail, case.part
    pickup = asked.pickup or Pickup()
    gap = {"bore": pickup.bore, "asked": gap_of(pickup)}
    if not part.pieces:
        return [clearances.swing_to_inside(part.name, case.swept, case.meshes.oil_space, floor=asked.floor_clearance,
                                           side=asked.side_clearance),
                pickups.pickup_floor_gap(part, [case.meshes.oil_space], **gap)]
    underside = float(min(b.box[0, 2] for b in case.bodies if b.name == FLANGE))
    floors = [mesh for (name, _), mesh in case.meshes.copies.items() if name == SUMP]
    return [
        *([pickups.sump_place(part.name, floors, asked=asked.sump.x)] if asked.sump else []),
        clearances.swing_clearance(part.name, case.swept, case.bodies, floor=asked.floor_clearance, side=asked.side_clearance),
        clearances.bolt_access(
            part.name, case.bodies, bolts=rail.bolts, size=rail.bolt_size, underside=underside, flange=FLANGE
        ),
        pickups.pickup_floor_gap(part, floors, **gap),
        pickups.strainer_area(part, strainer=STRAINER, bore=pickup.bore),
    ]


SUMP, STRAINER = "sump", "strainer"
"""The pieces of a deep pan whose floor lies under the pickup, and that stands in its mouth."""


def _windage_scraper(case: Case) -> list[Check]:
    asked = case.parameters.windage_scraper.edge_clearance
    return [
        clearances.edge_clearance(case.part.name, case.swept, case.bodies, asked=asked),
        least_metal(case.part),
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


def _windage_screen(case: Case) -> list[Check]:
    asked = case.parameters.windage_screen
    return [
        screens.swing_clearance(case.part.name, case.swept, case.bodies, asked=asked.clearance),
        screens.open_area(case.part, asked=case.part.dimensions.aimed, tray=TRAY),
    ]


TRAY = "tray"
"""The piece of a windage screen that lies under the swing."""


WIDEST_MM = 25.0
"""Narrow metal is looked for up to this width: wider is no web."""


def _gate_baffle(case: Case) -> list[Check]:
    pickup = case.parameters.deep_pan.pickup if case.parameters.deep_pan else None
    bore = pickup.bore if pickup else Pickup.model_fields["bore"].default
    return [
        gates.flap_clearance(case.part, case.bodies, case.neighbours),
        gates.flap_opening(case.part, case.bodies, case.neighbours),
        gates.stop(case.part, case.bodies, case.neighbours),
        openings.opening_area(case.part, case.bodies, bore=bore, flow=pump_draw(case.parameters)),
        *(_heads(case) if has_deep_pan(case.parameters) else []),
    ]


def _heads(case: Case) -> list[Check]:
    """Only of a cell in a deep pan is it known what draws from it."""
    p = case.parameters
    return openings.head_checks(case.part, case.bodies, oil=p.oil, cornering=p.driving.cornering, flow=pump_draw(p),
                                limit=p.gate_baffle.head_loss)


def _reservoir(case: Case) -> list[Check]:
    asked, part, meshes = case.parameters.reservoir, case.part, case.meshes
    oil = asked.oil_volume if asked.oil_volume is not None else part.oil
    return [
        vessels.oil_capacity(part.name, meshes.oil_space, full_mark=part.full_mark, oil=oil),
        vessels.headspace(part.name, meshes.oil_space, full_mark=part.full_mark, share=asked.headspace),
    ]


OWN = {
    "scavenge_pan": _scavenge_pan,
    "deep_pan": _deep_pan,
    "windage_scraper": _windage_scraper,
    "windage_screen": _windage_screen,
    "gate_baffle": _gate_baffle,
    "reservoir": _reservoir,
}
"""What is checked of one part, with its neighbours where it meets them."""


def _deep_pan_holds(parameters: Parameters, region: SweptRegion, vessel: Vessel) -> list[Check]:
    oil = parameters.oil
    return [
        vessels.oil_capacity(vessel.name, vessel.oil_space, full_mark=vessel.part.full_mark, oil=oil.volume),
        levels.level_below_swing(vessel, running=oil.running_volume, at_rest=oil.volume, lowest=region.lowest),
        *([levels.compartments(vessel)] if vessel.compartments else []),
    ]


HOLDS = {"deep_pan": _deep_pan_holds}
"""What is checked of what a vessel holds, with all that stands in it."""
