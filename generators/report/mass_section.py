"""What a design weighs and what that does to the vehicle, as a person reads it."""

from html import escape

from generators.report.elements import facts, number, table

MM, KG, SHARE = 1, 1, 2
"""Decimals of a place, a mass and a share in %."""


def section(mass: dict) -> str:
    """The blocks of the page on mass: nothing where nothing is known beyond the masses themselves."""
    return _lumps(mass["lumps"]) + _oil(mass["oil_on_the_move"]) + _vehicle(mass)


def place(point: list[float] | None) -> str:
    """A point in mm."""
    return ", ".join(number(c, 0) for c in point) if point is not None else ""


def _lumps(lumps: list[dict]) -> str:
    rows = [(escape(one["name"]), number(one["kg"], 2), place(one["centre_mm"])) for one in lumps]
    return "<h3>Where it weighs</h3>" + table(("What", "kg", "Centre x, y, z, mm"), rows, numbers=(1, 2)) if rows else ""


def _oil(moving: list[dict]) -> str:
    rows = [(escape(m["vessel"]), number(m["oil_kg"], 2), place(m["least_mm"]), place(m["mean_mm"]), place(m["largest_mm"])) for m in moving]
    if not rows:
        return ""
    return ("<h3>Centre of the oil while driving</h3>" + table(("Vessel", "Oil, kg", "Least x, y, z, mm", "Mean", "Largest"), rows, numbers=(1, 2, 3, 4))
            + f'<p class="soft">Each where the oil settles at {moving[0]["points"]} of the accelerations, in the assembly\'s frame.</p>')


def _vehicle(mass: dict) -> str:
    found = mass["vehicle"]
    if found is None:
        return f'<p class="soft">What it does to the vehicle is not known: {escape(mass["vehicle_why"])}.</p>'
    one, other = found["without"], found["with"]
    rows = [("Mass, kg", number(one["mass_kg"], KG), number(other["mass_kg"], KG), "exact"),
            ("Centre x, y, z, mm", place(one["centre_mm"]), place(other["centre_mm"]), "exact, but for the height as stated"),
            ("Front axle, kg (%)", *(_share(b, "front") for b in (one, other)), "exact on level ground"),
            ("Rear axle, kg", number(one["rear_kg"], KG), number(other["rear_kg"], KG), "exact on level ground"),
            ("Left side, kg (%)", *(_share(b, "left") for b in (one, other)), "exact on level ground"),
            ("Right side, kg", number(one["right_kg"], KG), number(other["right_kg"], KG), "exact on level ground"),
            *((f"{name.replace('_', ' ').capitalize()}, kg", number(one["corners_kg"][name], KG), number(other["corners_kg"][name], KG), "estimate")
              for name in one["corners_kg"]),
            (f"To the outer wheels at {number(found['cornering_g'], 2)} g, kg", number(one["transfer_kg"], KG), number(other["transfer_kg"], KG),
             "both axles together")]
    shift = ", ".join(number(c, 2) for c in found["shift_mm"])
    said = [("Shift of the vehicle's centre x, y, z", f"{shift} mm")]
    if tank := found["reservoir"]:
        said += [("Of it by the tank with its oil", ", ".join(number(c, 2) for c in tank["shift_mm"]) + " mm"),
                 (f"Tank moved {number(tank['moved_mm'], 0)} mm any way", f"{number(tank['shift_when_moved_mm'], 2)} mm the same way")]
    if engine := found["engine"]:
        way = "down" if engine["drop_mm"] >= 0 else "up"
        then = f"centre {number(-engine['fall_mm'], 1)} mm, {number(engine['transfer_kg'], KG)} kg to the outer wheels"
        said.append((f"Engine {number(abs(engine['drop_mm']), 0)} mm {way}", then))
    lifted = [name.replace("_kg", "") for name in ("front_kg", "rear_kg", "left_kg", "right_kg") if other[name] < 0]
    note = f"<p><strong>The {', '.join(lifted)} would be lifted: look at the places and masses.</strong></p>" if lifted else ""
    return ("<h3>What it does to the vehicle</h3>" + note + facts(said) + table(("", "Without these parts", "With them, oil at rest", ""), rows, numbers=(1, 2))
            + f'<p class="soft">Corners: {escape(found["corners_are"])}.</p>')


def _share(balance: dict, key: str) -> str:
    return f"{number(balance[f'{key}_kg'], KG)} ({number(100 * balance[f'{key}_share'], SHARE)})"
