"""The gate baffle: a walled cell round the pickup that oil can enter through one-way flaps and hardly leave.

Section through one gate, square to its wall; the inside of the cell to the right. v counts up from the floor, n inwards
from the wall's inner face. The knuckles sit in a window of the wall, so that the hinge axis lies `setback` behind the
inner face: the flap's centre of mass then hangs `lean` past the axis and gravity shuts it.

        ====================== lid, lid_hole over the pickup
             |  | ______
             |  ||      |                          seen from inside
             |==  stop  |   stop_slot              .------------------------------.  wall_height
             |  ||   .  |                          |        ||          ||        |  stop_slot
             |  | ' /  /       .-- knuckle_outer   |  .==.---.====.---.====.--.   |
        -->| |<-  (o) /  <----'    knuckle_bore    |  |##|fff|####|fff|####|fff#  |  axis
     setback |     |  /  toe       pin             |  '--|---|----|---|----|--'   |
             |__|  ||/                             |   |_____________________|    |  bridge
             .  .  ||              open_angle      |   | |                 | |    |
             .  .  ||  \\                           |   | |     opening     | |    |
             .  .  ||    \\   flap, flap_thickness  |   | |                 | |    |
             |  |  ||      \\                       |   |_|_________________|_|    |  sill
             |__|            ' reach               |                              |
     foot__/_____________________________ floor    '------------------------------'  drain_gap over the floor

In a deep pan the walls' lower edges follow its floor and corners, a weld's gap off them, and are stitched to it; each wall's
gates sit as low as its own floor allows; quarter-round notches in the low wall's lower corners let the cell drain:

        ==========  ==========  lid, level
        |  |              |  |
        |  |              |  |
        |  | end wall     |__|__    side_wall_high
        |__|_______-------            floor, sloped across the crank
    side_wall_low  ^ gap

Order of assembly: flap knuckles to flap; flap, wall knuckles and pin together; this into the window from inside, wall
knuckles welded to its upper edge (the window's ends are 0.25 mm from the pin's ends: it cannot leave any more); stops
into their slots from inside; flap tried by hand; four walls together; lid on its tabs; feet, or the floor's stitches; then
the pickup is lowered through the lid and the port pushed over its tube from outside.
"""

from generators.parts.gate_baffle.dimension import GateBaffleDimensions, dimension
from generators.parts.gate_baffle.shape import part, pieces

__all__ = ["GateBaffleDimensions", "dimension", "part", "pieces"]
