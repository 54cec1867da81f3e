"""Whether a logged lap can be believed: its signs, its vertical zero, and its largest values against what the file states."""

from generators.driving.envelope import RESOLUTION
from generators.driving.lap import (
    AGREEMENT_PERIOD,
    STRONG,
    Agreement,
    Extreme,
    extremes,
    seconds_beyond,
    sign_agreement,
    smoothed,
)
from generators.findings import CAUTION, PASS, Check, not_assessed
from generators.parameters import Driving, Lap
from generators.units import GRAVITY

LEAST_AGREEMENT = 0.7
"""Share of the strong braking and speeding up in which speed and acceleration have one sign. In a sound log it is near 1, with
a wrong sign near 0; half means that the columns have nothing to do with each other. Speed from satellites, a second late
between corners seven seconds apart, still agrees in 0.75."""

LOW_SHARE = 1 / 3
"""A lap whose largest cornering is less than this of the stated one was driven gently, or its unit is wrong."""

SLIP_OF_UNIT = 5.0
"""So many times what is stated is more than a slip of the pen: a g is 9.8 m/s2."""

LEAST_STATED = 0.05 * GRAVITY
"""m/s2. A stated value below this is taken as this, so that a ratio to it can be told."""

LARGEST_MEAN = 0.3 * GRAVITY
"""m/s2. Over a whole lap dips and crests take each other out; what stays is banking, seldom more than this (common practice)."""

TURN = 0.3 * GRAVITY
"""m/s2. From here on a corner is counted as one."""

STATED = {"left turn": "cornering", "right turn": "cornering", "braking": "braking", "speeding up": "acceleration",
          "compression": "compression", "crest": "crest"}
"""The key of [driving] that each of a lap's extremes is held against."""

ON_THE_LEVEL = ("left turn", "right turn", "braking", "speeding up")


def lap_checks(driving: Driving, lap: Lap) -> list[Check]:
    """The checks of a lap as read, smoothed as `driving` asks."""
    smooth = smoothed(lap, period=driving.smoothing)
    return [log_signs(smooth), *([log_at_rest(smooth)] if lap.has_vertical else []), log_against_stated(driving, smooth)]


def log_signs(lap: Lap) -> Check:
    """Whether the speed falls where the log (smoothed) says that the vehicle brakes, and rises where it speeds up."""
    words = {"id": "driving.log_signs", "title": "Logged speed and longitudinal acceleration of one sign", "unit": "1", "sense": ">="}
    source = "dv/dt is the longitudinal acceleration; ISO 8855 counts speeding up and turning left as positive"
    found = sign_agreement(lap)
    if found is None:
        why = "no speed was logged"
        if lap.speed is not None:
            why = (f"the lap has hardly any braking or speeding up above {STRONG / GRAVITY:.1f} g, or its speed hardly changes (is "
                   "driving.columns.speed the right column?)")
        return not_assessed(**words, source=source,
                            reason=f"{why}, so the sign of driving.columns.longitudinal cannot be told; {_turns(lap)}")
    wrong = found.share < LEAST_AGREEMENT
    method = (f"share of {found.seconds:.1f} s of braking and speeding up above {STRONG / GRAVITY:.1f} g in which speed and acceleration "
              f"agree, swings under {AGREEMENT_PERIOD:g} s taken out; "
              f"{'' if found.correlation is None else f'correlation {found.correlation:+.2f}; '}"
              f"{_disagreement(found) if wrong else ''}{_turns(lap)}")
    return Check(**words, value=found.share, limit=LEAST_AGREEMENT, status=CAUTION if wrong else PASS, method=method, source=source)


def _disagreement(found: Agreement) -> str:
    if found.share < 1 - LEAST_AGREEMENT:
        return "the speed falls where it should rise: driving.columns.longitudinal.positive should be the other word; "
    return "they have little to do with each other: look at the columns that driving.columns.longitudinal and speed name; "


def _turns(lap: Lap) -> str:
    """What no other column can tell: which way the corners go."""
    left, right = (seconds_beyond(lap, way, least=TURN) for way in ("left turn", "right turn"))
    return (f"left turns above {TURN / GRAVITY:.1f} g for {left:.1f} s, right turns for {right:.1f} s: hold that against the circuit, "
            "for no other column tells the sign of driving.columns.lateral")


def log_at_rest(lap: Lap) -> Check:
    """How far the vertical acceleration is from zero over the whole lap (on an even grid), g."""
    mean = float(lap.acceleration[:, 2].mean())
    wrong = abs(mean) > LARGEST_MEAN
    method = f"mean over {lap.time[-1] - lap.time[0]:.1f} s, {mean / GRAVITY:+.3f} g"
    if wrong:
        method += ": driving.columns.vertical.at_rest, what the column reads while the vehicle stands, is wrong or missing, or positive is"
    return Check("driving.log_at_rest", "Logged vertical acceleration, mean over the lap", abs(mean) / GRAVITY, LARGEST_MEAN / GRAVITY, "g",
                 "<=", CAUTION if wrong else PASS, method, "what goes up comes down: a lap begins and ends at one height")


def log_against_stated(driving: Driving, lap: Lap) -> Check:
    """The largest of what was logged (smoothed) against what `driving` states of it: the worst ratio."""
    found = extremes(lap)
    ratios = {way: one.value / max(getattr(driving, STATED[way]), LEAST_STATED) for way, one in found.items()}
    worst = max(ON_THE_LEVEL, key=ratios.get)
    corner = max(ratios["left turn"], ratios["right turn"])
    beyond = [way for way in ON_THE_LEVEL if found[way].value > getattr(driving, STATED[way]) + RESOLUTION]
    said = "; ".join(_against(driving, way, one) for way, one in found.items())
    method = f"swings under {driving.smoothing:g} s filtered out: {said}"
    if beyond:
        keys = ", ".join(dict.fromkeys(f"driving.{STATED[way]}" for way in beyond))
        method += f". More was driven than the file states: raise {keys}, for the gates of a cell are sized with the stated cornering"
        if ratios[worst] > SLIP_OF_UNIT:
            method += "; or is a column that the file says is in g in m/s^2?"
    elif LOW_SHARE <= corner and min(ratios["left turn"], ratios["right turn"]) < LOW_SHARE:
        few = min(("left turn", "right turn"), key=ratios.get)
        method += f". The lap has hardly any {few}s: how the oil settles in one is not looked at"
    elif corner < LOW_SHARE:
        method += (". The lap has hardly any cornering against what the file states: a gentle lap, or the unit of driving.columns.lateral "
                   "is wrong")
    return Check("driving.log_against_stated", "Largest logged acceleration against the stated one", ratios[worst], 1.0, "1", "<=",
                 CAUTION if beyond or corner < LOW_SHARE else PASS, method, "a lap is one lap: what is stated covers the others too")


def _against(driving: Driving, way: str, one: Extreme) -> str:
    return f"{way} {one.value / GRAVITY:.2f} g of {getattr(driving, STATED[way]) / GRAVITY:.2f} g ({one.time:.1f} s, line {one.row})"
