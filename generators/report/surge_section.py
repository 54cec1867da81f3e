"""What the page says of the oil while driving, from the report for programs alone."""

from collections.abc import Iterable, Mapping, Sequence
from html import escape

from generators.checks.surge import litres_up
from generators.report.elements import NONE, Drawing, drawings, facts, number, quantity, table
from generators.surge.crankcase import FREE_SHARE
from generators.surge.moments import BAFFLED, BARE, CIRCULAR

DIRECTIONS = {0: "Speeding up", 45: "Left and speeding up", 90: "Turning left", 135: "Left and braking", 180: "Braking",
              225: "Right and braking", 270: "Turning right", 315: "Right and speeding up"}
"""Degrees from straight ahead towards the left, in words; what stands between two is half of each."""

DAMPED = {BARE: "that nothing but the walls damps", BAFFLED: "damped by baffles or by the walls round the pickup"}

G_DECIMALS, S_DECIMALS, MM_DECIMALS = 2, 2, 1

LEAD = ("Where the oil settles under every steady acceleration that the vehicle can pull, with the volume that is left in each vessel while the "
        "engine runs. A cover is how far the highest point of a pickup's rim is under the oil's surface, square to it; less than nothing is bare. "
        "The vehicle comes from straight ahead, with one acceleration for all of it: a change from corner to corner swings twice as far, and "
        "the swirl of a tank's return is not counted.")

ROWS = "Each vessel, pickup and acceleration is a row of report.json."

SWINGS = ("The surface swings past its rest when the acceleration comes quickly: an estimate from the first mode of the space, its period good "
          "to 15 %, its overshoot to a fifth; oil less deep than a tenth of its length runs as a breaking wave, "
          "and these figures are good to a factor of two at best.")


def section(summaries: Sequence[dict], shown: Mapping[str, Iterable[Drawing]]) -> str:
    """All of it, from "surge_summary" and the drawings of each vessel by its name."""
    if not summaries:
        return "<p>No part here holds oil over a pickup.</p>"
    driving = "".join(f"<p>{escape(_sentence(words))}</p>" for words in dict.fromkeys(s["driving"] for s in summaries))
    return f'<p class="soft">{LEAD} {ROWS}</p>' + driving + "".join(vessel(s, shown.get(s["vessel"], ())) for s in summaries)


def vessel(summary: dict, shown: Iterable[Drawing]) -> str:
    """One vessel."""
    return (f"<h3>{escape(summary['vessel'])}</h3><p>{_oil(summary)}</p>" + covers_table(summary)
            + (bares_table(summary) if summary["parked_oil_m3"] is not None else "") + slosh_facts(summary) + drawings(shown))


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}."


def _oil(summary: dict) -> str:
    told = [f"{quantity(summary['oil_m3'], 'm3')} of oil while the engine runs ({escape(summary['oil_because'])})"]
    if summary["parked_oil_m3"] is not None:
        told.append(f"{quantity(summary['parked_oil_m3'], 'm3')} parked ({escape(summary['parked_because'])})")
    return "; ".join(told) + "." + _swing(summary["to_swing"])


def _swing(found: dict | None) -> str:
    """How near the surface comes to the crank's sweep."""
    if found is None:
        return ""
    least = found["least_mm"]
    if least >= 0:
        return f" Its surface stays {mm(least)} and more under what the crank sweeps; nearest {escape(_where(found['worst']))}."
    return (f" At {quantity(found['dips_share'], '1')} of the accelerations its surface meets what the crank sweeps, whose lowest edge is up to "
            f"{mm(-least)} deep in it where trays and screens let it through, {escape(_where(found['worst']))}: oil is beaten to foam while that "
            "lasts.")


def _where(at: dict) -> str:
    return f"{at['said']}: oil {at['oil_went']}"


def mm(value: float | None) -> str:
    """A length, mm, no finer than a surface of oil is known."""
    return NONE if value is None else f"{number(round(value, MM_DECIMALS) + 0.0, MM_DECIMALS)} mm"


def named(pickup: str) -> str:
    """A pickup's name as words."""
    return pickup.replace("_", " ").capitalize()


# ---------------------------------------------------------------- tables


def covers_table(summary: dict) -> str:
    """The least cover of each pickup, and of the best of several at each acceleration."""
    together, cell = summary["together"], any(p["in_cell_m3"] is not None for p in summary["pickups"])
    everywhere = "Oil that would cover it everywhere" + (", without a cell" if cell else "")
    climbs = any(p["crankcase_open"] for p in summary["pickups"])
    headings = ["Pickup", "Least cover", "Where", everywhere, "Cover as the oil swings" + (", under the rail" if climbs else ""), "Cover parked"]
    headings[4:4] = ["With the crankcase open"] if climbs else []
    headings += ["Serves at, of the accelerations"] if together else []
    rows = [[escape(named(p["name"])), mm(p["least_cover_mm"]), escape(_where(p["worst"])) + _kept(p), litres_up(p["needed_m3"]),
             *([_climbed(p)] if climbs else []), _swung(summary, p), mm(p["parked_mm"]),
             *([quantity(p["serving_share"], "1")] if together else [])] for p in summary["pickups"]]
    if together:
        gathered = [NONE, _gathered(together)] if climbs else [_gathered(together)]
        rows.append(["The best covered of them", mm(together["least_cover_mm"]), escape(_where(together["worst"])), *gathered, NONE, NONE,
                     quantity(together["covered_share"], "1")])
    before = f"<p>{KEPT_EMPTY}</p>" if summary["parked_oil_m3"] is None else ""
    after = f'<p class="soft">{CLIMBS}{OPEN_BELOW[summary["parked_oil_m3"] is None]}</p>' if climbs else ""
    return before + table(headings, rows, numbers=(1, 3, 6, 7) if climbs else (1, 3, 5, 6)) + after


def _gathered(together: dict) -> str:
    """The oil that gathers before any of several draws."""
    return f"{litres_up(together['gathered_m3'])} for one of them"


KEPT_EMPTY = ("A pan that is kept empty: a pickup far above the oil draws air, and is no fault while another has oil or what gathers is "
              "little beside what the tank can spare.")

CLIMBS = (f"All oil is taken to stay under the rail. Where its surface meets the rail it can climb past it: with the crankcase open, "
          f"{FREE_SHARE:.0%} of the room over the pan's opening takes oil too, up to the top of the crank's sweep, which is an estimate. "
          "The truth lies between the two. ")

OPEN_BELOW = {True: "What gathers before a pickup draws is with the crankcase open.", False: "The largest accelerations below are with it open."}
"""What else is told of the open crankcase, of a pan that is kept empty and of one that is not."""


def _climbed(pickup: dict) -> str:
    """Cover, and the oil that is wanted, with the crankcase open."""
    found = pickup["crankcase_open"]
    where_ = "" if pickup["parked_mm"] is None else f", {escape(_where(found['worst']))}"
    return f'{mm(found["least_cover_mm"])}<br><span class="soft">{litres_up(found["needed_m3"])} cover it everywhere{where_}</span>'


def _kept(pickup: dict) -> str:
    """What the cell has to do with it."""
    if pickup["in_cell_m3"] is None:
        return ""
    return (f'<br><span class="soft">{quantity(pickup["in_cell_m3"], "m3")} in the cell when it ends; with its gates always open '
            f'{mm(pickup["one_surface_mm"])}</span>')


def _swung(summary: dict, pickup: dict) -> str:
    least, bared = pickup["overshoot_mm"][summary["damping"]], pickup["uncovered_s"]
    if least >= 0:
        return mm(least)
    note = "bare already where it settles" if bared is None else f"bare for {number(bared, S_DECIMALS)} s"
    return f'{mm(least)}<br><span class="soft">{note}</span>'


def bares_table(summary: dict) -> str:
    """The largest steady acceleration that leaves each pickup covered, in eight directions."""
    most = f"over {number(summary['bares_up_to_g'], 0)}"

    def said(g: float | None) -> str:
        return most if g is None else number(g, G_DECIMALS)

    rows = []
    for p in summary["pickups"]:
        found = {round(angle): g for angle, g in zip(p["bare_angles_deg"], p["bares_g"], strict=True)}
        rows.append([escape(named(p["name"])), *(said(found[angle]) for angle in DIRECTIONS)])
    held = f"held for {number(summary['hold_s'])} s" if summary["cell_slosh"] else "steady"
    return (f"<p>The largest acceleration, g, {held}, on a level road, that leaves it covered; 0 where it is bare at rest:</p>"
            + table(("Pickup", *DIRECTIONS.values()), rows, numbers=range(1, len(DIRECTIONS) + 1)))


def slosh_facts(summary: dict) -> str:
    """The first mode of the space that counts, along the vehicle and across it."""
    found, space = summary["cell_slosh"] or summary["slosh"], "In the cell, taken half full: oil" if summary["cell_slosh"] else "Oil"
    along, across = found["ahead"], found["across"]
    factor = [number(way["factor"][summary["damping"]], S_DECIMALS) for way in (along, across)]
    lengths = [number(way["length_mm"], 0) for way in (along, across)]
    known = (("Depth in the cell" if summary["cell_slosh"] else "Depth at rest", mm(found["depth_mm"])),
             ("Across", f"{lengths[0]} mm") if found["shape"] == CIRCULAR else ("Along × across the vehicle", f"{' × '.join(lengths)} mm"),
             ("Period along, across", f"{number(along['period_s'], S_DECIMALS)}, {number(across['period_s'], S_DECIMALS)} s"),
             ("Overshoot along, across", f"{factor[0]}, {factor[1]}"))
    damped = f"{space} {DAMPED[summary['damping']]}: {number(summary['damping_of_critical'])} of critical damping."
    return facts(known) + f'<p class="soft">{damped} {SWINGS}</p>'


# ---------------------------------------------------------------- captions


def cover_words(summary: dict, pickup: dict) -> str:
    """What a pickup's plot shows."""
    return (f"{named(pickup['name'])}: cover on a level road, seen from above. Least of all {mm(pickup['least_cover_mm'])}, "
            f"{_where(pickup['worst'])}.")


def serving_words(summary: dict) -> str:
    """What the plot of several pickups together shows."""
    shares = ", ".join(f"{named(p['name']).lower()} {quantity(p['serving_share'], '1')}" for p in summary["pickups"])
    return (f"Which pickup has the most oil over it on a level road. Of all accelerations, crest and dip too: {shares}; "
            f"none is covered at {quantity(1 - summary['together']['covered_share'], '1')}.")


def picture_words(summary: dict, *, is_along: bool) -> str:
    """What the picture at the worst point shows, cut along the vehicle or across it."""
    worst = summary["together"] or summary["pickups"][0]
    kept = summary["pickups"][0]["in_cell_m3"]
    return (f"{_sentence(_where(summary['lies']['worst']))[:-1]}; {'best ' if summary['together'] else ''}cover {mm(worst['least_cover_mm'])}"
            + ("" if kept is None else f", with {quantity(kept, 'm3')} in the cell")
            + f". Cut {'along the vehicle, seen from its right' if is_along else 'across the vehicle, seen from its front'}.")
