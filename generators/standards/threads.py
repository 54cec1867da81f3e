"""Threads: bolts and their holes, flare ends, drain plugs, pipe threads."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from generators.standards.tables import Unknown, require_positive, rows

INCH = 25.4
"""mm."""

MINOR_DEPTH = 5 * math.sqrt(3) / 8
"""(major - minor) / pitch of a 60 degree thread, both sides: 5/4 of the triangle height (ISO 68-1, unified too)."""

BOSS_WALL = 4.0
"""mm. Least metal outside the thread of a weld-in boss: 4 in aluminium, 3 in steel (common practice)."""

FITS = ("fine", "medium", "coarse")


def basic_minor(major: float, *, pitch: float) -> float:
    """Basic minor diameter D1 of a metric or unified internal thread, mm: D - 1.0825 P (ISO 724)."""
    return major - MINOR_DEPTH * pitch


def boss_diameter(major: float) -> float:
    """Outside diameter of a weld-in boss, mm: the thread and its wall, up to the next whole mm (common practice)."""
    return float(math.ceil(major + 2 * BOSS_WALL))


@dataclass(frozen=True)
class Bolt:
    """A metric coarse screw, mm. head_diameter, head_height: socket head cap screw (ISO 4762); across_flats: hexagon
    (ISO 4014); washer_diameter: ISO 7089; tool_radius: least free radius round the axis for a socket (common
    practice)."""

    size: str
    diameter: float
    pitch: float
    head_diameter: float
    head_height: float
    washer_diameter: float
    across_flats: float
    tool_radius: float
    minor_diameter: float
    tap_drill: float


@dataclass(frozen=True)
class Flare:
    """A 37 degree flare end (SAE J514, ISO 8434-2), mm. major, minor: its thread, basic; bore: the drilled way through
    the male end; boss_diameter, boss_length: a weld-in boss that carries the thread; nut: across flats of the swivel nut."""

    dash: str
    tube_od: float
    thread: str
    threads_per_inch: float
    major: float
    minor: float
    bore: float
    boss_diameter: float
    boss_length: float
    nut: float


@dataclass(frozen=True)
class Plug:
    """A drain plug's thread and the weld-in boss that carries it, mm."""

    thread: str
    major: float
    minor: float
    pitch: float
    boss_diameter: float
    boss_length: float


@dataclass(frozen=True)
class PipeThread:
    """A parallel pipe thread (ISO 228-1), mm."""

    thread: str
    major: float
    minor: float
    threads_per_inch: float


def bolt_sizes() -> tuple[str, ...]:
    """Every size that bolt() knows, smallest first."""
    return tuple(_bolts())


def bolt(size: str) -> Bolt:
    """The metric coarse screw of that size, "M4" to "M12". Raises Unknown."""
    if size not in _bolts():
        raise Unknown("bolt size", size, bolt_sizes())
    return _bolts()[size]


def clearance_hole(size: str, *, fit: str = "medium") -> float:
    """Clearance hole diameter, mm, for "M3" to "M16" in a "fine", "medium" or "coarse" fit (ISO 273).
    Raises Unknown."""
    if fit not in FITS:
        raise Unknown("fit", fit, FITS)
    table = {row["size"]: row[fit] for row in rows("clearance_holes")}
    if size not in table:
        raise Unknown("clearance hole for", size, table)
    return float(table[size])


def flare_dashes() -> tuple[str, ...]:
    """Every dash size that flare() knows, smallest first."""
    return tuple(_flares())


def flare(dash: str) -> Flare:
    """The 37 degree flare end of that dash size, e.g. "-10". Raises Unknown."""
    if dash not in _flares():
        raise Unknown("dash size", dash, flare_dashes())
    return _flares()[dash]


def flare_for_bore(bore: float) -> Flare:
    """The smallest flare end whose own bore is at least `bore`, mm. Raises Unknown beyond the largest."""
    require_positive("bore", bore)
    for end in _flares().values():
        if end.bore >= bore:
            return end
    raise Unknown("flare end with a bore, mm, of", f"{bore:g}",
                  [f"up to {end.bore:.1f} ({end.dash})" for end in list(_flares().values())[-1:]])


def drain_plug_names() -> tuple[str, ...]:
    """Every thread that drain_plug() knows."""
    return tuple(_plugs())


def drain_plug(thread: str) -> Plug:
    """The drain plug of that thread, e.g. "M18x1.5" or "3/4-16". Raises Unknown."""
    if thread not in _plugs():
        raise Unknown("drain plug", thread, drain_plug_names())
    return _plugs()[thread]


def bspp_names() -> tuple[str, ...]:
    """Every thread that bspp() knows, smallest first."""
    return tuple(_pipe_threads())


def bspp(thread: str) -> PipeThread:
    """The parallel pipe thread of that name, e.g. "G1/2" (ISO 228-1). Raises Unknown."""
    if thread not in _pipe_threads():
        raise Unknown("pipe thread", thread, bspp_names())
    return _pipe_threads()[thread]


def thread_size(designation: str) -> tuple[float, float]:
    """(major, pitch), mm, of "M18x1.5" (metric, pitch named) or "1 1/16-12" (unified, inches and threads an inch)."""
    if designation.startswith("M"):
        major, pitch = designation[1:].split("x")
        return float(major), float(pitch)
    inches, per_inch = designation.rsplit("-", 1)
    return float(sum(Fraction(part) for part in inches.split())) * INCH, INCH / float(per_inch)


@cache
def _bolts() -> dict[str, Bolt]:
    return {row["size"]: _bolt(row["size"], {k: float(v) for k, v in row.items() if k != "size"})
            for row in rows("bolts")}


def _bolt(size: str, row: dict[str, float]) -> Bolt:
    return Bolt(size, row["diameter"], row["pitch"], row["head_diameter"], row["head_height"], row["washer_diameter"],
                row["across_flats"], row["tool_radius"], basic_minor(row["diameter"], pitch=row["pitch"]),
                row["tap_drill"])


@cache
def _flares() -> dict[str, Flare]:
    return {row["dash"]: _flare(row) for row in rows("flares")}


def _flare(row: Mapping[str, str]) -> Flare:
    major, pitch = thread_size(row["thread"])
    return Flare(row["dash"], float(row["tube_od"]), row["thread"], INCH / pitch, major,
                 basic_minor(major, pitch=pitch), float(row["bore_in"]) * INCH,
                 boss_diameter(major), float(row["boss_length"]), float(row["nut_in"]) * INCH)


@cache
def _plugs() -> dict[str, Plug]:
    return {row["thread"]: _plug(row) for row in rows("drain_plugs")}


def _plug(row: Mapping[str, str]) -> Plug:
    major, pitch = thread_size(row["thread"])
    return Plug(row["thread"], major, basic_minor(major, pitch=pitch), pitch, boss_diameter(major),
                float(row["boss_length"]))


@cache
def _pipe_threads() -> dict[str, PipeThread]:
    return {row["thread"]: PipeThread(row["thread"], float(row["major"]), float(row["minor"]),
                                      float(row["threads_per_inch"])) for row in rows("bspp")}
