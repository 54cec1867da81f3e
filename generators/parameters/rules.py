"""What must hold between the tables of one file."""

from collections.abc import Mapping

from generators.parameters.fields import Record
from generators.units import echo

Problems = list[tuple[str, str]]


def problems_between(tables: Mapping[str, Record | None]) -> Problems:
    """(dotted key, message) for each rule between tables that is broken; rules with an absent table are left out."""
    rail, crank, scraper, baffle = (tables.get(k) for k in ("pan_rail", "crank", "windage_scraper", "gate_baffle"))
    oil, tank, engine = (tables.get(k) for k in ("oil", "reservoir", "engine"))
    out: Problems = []
    if rail and crank:
        out += [*_throws_in_rail(rail, crank), *_swing_in_rail(rail, crank)]
    if rail and crank and scraper and scraper.make:
        out += _swing_reaches_rail(rail, crank)
    if baffle:
        out += _opening_in_cell(baffle)
    if oil and tank and engine and engine.lubrication == "dry":
        out += _running_in_tank(oil, tank)
    return out


def _throws_in_rail(rail, crank):
    for number, x in enumerate(crank.throws or (), start=1):
        if not 0 < x < rail.length:
            yield (
                "crank.throws",
                (
                    f"throw {number} at x = {echo(x, 'length')} is not between the ends of the pan rail (0 and "
                    f"{echo(rail.length, 'length')}): x counts forward from the rear end of the rail"
                ),
            )


def _swing_in_rail(rail, crank):
    key, radius = (
        ("swing_radius", crank.swing_radius)
        if crank.swing_radius
        else ("counterweight.radius", crank.counterweight.radius)
    )
    half = (radius**2 - rail.below_crank**2) ** 0.5 if radius > rail.below_crank else 0.0
    room = rail.width / 2 - rail.face_width
    if half > room:
        yield (
            f"crank.{key}",
            (
                f"passes the pan rail {echo(half, 'length')} to each side, but half the opening is only "
                f"{echo(room, 'length')}: measure it, below_crank and the rail's width again"
            ),
        )


def _swing_reaches_rail(rail, crank):
    if crank.reach <= rail.below_crank:
        key = "crank.swing_radius" if crank.swing_radius else "crank.stroke"
        yield (
            key,
            (
                f"the crank reaches {echo(crank.reach, 'length')} from its axis, but the pan rail is "
                f"{echo(rail.below_crank, 'length')} below it, so a windage scraper would have nothing to strip: "
                "measure swing and below_crank again, or set make = false in [windage_scraper]"
            ),
        )


def _opening_in_cell(baffle):
    opening, cell = baffle.opening, baffle.cell
    count, walls = baffle.gates_per_side or 1, [size for size in (cell.length, cell.width) if size]
    if opening.width and walls and count * opening.width >= min(walls):
        yield (
            "gate_baffle.opening.width",
            (
                f"{count} x {echo(opening.width, 'length')} does not fit a wall of the cell, "
                f"{echo(min(walls), 'length')} long: fewer or narrower openings"
            ),
        )
    height = baffle.wall_height or baffle.floor_depth
    if opening.height and height and opening.height >= height:
        yield "gate_baffle.opening.height", f"is not less than the height of the wall, at most {echo(height, 'length')}"


def _running_in_tank(oil, tank):
    if oil.running_volume and tank.oil_volume and oil.running_volume > tank.oil_volume:
        yield (
            "oil.running_volume",
            (
                f"is more than reservoir.oil_volume, {echo(tank.oil_volume, 'volume')}, which stands in the tank when the engine has "
                "drained: no more is left there while it runs"
            ),
        )
