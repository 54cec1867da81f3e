"""A deep pan whose pickup rises to the engine's own pump, and a sump that is asked for under the rail's end."""

import math

import pytest
from deep_pan_cases import SUMP, dimensions, judged, parameters

from generators.findings import CAUTION, FAIL
from generators.meshes import part_meshes
from generators.parts import deep_pan as pan

LOW = {"sump": {**SUMP, "depth": 130.0}, "shallow_depth": 42.0}
"""Too low for a leg over a cell: from the neck down 3 mm of weld and the port's base, then the tube, then 76 mm of cell."""


@pytest.fixture(scope="module")
def low():
    p = parameters(deep_pan=LOW)
    part = pan.part(dimensions(p))
    return p, part, part_meshes(part)


def said(d, key):
    return next(s for s in d.sized if s.key == key)


def test_a_low_sump_has_a_riser_and_says_why(low):
    _, part, _ = low
    assert part.dimensions.inside.leads_up and "76 mm" in said(part.dimensions, "deep_pan.pickup.outlet").because
    assert {"bell", "strainer", "pickup_tube"} <= {p.name for p in part.pieces}
    assert "port_boss" not in {p.name for p in part.pieces}
    assert "own pump" in part.piece("pickup_tube").note


def test_the_riser_ends_under_swing_and_screen(low):
    """10 mm under the tray, which hangs 4 mm under the swing and is 1.5 mm thick."""
    from configs import region

    p, part, meshes = low
    top = meshes.copies["pickup_tube", 0].bounds[1, 2]
    assert top == pytest.approx(region(p).lowest - 4.0 - 1.5 - 10.0)
    box = part.piece("pickup_tube").solids[0].BoundingBox()
    assert (box.xmax - box.xmin, box.ymax - box.ymin) == pytest.approx((25.4, 25.4), abs=0.1)
    assert box.zmin > part.dimensions.draw.mouth_z


def test_the_riser_by_its_closed_form(low):
    """A tube of 25.4 mm with the bore of the pickup's tube, as long as from the bell's socket to its end."""
    _, part, meshes = low
    from generators.parts.deep_pan.turned import tube_bore

    bounds = meshes.copies["pickup_tube", 0].bounds
    length, bore = bounds[1, 2] - bounds[0, 2], tube_bore(part.dimensions)
    assert part.piece("pickup_tube").volume == pytest.approx(math.pi / 4 * (25.4**2 - bore**2) * length, rel=1e-6)


def test_a_pan_with_a_riser_fails_no_check_of_its_own(low):
    """All but what so low a sump cannot hold of the file's 8 litres."""
    p, part, meshes = low
    failing = {c.id for c in judged(p, part, meshes).values() if c.status == FAIL}
    assert failing <= {"deep_pan.level_below_swing", "deep_pan.oil_capacity"}


def test_the_outlet_is_as_the_file_asks():
    up = dimensions(parameters(deep_pan={"sump": SUMP, "pickup": {"outlet": "up"}}))
    side = dimensions(parameters(deep_pan={"sump": SUMP, "pickup": {"outlet": "side"}}))
    assert up.draw.port is None and up.draw.top_z is not None
    assert side.draw.port is not None and side.draw.top_z is None
    assert up.inside.corners[5][1] > side.inside.corners[5][1]  # the shelf has no port to stand under


def test_where_bolts_leave_a_port_no_room_the_tube_rises():
    d = dimensions(parameters(deep_pan={"sump": {**SUMP, "length": 70.0}}))
    assert d.inside.leads_up and "leave a port no room" in said(d, "deep_pan.pickup.outlet").because


# ---------------------------------------------------------------- under the rail's end


def test_a_sump_asked_under_the_rails_end_is_moved_and_says_so():
    """The opening begins at 20.5 mm, its floor goes on 8 mm beside the sump: asked from 0 to 180 mm it stands 28.5 mm off."""
    p = parameters(deep_pan={"sump": {**SUMP, "x": 90.0}})
    d = dimensions(p)
    assert d.inside.x0 == pytest.approx(28.5) and d.inside.length == pytest.approx(180.0)
    assert "28.5 mm off" in said(d, "deep_pan.sump_place").because
    part = pan.part(d)
    check = judged(p, part, part_meshes(part))["deep_pan.sump_place"]
    assert check.status == CAUTION and check.value == pytest.approx(28.5) and check.limit == pytest.approx(45.0)


def test_a_sump_that_stands_far_from_its_place_fails():
    """Sheets 100 mm long, whose middle stands at x = 50: a quarter of their length is the most."""
    import trimesh

    from generators.checks.pickups import sump_place

    sheet = trimesh.creation.box(bounds=((0, -20, -9), (100, 20, 0)))
    found = {asked: sump_place("deep_pan", [sheet], asked=asked) for asked in (50.0, 40.0, 78.5)}
    assert [c.status for c in found.values()] == ["pass", CAUTION, FAIL]
    assert found[78.5].value == pytest.approx(28.5) and found[78.5].limit == pytest.approx(25.0)
