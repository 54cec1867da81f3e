r"""The deep pan's inside: its section, what the pump draws through, what is cut away for an obstacle. Arithmetic only.

Section through the sump with the rising side to the left (s runs from the rising to the falling side, z up):

      ====|                                           |====  flange        top, underside
          |  opening, floor of the body sloped along  |
          |__ the crank to the sump at body_slope   __|      shallow_z: the body's floor where its halves meet (join)
             |                                     |=[]      port, leg_z: the leg runs to the falling side
             | neck                         .======|
        _____|                             |       |_____    shelf: under the bolts' tools, and on this side under the port
       |                                   |bell         |
       |  kick-out                        /_\            |
       |____________________------------------           |   floor_slope, falls to the rising side
      drain
"""

from generators.sump.draw import Draw, draw_of
from generators.sump.inside import Inside
from generators.sump.notch import Notch
from generators.sump.size import deep_pan, inside_of

__all__ = ["Draw", "Inside", "Notch", "deep_pan", "draw_of", "inside_of"]
