"""The drawings of all sheet pieces of a part, as text: once for who bends, once with nothing but what is cut."""

from dataclasses import dataclass

from generators.pieces import Part, Piece
from generators.shop.etching import marks as etched
from generators.shop.flat_drawing import text


@dataclass(frozen=True)
class FlatFile:
    """The two drawings of one piece."""

    piece: Piece
    whole: str
    cut_only: str


def flat_files(part: Part, *, marks: bool, grain: bool = True) -> tuple[FlatFile, ...]:
    """The drawings of each piece of `part` that has a flat; `marks`: with its name and which way it goes in etched
    on it; `grain`: the grain lies across its longest bend."""
    return tuple(FlatFile(p, text(part.name, p, marks=etched(part.name, p, own_frame=part.own_frame) if marks else None,
                                  grain=grain),
                          text(part.name, p, cut_only=True)) for p in part.pieces if p.flat is not None)
