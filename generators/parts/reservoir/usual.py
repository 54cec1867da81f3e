"""Proportions that tanks of this kind usually have. mm, rad."""

import math

SLENDERNESS = 2.5
"""Height over diameter of a tank whose diameter is left open: 2 to 3 (common practice)."""

SPARE_SHARE = 0.005
"""More room below the full mark than the oil needs: welds inside and the tolerance of rolling (common practice)."""

WALL_GRAZE_MM = 0.75
"""The return's bore stops this far short of the wall: at none at all its saddle would run out to a feather edge."""

INLET_FALL = math.radians(5)
"""Fall of the return into the tank: 0 to 10 degrees (common practice)."""

INLET_PLACE = 0.8
"""Height of the return over the shell's: 0.75 to 0.85, above the oil (common practice)."""

NECK_RADIUS_MM, NECK_LEAST_MM = 27.0, 12.0
"""Outside radius of a filler neck (50 mm bore: a funnel and a full pour), and the least that can be poured into."""
