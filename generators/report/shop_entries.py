"""What a shop is told, as the reports hold it: bends in their order, seams in theirs, what is bought."""

from generators.pieces import Part, Piece
from generators.report.record import Run
from generators.shop.bending import PlannedBend
from generators.shop.hardware import Bought
from generators.shop.welding import WeldStep

MM_IN_M = 1e3


def planned(run: Run, part: Part, piece: Piece) -> dict[int, dict]:
    """By the number of each bend of a piece: at which step it is made, and how."""
    for plan in run.pack.bends.get(part.name, ()):
        if plan.piece == piece.name:
            return {b.number: _bend(step, b) for step, b in enumerate(plan.bends, start=1)}
    return {}


def _bend(step: int, b: PlannedBend) -> dict:
    """Lengths in mm, force in N; `beside_punch_mm` is None where nothing stands over the die."""
    return {"step": step, "turn_over": b.turned_over, "die_mm": b.die, "force_N": b.force, "gauge_mm": b.gauge, "gauge_against": b.against,
            "beside_punch_mm": b.room.punch}


def seams(run: Run, part: Part) -> list[dict]:
    """The seams of a part in the order in which they are welded."""
    return [_seam(s) for s in run.pack.welds.get(part.name, ())]


def _seam(s: WeldStep) -> dict:
    return {"step": s.order, "a": s.a, "b": s.b, "seams": s.seams, "length_m": s.length / MM_IN_M, "leg_mm": s.leg, "leak_tight": s.leak_tight,
            "stage": s.stage}


def hardware(run: Run) -> list[dict]:
    """What is bought."""
    return [_bought(b) for b in run.pack.bought]


def _bought(b: Bought) -> dict:
    return {"part": b.part, "item": b.name, "quantity": b.quantity, "what": b.note}
