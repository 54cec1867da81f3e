"""How thick the tank's flat ends must be for a leak test. mm, MPa."""

from generators import standards
from generators.fittings import boss_material
from generators.parts.reservoir.volumes import plate_deflection, plate_stress

TEST_PRESSURE_MPA = 0.035
"""Highest air pressure of a leak test, 35 kPa (common practice)."""

STRESS_SHARE = 0.5
"""Share of its yield that a welded plate is trusted with: the metal beside the weld is softened (common practice)."""

DEFLECTION_SHARE = 0.01
"""Deflection over radius of a flat end at the test pressure: more is seen and felt (common practice)."""


def strength(sheet) -> standards.Material:
    """The sheet's material; one that is in no table is reckoned as the weakest of its kind."""
    if sheet.material in standards.material_names():
        return standards.material(sheet.material)
    family = boss_material(sheet.material, density=sheet.density).family
    kin = [standards.material(n) for n in standards.material_names() if standards.material(n).family == family]
    return min(kin, key=lambda m: m.yield_strength)


def end_load(metal: standards.Material, *, radius: float, thickness: float) -> tuple[float, float]:
    """Stress (MPa) and sag (mm) of a simply supported end at the test pressure."""
    case = {"pressure": TEST_PRESSURE_MPA, "radius": radius, "thickness": thickness, "poisson": metal.poisson}
    elastic = metal.elastic_modulus / standards.materials.PASCALS_IN_MPA
    return plate_stress(**case), plate_deflection(**case, elastic=elastic)


def end_thickness(sheet, *, radius: float) -> float:
    """The thinnest stock plate, no thinner than the sheet, that bears the test pressure, mm. Raises ValueError."""
    metal = strength(sheet)
    most = STRESS_SHARE * metal.yield_strength / standards.materials.PASCALS_IN_MPA
    for thickness in sorted({sheet.thickness, *standards.stock_thicknesses(metal.family)}):
        stress, sag = end_load(metal, radius=radius, thickness=thickness)
        if thickness >= sheet.thickness and stress <= most and sag <= DEFLECTION_SHARE * radius:
            return thickness
    raise ValueError(
        f"reservoir.diameter: no stock plate bears {1000 * TEST_PRESSURE_MPA:.0f} kPa over {2 * radius:.0f} mm; "
        "ask for a smaller diameter"
    )


def why_it_bears(sheet, *, radius: float, thickness: float) -> str:
    """The reason for an end's thickness, in words."""
    stress, sag = end_load(strength(sheet), radius=radius, thickness=thickness)
    return (
        f"the thinnest stock plate that at {1000 * TEST_PRESSURE_MPA:.0f} kPa, simply supported, stays under "
        f"{STRESS_SHARE:g} of its yield ({stress:.0f} MPa) and sags under {DEFLECTION_SHARE:g} of its radius "
        f"({sag:.2f} mm)"
    )
