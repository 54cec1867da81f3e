"""Masses of a design for programs: what it weighs, where, what that does to the vehicle, and where its oil goes."""

from dataclasses import asdict

import numpy as np

from generators.fit.mass import Balance, Lump, balance, moved_by, together, vehicle
from generators.oil.standing import level
from generators.oil.surface import body_below, skin
from generators.report.levels import oil_below
from generators.report.record import Run
from generators.sheet.frames import Frame
from generators.surge import Surge
from generators.units import GRAVITY
from generators.vessels import Vessel

MM3_IN_M3 = 1e9

EVERY = 17
"""Of the accelerations at which the oil's centre is looked at one in so many: it moves evenly between them."""

CORNERS_ARE = "estimate: shared out in proportion; the preload of the springs decides"
NOT_WEIGHED = "vehicle.weighed is not given: mass, front_share, centre_height, wheelbase, track and front_axle of the vehicle"
NO_PLACE = "the file does not say how high the rail stands in the vehicle"

PER_MM = 100.0
"""The vehicle's centre is told for the tank moved by so much each way."""


def entry(run: Run) -> dict:
    """Masses (kg) of the metal and of the oil at rest (its density at 15 degC), and the centre (mm) of both together in the
    assembly's frame, as it stands there with the parts that are set beside. Oil that does not fit its vessel has no place and is
    left out of the centre."""
    metal, oil = _metal(run), [lump for v in run.vessels if (lump := _oil(run, v)) is not None]
    whole = together([*metal, *oil])
    density = run.read.parameters.oil.density_15C
    return {"parts_kg": sum(p.mass for p in run.parts), "oil_kg": sum(v.part.oil * density for v in run.vessels if v.part.oil),
            "centre_mm": whole.centre if whole else None, "frame": run.placing.said, "set_beside": run.placing.beside,
            "lumps": [_lump(one) for one in (*metal, *oil)], "oil_on_the_move": [_on_the_move(run, s) for s in run.surges],
            **_in_vehicle(run, metal, oil)}


def _lump(one: Lump) -> dict:
    return {"name": one.name, "kg": one.mass, "centre_mm": one.centre}


def _metal(run: Run) -> list[Lump]:
    """Each part as one lump, where it stands in the assembly."""
    out = []
    for placed in run.placing.parts:
        pieces = [Lump(p.name, p.mass, placed.at.points([s.Center().toTuple()])[0]) for p in placed.part.pieces for s in p.solids]
        if (one := together(pieces, placed.part.name)) is not None:
            out.append(one)
    return out


def _place(run: Run, name: str) -> Frame:
    return next((p.at for p in run.placing.parts if p.part.name == name), run.placing.engine)


def _oil(run: Run, vessel: Vessel) -> Lump | None:
    """The oil at rest in a vessel; None where there is none or it does not fit."""
    height = level(vessel.oil_space, volume=vessel.part.oil * MM3_IN_M3) if vessel.part.oil else None
    if height is None:
        return None
    centre = _place(run, vessel.name).points([oil_below(vessel.oil_space, height=height).center_mass])[0]
    return Lump(f"oil in {vessel.name}", vessel.part.oil * run.read.parameters.oil.density_15C, centre)


def _on_the_move(run: Run, surge: Surge) -> dict:
    """The centre of the oil of a vessel over all that the vehicle pulls: least, mean and largest along each axis of the assembly."""
    space = skin(surge.vessel.oil_space.vertices, surge.vessel.oil_space.faces)
    chosen = range(0, len(surge.ups), EVERY)
    centres = _place(run, surge.name).points([body_below(space, surge.ups[i], surge.offsets[i]).centre for i in chosen])
    return {"vessel": surge.name, "oil_kg": surge.oil.volume * run.read.parameters.oil.density_15C, "points": len(centres),
            "least_mm": centres.min(axis=0), "mean_mm": centres.mean(axis=0), "largest_mm": centres.max(axis=0)}


def _in_vehicle(run: Run, metal: list[Lump], oil: list[Lump]) -> dict:
    record, p = run.read.parameters.vehicle, run.read.parameters
    if record is None or record.rail_above_ground is None or record.weighed is None:
        return {"vehicle": None, "vehicle_why": NO_PLACE if record is None or record.rail_above_ground is None else NOT_WEIGHED}
    counted = [one for one in (*metal, *oil) if one.name.removeprefix("oil in ") not in run.placing.beside]
    before, after = (balance(record.weighed, lumps, cornering=p.driving.cornering) for lumps in ([], counted))
    return {"vehicle": {"without": _balance(before), "with": _balance(after), "shift_mm": after.centre - before.centre,
                        "cornering_g": p.driving.cornering / GRAVITY, "corners_are": CORNERS_ARE,
                        "reservoir": _tank(record.weighed, counted), "engine": _engine(run, after)},
            "vehicle_why": ""}


def _balance(found: Balance) -> dict:
    said = asdict(found)
    return {"mass_kg": said["mass"], "centre_mm": said["centre"], "front_share": found.front / found.mass, "left_share": found.left / found.mass,
            **{f"{key}_kg": said[key] for key in ("front", "rear", "left", "right", "transfer")}, "corners_kg": said["corners"]}


def _tank(weighed, lumps: list[Lump]) -> dict | None:
    """What the tank with its oil does to the vehicle's centre by itself, and what it would do moved along each axis."""
    tank = together([one for one in lumps if one.name.removeprefix("oil in ") == "reservoir"], "reservoir")
    if tank is None:
        return None
    rest = together([vehicle(weighed), *(one for one in lumps if one.name.removeprefix("oil in ") != "reservoir")])
    whole = together([rest, tank])
    return {**_lump(tank), "shift_mm": whole.centre - rest.centre, "moved_mm": PER_MM,
            "shift_when_moved_mm": float(moved_by(tank, whole.mass, np.array([PER_MM, 0, 0]))[0])}


def _engine(run: Run, after: Balance) -> dict | None:
    """How the vehicle's centre falls when the engine is lowered as far as the fit allows."""
    mass, drop = run.read.parameters.engine.mass, run.fit.drop
    if mass is None or drop is None:
        return None
    on_engine = sum(p.mass for p in run.parts if not p.own_frame and p.name not in run.placing.beside)
    fall = float(-moved_by(Lump("engine", mass + on_engine, np.zeros(3)), after.mass, np.array([0, 0, -drop]))[2])
    return {"kg": mass + on_engine, "drop_mm": drop, "fall_mm": fall, "transfer_kg": after.transfer * (1 - fall / after.centre[2])}
