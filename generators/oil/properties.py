"""What oil weighs and how thick it is at a temperature. SI: K, kg/m3, kinematic viscosity m2/s."""

import math

EXPANSION = 7e-4
"""Share of its volume by which engine oil grows with each K: the usual value of handbooks (from memory, unverified)."""

STANDARD_TEMPERATURE = 288.15
"""K. 15 degC, at which the density of oil is stated (ISO 91)."""

FORTY, HUNDRED = 313.15, 373.15
"""K. Temperatures at which the viscosity of oil is stated (ISO 3448, SAE J300)."""

CENTISTOKES = 1e-6
"""m2/s."""

WALTHER_SHIFT = 0.7
"""cSt. What is added to the viscosity before it is taken twice to its logarithm (ASTM D341, above 2 cSt)."""


def density_at(temperature: float, *, density_15C: float) -> float:
    """Density, kg/m3, at `temperature` (K): rho15 (1 - EXPANSION (T - 15 degC)), within 1 % from -10 to 130 degC."""
    return density_15C * (1 - EXPANSION * (temperature - STANDARD_TEMPERATURE))


def viscosity_at(temperature: float, *, viscosity_40C: float, viscosity_100C: float) -> float:
    """Kinematic viscosity, m2/s, at `temperature` (K), between and beyond two that are known: log10 log10(nu + 0.7) =
    A - B log10 T with nu in cSt (Walther; ASTM D341)."""
    low, high = (math.log10(math.log10(nu / CENTISTOKES + WALTHER_SHIFT)) for nu in (viscosity_40C, viscosity_100C))
    share = math.log10(temperature / FORTY) / math.log10(HUNDRED / FORTY)
    return (10 ** 10 ** (low + (high - low) * share) - WALTHER_SHIFT) * CENTISTOKES
