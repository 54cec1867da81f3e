"""The windage screen: a folded perforated tray close under the crank of a deep pan, bolted to tabs on the pan's walls.

Section, seen with the rising side to the left (s runs from the rising to the falling side, z up):

     wall |<--- screw --->|                                             | wall
          |<----- reach ------>|      .  -  swing  -  .                 |
          |               _    |    '                   '               |
          |         .____[_]___  lip                        ___[_]____. |   lip: height of the tops; washer and screw
          |.-----------| |----  \\  '                   '  /  --| |---. |   seat: tabs' tops under the lips
      tab ||           |_|  boss \\   '  .         .  '   /     |_|    ||
          ||          /  drain    \\_  clearance | -   _ /               ||
      leg ||         slots (10 x 40)\\____ ____ _V__ ___/  facets        ||
          |             on this facet  slots or holes: hole, open_area   |

      x along the crank: from BEYOND_SWING before the first thing that swings to as far behind the last; both ends open.

What is stripped from crank and rods falls through and stays below. The first facet, on the side where the crank rises,
carries only the longer drain slots: oil is flung there, runs down to the foot of the lip and out. Wide lips have such slots
too, between tabs and bend, so that no oil stands on them. Everything but the tabs with
their bosses, which stay welded to the pan, comes out upwards once the pan is off the engine.

Open area: all that is cut out of the facets over the facets' flat stretches between the bends; the lips do not count.
"""

from generators.parts.windage_screen.dimension import WindageScreenDimensions, dimension
from generators.parts.windage_screen.shape import part, pieces

__all__ = ["WindageScreenDimensions", "dimension", "part", "pieces"]
