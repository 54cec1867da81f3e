"""All checks of a run: which exist, in which order, and that every one says how and against what it was measured."""

import math
from dataclasses import replace

import pytest
import trimesh

from generators.checks import judge, pump_draw
from generators.outlines import circle, rectangle
from generators.parameters import Crank, Driving, Engine, PanRail, Parameters, Pumps
from generators.pieces import Hinge, Part
from tests.small_parts import bar, block, cylinder_region, meshes_of, plate, sheet_piece, solid_piece

SWING, BELOW = 80.0, 60.0
RAIL = PanRail(length=200.0, width=240.0, below_crank=BELOW, bolts=((20.0, 112.0), (180.0, 112.0), (100.0, -112.0)))
PARAMETERS = Parameters(
    pan_rail=RAIL,
    crank=Crank(swing_radius=SWING, redline=8000 * 2 * math.pi / 60),
    driving=Driving(cornering=16.0, braking=14.0, acceleration=7.0),
)
GENERAL = ("solids", "interpenetration", "strangers", "joints", "sheet_limits", "stock")
TOGETHER = ("interpenetration", "strangers", "joints")
"""Asked only of parts with more than one piece, as scraper and reservoir here are not."""

EXPECTED = {
    "scavenge_pan": ("swing_clearance", "floor_clearance", "side_clearance", "bolt_access"),
    "windage_scraper": ("edge_clearance", "least_web"),
    "gate_baffle": ("flap_clearance", "flap_opening", "stop", "opening_area"),
    "reservoir": ("oil_capacity", "headspace"),
}


def pan() -> Part:
    """A flange and a flat floor 12 mm under the swing."""
    flange = solid_piece("flange", block((0, 100, -BELOW - 8), (200, 120, -BELOW)))
    trough = solid_piece("trough", block((0, -90, -SWING - 14), (200, 90, -SWING - 12)))
    return Part("scavenge_pan", (flange, trough), None)


def scraper() -> Part:
    """A strip with an M6 hole, 1.5 mm beside the swing at the rail."""
    edge = math.sqrt(SWING**2 - (BELOW - 3) ** 2) + 2.2
    flat = plate(200, 119 - edge, circle(x=20, y=112 - edge, radius=3.3))
    solid = block((0, edge, -BELOW), (200, 119, -BELOW + 3))
    return Part("windage_scraper", (sheet_piece("scraper", flat, thickness=3.0, solids=(solid,)),), None)


def baffle() -> Part:
    """A wall with one opening, a flap on it that swings up to a stop at 40 degrees."""
    flat = plate(100, 60, rectangle(x0=8, y0=8, x1=62, y1=42))
    flap = sheet_piece("flap", plate(60, 40), thickness=1.2, solids=(block((5, 5, 2.2), (65, 45, 3.4)),))
    at, off = math.radians(40), 1.2 + 0.5
    y = 45 - 30 * math.cos(at) + off * math.sin(at)
    z = 2.2 + 30 * math.sin(at) + off * math.cos(at)
    stop = solid_piece("stop", bar(radius=0.5, length=100, origin=(0, y, z), axis=(1, 0, 0)))
    return Part(
        "gate_baffle",
        (sheet_piece("wall", flat), flap, stop),
        None,
        touching=(frozenset(("flap", "stop")),),
        hinges=(Hinge("flap", 0, (0, 45, 2.2), (-1, 0, 0), at),),
    )


def reservoir() -> Part:
    return Part(
        "reservoir", (solid_piece("shell", bar(radius=102, bore=100, length=320)),), None, full_mark=240.0, oil=7e-3
    )


OIL_SPACE = trimesh.creation.cylinder(
    radius=100, height=320, sections=512, transform=trimesh.transformations.translation_matrix((0, 0, 160))
)


@pytest.fixture(scope="module")
def checks():
    parts = (pan(), scraper(), baffle(), reservoir())
    meshes = {p.name: meshes_of(p, oil_space=OIL_SPACE if p.name == "reservoir" else None) for p in parts}
    return judge(PARAMETERS, cylinder_region(SWING), parts, meshes, elsewhere=("gate_baffle",))


@pytest.fixture(scope="module")
def by_id(checks):
    return {c.id: c for c in checks}


def test_every_part_has_the_general_checks_and_its_own(checks):
    made = [f"{part}.{check}" for part, own in EXPECTED.items() for check in (*GENERAL, *own)]
    alone = {f"{part}.{check}" for part in ("windage_scraper", "reservoir") for check in TOGETHER}
    assert [c.id for c in checks] == [*(name for name in made if name not in alone), "assembly.interpenetration"]


def test_every_check_says_how_and_against_what(checks):
    for c in checks:
        assert c.title and c.method and c.source
        if c.value is None:
            assert c.status == "not assessed"
            continue
        assert type(c.value) is float and math.isfinite(c.value)
        assert type(c.limit) is float and math.isfinite(c.limit)
        holds = c.value >= c.limit if c.sense == ">=" else c.value <= c.limit
        assert holds == (c.status in ("pass", "caution"))


def test_values_of_the_closed_forms(by_id):
    assert by_id["scavenge_pan.floor_clearance"].value == pytest.approx(12, abs=2e-3)
    assert by_id["scavenge_pan.strangers"].value == pytest.approx(math.hypot(10, SWING + 12 - BELOW - 8), abs=1e-6)
    assert by_id["windage_scraper.least_web"].value == pytest.approx(7 - 3.3, abs=5e-3)
    assert by_id["gate_baffle.opening_area"].value == pytest.approx(54 * 34)
    assert by_id["gate_baffle.stop"].value < 0.3
    assert by_id["reservoir.headspace"].value == pytest.approx(0.25, rel=1e-9)
    assert by_id["reservoir.oil_capacity"].value == pytest.approx(math.pi * 0.1**2 * 0.24, rel=1e-4)


def test_scraper_edge_is_measured_at_its_lower_face(by_id):
    """The edge nearest to the axis in height, z = -57 mm, at y = sqrt(80^2 - 57^2) + 2.2."""
    edge = math.sqrt(SWING**2 - 57**2) + 2.2
    assert by_id["windage_scraper.edge_clearance"].value == pytest.approx(math.hypot(edge, 57) - SWING, abs=2e-3)


def test_floor_that_is_asked_to_be_lower_fails():
    asked = PARAMETERS.model_copy(
        update={"scavenge_pan": PARAMETERS.scavenge_pan.model_copy(update={"floor_clearance": 14.0})}
    )
    part = pan()
    found = {c.id: c.status for c in judge(asked, cylinder_region(SWING), (part,), {part.name: meshes_of(part)})}
    assert (found["scavenge_pan.floor_clearance"], found["scavenge_pan.swing_clearance"]) == ("fail", "pass")


def test_a_part_with_no_checks_of_its_own_has_the_general_ones():
    part = replace(pan(), name="bracket")
    assert [c.id for c in judge(PARAMETERS, cylinder_region(SWING), (part,), {"bracket": meshes_of(part)})] == [
        f"bracket.{check}" for check in GENERAL
    ]


def test_pump_draw():
    """28 cm3 a turn at half of 8000 rpm: 112 L/min."""
    pumps = Pumps(drive_ratio=0.5, pressure_displacement=28e-6)
    assert pump_draw(PARAMETERS.model_copy(update={"pumps": pumps})) == pytest.approx(0.112 / 60)
    assert pump_draw(PARAMETERS) is None
    assert pump_draw(PARAMETERS.model_copy(update={"engine": Engine(oil_flow=38e-3 / 60)})) == pytest.approx(38e-3 / 60)
