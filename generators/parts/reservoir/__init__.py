"""The tank of a dry system: a rolled shell on a cone or a flat plate, closed by a plate, oil swirling in at the top.

Section (z up, own frame; the bracket stands at -x, the return is parallel to +x at +y):

            filler neck      breather
             __||__            ||      height + top_thickness
        =====|    |============||====  height
        |                    |_  _|  | shield under the breather
        |(O)  <- return, inlet.height, tangential, inlet.offset from the axis
        |- - - - - - - - - - - - - - | full_mark         o sight (two)
        |:::::::::::::::::::::::::::::|
        |    baffles[k], perforated   |
        |:::::::::::::::::::::::::::::|
        |                             o  heater, thermometer
        |<------ inside_radius ->|    |
         \\       .--------.      /    z = 0
          \\  vane |  |  |  |     /
           \\_____/    \\_______ /       -cone_depth
                 \\ | /  funnel to the outlet's bore: its rim is the mouth
                  | |[] drain plug
                  |_|  flare end, straight down
"""

from generators.parts.reservoir.dimension import dimension
from generators.parts.reservoir.records import ReservoirDimensions
from generators.parts.reservoir.shape import part, pieces

__all__ = ["ReservoirDimensions", "dimension", "part", "pieces"]
