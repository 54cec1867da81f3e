"""The deep pan of a wet system: a shallow body that drains into a sump with kick-outs, and the pickup that stands in it.

Seen from the falling side, the front to the left; the section through the sump stands in generators.sump:

      ======|=====================================|======   flange
            |front                            rear|
            |________  trough_front | trough_rear _|         body, its floor falls to the join
                     ''--..__       |     __..--''
                          |  |      join    |  |
                          |  |    (o) port  |  |             sump: one folded channel between sump_end_front
                          |  |              |  |             and sump_end_rear
           obstacle       |  |   pickup     | []temperature_boss
             ____________ |  |    /_\\       |  |
            |   notch  __||  |_______________|__|
            |         |          V drain_boss
"""

from generators.parts.deep_pan.dimension import DeepPanDimensions, dimension
from generators.parts.deep_pan.shape import part, pieces

__all__ = ["DeepPanDimensions", "dimension", "part", "pieces"]
