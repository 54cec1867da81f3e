"""Whether pickups and outlets stay in oil under every acceleration that the vehicle can pull."""

import math
from dataclasses import replace

import numpy as np

from generators.driving.envelope import LEVELS
from generators.findings import CAUTION, FAIL, NOT_ASSESSED, PASS, Check, judged, not_assessed
from generators.oil.demand import pump_draw
from generators.oil.slosh import BASE_BARE_FACTOR
from generators.oil.submergence import anti_vortex_submergence, drawdown_submergence
from generators.surge import Cover, Surge
from generators.surge.cell import BRIEF_S
from generators.surge.crankcase import FREE_SHARE
from generators.surge.moments import BARE, CIRCULAR, DAMPING, LEVEL
from generators.units import GRAVITY

USUAL_COVER_MM = 5.0
"""Foam and small waves take this much off a surface (common practice)."""

TOLERATED_S = 0.3
"""A pump and its lines carry over a gap of 0.1 to 0.3 s in what they draw (common practice, from memory)."""

MM, LITRES = 1e-3, 1000.0

SOURCE = "a mouth draws air where its rim is bare; caution under 5 mm, which foam and small waves take (common practice)"


def checks(parameters, found: tuple[Surge, ...]) -> list[Check]:
    """The checks of every vessel's surge."""
    out = []
    for surge in found:
        for cover in surge.covers:
            out.append(_stage(surge, cover) if surge.is_emptied else least_cover(surge, cover))
            if not surge.is_emptied:
                out += [*([risen(surge, cover)] if cover.risen is not None else []),
                        overshoot(surge, cover, rise_time=parameters.driving.rise_time),
                        submergence(surge, cover, flow=pump_draw(parameters))]
            if cover.parked is not None:
                out.append(parked(surge, cover))
        if surge.is_emptied:
            out.append(gathered(surge, [s for s in found if s.vessel.part.own_frame]))
        if surge.to_swing is not None:
            out.append(to_swing(surge))
    return out


def said(point: np.ndarray) -> str:
    """An acceleration (3,) in words."""
    x, y, z = np.round(point / GRAVITY, 2) + 0.0
    words = [f"{abs(x):.2f} g {'speeding up' if x > 0 else 'braking'}" if x else "",
             f"turning {'left' if y > 0 else 'right'} at {abs(y):.2f} g" if y else "",
             f"{'in a dip' if z > 0 else 'over a crest'} of {abs(z):.2f} g" if z else ""]
    return ", ".join(w for w in words if w) or "at rest"


def where(up: np.ndarray, turned: np.ndarray) -> str:
    """Which way the oil has gone under a surface square to `up` (3,), in the vehicle's words."""
    x, y, z = turned @ up
    ways = [name for name, share in (("front", -x), ("rear", x), ("right", y), ("left", -y)) if share > LEANS]
    if z < 0:
        return "to the roof"
    return f"to the {' and '.join(ways)}" if ways else "nowhere: level"


LEANS = 0.1
"""Sine of a tilt that is worth a word."""


def _words(surge: Surge, name: str, kind: str, title: str) -> dict:
    return {"id": f"{kind}.{surge.name}.{name}", "title": title, "unit": "mm", "sense": ">="}


def least_cover(surge: Surge, cover: Cover) -> Check:
    """Least cover (mm) of a mouth over the envelope."""
    found = judged(
        **_words(surge, cover.mouth.name, "surge", f"{_name(cover)} under the oil, worst of the driving"), value=_mm(cover.judged.min()),
        limit=0.0, caution_below=USUAL_COVER_MM, source=SOURCE, method=_method(surge, cover))
    return found if found.status == PASS else replace(found, method=_with_cure(found.method, cover))


SOLVED_MM = 6
"""Decimals of a cover, mm: a surface is found more closely, and nothing is bare by less."""


def _mm(value: float) -> float:
    return round(float(value), SOLVED_MM) + 0.0


def litres_up(volume: float) -> str:
    """A volume (m3) as litres that are no less than it, to the hundredth."""
    return f"{math.ceil(volume * LITRES * 100 - ROUNDING) / 100:.2f} L"


ROUNDING = 1e-9


def _with_cure(method: str, cover: Cover) -> str:
    """The method, and where the mouth would have oil over it by one surface, where that is what it lacks."""
    if cover.better is None or cover.open.min() >= USUAL_COVER_MM or cover.better[1] - max(cover.open.min(), 0.0) < USUAL_COVER_MM:
        return method
    place, least = cover.better
    now = np.asarray(cover.mouth.rim)[:, 0].mean()
    return f"with deep_pan.pickup.x {place:.0f} mm instead of {now:.0f} mm it would be {least:.1f} mm by one surface; {method}"


def _name(cover: Cover) -> str:
    return cover.mouth.name.replace("_", " ").capitalize()


def _method(surge: Surge, cover: Cover) -> str:
    i = cover.worst
    text = f"worst {said(surge.envelope.points[i])}: oil {where(surge.ups[i], surge.turned)}"
    if cover.kept is not None:
        text += (f"; {LITRES * cover.kept.oil[i]:.2f} L in the cell after {surge.seconds[i]:g} s, kept or fed (crests and dips last {BRIEF_S:g} s "
                 f"at most); gates always open it would be {cover.open[i]:.1f} mm there")
    elif surge.has_uncounted_cell:
        text += "; its cell is not counted, neither what it keeps nor what its gates take, for what the pump draws is not known"
    return (f"{text}; {litres_up(cover.needed.max())} would cover it everywhere{'' if cover.kept is None else ' without a cell'}; exact "
            f"plane with {LITRES * surge.oil.volume:.2f} L under it ({surge.oil.because}) in the oil space's mesh, square to weight and "
            f"acceleration together, down to the highest point of the rim; from straight ahead, one acceleration for the whole vehicle"
            f"{', the swirl of a return not counted' if surge.vessel.part.own_frame else ', all oil under the rail'}; {surge.envelope.said}")


def risen(surge: Surge, cover: Cover) -> Check:
    """The least cover (mm) where oil may climb past the rail into the crankcase. How much of that is free nobody measured, so
    that less than nothing is a caution."""
    i = int(np.argmin(cover.risen))
    counted = cover.needed_risen.max()
    plain = judged(
        **_words(surge, cover.mouth.name, "surge_open", f"{_name(cover)} under the oil, some of it up in the crankcase"),
        value=_mm(cover.risen.min()), limit=0.0, caution_below=USUAL_COVER_MM,
        source=f"{SOURCE}; how much of the crankcase is free is an estimate, so that a bare mouth is a caution too",
        method=f"worst {said(surge.envelope.points[i])}: oil {where(surge.ups[i], surge.turned)}; as surge.{surge.name}.{cover.mouth.name}, "
               f"but {FREE_SHARE:.0%} of the room over the pan's opening, up to the top of the crank's sweep, takes oil too, where that one "
               f"keeps it under the rail: the truth lies between them; {litres_up(counted)} would cover it everywhere then")
    return replace(plain, status=CAUTION) if plain.status == FAIL else plain


def _stage(surge: Surge, cover: Cover) -> Check:
    """The same of a pickup in a pan that is kept empty: it may draw air while oil gathers, or while another has oil."""
    served = int(np.sum((surge.serving == surge.covers.index(cover)) & (cover.judged >= 0)))
    plain = least_cover(surge, cover)
    return replace(plain, limit=None, status=NOT_ASSESSED, method=(
        f"a scavenge stage may draw air while oil gathers: see gathered.{surge.name}; this one has the most oil, and its rim is "
        f"under it, at {served} of {len(surge.ups)} points; {plain.method}"))


def gathered(surge: Surge, tanks: list[Surge]) -> Check:
    """Oil (m3) that gathers in a pan that is kept empty before one of its pickups draws, worst of the envelope, against what the
    first of its `tanks`, which stand by themselves, can spare."""
    i = int(np.argmax(surge.gathered))
    dry = int(np.sum(surge.best < 0))
    words = {"id": f"gathered.{surge.name}", "title": "Oil that gathers in the pan before a stage draws", "unit": "m3", "sense": "<="}
    rims = f"one of {len(surge.covers)} rims" if len(surge.covers) > 1 else "1 rim"
    method = (f"least volume under the exact plane, in the oil space's mesh and {FREE_SHARE:.0%} of the room over it up to the top of the "
              f"crank's sweep, that covers {rims}; worst {said(surge.envelope.points[i])}: oil {where(surge.ups[i], surge.turned)}; with "
              f"{LITRES * surge.oil.volume:.2f} L in the pan ({surge.oil.because}) one rim is under oil at {len(surge.ups) - dry} of "
              f"{len(surge.ups)} points; dividers are taken as passed over")
    if not tanks:
        return not_assessed(**words, reason=f"no tank is made here that could spare it; {LITRES * surge.gathered[i]:.2f} L gather: {method}",
                            source="what the tank can spare")
    tank = tanks[0]
    least = float(tank.covers[0].needed.max())
    spare = max(tank.oil.volume - least, 0.0)
    return judged(**words, value=float(surge.gathered[i]), limit=spare, caution_below=spare / 2, method=method,
                  source=f"what the {tank.name} can spare: {LITRES * tank.oil.volume:.2f} L in it running less {LITRES * least:.2f} L that cover "
                         "its outlet everywhere; caution over half of that (our choice)")


def overshoot(surge: Surge, cover: Cover, *, rise_time: float) -> Check:
    """Least cover (mm) as the surface swings past its rest; bare for less than the lines carry over is a caution."""
    found, value = surge.cell_slosh or surge.slosh, _mm(cover.overshoot[surge.damping].min())
    i = int(np.argmin(cover.overshoot[surge.damping]))
    k = i % len(found.lengths)
    bared = "" if value >= 0 else (f"; bare for {cover.uncovered:.2f} s where it is longest" if math.isfinite(cover.uncovered) else
                                   "; bare already where the surface settles")
    drawn = "" if cover.kept is None else f"; the pump has drawn for {surge.drawn_for:.1f} s by then"
    drawn += "" if surge.vessel.part.own_frame else "; all oil under the rail"
    plain = judged(
        **_words(surge, cover.mouth.name, "overshoot", f"{_name(cover)} under the oil as it swings past its rest"), value=value, limit=0.0,
        caution_below=USUAL_COVER_MM,
        source=f"{SOURCE}; bare for no more than {TOLERATED_S:g} s, which pump and lines carry over (common practice), is a caution; period of "
               "linear waves in a rectangle or circle (NASA SP-106, read in secondary copies), damping of bare and baffled tanks (common practice)",
        method=f"worst {said(surge.envelope.points[i])}{bared}; level acceleration times the overshoot of the first mode ({found.shape}, "
               f"{found.lengths[k]:.0f} mm {'across' if found.shape == CIRCULAR else 'long'}, {found.depth:.0f} mm deep at rest, period "
               f"{found.periods[LEVEL, k]:.2f} s +-15 % on the level) of oil that is {surge.damping} (damping {DAMPING[surge.damping]:g} of critical) "
               f"after a rise of {rise_time:g} s, at most {found.factors[surge.damping].max():.2f}, and about {BASE_BARE_FACTOR:g} at most where the "
               f"floor runs dry (engineering judgement){drawn}; without baffles {cover.overshoot[BARE].min():.1f} mm; from straight ahead: a "
               "change from corner to corner swings twice as far; an estimate, good to a fifth of the swing")
    return replace(plain, status=CAUTION) if plain.status == FAIL and cover.uncovered <= TOLERATED_S else plain


def submergence(surge: Surge, cover: Cover, *, flow: float | None) -> Check:
    """Cover (mm) against what keeps air from being drawn down into a mouth, where that is nearest; caution while a vortex could
    form."""
    words = _words(surge, cover.mouth.name, "submergence", f"{_name(cover)} deep enough not to draw air down")
    source = ("drain that draws its surface down (Lubin and Springer 1967, formula from memory); caution under S = D (1 + 2.3 Fr) of "
              "ANSI/HI 9.8, made for water")
    if flow is None:
        return not_assessed(**words, reason="what the pump draws is not known: give pumps or engine.oil_flow", source=source)
    rim = np.asarray(cover.mouth.rim, float)
    across = 2 * float(np.linalg.norm(rim - rim.mean(axis=0), axis=1).mean()) * MM
    pulls = np.maximum(surge.pulls, WEIGHTLESS)
    low = np.array([drawdown_submergence(flow, radius=across / 2, gravity=g) for g in pulls]) / MM
    high = np.array([anti_vortex_submergence(flow, diameter=across, gravity=g) for g in pulls]) / MM
    i = int(np.argmin(cover.judged - low))
    found = judged(
        **words, value=_mm(cover.judged[i]), limit=float(low[i]), caution_below=float(high[i] - low[i]), source=source,
        method=f"where it is nearest to the need: {said(surge.envelope.points[i])}; {flow * 60000:.0f} L/min through a mouth "
               f"{across / MM:.1f} mm across under {pulls[i] / GRAVITY:.2f} g; {high[i]:.0f} mm would keep a vortex away too")
    return replace(found, status=CAUTION) if found.status == PASS and (cover.judged < high).any() else found


WEIGHTLESS = 0.01 * GRAVITY
"""m/s2. Under less weight than this nothing is drawn down in the time that it lasts."""


def parked(surge: Surge, cover: Cover) -> Check:
    """Least cover (mm) of a mouth with the vehicle parked on a slope, whichever way it falls."""
    i = int(np.argmin(cover.parked))
    lean = surge.parked_points[i]
    slope = math.degrees(math.asin(min(1.0, float(np.linalg.norm(lean[:2])) / GRAVITY)))
    return judged(
        **_words(surge, cover.mouth.name, "parked", f"{_name(cover)} under the oil, parked on a slope"), value=_mm(cover.parked.min()),
        limit=0.0, caution_below=USUAL_COVER_MM, source=SOURCE,
        method=f"exact plane with {LITRES * surge.parked_oil.volume:.2f} L ({surge.parked_oil.because}) under it, on {slope:.0f} deg falling in "
               f"{len(cover.parked)} directions" + (f"; worst with the {_low_side(lean)} low" if slope > 0 else ""))


def _low_side(lean: np.ndarray) -> str:
    sides = (("front", -lean[0]), ("rear", lean[0]), ("right", lean[1]), ("left", -lean[1]))
    names = [name for name, share in sides if share > LEANS * np.linalg.norm(lean[:2])]
    return " and ".join(names)


def to_swing(surge: Surge) -> Check:
    """From the oil's surface (mm) to what the crank sweeps in the vessel. Oil that stands in the swing is whipped to foam and costs
    power; for moments that is no failure, so it is a caution."""
    i = int(np.argmin(surge.to_swing))
    brief = surge.envelope.is_brief
    reached = int(np.sum(surge.to_swing < 0))
    plain = judged(id=f"surge_to_swing.{surge.name}", title="Oil's surface to the crank's sweep, worst of the driving", unit="mm", sense=">=",
                   value=float(surge.to_swing.min()), limit=0.0,
                   source="oil that the crank dips into is beaten to foam; while it lasts that costs power, not cover: a caution (our choice)",
                   method=f"worst {said(surge.envelope.points[i])}: oil {where(surge.ups[i], surge.turned)}; dips at {reached} of "
                          f"{len(surge.ups)} points, {int(np.sum(surge.to_swing[~brief] < 0))} of them {LEVELS[1]}; from the plane to the "
                          "deepest of the sweep within the vessel, square to the plane; all of the vessel's oil in one body, screens and "
                          "trays let it through")
    return plain if plain.status == PASS else replace(plain, status=CAUTION)
