r"""The windage screen: a folded perforated tray close under the crank of a deep pan, bolted to tabs on the pan's walls.

Section, seen with the rising side to the left (s runs from the rising to the falling side, z up):

    wall                                                          wall
     |<- screw ->|               swing                              |
     |<---- reach ---->|      .         .                           |
     |         __|__       '               '          _____         |
     |        [_____]    '                   '       [_____]        |   screw, washer
     | ==================                     ================== <--|-- lip: height of the tops
     |.-------------- .  \ '                 ' /  .--------------. |    seat: tabs' tops
     ||       [     ]     \  ' .         . '  /       [     ]     | |   screw_boss, welded under the tab
     ||       [_____]      \     ' - - '     /        [_____]     | |
     || tab_leg        drain \      | clearance                   | |
     |                        \_____V______/  facets: steepest, then flatter to the middle

Along the crank x0 to x1: a little beyond what swings; both ends stay open.

What is stripped from crank and rods falls through and stays below. The first facet, on the side where the crank rises, carries
only the longer drain slots: oil is flung there and runs down from the lip. Wide lips have such slots too, between tabs and
bend, so that no oil stands on them. Everything but the tabs with their bosses, which stay welded to the pan, comes out
upwards once the pan is off the engine.

Open area: all that is cut out of the facets over the facets' flat stretches between the bends; the lips do not count.
"""

from generators.parts.windage_screen.dimension import WindageScreenDimensions, dimension
from generators.parts.windage_screen.shape import part, pieces

__all__ = ["WindageScreenDimensions", "dimension", "part", "pieces"]
