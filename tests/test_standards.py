"""The tables as records: what they refuse, what they say of themselves, what they cost to import."""

import dataclasses
import math
import subprocess
import sys

import pytest

from generators import standards
from generators.standards.tables import DATA, rows


@pytest.mark.parametrize(("look_up", "first"), [
    (lambda: standards.material("5052"), "5052-H32"),
    (lambda: standards.material("6061T6"), "6061-T6"),
    (lambda: standards.material("dc01"), "DC01"),
    (lambda: standards.bolt("M7"), "M8"),
    (lambda: standards.clearance_hole("M9"), "M8"),
    (lambda: standards.clearance_hole("M6", fit="loose"), "coarse"),
    (lambda: standards.flare("10"), "-10"),
    (lambda: standards.flare("-9"), "-8"),
    (lambda: standards.drain_plug("M18"), "M18x1.5"),
    (lambda: standards.bspp("1/2"), "G1/2"),
    (lambda: standards.gauge_thickness(9, family="steel"), "10"),
    (lambda: standards.gauge_thickness(16, family="aluminum"), "aluminium"),
    (lambda: standards.stock_thicknesses("stainles"), "stainless"),
    (lambda: standards.flare_for_bore(90), "up to 33.3 (-24)"),
    (lambda: standards.least_bend_radius("5052-H32", thickness=8), "up to 6.4"),
    (lambda: standards.least_bend_radius("DC01", thickness=13), "up to 12"),
    (lambda: standards.least_bend_radius("303", thickness=2), "304"),
])
def test_an_unknown_name_is_answered_with_the_nearest_known_ones(look_up, first):
    with pytest.raises(standards.Unknown) as error:
        look_up()
    assert error.value.known[0] == first
    assert f"known: {first}" in str(error.value)


@pytest.mark.parametrize("bad", [0, -1, math.nan])
@pytest.mark.parametrize("limit", [
    lambda x: standards.least_bend_radius("304", thickness=x), standards.flare_for_bore, standards.v_die,
    standards.least_hole, standards.least_web, standards.least_hole_to_edge, standards.least_hole_to_tangent,
    standards.relief_width, standards.hinge_pin_diameter, standards.din_k, standards.flange_over_die, standards.least_channel,
    standards.least_offset,
    lambda x: standards.least_flange(x, bend_radius=3), lambda x: standards.least_hole_to_bend(x, bend_radius=3),
    lambda x: standards.least_slot_to_bend(x, bend_radius=3)])
def test_a_size_must_be_positive(limit, bad):
    with pytest.raises(ValueError, match="must be positive"):
        limit(bad)


def test_din_k_refuses_a_radius_below_its_fit():
    with pytest.raises(ValueError, match="no k"):
        standards.din_k(0.04)  # 0.65 + 0.5 lg 0.04 = -0.05


@pytest.mark.parametrize("table", sorted(path.stem for path in DATA.glob("*.csv")))
def test_every_table_has_a_passport_and_full_rows(table):
    text = (DATA / f"{table}.csv").read_text(encoding="utf-8")
    passport = " ".join(line for line in text.splitlines() if line.startswith("#"))
    assert any(unit in passport for unit in ("mm", "MPa", "inch"))
    assert any(mark in passport.lower() for mark in ("secondary cop", "from memory", "read in", '"source"'))
    assert rows(table)
    for row in rows(table):
        assert None not in row and all(row.values()), row


def test_a_table_cannot_be_written_to():
    with pytest.raises(TypeError):
        rows("bolts")[0]["size"] = "M99"


@pytest.mark.parametrize("name", standards.material_names())
def test_materials_are_in_si_and_physically_possible(name):
    # ranges that hold for every aluminium alloy and steel: any handbook
    m = standards.material(name)
    density, stiffness = {"aluminium": ((2600, 2850), (68e9, 73e9)), "steel": ((7800, 7900), (200e9, 215e9)),
                          "stainless": ((7800, 8050), (190e9, 203e9))}[m.family]
    assert density[0] <= m.density <= density[1] and stiffness[0] <= m.elastic_modulus <= stiffness[1]
    assert 50e6 < m.yield_strength < m.tensile_strength < 1e9
    assert 0.25 < m.poisson < 0.35 and 0.3 < m.k_factor < 0.5
    assert m.source and m.family in standards.families()


@pytest.mark.parametrize(("name", "mass"), [  # kg/m2 of 2 mm sheet, density times thickness by hand
    ("5052-H32", 5.36), ("6061-T6", 5.40), ("5083-H111", 5.32), ("1050-H14", 5.41), ("DC01", 15.70), ("304", 15.86)])
def test_two_millimetre_sheet_weighs(name, mass):
    assert standards.material(name).density * 0.002 == pytest.approx(mass, abs=0.005)


@pytest.mark.parametrize(("name", "ksi_yield", "ksi_tensile"), [
    # usual handbook strengths in ksi, from memory, unverified: an independent unit for the table's MPa
    ("5052-H32", 28, 33), ("6061-T6", 40, 45), ("6061-T4", 21, 35), ("3003-H14", 21, 22), ("304", 30, 75)])
def test_strengths_agree_with_the_handbooks_in_ksi(name, ksi_yield, ksi_tensile):
    m = standards.material(name)
    assert (m.yield_strength, m.tensile_strength) == pytest.approx(
        (ksi_yield * 6.894757e6, ksi_tensile * 6.894757e6), rel=0.01)


def test_records_are_frozen():
    with pytest.raises(dataclasses.FrozenInstanceError):
        standards.bolt("M6").diameter = 7


@pytest.mark.parametrize("family", standards.families())
def test_stock_is_listed_thinnest_first(family):
    thicknesses = standards.stock_thicknesses(family)
    assert 2.0 in thicknesses and list(thicknesses) == sorted(set(thicknesses))


def test_the_usual_sheets_are_stocked():
    sizes = standards.sheet_sizes()
    assert (1250, 2500) in sizes and all(width < length for width, length in sizes)
    assert (48 * 25.4, 96 * 25.4) == pytest.approx(sizes[3])


@pytest.mark.parametrize(("limit", "value"), [  # the rule beside each, for t = 2 and r = 3, by hand
    (standards.least_flange(2, bend_radius=3), 9.0),  # 3 t + r = 9 is more than 0.7 x 12 = 8.4
    (standards.least_flange(2, bend_radius=2), 8.4),  # 0.7 x 12 = 8.4 is more than 3 t + r = 8
    (standards.least_hole_to_bend(2, bend_radius=3), 8.0),  # 2.5 t + r
    (standards.least_hole_to_tangent(2), 3.0),  # 2.5 t + r less the setback r + t of a right angle
    (standards.least_slot_to_bend(2, bend_radius=3), 11.0),  # 4 t + r
    (standards.least_hole(2), 2.0), (standards.least_web(2), 2.0),  # 1 t
    (standards.least_hole_to_edge(2), 2.0), (standards.least_hole_to_edge(2, formed=True), 4.0),  # 1 t, 2 t
    (standards.relief_width(2), 2.0), (standards.relief_width(1), 1.5),  # t, 1.5 mm at least
    (standards.least_channel(2), 16.0),  # V + 2 t, V = 12
    (standards.least_offset(2), 8.0),  # V / 2 + t
    (standards.hinge_pin_diameter(60), 3.0), (standards.hinge_pin_diameter(60 / 25.4 * 25.4 + 1e-12), 3.0), (standards.hinge_pin_diameter(61), 5.0),
    (standards.least_bolt_land(), 3.0),
])
def test_shop_limits_by_hand(limit, value):
    assert limit.value == pytest.approx(value)
    assert limit.source


def test_a_hole_clear_of_the_tangent_is_clear_of_the_die():
    # a hole over the die's mouth is drawn out: half the opening lies within the tangent distance of the bend's middle
    thickness, radius = 2.0, 3.0
    half_bend = math.pi / 4 * (radius + 0.4 * thickness)
    assert half_bend + standards.least_hole_to_tangent(thickness).value >= standards.v_die(thickness) / 2 - 0.05


@pytest.mark.parametrize("name", [
    name for name in standards.__all__ if isinstance(getattr(standards, name), standards.Span)])
def test_usual_practice_lies_within_its_span(name):
    span = getattr(standards, name)
    assert span.least <= span.usual <= span.greatest and span.least < span.greatest
    assert "common practice" in span.source


def test_import_brings_no_heavy_library():
    code = ("import sys; from generators import standards; standards.flare('-10');"
            "sys.exit(', '.join({'cadquery', 'numpy', 'pandas', 'scipy', 'pint', 'pydantic'} & set(sys.modules)) or 0)")
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_no_table_is_read_at_import():
    code = "from generators import standards; from generators.standards import tables;" \
           "raise SystemExit(tables.rows.cache_info().currsize)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
