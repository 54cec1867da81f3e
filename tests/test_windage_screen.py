"""The windage screen follows the swing, is as open as asked, comes out upwards, and fits its tabs; every parameter acts."""

import itertools
import math

import numpy as np
import pytest
from shapely.geometry import LineString, Polygon

from configs import NAMES, changed, region
from generators import checks, standards
from generators.checks import flats
from generators.crank import merged_bands, outline, support
from generators.meshes import part_meshes
from generators.outlines import flattened, without_repeats
from generators.parts import windage_screen as screen
from generators.parts.windage_screen import perforation, section
from generators.parts.windage_screen.dimension import FLOOR_GAP_MM
from generators.parts.windage_screen.shape import tab_channel
from generators.rail import pan_opening, pan_top
from generators.sheet.frames import frame
from generators.sheet.solids import tube
from generators.sump import inside_of

HILL, BENCH = "hillclimb_four", "bench_mockup"
KINDS = ("slots", "holes")
LOW_RAIL = {"pan_rail": {"width": 220.0, "below_crank": 25.0}, "crank": {"swing_radius": 72.0}}
"""A crank half in the pan, with room beside it."""

WIDE_SWING = {"pan_rail": {"width": 180.0, "below_crank": 40.0}, "crank": {"swing_radius": 72.0}}
"""A swing that leaves no room for lips just under the flange."""


def wet(name, kind="slots", /, **tables):
    """Parameters of a demo file as those of a wet system."""
    want = {"perforation": kind, **tables.pop("windage_screen", {})}
    return changed(name, engine={"lubrication": "wet"}, windage_screen=want, **tables)


def dimensions(parameters):
    return screen.dimension(parameters, region(parameters))


def swing_of(parameters, side):
    return [Polygon(outline(b) * (side, 1)) for b in merged_bands(region(parameters))]


def inside_face(d):
    """The tray's upper face in the section, bends and all."""
    return LineString(flattened(without_repeats(d.channel.path()), 0.0005))


@pytest.fixture(scope="module")
def hill():
    p = wet(HILL)
    part = screen.part(dimensions(p))
    return p, part, part_meshes(part)


# ---------------------------------------------------------------- section


@pytest.mark.parametrize(("name", "tables"), [*((name, {}) for name in NAMES), (BENCH, LOW_RAIL), (BENCH, WIDE_SWING),
                                              (HILL, {"windage_screen": {"thickness": 3.0, "hole": 6.0, "open_area": 0.2}})])
def test_the_section_keeps_its_clearance_and_no_more_than_it(name, tables):
    p = wet(name, **tables)
    d = dimensions(p)
    gap = min(s.distance(inside_face(d)) for s in swing_of(p, d.side))
    assert p.windage_screen.clearance - 1e-6 <= gap <= d.metal.grown(2 * d.section.steepest / (d.section.facets - 1)) + 1e-3


@pytest.mark.parametrize("tables", [{}, LOW_RAIL])
def test_facets_of_a_cylinder_are_its_tangents(tables):
    """A polygon round a circle of radius R + clearance, step by step: corners at (R + clearance) / cos(step / 2)."""
    p = wet(BENCH, **tables)
    d = dimensions(p)
    reach = p.crank.swing_radius + p.windage_screen.clearance
    step = 2 * d.section.steepest / (d.section.facets - 1)
    inner = np.array(d.section.corners[2:-2])
    assert np.hypot(*inner.T) == pytest.approx(reach / math.cos(step / 2), abs=2e-3)
    assert min(z for _, z in d.section.corners) == pytest.approx(-reach, abs=2e-3)


@pytest.mark.parametrize("name", NAMES)
def test_seen_along_the_crank_the_swing_reaches_as_far(name):
    whole = region(wet(name))
    for a in np.radians(np.arange(0, 360, 7)):
        way = (math.cos(a), math.sin(a))
        assert support(section.along_the_crank(whole), way) == pytest.approx(support(whole, way), abs=1e-9)


def test_more_facets_only_where_three_would_stand_off():
    """Round a circle of radius R a corner of the angle a stands R (1 / cos(a / 2) - 1) off it: on the low rail three facets
    that come up steeply enough for lips beside the swing would stand off by more than SPARE_MM."""
    assert all(dimensions(wet(name)).section.facets == 3 for name in NAMES)
    d = dimensions(wet(BENCH, **LOW_RAIL))
    assert d.section.facets == 5 and d.section.spare <= section.SPARE_MM
    assert 76 * (1 / math.cos(d.section.steepest / 2) - 1) > section.SPARE_MM


def test_a_bend_wider_than_the_clearance_is_set_back():
    """6061-T6, 2 mm: 2.5 t = 5 mm radius (Aluminum Association multiples, secondary copy) against 3 mm of clearance."""
    p = wet(BENCH, sheet={"material": "6061-T6", "bend_radius": 6.0}, windage_screen={"clearance": 3.0, "thickness": 2.0})
    d = dimensions(p)
    assert d.metal.radius == 5.0
    step = 2 * d.section.steepest / (d.section.facets - 1)
    assert d.metal.grown(step) == pytest.approx(5 - 2 * math.cos(step / 2))
    assert min(s.distance(inside_face(d)) for s in swing_of(p, d.side)) >= 3 - 1e-6


def test_a_material_in_no_table_is_bent_as_the_sheet_is():
    d = dimensions(wet(HILL, sheet={"material": "mystery", "density": 2700.0, "k_factor": 0.4, "bend_radius": 2.5}))
    assert d.metal.radius == 2.5
    assert "in no table" in next(s.because for s in d.sized if s.key == "windage_screen.bend_radius")


def test_lips_are_lowered_until_there_is_room_beside_the_swing():
    p = wet(BENCH, **WIDE_SWING)
    d = dimensions(p)
    assert d.lip < d.room.highest - 1
    assert d.lip == pytest.approx(d.room.highest - round(d.room.highest - d.lip))
    flat = section.facet_flats(d.section.corners, np.linspace(-d.section.steepest, d.section.steepest, d.section.facets), d.metal)
    assert flat[0] >= d.drain.width + 2 * d.metal.slot_margin - 1e-9
    part = screen.part(d)
    found = {c.id: c for c in checks.judge(p, region(p), (part,), {part.name: part_meshes(part)})}
    assert found["windage_screen.swing_clearance"].status == "pass"


@pytest.mark.parametrize("name", NAMES)
def test_the_screen_lies_in_the_opening_under_the_gasket_face_and_over_the_floor(name):
    p = wet(name)
    d, open_, made = dimensions(p), pan_opening(p, region(p)), inside_of(p, region(p))
    ss = [s * d.side for s, _ in d.section.corners]
    assert min(ss) == pytest.approx(open_.y0 + section.WALL_GAP_MM) and max(ss) == pytest.approx(open_.y1 - section.WALL_GAP_MM)
    assert d.x0 >= open_.x0 + 3 and d.x1 <= open_.x1 - 3
    bands = region(p).bands
    assert d.x0 <= min(b.x0 for b in bands) or d.x0 == open_.x0 + 3
    assert d.x1 >= max(b.x1 for b in bands) or d.x1 == open_.x1 - 3
    assert d.lip + d.room.head[1] < pan_top(p)
    assert d.lowest >= max(made.body_floor(d.x0), made.body_floor(d.x1)) + FLOOR_GAP_MM


def test_a_body_that_the_tool_sizes_is_deep_enough_for_tabs_under_a_small_swing():
    p = wet(BENCH, pan_rail={"width": 160.0, "below_crank": 60.0}, crank={"swing_radius": 72.0})
    d, made = dimensions(p), inside_of(p, region(p))
    assert d.lowest < min(z for _, z in d.section.corners) - d.metal.thickness
    assert d.lowest >= max(made.body_floor(d.x0), made.body_floor(d.x1)) + FLOOR_GAP_MM


# ---------------------------------------------------------------- perforation


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("share", [0.12, 0.2, 0.25])
@pytest.mark.parametrize("name", NAMES)
def test_the_open_area_is_what_was_asked(name, share, kind):
    d = dimensions(wet(name, kind, windage_screen={"open_area": share, "hole": 6.0}))
    assert d.open_area == pytest.approx(share, abs=0.01)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", NAMES)
def test_pitch_is_at_least_a_cut_and_the_thickness(name, kind):
    """Pitch >= d + t of perforated screens (common practice), along the rows and across them; drain slots too."""
    d = dimensions(wet(name, kind))
    t = d.metal.thickness
    assert all(r.pitch >= r.length + t - 1e-9 for r in (d.drain, *d.rows))
    for one, other in itertools.pairwise(d.rows):
        assert one.face != other.face or other.y - one.y >= one.width + t - 1e-9


@pytest.mark.parametrize("tables", [{"hole": 2.0, "open_area": 0.45, "thickness": 0.8}, {"hole": 12.0, "open_area": 0.2},
                                    {"thickness": 3.0, "hole": 6.0, "open_area": 0.2}])
def test_webs_and_bends_stay_clear_on_the_flat(tables):
    d = dimensions(wet(HILL, windage_screen=tables))
    (tray,) = [p for p in screen.pieces(d) if p.name == "tray"]
    form = flats.shape(tray.flat)
    assert flats.web_between_holes(form) >= standards.least_web(d.metal.thickness).value - 1e-3
    least = min(flats.hole_to_tangent(form, b) for b in form.bends)
    assert least >= standards.least_hole_to_tangent(d.metal.thickness).value


def test_slots_are_few_and_grow_longer_instead():
    fine = dimensions(wet(HILL, windage_screen={"hole": 1.6}))
    assert sum(r.count for r in fine.rows) <= perforation.MOST_SLOTS
    assert fine.rows[0].length > perforation.SLOT_WIDTHS * 1.6
    usual = dimensions(wet(HILL)).rows[0]
    assert usual.length == pytest.approx(perforation.SLOT_WIDTHS * 5, abs=3)


def test_an_obround_is_a_rectangle_and_a_circle():
    assert perforation.obround(30.0, width=5.0) == pytest.approx(25 * 5 + math.pi * 2.5**2)


def test_drain_slots_lie_on_the_rising_side_alone(hill):
    """Between the first two bends there is nothing but them, 10 mm wide, none between the last two; a needle goes up through
    each of them, but through nothing at the same places on the falling side."""
    p, part, _ = hill
    d, flat = part.dimensions, part.piece("tray").flat
    assert region(p).rising_side == "right"
    assert (d.drain.face, d.drain.length, d.drain.width, d.drain.count) == (1, 40.0, 10.0, 6)
    bends = [b.start[1] for b in flat.bends]
    found = {i: [h for h in flat.holes if bends[i] < Polygon(flattened(h)).centroid.y < bends[i + 1]] for i in (0, len(bends) - 2)}
    widths = {i: [np.ptp(h.points[:, 1]) for h in holes] for i, holes in found.items()}
    assert widths[0] == pytest.approx([10.0] * 6) and max(widths[len(bends) - 2]) < 6
    tray = part.piece("tray").solids[0]
    (s0, _), (s1, _) = d.section.corners[1:3]
    for i, (side, is_open) in itertools.product(range(6), ((1, True), (-1, False))):
        x, y = d.x0 + d.drain.first + i * d.drain.pitch, side * (s0 + s1) / 2
        needle = tube(outer=0.2, bore=0, length=100.0, where=frame(origin=(x, y, -120), x=(1, 0, 0), z=(0, 0, 1)))
        assert (needle.intersect(tray).Volume() < 1e-9) == is_open


def test_wide_lips_drain_beside_the_tabs(hill):
    _, part, meshes = hill
    d, tabs = part.dimensions, [m.bounds for (name, _), m in meshes.copies.items() if name == "tab"]
    assert [r.face for r in d.lip_drains] == [0, d.section.facets + 1]
    rim = d.room.walls[1] - section.WALL_GAP_MM
    (flat,) = {round(abs(float(f[1][0] - f[0][0])), 6) for f in (d.channel.faces()[0], d.channel.faces()[-1])}
    for row in d.lip_drains:
        from_edge = row.y if row.face == 0 else flat - row.y
        assert min(abs(b[:, 1]).min() for b in tabs) >= rim - from_edge + row.width / 2 + d.metal.thickness - 1e-6
        assert flat - from_edge - row.width / 2 >= d.metal.slot_margin - 1e-6
    narrow = dimensions(wet("sprint_vee_six"))
    assert not narrow.lip_drains


# ---------------------------------------------------------------- pieces


@pytest.mark.parametrize(("name", "kind", "want"), [(BENCH, "holes", {"hole": 8.0}), ("sprint_vee_six", "slots", {}),
                                                    ("endurance_flat_six", "slots", {})])
def test_every_check_passes(name, kind, want):
    p = wet(name, kind, windage_screen=want)
    part = screen.part(dimensions(p))
    found = checks.judge(p, region(p), (part,), {part.name: part_meshes(part)})
    assert {c.status for c in found} == {"pass"}
    assert {"windage_screen.open_area", "windage_screen.swing_clearance", "windage_screen.strangers"} <= {c.id for c in found}


def test_checks_agree_with_what_was_sized(hill):
    p, part, meshes = hill
    found = {c.id: c for c in checks.judge(p, region(p), (part,), {part.name: meshes})}
    assert {c.status for c in found.values()} == {"pass"}
    assert found["windage_screen.open_area"].value == pytest.approx(part.dimensions.open_area, rel=1e-9)
    assert found["windage_screen.swing_clearance"].value == pytest.approx(4.0, abs=0.02)


def test_flat_and_folded_agree_but_for_the_allowance(hill):
    """Volume = flat area x thickness with K = 0.5; with another K the flat is shorter by (0.5 - K) t a for each bend."""
    _, part, _ = hill
    tray = part.piece("tray")
    t, k = tray.thickness, part.dimensions.k_factor
    lacking = sum((0.5 - k) * t * abs(b.angle) * b.length for b in tray.flat.bends)
    assert tray.volume == pytest.approx((tray.flat.area + lacking) * t, rel=1e-9)
    assert len(tray.flat.bends) == part.dimensions.section.facets + 1


def test_lips_lie_on_their_tabs_and_screws_run_through_both(hill):
    _, part, _ = hill
    tray = part.piece("tray").solids[0]
    for tab, boss, screw in zip(*(part.piece(n).solids for n in ("tab", "screw_boss", "screw")), strict=True):
        assert tab.distance(tray) == pytest.approx(0, abs=1e-9) and tab.distance(boss) == pytest.approx(0, abs=1e-9)
        assert screw.distance(tab) > 0.5 and screw.distance(tray) > 0.5
        box, body = screw.BoundingBox(), boss.BoundingBox()
        assert body.zmin < box.zmin and body.zmax - box.zmin >= 1.2 * 5 - 1e-9


def test_tabs_stand_by_the_walls_with_room_for_a_socket_from_above(hill):
    p, part, meshes = hill
    open_, d = pan_opening(p, region(p)), part.dimensions
    tabs = [m.bounds[:, 1] for (name, _), m in meshes.copies.items() if name == "tab"]
    assert len(tabs) >= 2 * 3
    assert (np.min(tabs), np.max(tabs)) == pytest.approx((open_.y0 + 0.05, open_.y1 - 0.05))
    assert max(np.diff(d.bolts)) <= 120
    room = standards.bolt("M5").tool_radius
    for screw in part.piece("screw").solids:
        at = screw.Center()
        assert min(at.x - open_.x0, open_.x1 - at.x, at.y - open_.y0, open_.y1 - at.y) >= room


def test_the_tray_comes_out_upwards(hill):
    """Seen from above nothing that stays in the pan covers the tray, and no two of its own stretches cover each other."""
    _, part, meshes = hill
    d = part.dimensions
    assert all(b[0] > a[0] for a, b in itertools.pairwise(d.section.corners))
    assert max(m.bounds[1, 2] for (name, _), m in meshes.copies.items() if name in ("tab", "screw_boss")) <= d.seat + 1e-9


def test_a_tab_can_be_bent(hill):
    d = hill[1].dimensions
    least = standards.least_flange(d.tab_thickness, bend_radius=d.tab_radius).value
    (_, corner, foot) = tab_channel(d).corners
    assert corner[1] - foot[1] + d.tab_thickness >= least - 1e-9


def test_mirrored_rotation_gives_a_mirrored_screen(hill):
    other = screen.part(dimensions(wet(HILL, crank={"rotation": "anticlockwise"})))
    for a, b in zip(hill[1].pieces, other.pieces, strict=True):
        for s, t in zip(sorted(_places(a)), sorted(_places(b, mirror=-1)), strict=True):
            assert s == pytest.approx(t, abs=1e-5)
    assert abs(hill[1].piece("tray").solids[0].Center().y) > 0.1


def _places(piece, mirror=1):
    """Volume and centre of each copy, y mirrored where asked; rounded so that mirrored copies sort alike."""
    return [(round(s.Volume(1e-6), 4), round(s.Center().x, 4) + 0.0, round(mirror * s.Center().y, 4) + 0.0, round(s.Center().z, 4))
            for s in piece.solids]


# ---------------------------------------------------------------- parameters


@pytest.mark.parametrize(("table", "change", "acts"), [
    ("windage_screen", {"clearance": 5.0}, lambda d: d.section.corners),
    ("windage_screen", {"thickness": 2.0}, lambda d: d.metal.thickness),
    ("windage_screen", {"perforation": "holes"}, lambda d: (d.rows[0].length == d.rows[0].width, len(d.rows))),
    ("windage_screen", {"hole": 6.0}, lambda d: d.rows[0].width),
    ("windage_screen", {"open_area": 0.2}, lambda d: round(d.open_area, 2)),
    ("sheet", {"material": "6061-T4"}, lambda d: d.material),
    ("sheet", {"thickness": 2.5, "bend_radius": 4.0}, lambda d: (d.tab_thickness, d.room.screw)),
    ("sheet", {"bend_radius": 4.0}, lambda d: (d.tab_radius, d.room.reach)),
    ("sheet", {"k_factor": 0.4}, lambda d: d.k_factor),
    ("pan_rail", {"below_crank": 60.0}, lambda d: d.lip),
    ("windage_scraper", {"thickness": 4.0}, lambda d: d.lip),
    ("crank", {"counterweight": {"radius": 95.0, "width": 18.0}}, lambda d: d.section.corners),
])
def test_every_parameter_acts(table, change, acts):
    other = wet(HILL, windage_screen=change) if table == "windage_screen" else wet(HILL, **{table: change})
    assert acts(dimensions(other)) != acts(dimensions(wet(HILL)))


def test_the_flange_of_a_deep_pan_sets_the_lips():
    """Lips 1 mm under the flange, or lower where a screw's head (5 mm and its washer) would come near the gasket face."""
    for flange, lip in ((10.0, -76.0), (8.0, -74.0), (5.0, -73.0)):
        p = wet(HILL).model_copy(update={"deep_pan": _deep(flange_thickness=flange)})
        assert dimensions(p).lip == pytest.approx(lip)


def _deep(**keys):
    from generators.parameters import DeepPan

    return DeepPan(**keys)


# ---------------------------------------------------------------- refusals


@pytest.mark.parametrize(("name", "tables", "words"), [
    (BENCH, {"pan_rail": {"width": 140.0, "below_crank": 55.0}, "crank": {"swing_radius": 72.0}},
     r"windage_screen\.clearance: .*needs \d+\.\d mm beside the swing, the opening leaves \d+\.\d mm"),
    (BENCH, {"pan_rail": {"below_crank": 70.0}, "crank": {"swing_radius": 72.0}}, r"windage_screen\.make: .* 1\.5 mm deep .* ends 6\.0 mm above"),
    (HILL, {"windage_screen": {"hole": 70.0}}, r"windage_screen\.hole: the widest facet has \d+\.\d mm .* 70 mm"),
    (HILL, {"windage_screen": {"open_area": 0.49, "thickness": 3.0}}, r"windage_screen\.open_area: 0\.490 was asked for, 0\.\d{3} is the most"),
    (BENCH, {"windage_screen": {"perforation": "holes", "hole": 1.6, "open_area": 0.3}}, r"windage_screen\.hole: \d{4} holes of 1\.6 mm .* 1200"),
    ("endurance_flat_six", {"windage_screen": {"thickness": 4.0}}, r"windage_screen\.thickness: .* 30\.0 mm .* in 4 mm sheet"),
    (BENCH, {"pan_rail": {"length": 125.0}}, r"windage_screen\.make: 3 tabs of 20 mm .* 84 mm, it is \d+ mm"),
])
def test_what_cannot_be_made_is_refused_with_the_numbers(name, tables, words):
    with pytest.raises(ValueError, match=words):
        dimensions(wet(name, **tables))


def test_less_than_one_cut_is_refused_with_the_numbers():
    drain = perforation.Row(1, 10.0, 50.0, 90.0, 1, 40.0, 10.0)
    metal = section.Metal(1.5, 1.5, 4.0, 20.0, 0.4)
    with pytest.raises(ValueError, match=r"windage_screen\.open_area: 0\.060 .* no whole cut of 20 mm; at least 0\.\d{3}"):
        perforation.perforation([20.0, 60.0, 20.0], drain, metal, kind="slots", share=0.06, length=100.0, end=3.0)


def test_a_body_too_shallow_for_the_screen_is_refused_with_both_numbers():
    p = wet(HILL)
    needs = r"deep_pan\.shallow_depth: the windage screen reaches 25\.6 mm .* that needs (\d+\.\d) mm, the body is 31\.0 mm deep"
    with pytest.raises(ValueError, match=needs) as said:
        dimensions(p.model_copy(update={"deep_pan": _deep(shallow_depth=31.0)}))
    enough = float(str(said.value).split("that needs ")[1].split(" mm")[0]) + 0.1
    assert dimensions(p.model_copy(update={"deep_pan": _deep(shallow_depth=enough)})).lowest > -62 - enough


def test_a_share_left_to_the_tool_is_the_usual_or_the_most_that_can_be_cut():
    usual = dimensions(wet(HILL, "slots"))
    assert usual.aimed == 0.25 and usual.open_area == pytest.approx(0.25, abs=0.01)
    thick = dimensions(wet(HILL, "slots", windage_screen={"thickness": 4.0, "hole": 14.0}))
    assert 0.05 < thick.aimed < 0.25 and thick.open_area == pytest.approx(thick.aimed, abs=0.01)
    assert "usual but webs and bends leave no more" in next(s.because for s in thick.sized if s.key == "windage_screen.open_area")
