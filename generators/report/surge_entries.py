"""How the oil settles while driving, for programs: a row for each vessel, pickup and acceleration, and what they come to."""

import math

import numpy as np

from generators.checks.surge import said, where
from generators.exports import names
from generators.surge import Cover, Surge
from generators.surge.moments import DAMPING, LEVEL
from generators.surge.record import Slosh
from generators.surge.space import BARE_MOST
from generators.units import GRAVITY
from generators.vessels import CELL

COVER_DIGITS, UP_DIGITS, G_DIGITS, OIL_DIGITS = 6, 12, 9, 12
"""Decimals of a cover (mm), a unit vector, an acceleration (g) and a volume (m3) in a row: what lies under a plane that is set up
from them is right to a part in a million of any oil worth the name."""


def rows(surge: Surge) -> list[dict]:
    """One row for each mouth and acceleration, its cover by one surface of the whole vessel with `oil_m3` under it;
    `open_cover_mm` is what is left of it with the crankcase open to the oil, null where none is over the vessel."""
    return [{**row, "oil_m3": surge.oil.volume, "cover_mm": _round(cover.open[i], COVER_DIGITS), **_counts(surge, cover, i),
             "needed_m3": _round(cover.needed[i], OIL_DIGITS),
             "open_cover_mm": _round_or_none(cover.risen_open, i)}
            for cover in surge.covers for i, row in enumerate(_points(surge, cover))]


def rows_in_cells(surge: Surge) -> list[dict]:
    """The same where a cell keeps oil round the mouth: its cover in the cell when the acceleration ends after `seconds`, with
    `oil_m3` in the cell under the plane."""
    return [{**row, "compartment": CELL, "seconds": float(surge.seconds[i]), "oil_m3": _round(cover.kept.oil[i], OIL_DIGITS),
             "cover_mm": _round(cover.kept.cover[i], COVER_DIGITS), "open_cover_mm": _round_or_none(cover.risen, i),
             **_counts(surge, cover, i)}
            for cover in surge.covers if cover.kept is not None for i, row in enumerate(_points(surge, cover))]


def _counts(surge: Surge, cover: Cover, i: int) -> dict:
    return {"overshoot_cover_mm": _round(cover.overshoot[surge.damping][i], COVER_DIGITS)}


def _points(surge: Surge, cover: Cover) -> list[dict]:
    """How each row of a mouth begins."""
    ups = np.round(surge.ups, UP_DIGITS) + 0.0
    return [{"vessel": surge.name, "pickup": cover.mouth.name, **_in_g(point), "up": up.tolist()}
            for point, up in zip(surge.envelope.points, ups, strict=True)]


def _in_g(point: np.ndarray) -> dict:
    return {f"{axis}_g": _round(v / GRAVITY, G_DIGITS) for axis, v in zip("xyz", point, strict=True)}


def _round_or_none(covers: np.ndarray | None, i: int) -> float | None:
    return None if covers is None else _round(covers[i], COVER_DIGITS)


def _round(value: float, digits: int) -> float:
    return round(float(value), digits) + 0.0


# ---------------------------------------------------------------- what they come to


def summary(surge: Surge) -> dict:
    """What the rows of one vessel come to: mm, m3, s and g as the keys say; null where there is no such thing."""
    part = surge.vessel.part
    parked = surge.parked_oil
    return {
        "vessel": surge.name, "driving": surge.envelope.said, "points": len(surge.ups), "oil_m3": surge.oil.volume, "oil_because": surge.oil.because,
        "parked_oil_m3": parked.volume if parked else None, "parked_because": parked.because if parked else None,
        "damping": surge.damping, "damping_of_critical": DAMPING[surge.damping], "bares_up_to_g": BARE_MOST / GRAVITY,
        "hold_s": float(surge.seconds.max()),
        "slosh": slosh(surge, surge.slosh), "cell_slosh": slosh(surge, surge.cell_slosh) if surge.cell_slosh else None,
        "pickups": [pickup(surge, cover) for cover in surge.covers], "together": together(surge) if surge.is_told_together else None,
        "lies": lies(surge), "to_swing": to_swing(surge), "picture": names.surge_picture(part, pictured(surge))}


def pictured(surge: Surge) -> str:
    """The name of what the vessel's picture shows: its only mouth, or all together."""
    return names.TOGETHER if surge.is_told_together else surge.covers[0].mouth.name


def at(surge: Surge, i: int) -> dict:
    """One of the envelope's points, in numbers and in words."""
    return {**_in_g(surge.envelope.points[i]), "said": said(surge.envelope.points[i]), "oil_went": where(surge.ups[i], surge.turned)}


def pickup(surge: Surge, cover: Cover) -> dict:
    """One mouth: the least cover that counts and where, and every other figure of its own."""
    swung = cover.overshoot[surge.damping]
    is_best = (surge.serving == surge.covers.index(cover)) & (cover.judged >= 0)
    return {
        "name": cover.mouth.name, "least_cover_mm": cover.judged.min(), "worst": at(surge, cover.worst),
        "in_cell_m3": cover.kept.oil[cover.worst] if cover.kept else None, "one_surface_mm": cover.open[cover.worst],
        "covered_share": float(np.mean(cover.judged >= 0)), "serving_share": float(np.mean(is_best)), "needed_m3": cover.needed.max(),
        "bare_angles_deg": np.round(np.degrees(cover.bare_angles), COVER_DIGITS), "bares_g": cover.bares / GRAVITY,
        "overshoot_mm": {name: float(found.min()) for name, found in cover.overshoot.items()}, "overshoot_worst": at(surge, int(np.argmin(swung))),
        "crankcase_open": crankcase_open(surge, cover),
        "uncovered_s": cover.uncovered, "parked_mm": cover.parked.min() if cover.parked is not None else None,
        "better": {"x_mm": cover.better[0], "one_surface_mm": cover.better[1]} if cover.better else None,
        "plot": names.surge_plot(surge.vessel.part, cover.mouth.name)}


def crankcase_open(surge: Surge, cover: Cover) -> dict | None:
    """The least cover of one mouth, and the oil that it wants, where oil may climb into the crankcase; None where none is
    over it."""
    if cover.risen is None:
        return None
    return {"least_cover_mm": cover.risen.min(), "worst": at(surge, int(np.argmin(cover.risen))), "needed_m3": cover.needed_risen.max()}


def together(surge: Surge) -> dict:
    """Of several mouths: the best covered at each point, the least that it is, and the oil that gathers before any draws."""
    i, k = int(np.argmin(surge.best)), int(np.argmax(surge.gathered))
    return {"least_cover_mm": surge.best[i], "worst": at(surge, i), "covered_share": float(np.mean(surge.best >= 0)),
            "gathered_m3": surge.gathered[k], "gathered_worst": at(surge, k), "plot": names.surge_plot(surge.vessel.part, names.TOGETHER)}


def lies(surge: Surge) -> dict:
    """The oil under its one surface where the vessel fares worst."""
    return {"worst": at(surge, surge.worst), "centre_mm": surge.lies.centre, "free_mm2": surge.lies.free, "wetted_mm2": surge.lies.wetted}


def to_swing(surge: Surge) -> dict | None:
    """How near the oil's surface comes to the crank's sweep in the vessel; None where nothing is swept there."""
    if surge.to_swing is None:
        return None
    i = int(np.argmin(surge.to_swing))
    return {"least_mm": surge.to_swing[i], "worst": at(surge, i), "dips_share": float(np.mean(surge.to_swing < 0))}


def slosh(surge: Surge, found: Slosh) -> dict:
    """The first mode of a space ahead (or astern) and across, in the vehicle's directions."""
    ways = {"ahead": int(np.argmin(np.abs(surge.envelope.angles))), "across": int(np.argmin(np.abs(surge.envelope.angles - math.pi / 2)))}
    return {"shape": found.shape, "depth_mm": found.depth,
            **{way: {"length_mm": found.lengths[i], "period_s": found.periods[LEVEL, i], "factor": {name: f[LEVEL, i] for name, f in found.factors.items()},
                     "floor_bares_at": found.floor_bares[i]} for way, i in ways.items()}}
