"""Turned and bought fittings against closed forms. Lengths in mm."""

import math

import pytest

from generators import fittings, standards
from generators.outlines import signed_area
from generators.sheet.frames import frame, identity

TILTED = frame(origin=(30, -20, 10), x=(0, 0.6, 0.8), z=(1, 0, 0))
ENDS = [fittings.weld_end(dash, thickness=t) for dash in standards.flare_dashes() for t in (1.5, 3.0)]
BOSSES = [fittings.drain_boss(thread, thickness=t) for thread in standards.drain_plug_names() for t in (2.0, 3.0)]


def disc(diameter: float) -> float:
    """Area of a disc, mm2."""
    return math.pi / 4 * diameter**2


def frustum(d0: float, d1: float, height: float) -> float:
    """Volume of a cone's frustum, mm3."""
    return math.pi / 12 * height * (d0**2 + d0 * d1 + d1**2)


def weld_end_volume(end: fittings.WeldEnd) -> float:
    """Spigot, base, thread and nose, less bore and socket, mm3."""
    thread = 0.65 * end.major
    spigot, tip = end.thickness + 5, end.bore + 2
    solid = (
        disc(end.spigot_diameter) * spigot
        + disc(end.base_diameter) * 5
        + disc(end.major) * thread
        + frustum(end.minor, tip, end.nose)
    )
    socket = disc(end.tube_od + 0.1) * 5
    return solid - socket - disc(end.bore) * (spigot - 5 + 5 + thread + end.nose)


@pytest.mark.parametrize("end", ENDS, ids=lambda e: f"{e.dash}-{e.thickness}")
def test_weld_end_volume(end):
    solid = fittings.weld_end_solid(end, identity())
    assert solid.isValid()
    assert solid.Volume() == pytest.approx(weld_end_volume(end), rel=1e-9)
    assert signed_area(fittings.weld_end_outline(end)) > 0


@pytest.mark.parametrize("end", ENDS, ids=lambda e: f"{e.dash}-{e.thickness}")
def test_weld_end_reaches_as_far_as_it_says(end):
    box = fittings.weld_end_solid(end, identity()).BoundingBox(1e-3)
    assert (box.zmin, box.zmax) == pytest.approx((-end.thickness - end.inside, end.height), abs=1e-6)
    assert box.xlen == pytest.approx(end.base_diameter, abs=1e-3)


@pytest.mark.parametrize("end", ENDS, ids=lambda e: f"{e.dash}-{e.thickness}")
def test_weld_end_is_metal_all_the_way(end):
    assert end.bore < end.tube_od < end.spigot_diameter < end.base_diameter
    assert end.bore + 2 < end.minor < end.major < end.base_diameter
    assert end.nose > 0


# SAE J514: thread of a flare end by dash size, tube outside diameter = dash / 16 inch (threads from memory, one web
# table agrees)
@pytest.mark.parametrize(
    ("dash", "major_inches"),
    [
        ("-4", 7 / 16),
        ("-6", 9 / 16),
        ("-8", 3 / 4),
        ("-10", 7 / 8),
        ("-12", 1 + 1 / 16),
        ("-16", 1 + 5 / 16),
        ("-20", 1 + 5 / 8),
    ],
)
def test_weld_end_carries_the_thread_of_its_size(dash, major_inches):
    end = fittings.weld_end(dash, thickness=2)
    assert end.major == pytest.approx(major_inches * 25.4)
    assert end.tube_od == pytest.approx(int(dash[1:]) / 16 * 25.4)
    solid = fittings.weld_end_solid(end, identity())
    slice_z = fittings.BASE_MM + fittings.THREAD_LENGTH_SHARE * end.major / 2
    outside = max(
        math.hypot(v.X, v.Y)
        for v in solid.Vertices()
        if v.Z > fittings.BASE_MM - 1e-6
        and v.Z < slice_z + end.major
        and math.hypot(v.X, v.Y) < end.base_diameter / 2 - 1e-6
    )
    assert outside == pytest.approx(major_inches * 25.4 / 2)


def test_the_nose_is_37_degrees():
    # SAE J514, ISO 8434-2: half angle 37 degrees
    end = fittings.weld_end("-10", thickness=2)
    rise = [(r, z) for r, z in fittings.weld_end_outline(end).points if z >= end.height - end.nose - 1e-9]
    (r0, z0), (r1, z1) = sorted(rise, key=lambda p: -p[0])[1:3]
    assert math.degrees(math.atan2(r0 - r1, z1 - z0)) == pytest.approx(37)


def test_unknown_sizes():
    with pytest.raises(standards.Unknown):
        fittings.weld_end("-7", thickness=2)
    with pytest.raises(standards.Unknown):
        fittings.drain_boss("M15x1.5", thickness=2)


@pytest.mark.parametrize("where", [identity(), TILTED])
@pytest.mark.parametrize(
    ("outer", "bore", "reach", "drop"), [(25, 22, 80, 60), (12, 9, 20, 20), (40, 34, 200, 45), (25, 22, 14, 14)]
)
def test_elbow_volume_is_area_by_centre_line(outer, bore, reach, drop, where):
    # a mitre takes from one side of each leg what it leaves on the other
    solid = fittings.elbow_solid(fittings.ElbowTube(outer, bore, reach, drop), where)
    assert solid.isValid()
    assert solid.Volume() == pytest.approx((disc(outer) - disc(bore)) * (reach + drop), rel=1e-6)


def test_elbow_runs_along_x_and_drops_along_z():
    box = fittings.elbow_solid(fittings.ElbowTube(25, 22, 80, 60), identity()).BoundingBox(1e-3)
    assert (box.xmin, box.xmax) == pytest.approx((0, 92.5), abs=1e-3)
    assert (box.ymin, box.ymax) == pytest.approx((-12.5, 12.5), abs=1e-3)
    assert (box.zmin, box.zmax) == pytest.approx((-60, 12.5), abs=1e-3)


def strip(diameter: float, half: float) -> float:
    """Area of a disc within `half` of a line through its centre, mm2."""
    r = diameter / 2
    return 2 * (half * math.sqrt(r**2 - half**2) + r**2 * math.asin(half / r))


def drain_boss_volume(boss: fittings.DrainBoss) -> float:
    """A ring inside, its foot just off the floor, a ring through the floor and out to the seat, less four slots, mm3; the
    slots' crossing lies in the bore."""
    ring = (disc(boss.diameter) - disc(boss.minor)) * (boss.height - fittings.SEAT_GAP_MM)
    spigot = (disc(boss.spigot_diameter) - disc(boss.minor)) * (boss.thickness + fittings.SEAT_GAP_MM + boss.seat)
    half = boss.slot / 2
    return ring + spigot - 2 * (strip(boss.diameter, half) - strip(boss.minor, half)) * boss.slot


@pytest.mark.parametrize("boss", BOSSES, ids=lambda b: f"{b.thread}-{b.thickness}")
def test_drain_boss_volume(boss):
    solid = fittings.drain_boss_solid(boss, identity())
    assert solid.isValid()
    assert solid.Volume() == pytest.approx(drain_boss_volume(boss), rel=1e-6)
    box = solid.BoundingBox(1e-3)
    assert (box.zmin, box.zmax) == pytest.approx((-boss.thickness - boss.height, boss.thickness + 1), abs=1e-6)
    assert boss.spigot_diameter < boss.diameter


def test_the_last_oil_finds_a_slot_at_the_floor():
    # on the floor's inner face the boss is open where a slot is, and shut between slots
    import cadquery as cq

    boss = BOSSES[0]
    solid = fittings.drain_boss_solid(boss, identity())
    middle, height = (boss.minor + boss.diameter) / 4, -boss.thickness - boss.slot / 2
    assert not solid.isInside(cq.Vector(middle, 0, height))
    assert not solid.isInside(cq.Vector(0, -middle, height))
    assert solid.isInside(cq.Vector(middle * math.sqrt(0.5), middle * math.sqrt(0.5), height))


@pytest.mark.parametrize("where", [identity(), TILTED], ids=["upright", "tilted"])
@pytest.mark.parametrize("boss", BOSSES[::3], ids=lambda b: f"{b.thread}-{b.thickness}")
def test_boss_and_plug_do_not_share_metal(boss, where):
    body, plug = fittings.drain_boss_solid(boss, where), fittings.drain_plug_solid(boss, where)
    assert plug.isValid()
    assert body.intersect(plug).Volume() == pytest.approx(0, abs=1e-6)
    flats = 1.4 * boss.major
    shank = disc(boss.minor - 0.2) * (boss.seat + boss.thickness + boss.height)
    assert plug.Volume() == pytest.approx(math.sqrt(3) / 2 * flats**2 * 7 + shank, rel=1e-6)
    assert body.distance(plug) == pytest.approx(0, abs=1e-6)  # the head is tightened on the seat


@pytest.mark.parametrize("boss", BOSSES, ids=lambda b: f"{b.thread}-{b.thickness}")
def test_the_plug_seats_clear_of_the_weld(boss):
    # nothing of the plug but its shank is as low as a fillet round the spigot whose leg is the sheet's thickness
    import cadquery as cq

    plug = fittings.drain_plug_solid(boss, identity())
    r = boss.spigot_diameter / 2
    fillet = cq.Solid.makeCylinder(r + boss.thickness, boss.thickness).cut(cq.Solid.makeCylinder(r, boss.thickness))
    assert fillet.distance(plug) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("sheet", "density", "name"),
    [
        ("5052-H32", 2680, "6061-T6"),
        ("DC01", 7850, "S235"),
        ("304", 7930, "304"),
        ("some bronze", 8800, "S235"),
        ("some light metal", 2650, "6061-T6"),
    ],
)
def test_bosses_are_of_metal_that_welds_to_the_sheet(sheet, density, name):
    # common practice: aluminium to aluminium, steel to steel, stainless to stainless
    assert fittings.boss_material(sheet, density=density).name == name


def test_a_spigot_enters_its_hole():
    end = fittings.weld_end("-10", thickness=2)
    hole = fittings.hole_for(end.spigot_diameter)
    assert end.spigot_diameter + 0.1 <= hole <= end.spigot_diameter + 0.25  # common practice, on diameter
    assert hole < end.base_diameter
