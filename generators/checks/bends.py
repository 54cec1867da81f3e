"""Whether a press brake can make each bend in some order: measured on how the piece stands in it."""

from generators.checks.flats import legs, shape
from generators.checks.sheets import leg_as_flange
from generators.findings import Check, judged
from generators.pieces import Part
from generators.shop.bending import BendPlan
from generators.standards import flange_over_die

PUNCH_HALF_MM, THROAT_MM = 15.0, 25.0
"""Half the breadth of a straight punch with its holder, and how far beyond its middle the throat of a gooseneck lets metal
stand (common practice)."""


def checks(part: Part, plans: tuple[BendPlan, ...]) -> list[Check]:
    """The checks of a part with bends; none of one without."""
    return [bend_order(part, plans), room_to_bend(part, plans), flange_on_die(part, plans)] if plans else []


def bend_order(part: Part, plans: tuple[BendPlan, ...]) -> Check:
    """How many bends run into the die, the bed or their own piece in the best order that there is."""
    bad = [f"{p.piece}, bend {b.number}: {'runs through its own piece' if not b.room.clear else f'{-b.room.die:.1f} mm in the die'}"
           for p in plans for b in p.bends if not b.room.clear or b.room.die < 0]
    bends = sum(len(p.bends) for p in plans)
    return judged(id=f"{part.name}.bend_order", title="Bends that no order makes", value=float(len(bad)), limit=0.0, unit="1", sense="<=",
                  source="a die of the opening in the bend table, 80 mm high on a bed 80 mm broad (common practice)",
                  method=f"faces of {len(plans)} pieces at five moments of each of {bends} bends, the others as they stand in that order, "
                         "against die, bed and each other" + (f"; {'; '.join(bad)}" if bad else ""))


def room_to_bend(part: Part, plans: tuple[BendPlan, ...]) -> Check:
    """How far (mm) what is bent already stands from the middle of the punch, at the worst bend in the best order that there is."""
    words = {"id": f"{part.name}.room_to_bend", "title": "What is bent already to the middle of the punch, at the worst bend", "unit": "mm",
             "sense": ">="}
    plan, worst = min(((p, b) for p in plans for b in p.bends), key=lambda pair: pair[1].room.punch)
    source = (f"a gooseneck punch's throat of {THROAT_MM:g} mm; caution under {PUNCH_HALF_MM:g} mm, half a straight punch with its holder "
              "(common practice)")
    free = worst.room.punch == float("inf")
    order = ", ".join(str(b.number) for b in plan.bends)
    return judged(**words, value=FREE_MM if free else worst.room.punch, limit=-THROAT_MM, caution_below=PUNCH_HALF_MM + THROAT_MM, source=source,
                  method=f"faces of {len(plans)} pieces at five moments of each bend, beside a punch as long as the bend, 120 mm high under a ram 25 mm broader to each side; "
                         + ("nothing stands beside it" if free else f"worst: {plan.piece}, bend {worst.number} in the order {order}, "
                            f"{worst.room.high:.0f} mm over the die; negative: beyond the punch"))


FREE_MM = 1000.0
"""Told where nothing stands beside the punch at all."""


def flange_on_die(part: Part, plans: tuple[BendPlan, ...]) -> Check:
    """The least ratio of a leg, as the flange that it makes, to what must lie on the die in the bend table."""
    found = []
    for plan in plans:
        piece = part.piece(plan.piece)
        form = shape(piece.flat)
        for b in plan.bends:
            least = flange_over_die(b.die)
            height = leg_as_flange(min(legs(form, b.bend, end=least)), bend=b.bend, thickness=piece.thickness)
            found.append((round(height / least, 6), f"{plan.piece}, bend {b.number}: {height:.2f} of {least:.2f} mm over a die of {b.die:g} mm"))
    ratio, words = min(found)
    return judged(id=f"{part.name}.flange_on_die", title="Least flange over what must lie on its die", value=ratio, limit=1.0, unit="1", sense=">=",
                  source="0.7 V: air-bending force chart, read in a secondary copy", method=f"narrower leg of each of {len(found)} bends; {words}")
