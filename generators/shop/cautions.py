"""What a maker of these parts must be told. General good practice in workshops, no substitute for the rules that apply."""

CAUTIONS = {
    "What this is": (
        "Geometry and arithmetic, not a certificate. The rule book of your series, road approval, pressure "
        "equipment law, the engine maker's clearances and oil level, and a qualified welder's procedure all come before "
        "anything on this page. Where they differ, follow them."),
    "Measure first": (
        "Try the flat patterns as card or thin scrap on the engine before cutting good metal. Turn the crank "
        "by hand through two full turns with the part in place and look at every clearance."),
    "Edges and press": (
        "Cut edges are sharp: deburr before handling, wear gloves for the sheet and none near rotating "
        "tools. Keep hands out of the press brake's line of pinch."),
    "Welding parts that held oil": (
        "Degrease with hot water and detergent and dry fully. Never have chlorinated solvent or "
        "brake cleaner near an arc: light and heat turn it into poisonous gas. Treat a used tank as explosive until it has "
        "been cleaned, every port opened, and filled with water to just below the joint or purged with inert gas. Never "
        "oxygen. Purge gas smothers: ventilate."),
    "Aluminium": (
        "It glows no warning before it burns you, its arc gives strong ultraviolet light and ozone, and alloys "
        "with magnesium fume. Grinding dust of aluminium can burn: keep it away from steel sparks and water; a class D "
        "extinguisher belongs beside the bench."),
    "Leak test": (
        "Test with water, or with air at no more than 35 kPa (5 psi) from a regulator with a relief valve, and "
        "soapy water on the seams: a pan is filled to the flange, or closed for air by a plate of 10 mm with a gasket on all its "
        "bolts. Never connect workshop air directly. Flat ends carry a large force: stand to the side."),
    "Clean, then fill": (
        "Wash out every chip and bead; one loose piece ends an engine. Look at each tack, pin and clip. "
        "Prime the oil system and see oil pressure before the engine is allowed to fire."),
    "Running": (
        "Oil at working temperature burns skin. Keep hands and clothing away from belts and pulleys while cranking "
        "and running, and fit guards."),
    "Oil on the ground": (
        "Secure drain plugs and filter with lock wire, give caps a second retention, vent to a catch can "
        "and away from the exhaust. Hand used oil in where the law says."),
}
"""Heading and words of each caution."""
