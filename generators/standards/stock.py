"""Sheet as it is sold: gauges, thicknesses on the shelf, sheet sizes."""

from functools import cache

from generators.standards.tables import Unknown, rows

AWG_36 = 0.127
"""mm. Thickness of gauge 36 (0.005 in), from which the American wire gauge counts."""

AWG_RATIO, AWG_STEPS = 92, 39
"""The gauge grows 92 times in 39 equal ratios, from 36 to 0000."""

AWG_NUMBERS = range(37)


def gauge_thickness(number: int, *, family: str) -> float:
    """Thickness, mm, of sheet gauge `number` in "aluminium" (American wire gauge), "steel" (Manufacturers' Standard
    Gauge) or "stainless" (US Standard Gauge fractions). One number is three thicknesses: 16 is 1.291, 1.519, 1.588.
    Raises Unknown.
    """
    if family == "aluminium":
        if number not in AWG_NUMBERS:
            raise Unknown("aluminium gauge", number, AWG_NUMBERS)
        return wire_gauge(number)
    _require_family(family)
    table = {row["number"]: row[family] for row in rows("gauges")}
    if str(number) not in table:
        raise Unknown(f"{family} gauge", number, table)
    return float(table[str(number)])


def wire_gauge(number: int) -> float:
    """American wire gauge, mm: 0.127 * 92^((36 - n) / 39)."""
    return AWG_36 * AWG_RATIO ** ((36 - number) / AWG_STEPS)


def stock_thicknesses(family: str) -> tuple[float, ...]:
    """Thicknesses usually on the shelf, mm, thinnest first. From memory, unverified. Raises Unknown."""
    _require_family(family)
    return _thicknesses()[family]


def sheet_sizes() -> tuple[tuple[float, float], ...]:
    """(width, length) of the sheets usually on the shelf, mm. From memory, unverified."""
    return tuple((float(row["width"]), float(row["length"])) for row in rows("sheets"))


def families() -> tuple[str, ...]:
    """The families of material that sheet is sold in."""
    return tuple(_thicknesses())


@cache
def _thicknesses() -> dict[str, tuple[float, ...]]:
    return {row["family"]: tuple(float(t) for t in row["thicknesses"].split()) for row in rows("stock")}


def _require_family(family: str) -> None:
    if family not in families():
        raise Unknown("family of material", family, families())
