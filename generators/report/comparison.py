"""Two designs side by side, from their reports alone: a table that one can decide from, and what it comes to in sentences."""

import csv
import io
import json
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from functools import reduce

WORST, STATUSES = "fail", ("fail", "caution", "pass", "not assessed")
SAME = ("pan_rail", "crank", "driving")
"""Tables of a file that are of the engine and its use, not of its oil system."""

DASH = "-"
LEAST_TOLD = 0.5
"""mm: a difference of less is none to speak of."""

Number = Callable[[dict], float | None]


@dataclass(frozen=True)
class Line:
    """One row of the table: its group, what it tells, its unit, both values and the second less the first as text; the plain values."""

    group: str
    what: str
    unit: str
    one: str
    other: str
    difference: str
    values: tuple[float | None, float | None]


@dataclass(frozen=True)
class Comparison:
    """Two designs, called by `names`: what is not the same of their engines, the table, and what it comes to."""

    names: tuple[str, str]
    unlike: tuple[str, ...]
    lines: tuple[Line, ...]
    comes_to: tuple[str, ...]


def compared(one: dict, other: dict) -> Comparison:
    """Two reports, as a run writes them for programs, side by side."""
    lines = tuple(_lines(one, other))
    found = (one["title"] or one["source"], other["title"] or other["source"])
    names = found if found[0] != found[1] else (one["source"], other["source"])
    return Comparison(names, tuple(unlike(one["parameters"], other["parameters"])), lines, tuple(_comes_to(names, lines)))


def unlike(one: dict, other: dict) -> Iterator[str]:
    """Values of the engine and the driving that are not the same in both files."""
    for table in SAME:
        yield from _unlike(one.get(table), other.get(table), table)


def _unlike(one: object, other: object, key: str) -> Iterator[str]:
    if isinstance(one, dict) and isinstance(other, dict) and "unit" not in one:
        for name in dict.fromkeys((*one, *other)):
            yield from _unlike(one.get(name), other.get(name), f"{key}.{name}")
    elif one != other:
        yield f"{key}: {_short(one)} against {_short(other)}"


def _short(value: object) -> str:
    said = "nothing" if value is None else str(value)
    return said if len(said) <= 40 else f"{said[:37]}..."


# ---------------------------------------------------------------- the table


def at(*keys: str | int) -> Number:
    """What stands under nested keys; None where there is none."""
    def found(report: dict):
        return reduce(lambda node, key: node[key] if isinstance(node, (list, dict)) and _has(node, key) else None, keys, report)

    return found


def _has(node: list | dict, key: str | int) -> bool:
    return key in node if isinstance(node, dict) else isinstance(key, int) and key < len(node)


def _total(value: Callable[[dict], float]) -> Number:
    return lambda report: sum(value(piece) * piece["quantity"] for part in report["parts"] for piece in part["pieces"])


def _count(status: str) -> Number:
    return lambda report: sum(c["status"] == status for c in report["checks"])


def _least_cover(report: dict) -> float | None:
    """Of the vessels that keep oil: a pan that is pumped empty has no cover to lose."""
    return min((p["least_cover_mm"] for s in report["surge_summary"] if s["parked_oil_m3"] is not None for p in s["pickups"]), default=None)


def _tightest(report: dict) -> dict | None:
    return min(report["fit"], key=lambda r: r["gap_mm"] - (r["depth_mm"] or 0) - r["required_mm"], default=None)


def _spare(report: dict) -> float | None:
    row = _tightest(report)
    return None if row is None else row["gap_mm"] - (row["depth_mm"] or 0) - row["required_mm"]


def _height(report: dict) -> float | None:
    """Of the centre of parts and oil, over the ground; not where that is not known or a part has no place."""
    mass = report["mass"]
    return mass["centre_mm"][2] if report["fit_summary"]["assessed"] and mass["centre_mm"] and not mass["set_beside"] else None


def _scaled(value: Number, factor: float) -> Number:
    return lambda report: None if (found := value(report)) is None else found * factor


VEHICLE = ("mass", "vehicle")

ROWS: tuple[tuple[str, str, str, int, Number], ...] = (
    ("What it is", "parts", "", 0, lambda r: len(r["parts"])),
    ("What it is", "pieces", "", 0, _total(lambda p: 1)),
    ("What it is", "bends", "", 0, _total(lambda p: len(p["bends"]))),
    ("What it is", "cut length", "m", 1, _total(lambda p: p["cut_length_m"] or 0.0)),
    ("What it is", "weld length", "m", 2, lambda r: sum(p["weld_length_m"] for p in r["parts"])),
    ("Room", "depth below the rail", "mm", 1, at("fit_summary", "depth_below_rail_mm")),
    ("Room", "pan over the ground", "mm", 1, at("fit_summary", "ground_engine", "clearance_mm")),
    ("Room", "lowest part over the ground", "mm", 1, at("fit_summary", "ground", "clearance_mm")),
    ("Room", "room to spare at the tightest obstacle", "mm", 1, _spare),
    ("Room", "engine can go down by", "mm", 1, at("fit_summary", "engine_can_drop_mm")),
    ("Mass", "parts", "kg", 2, at("mass", "parts_kg")),
    ("Mass", "oil", "kg", 2, at("mass", "oil_kg")),
    ("Mass", "both", "kg", 2, lambda r: r["mass"]["parts_kg"] + r["mass"]["oil_kg"]),
    ("Mass", "their centre over the ground", "mm", 0, _height),
    ("Mass", "vehicle's centre over the ground", "mm", 1, at(*VEHICLE, "with", "centre_mm", 2)),
    ("Mass", "on the front axle", "%", 2, _scaled(at(*VEHICLE, "with", "front_share"), 100)),
    ("Mass", "on the left side", "%", 2, _scaled(at(*VEHICLE, "with", "left_share"), 100)),
    ("Mass", "to the outer wheels in the hardest corner", "kg", 1, at(*VEHICLE, "with", "transfer_kg")),
    ("Mass", "vehicle's centre lower, engine down as far", "mm", 1, at(*VEHICLE, "engine", "fall_mm")),
    ("Mass", "to the outer wheels then", "kg", 1, at(*VEHICLE, "engine", "transfer_kg")),
    ("Oil", "held at rest", "L", 2, lambda r: sum(v["oil_m3"] or 0.0 for v in r["vessels"]) * 1e3),
    ("Oil", "least over a pickup while driving", "mm", 1, _least_cover),
    *(("Checks", status, "", 0, _count(status)) for status in STATUSES),
)
"""Group, what, unit, decimals, and where it is found in a report."""


def _lines(one: dict, other: dict) -> Iterator[Line]:
    for group, what, unit, decimals, find in ROWS:
        a, b = find(one), find(other)
        change = DASH if a is None or b is None else _figures(b - a, decimals, sign=True)
        yield Line(group, what, unit, _figures(a, decimals), _figures(b, decimals), change, (a, b))
    yield _words("Room", "which obstacle, and to what", *(_said(_tightest(r)) for r in (one, other)))
    yield _words("Room", "what stops the engine", *(at("fit_summary", "drop_stops_at")(r) or DASH for r in (one, other)))
    yield _words("Checks", "failing", *(", ".join(c["id"] for c in r["checks"] if c["status"] == WORST) or DASH for r in (one, other)))


def _words(group: str, what: str, one: str, other: str) -> Line:
    return Line(group, what, "", one, other, "", (None, None))


def _said(row: dict | None) -> str:
    return f"{row['obstacle']} to {row['part']}" if row else DASH


def _figures(value: float | None, decimals: int, *, sign: bool = False) -> str:
    if value is None:
        return DASH
    shown = round(value, decimals) + 0.0
    return f"{shown:+.{decimals}f}" if sign and shown else f"{shown:.{decimals}f}"


# ---------------------------------------------------------------- in sentences


def _comes_to(names: tuple[str, str], lines: tuple[Line, ...]) -> Iterator[str]:
    """What the second is against the first."""
    said = {(line.group, line.what): line.values for line in lines}

    def change(group: str, what: str, least: float, more: str, less: str) -> Iterator[str]:
        a, b = said[group, what]
        if a is not None and b is not None and abs(b - a) >= least:
            yield (more if b > a else less).format(abs(b - a))

    parts = [*change("Room", "depth below the rail", LEAST_TOLD, "{:.0f} mm deeper below the rail", "{:.0f} mm shallower below the rail"),
             *change("Room", "pan over the ground", LEAST_TOLD, "its pan {:.0f} mm higher over the ground", "its pan {:.0f} mm lower over the ground"),
             *change("Room", "engine can go down by", LEAST_TOLD, "the engine can go down {:.0f} mm further", "the engine can go down {:.0f} mm less far"),
             *change("Mass", "both", 0.05, "{:.1f} kg heavier with its oil", "{:.1f} kg lighter with its oil"),
             *change("Mass", "vehicle's centre over the ground", 0.05, "the vehicle's centre {:.1f} mm higher with the engine where it is",
                     "the vehicle's centre {:.1f} mm lower with the engine where it is"),
             *change("Oil", "least over a pickup while driving", LEAST_TOLD, "{:.0f} mm more oil over its pickup at the worst",
                     "{:.0f} mm less oil over its pickup at the worst"),
             *change("What it is", "pieces", 1, "{:.0f} pieces more to make or buy", "{:.0f} pieces fewer to make or buy")]
    if parts:
        yield f"{names[1]} against {names[0]}: {', '.join(parts)}."
    for name, fall in zip(names, said["Mass", "vehicle's centre lower, engine down as far"], strict=True):
        if fall is not None and fall > 0:
            yield f"With {name} and the engine lowered as far as it can go the vehicle's centre comes down by {fall:.1f} mm."
    fails = said["Checks", WORST]
    for name, count in zip(names, fails, strict=True):
        if count:
            yield f"{name} fails {count} check{'s' * (count != 1)}: do not make it as it is."


# ---------------------------------------------------------------- written


def text(found: Comparison) -> str:
    """The table for a terminal, in plain characters."""
    rows = [(line.what + (f", {line.unit}" if line.unit else ""), line.one, line.other, line.difference) for line in found.lines]
    widths = [max(len(r[i]) for r in rows) for i in range(4)]
    widths[1], widths[2] = (max(w, len(n)) for w, n in zip(widths[1:3], found.names, strict=True))
    widths[0] += 2
    out = [f"not the same in both: {u}" for u in found.unlike]
    out.append(f"{'':{widths[0]}}  {found.names[0]:>{widths[1]}}  {found.names[1]:>{widths[2]}}  {'difference':>{max(widths[3], 10)}}".rstrip())
    group = ""
    for line, row in sorted(zip(found.lines, rows, strict=True), key=lambda x: _order(x[0])):
        if line.group != group:
            group = line.group
            out.append(group)
        out.append(f"  {row[0]:{widths[0] - 2}}  {row[1]:>{widths[1]}}  {row[2]:>{widths[2]}}  {row[3]:>{max(widths[3], 10)}}".rstrip())
    return "\n".join((*out, *found.comes_to))


def _order(line: Line) -> int:
    groups = list(dict.fromkeys(row[0] for row in ROWS))
    return groups.index(line.group)


def as_csv(found: Comparison) -> str:
    """The table as comma-separated text with a header."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(("group", "what", "unit", *found.names, "difference"))
    writer.writerows((x.group, x.what, x.unit, x.one, x.other, x.difference) for x in sorted(found.lines, key=_order))
    return out.getvalue()


def as_json(found: Comparison, version: str) -> str:
    """All of it for programs."""
    return json.dumps({"sumpwright": version, **asdict(found)}, indent=1, allow_nan=False, ensure_ascii=False) + "\n"
