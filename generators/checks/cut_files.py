"""Whether the drawings that a cutter is sent hold what was designed: each is read again, and measured as it was read."""

from collections.abc import Iterator
from dataclasses import dataclass

from generators.checks.flats import NEVER, short_side, web_between_holes, web_to_edge
from generators.checks.flats import Shape as FlatShape
from generators.findings import Check, judged, not_assessed
from generators.pieces import Part, Piece
from generators.shop.cut_file import CutFile, read
from generators.shop.flat_files import FlatFile

AREA_SHARE, MASS_SHARE = 1e-6, 5e-4
"""A drawing whose area strays further from the flat's, or whose metal further from the piece's, is not its drawing: the first is
rounding in the file, the second DXF practice (0.05 %)."""


@dataclass(frozen=True)
class Seen:
    """What one piece's drawing holds: mm; `mass` is that of the drawing's metal over the piece's."""

    piece: str
    hole: float
    web: float
    segment: float
    mass: float


def bent_metal(piece: Piece) -> float:
    """Volume (mm3) that a folded piece has more than its flat: its bends stretch along the middle, not along the neutral fibre."""
    t = piece.thickness
    return sum((abs(b.angle) * (b.radius + t / 2) - b.allowance) * b.length * t for b in piece.flat.bends)


def seen(piece: Piece, found: CutFile) -> Seen:
    """The drawing's measures."""
    outer, *holes = sorted(found.polygons, key=lambda p: -p.area)
    rounds = [loop.as_circle() for loop in sorted(found.loops, key=lambda loop: -_area(found, loop))[1:]]
    widths = tuple(2 * r[1] if r else short_side(h) for r, h in zip(rounds, holes, strict=True))
    form = FlatShape(outer, tuple(holes), widths, ())
    metal = (found.area * piece.thickness + bent_metal(piece)) * 1e-9 * piece.density
    return Seen(piece.name, min(widths, default=NEVER), min(web_between_holes(form), web_to_edge(form)), found.least_segment, metal / piece.mass)


def _area(found: CutFile, loop) -> float:
    return found.polygons[found.loops.index(loop)].area


def faults(piece: Piece, whole: CutFile, cut_only: CutFile) -> Iterator[str]:
    """What is wrong with a piece's drawings as they were read, in words."""
    for what, found in (("drawing", whole), ("cut-only drawing", cut_only)):
        yield from (f"{what} of {piece.name}: {fault}" for fault in found.faults)
        if abs(found.area / piece.flat.area - 1) > AREA_SHARE or abs(found.cut_length / piece.flat.cut_length - 1) > AREA_SHARE:
            yield f"{what} of {piece.name}: {found.area:.2f} mm2 in {found.cut_length:.2f} mm of cuts, designed {piece.flat.area:.2f} in {piece.flat.cut_length:.2f}"
        if not found.faults and abs(seen(piece, found).mass - 1) > MASS_SHARE:
            yield f"{what} of {piece.name}: its metal weighs {seen(piece, found).mass:.5f} of the piece"


def cut_files(part: Part, files: tuple[FlatFile, ...]) -> Check:
    """How many faults a reader finds in the drawings of the part's sheet pieces."""
    words = {"id": f"{part.name}.cut_files", "title": "Faults in the drawings that are cut", "unit": "1", "sense": "<="}
    source = "laser-cutting design guides: closed outlines, nothing cut twice, one outer loop, mm; metal within 0.05 % of the piece's"
    if not files:
        return not_assessed(**words, reason="no sheet pieces", source=source)
    looked = [(file.piece, read(file.whole), read(file.cut_only)) for file in files]
    wrong = [fault for one in looked for fault in faults(*one)]
    told = [seen(piece, cut_only) for piece, _, cut_only in looked] if not wrong else []
    return judged(**words, value=float(len(wrong)), limit=0.0, source=source,
                  method="; ".join(wrong) if wrong else _measured(told))


def _measured(told: list[Seen]) -> str:
    hole, web, segment = (min(told, key=lambda s, k=key: getattr(s, k)) for key in ("hole", "web", "segment"))
    stray = max(abs(s.mass - 1) for s in told)
    said = [f"both drawings of {len(told)} pieces read again: loops closed, apart, inside one outline"]
    said += [f"least hole {hole.hole:.2f} mm ({hole.piece})"] if hole.hole < NEVER else []
    said += [f"least metal beside a hole {web.web:.2f} mm ({web.piece})"] if web.web < NEVER else []
    return "; ".join([*said, f"shortest segment {segment.segment:.2f} mm ({segment.piece})", f"area x thickness within {stray:.1e} of each piece's metal"])
