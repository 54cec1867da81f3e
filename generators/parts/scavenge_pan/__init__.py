"""The shallow scavenge pan of a dry system: a folded trough under the swing, drained by one pickup for each stage.

Section, seen with the rising side to the left (s runs from the rising to the falling side, z up):

              |<------------------- opening ------------------->|
      ========|                                                 |========   flange, flange_thickness
              |           .  -  swept region  -  .              |
       boss --|  screen  '                         '            |           depth: flange underside to the gutter
      (port)==|=======.    '                     '    facet (at side_clearance, where no
              | tube  :      ' -  .  . - '          \\       pickup needs the falling wall)
              |   |   :              floor_clearance  \\_________|
              |___V___:_______________________...-------
              gutter      slope -->  rises to the falling side
"""

from generators.parts.scavenge_pan.dimension import ScavengePanDimensions, dimension
from generators.parts.scavenge_pan.shape import part, pieces

__all__ = ["ScavengePanDimensions", "dimension", "part", "pieces"]
