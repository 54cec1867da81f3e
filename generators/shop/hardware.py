"""What is bought: the parts' own plugs and screws, and the bolts that hold the pan."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from generators.pieces import Part, Piece
from generators.standards import bolt

LENGTHS_MM = (6, 8, 10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80, 90, 100)
"""Lengths of ISO 4762 screws (from memory, unverified)."""

LEAST_ENGAGED, ENGAGED = 1.5, 2.0
"""Thread in a light-metal block over its diameter: at least, and wanted (common practice)."""

WASHERS_MM = {"M4": 0.8, "M5": 1.0, "M6": 1.6, "M8": 1.6, "M10": 2.0, "M12": 2.5}
"""Thickness of ISO 7089 washers (from memory, unverified)."""

PAN_BOLT = "pan_bolt"

CLAMPED = {"scavenge_pan": "flange", "deep_pan": "flange", "windage_scraper": "scraper"}
"""What lies between the heads of the pan's bolts and the block: the piece of each part."""


@dataclass(frozen=True)
class Bought:
    """Something to buy: what it is for, what it is, how many, and what to know."""

    part: str
    name: str
    quantity: int
    note: str


def hardware(parts: Sequence[Part], *, bolts: int, size: str, elsewhere: Collection[str] = ()) -> tuple[Bought, ...]:
    """What is bought for the parts; with a pan among them also its bolts, `bolts` of `size`, and what seals it; those of `elsewhere` are not clamped
    by them."""
    out = []
    for part in parts:
        out += [Bought(part.name, p.name, p.quantity, p.note) for p in part.pieces if p.kind == "bought"]
        out += [Bought(part.name, e.name, e.quantity, e.note) for e in part.extras]
    pan = next((p.name for p in parts if p.name in CLAMPED and p.name.endswith("pan") and p.name not in elsewhere), None)
    if pan:
        clamped = [p.piece(CLAMPED[p.name]) for p in parts if p.name in CLAMPED and p.name not in elsewhere]
        out += _pan_bolts(pan, clamped, bolts=bolts, size=size)
        out.append(Bought(pan, "pan_seal", len(clamped), SEAL))
    elif any(p.name == SCRAPER and p.name not in elsewhere for p in parts):
        more = next(p for p in parts if p.name == SCRAPER).piece(CLAMPED[SCRAPER]).thickness
        out += [Bought(SCRAPER, "longer_bolt", bolts, f"{size}, longer by {more:.1f} mm than those that held the pan alone, to the next length that is sold; measure the "
                                                      "depth of their holes first"),
                Bought(SCRAPER, "pan_seal", 2, SEAL)]
    return tuple(out)


SCRAPER = "windage_scraper"

SEAL = ("a gasket cut to the rail, or sealant for hot oil, as the engine maker says: one for each joint between block and flange; a thick gasket asks for "
        "longer bolts")


def _pan_bolts(pan: str, clamped: Sequence[Piece], *, bolts: int, size: str) -> list[Bought]:
    """Bolts and washers through what is clamped into the block."""
    stack, through = sum(p.thickness for p in clamped), " and ".join(p.name for p in clamped)
    thread, washer = bolt(size), WASHERS_MM.get(size, 0.0)
    wanted = stack + washer + ENGAGED * thread.diameter
    length = next((n for n in LENGTHS_MM if n >= wanted - 0.5 * thread.diameter and n >= stack + washer + LEAST_ENGAGED * thread.diameter), None)
    if length is None:
        return [Bought(pan, PAN_BOLT, bolts, f"{size}, at least {wanted:.0f} mm long: longer than a usual screw")]
    engaged = length - stack - washer
    note = (f"{size} x {length} socket head cap screw (ISO 4762): {stack:.1f} mm clamped ({through}), washer {washer:g} mm, {engaged:.1f} mm in the block "
            f"({engaged / thread.diameter:.1f} d); measure the depth of its holes first; tighten from the middle outwards in two passes, by the engine "
            "maker's figure")
    return [Bought(pan, PAN_BOLT, bolts, note), Bought(pan, "pan_washer", bolts, f"{size}, ISO 7089")]


ROD_MM = 17.0
"""Length of a dowel between printed pieces: both its holes, and room for glue."""

ROD_SAW_MM = 2.0
"""Lost of a thin rod by each cut of a fine saw (common practice)."""


def rods(diameter: float, number: int) -> tuple[Bought, ...]:
    """The dowels of a mock-up, `diameter` mm; nothing where it takes none."""
    note = f"{diameter:g} mm rod cut {ROD_MM:g} mm long, {number * (ROD_MM + ROD_SAW_MM):.0f} mm in all with the saw's cuts; glue for the plastic that is printed"
    return (Bought("mockup", "dowel", number, note),) if number else ()
