"""The report for programs: plain numbers, SI unless the key says otherwise, finite or null."""

import json
import math
from dataclasses import asdict
from pathlib import Path

import numpy as np

from generators import crank
from generators.exports import names
from generators.findings import PASS, Check, Sized
from generators.oil.standing import level, volume_below
from generators.pieces import Part, Piece
from generators.report import fit_entries, mass_entries, mockup_section, shop_entries, stock_section
from generators.report.idle import idle
from generators.report.record import Run
from generators.report.surge_entries import rows, rows_in_cells, summary
from generators.sheet.bending import developed_length_correction
from generators.sheet.flat import BendLine
from generators.standards.limits import LEAST_DIN_RATIO
from generators.templates import templates_of
from generators.vessels import Compartment, Vessel

MM2_IN_M2, MM3_IN_M3, MM_IN_M = 1e6, 1e9, 1e3


def finite(value: object) -> object:
    """The value as JSON holds it: tuples and arrays as lists, numpy's numbers as plain ones, anything not finite as None."""
    if isinstance(value, dict):
        return {str(key): finite(item) for key, item in value.items()}
    if isinstance(value, (list, tuple, np.ndarray)):
        return [finite(item) for item in value]
    if isinstance(value, np.generic):
        return finite(value.item())
    return None if isinstance(value, float) and not math.isfinite(value) else value


def bend_entry(bend: BendLine, *, thickness: float) -> dict:
    """One bend: degrees turned from flat, positive upwards; mm. Two deductions from the sum of the outside legs: the one
    that the flat is drawn with, and what DIN 6935 would take off, for a shop that bends by it."""
    return {"angle_deg": math.degrees(bend.angle), "radius_mm": bend.radius, "allowance_mm": bend.allowance,
            "length_mm": bend.length, "deduction_mm": bend.deduction, "din_6935_deduction_mm": by_din(bend, thickness=thickness)}


def by_din(bend: BendLine, *, thickness: float) -> float | None:
    """Deduction (mm) of DIN 6935 for a bend in sheet of `thickness` mm; None where the bend is too sharp for it."""
    if bend.radius < LEAST_DIN_RATIO * thickness:
        return None
    return -developed_length_correction(angle=abs(bend.angle), radius=bend.radius, thickness=thickness)


def piece_entry(run: Run, part: Part, piece: Piece) -> dict:
    """One piece; mass, area and length are those of one copy."""
    flat, plan = piece.flat, shop_entries.planned(run, part, piece)
    return {"name": piece.name, "kind": piece.kind, "quantity": piece.quantity, "material": piece.material,
            "thickness_mm": piece.thickness, "mass_kg": piece.mass, "flat": names.flat(part, piece),
            "cut_only": names.cut_only(part, piece), "flat_area_m2": flat.area / MM2_IN_M2 if flat else None,
            "cut_length_m": flat.cut_length / MM_IN_M if flat else None,
            "bends": [{**bend_entry(b, thickness=piece.thickness), **plan.get(i, {})} for i, b in enumerate(flat.bends, start=1)] if flat else [], "note": piece.note}


def part_entry(run: Run, part: Part) -> dict:
    """One part as made; the box is that of its mesh."""
    meshes = run.meshes[part.name]
    files = {"step": names.step(part), "stl": names.stl(part), "drawing": names.drawing(part)}
    if templates_of(part):
        files["templates"] = names.templates(part)
    if meshes.oil_space is not None:
        files["oil_space"] = names.oil_space(part)
    return {"name": part.name, "files": files, "volume_m3": sum(p.volume * p.quantity for p in part.pieces) / MM3_IN_M3,
            "mass_kg": part.mass, "bounding_box_mm": meshes.joined.bounds, "watertight": bool(meshes.joined.is_watertight),
            "valid": any(c.id == f"{part.name}.solids" and c.status == PASS for c in run.checks),
            "weld_length_m": sum(s.length for s in run.pack.welds[part.name]) / MM_IN_M, "seams": shop_entries.seams(run, part),
            "pieces": [piece_entry(run, part, p) for p in part.pieces]}


def level_of(vessel: Vessel, oil: float | None) -> float | None:
    """Height (mm) of `oil` (m3) at rest in the vessel; None where no oil is known or it does not fit."""
    return level(vessel.oil_space, volume=oil * MM3_IN_M3) if oil else None


def running_oil(run: Run, part: Part) -> float | None:
    """Oil (m3) left in the vessel while the engine runs; None where the file does not say or the vessel keeps none."""
    return run.read.parameters.oil.running_volume if part.full_mark is not None else None


def compartment_entry(vessel: Vessel, compartment: Compartment, heights: dict[str, float | None]) -> dict:
    """One compartment with its gates shut, and what it holds below each of the heights (mm)."""
    held = {key: None if z is None else volume_below(compartment.oil_space, z) / MM3_IN_M3 for key, z in heights.items()}
    return {"name": compartment.name, "file": names.compartment(vessel.part, compartment.name),
            "oil_space_m3": compartment.oil_space.volume / MM3_IN_M3, **held}


def vessel_entry(run: Run, vessel: Vessel) -> dict:
    """One vessel and the mouths in it: its oil at rest with all of it in the vessel, and while the engine runs; what the
    pieces in it take, and its compartments."""
    part = vessel.part
    running = running_oil(run, part)
    heights = {"at_full_mark_m3": part.full_mark, "running_m3": level_of(vessel, running)}
    return {"name": part.name, "oil_space_m3": vessel.oil_space.volume / MM3_IN_M3, "oil_m3": part.oil,
            "level_z_mm": level_of(vessel, part.oil), "full_mark_z_mm": part.full_mark, "running_oil_m3": running,
            "running_level_z_mm": heights["running_m3"], "displaced_m3": vessel.displaced / MM3_IN_M3,
            "file": names.oil_space(part), "compartments": [compartment_entry(vessel, c, heights) for c in vessel.compartments],
            "pickups": [{"name": m.name, "rim_mm": m.rim} for m in part.mouths]}


def check_entry(check: Check) -> dict:
    """One check with its margin."""
    return {**asdict(check), "margin": check.margin}


def sized(run: Run) -> list[Sized]:
    """Every value that was chosen: on reading, by the crank, and by each part."""
    crank_says = crank.reason(run.read.parameters.crank, run.region)
    return [*run.read.sized, crank_says, *(s for p in run.parts for s in p.sized)]


def report(run: Run) -> dict:
    """The whole report, ready for JSON."""
    region = run.region
    return finite({
        "sumpwright": run.version, "title": run.read.parameters.title, "source": run.source,
        "parameters": run.read.as_report(), "unused": idle(run.read),
        "crank": {"swept_radius_mm": region.radius, "lowest_mm": region.lowest, "half_breadth_mm": region.half_breadth,
                  "rising_side": region.rising_side},
        "parts": [part_entry(run, p) for p in run.parts],
        "vessels": [vessel_entry(run, v) for v in run.vessels],
        "checks": [check_entry(c) for c in run.checks],
        "sized": [asdict(s) for s in sized(run)],
        "surge": [row for s in run.surges for row in rows(s)],
        "surge_in_cells": [row for s in run.surges for row in rows_in_cells(s)],
        "surge_summary": [summary(s) for s in run.surges],
        "transient": [], "fit": fit_entries.rows(run), "fit_summary": fit_entries.summary(run),
        "mass": mass_entries.entry(run), "stock": stock_section.entries(run.nests), "hardware": shop_entries.hardware(run), "mockup": mockup_section.entry(run.mockup),
    })


COMPACT = ("surge", "surge_in_cells")
"""Long lists of short rows: each row is one line of the file."""


def text(found: dict) -> str:
    """A report as JSON that can be read by eye too: indented, the rows of COMPACT lists one to a line."""
    return "{\n" + ",\n".join(f" {_json(key)}: {_lines(value) if key in COMPACT else _indented(value)}" for key, value in found.items()) + "\n}\n"


def _json(value: object, indent: int | None = None) -> str:
    return json.dumps(value, indent=indent, allow_nan=False, ensure_ascii=False)


def _indented(value: object) -> str:
    return _json(value, 1).replace("\n", "\n ")


def _lines(rows_: list) -> str:
    return "[\n" + ",\n".join(f"  {_json(row)}" for row in rows_) + "\n ]" if rows_ else "[]"


def write(found: dict, file: Path) -> None:
    """Write a report to `file`."""
    file.write_text(text(found), encoding="utf-8")
