"""Materials: what a sheet weighs and bears, and how tightly it may be bent."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from generators.standards.tables import Limit, Unknown, require_positive, rows

PASCALS_IN_MPA = 1e6

SAME_THICKNESS = 0.01
"""mm. A sheet this little thicker than a column's heading belongs to it: headings are inch sizes rounded to 0.1 mm."""


@dataclass(frozen=True)
class Material:
    """A material. density kg/m3; elastic_modulus, yield_strength, tensile_strength Pa; k_factor and poisson 1."""

    name: str
    family: str
    density: float
    k_factor: float
    elastic_modulus: float
    yield_strength: float
    tensile_strength: float
    poisson: float
    source: str


@cache
def _materials() -> dict[str, Material]:
    return {row["name"]: _material(row) for row in rows("materials")}


def _material(row: Mapping[str, str]) -> Material:
    stiff, yields, breaks = (float(row[key]) * PASCALS_IN_MPA
                             for key in ("elastic_modulus", "yield_strength", "tensile_strength"))
    return Material(row["name"], row["family"], float(row["density"]), float(row["k_factor"]), stiff, yields, breaks,
                    float(row["poisson"]), row["source"])


def material_names() -> tuple[str, ...]:
    """Every material in the table."""
    return tuple(_materials())


def material(name: str) -> Material:
    """The material of that name, e.g. "5052-H32". Raises Unknown, which names the nearest ones."""
    if name not in _materials():
        raise Unknown("material", name, material_names())
    return _materials()[name]


def least_bend_radius(material_name: str, *, thickness: float) -> float:
    """Least inside radius, mm, for a bend of up to 90 degrees in `thickness` mm sheet; 0 where a sharp one is allowed.

    Aluminium: Aluminum Association multiples of the thickness; steels: DIN 6935 (also good to 120 degrees);
    304: common practice. Between two columns the thicker one counts. Raises Unknown for a material that is not bent or
    a thickness beyond its table.
    """
    return _bend_limit(material_name, thickness).value


def least_bend_radius_source(material_name: str, *, thickness: float) -> str:
    """Where least_bend_radius takes its number (mm) from, and how well that is known."""
    return _bend_limit(material_name, thickness).source


def _bend_limit(material_name: str, thickness: float) -> Limit:
    require_positive("thickness", thickness)
    is_din = material(material_name).family == "steel"
    table = rows("bend_radius_din_6935" if is_din else "bend_radius_multiples")
    row = next((r for r in table if r["material"] == material_name), None)
    if row is None:
        raise Unknown("bend radius for", material_name, [r["material"] for r in table])
    tabled = float(row[_column(row, material_name, thickness)])
    return Limit(tabled if is_din else tabled * thickness, row["source"])


def _column(row: Mapping[str, str], material_name: str, thickness: float) -> str:
    headings = [heading for heading in row if heading not in ("material", "source")]
    for heading in headings:
        if thickness <= float(heading) + SAME_THICKNESS:
            return heading
    raise Unknown(f"bend radius for {material_name} in thickness, mm,", f"{thickness:g}",
                  [f"up to {heading}" for heading in headings[-1:]])
