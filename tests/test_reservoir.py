"""The tank: sized honestly, made of sound pieces that meet where they are welded and nowhere else."""

import itertools
import math
from types import SimpleNamespace

import numpy as np
import pytest

from generators.outlines import crosses_itself, flattened, signed_area
from generators.parts import reservoir
from generators.parts.reservoir.volumes import below_shell, displaced, displaced_below
from generators.sheet.folded import metal_volume

KERNEL_MM3 = 1e-3
WELD_GAP_MM = 0.5
"""Root gap of a TIG butt in thin aluminium: at most 0.5 mm (common practice)."""


def parameters(**given):
    """A tank as asked, else 8 L in 180 mm of 2 mm 5052."""
    tank = {
        "oil_volume": 8e-3,
        "headspace": 0.25,
        "diameter": 180.0,
        "inlet_bore": 19.0,
        "outlet_bore": 25.0,
        "base": "cone",
        "baffles": 2,
        "position": None,
    }
    sheet = {"material": "5052-H32", "thickness": 2.0, "bend_radius": 3.0, "k_factor": 0.42, "density": 2680.0}
    for key, value in given.items():
        (sheet if key in sheet else tank)[key] = value
    return SimpleNamespace(
        reservoir=SimpleNamespace(**tank),
        sheet=SimpleNamespace(**sheet),
        oil=SimpleNamespace(volume=5.5e-3),
        engine=SimpleNamespace(oil_flow=None),
        crank=SimpleNamespace(throws=None, rods_per_throw=1),
    )


BIKE = {
    "oil_volume": 1e-3,
    "diameter": 90.0,
    "thickness": 1.5,
    "bend_radius": 2.0,
    "inlet_bore": 12.0,
    "outlet_bore": 12.0,
    "baffles": 4,
}
CASES = {
    "usual": {},
    "flat base": {"base": "flat"},
    "bike": BIKE,
    "large": {"oil_volume": 25e-3, "diameter": None, "inlet_bore": 25.0, "outlet_bore": 32.0, "baffles": 0},
    "wide inlet": {"diameter": 200.0, "inlet_bore": 28.0},
    "stainless": {
        "material": "304",
        "thickness": 1.5,
        "density": 7930.0,
        "k_factor": 0.45,
        "diameter": None,
        "baffles": 0,
    },
}


UNLIKE = ["usual", "flat base", "wide inlet"]
"""Those whose pieces meet otherwise than the others' do."""


@pytest.fixture(scope="module", params=list(CASES))
def tank(request):
    return reservoir.part(reservoir.dimension(parameters(**CASES[request.param])))


def copies(part):
    return [(p.name, i, s) for p in part.pieces for i, s in enumerate(p.solids)]


def apart(a, b) -> bool:
    a, b = a.BoundingBox(), b.BoundingBox()
    return any(
        getattr(a, f"{x}min") > getattr(b, f"{x}max") or getattr(b, f"{x}min") > getattr(a, f"{x}max") for x in "xyz"
    )


def test_every_copy_is_one_sound_solid(tank):
    for name, _, solid in copies(tank):
        assert solid.ShapeType() == "Solid" and solid.isValid() and 0 < solid.Volume() < 1e8, name


def test_no_two_pieces_share_space(tank):
    for (a, i, s), (b, j, t) in itertools.combinations(copies(tank), 2):
        if not apart(s, t):
            assert sum(x.Volume() for x in s.intersect(t).Solids()) < KERNEL_MM3, (a, i, b, j)


def test_sheet_pieces_hold_what_their_flats_hold(tank):
    """Flat area x thickness; a folded piece differs by K alone, so it is held to its own closed form with K = 1/2."""
    for piece in tank.pieces:
        if piece.kind in ("rolled", "plate"):
            assert piece.volume == pytest.approx(piece.flat.area * piece.thickness, rel=1e-6), piece.name
    bracket = tank.piece("bracket")
    sheet = reservoir.shape.bracket_sheet(tank.dimensions)
    assert bracket.volume == pytest.approx(metal_volume(sheet), rel=1e-6)


def test_flats_are_clean_loops(tank):
    for piece in tank.pieces:
        if piece.flat:
            outer = flattened(piece.flat.outer)
            assert signed_area(piece.flat.outer) > 0 and not crosses_itself(piece.flat.outer), piece.name
            for hole in piece.flat.holes:
                inner = flattened(hole)
                assert not crosses_itself(hole)
                assert (inner.min(axis=0) > outer.min(axis=0)).all() and (inner.max(axis=0) < outer.max(axis=0)).all()


@pytest.mark.parametrize("tank", UNLIKE, indirect=True)
def test_seams_run_along_the_contact(tank):
    """At six points of each path the distances to both pieces together are no wider than can be welded, and somewhere
    they come within 0.3 mm."""
    import cadquery as cq

    for seam in tank.seams:
        if seam.a == seam.b:
            continue
        gaps = []
        for k in np.linspace(0, len(seam.path) - 1, 6).astype(int):
            vertex = cq.Vertex.makeVertex(*map(float, seam.path[k]))
            gaps.append(
                sum(min(vertex.distance(s) for s in near(tank, name, seam.path[k])) for name in (seam.a, seam.b))
            )
        assert max(gaps) < WELD_GAP_MM and min(gaps) < 0.3, (seam.a, seam.b, gaps)


def near(part, name, point):
    """Copies of a piece whose boxes, a little widened, hold the point."""
    found = []
    for solid in part.piece(name).solids:
        box = solid.BoundingBox()
        if all(
            getattr(box, f"{x}min") - 1 <= p <= getattr(box, f"{x}max") + 1 for x, p in zip("xyz", point, strict=True)
        ):
            found.append(solid)
    return found


@pytest.mark.parametrize("tank", UNLIKE, indirect=True)
def test_pieces_meet_only_where_they_are_joined(tank):
    for (a, i, s), (b, j, t) in itertools.combinations(copies(tank), 2):
        if not apart(s, t) and frozenset((a, b)) not in tank.joined:
            assert s.distance(t) > 0.1, (a, i, b, j)


def test_everything_that_stays_hangs_together(tank):
    """Following the welds from the shell reaches every piece but the cap and the plug."""
    known, grown = {"shell"}, True
    while grown:
        more = {n for s in tank.seams if {s.a, s.b} & known for n in (s.a, s.b)} - known
        known, grown = known | more, bool(more)
    assert {p.name for p in tank.pieces} - known == {"filler_cap", "drain_plug"}
    assert all(p.loose for p in tank.pieces if p.name not in known)


def test_cavity_is_the_gross_inside(tank):
    d = tank.dimensions
    assert tank.cavity.isValid()
    assert tank.cavity.Volume() == pytest.approx(d.area * d.height + below_shell(d), rel=1e-9)
    assert tank.cavity.intersect(tank.piece("shell").solids[0]).Volume() < KERNEL_MM3
    assert tank.cavity.BoundingBox().zmin == pytest.approx(d.outlet.mouth)


def test_metal_in_the_oil_space_was_reckoned_right(tank):
    """Kernel intersection of every piece with the cavity against the closed forms that sized the tank."""
    measured = sum(x.Volume() for _, _, s in copies(tank) for x in tank.cavity.intersect(s).Solids())
    assert measured == pytest.approx(sum(v for *_, v in displaced(tank.dimensions)), rel=0.03)


def test_oil_fits_and_headspace_is_left(tank):
    """Cavity cut at the full mark, less the metal that the kernel finds under it."""
    import cadquery as cq

    d = tank.dimensions
    big = 4 * (d.height + d.inside_radius)
    under = cq.Solid.makeBox(big, big, big, cq.Vector(-big / 2, -big / 2, tank.full_mark - big))
    oil = tank.cavity.intersect(under)
    metal = sum(x.Volume() for _, _, s in copies(tank) for x in oil.intersect(s).Solids())
    held = oil.Volume() - metal
    inside = sum(x.Volume() for _, _, s in copies(tank) for x in tank.cavity.intersect(s).Solids())
    total = tank.cavity.Volume() - inside
    assert held == pytest.approx(tank.oil * 1e9 * 1.005, rel=5e-4)
    assert held >= tank.oil * 1e9
    assert 1 - held / total >= 0.25 - 1e-4


def test_it_meshes_to_one_welded_body():
    """The joined mesh is closed: the tank, its cap and its plug; the oil space is the cavity less the metal."""
    from generators.meshes import part_meshes

    tank = reservoir.part(reservoir.dimension(parameters(baffles=1)))
    meshes = part_meshes(tank)
    assert meshes.joined.is_watertight and meshes.oil_space.is_watertight
    assert len(meshes.fixed.split()) == 1 and len(meshes.joined.split()) == 3
    metal = sum(v for *_, v in displaced(tank.dimensions))
    assert meshes.oil_space.volume == pytest.approx(tank.cavity.Volume() - metal, rel=1e-3)


def test_mouth_is_the_rim_of_the_lowest_oil(tank):
    (mouth,) = tank.mouths
    assert mouth.name == "outlet" and mouth.rim.shape[1] == 3
    assert np.ptp(mouth.rim[:, 2]) == 0 and mouth.rim[0, 2] == pytest.approx(tank.cavity.BoundingBox().zmin)
    assert np.hypot(mouth.rim[:, 0], mouth.rim[:, 1]) == pytest.approx(tank.dimensions.outlet.bore_radius)


def test_it_drains_to_the_last_drop(tank):
    """No piece stands as a dam round the outlet: from the shell's corner inwards the way down never rises."""
    d = tank.dimensions
    radii = [d.inside_radius, d.cone_foot, d.outlet.funnel_radius, d.outlet.bore_radius]
    heights = [0.0, d.surface(d.cone_foot), d.outlet.top, d.outlet.mouth]
    assert (np.diff(radii) < 0).all() and (np.diff(heights) <= 1e-9).all()


def test_return_and_breather_stand_above_the_oil(tank):
    d = tank.dimensions
    lowest = tank.piece("inlet_tube").solids[0].BoundingBox().zmin
    assert lowest > d.full_mark and d.height - d.top.shield_depth > d.full_mark + 25


def test_return_runs_along_the_wall(tank):
    """Its bore ends 0.75 mm short of the wall, and its hole lies within the tube's weld all round."""
    import shapely

    from generators.sheet.branches import developed_hole, round_angles

    d = tank.dimensions
    i = d.inlet
    assert i.offset + i.bore == pytest.approx(d.inside_radius - 0.75)
    phi = round_angles(360)
    hole = developed_hole(i.branch(i.bore), phi, mean_radius=d.mean_radius)
    foot = developed_hole(i.branch(i.radius), phi, mean_radius=d.outside_radius)
    foot[:, 1] += developed_hole(i.branch(i.bore), phi, mean_radius=d.mean_radius)[:, 1].mean() - foot[:, 1].mean()
    scale = np.array([d.outside_radius, 1.0])
    assert shapely.Polygon(foot * scale).contains(shapely.Polygon(hole * scale))


def test_oil_enters_anticlockwise_seen_from_above(tank):
    i = tank.dimensions.inlet
    way_in = -np.array([math.cos(i.azimuth), math.sin(i.azimuth)])
    at = i.offset * np.array([-math.sin(i.azimuth), math.cos(i.azimuth)])
    assert at[0] * way_in[1] - at[1] * way_in[0] > 0


@pytest.mark.parametrize(
    "given, key, word",
    [
        ({"inlet_bore": 70.0}, "reservoir.inlet_bore", "along the wall"),
        ({"inlet_bore": 40.0}, "reservoir.inlet_bore", "smaller bore"),
        ({"inlet_bore": 28.0, "diameter": 100.0}, "reservoir.inlet_bore", "filler"),
        ({"outlet_bore": 60.0}, "reservoir.outlet_bore", "smaller bore"),
        ({"outlet_bore": 6.0}, "reservoir.outlet_bore", "larger outlet_bore"),
        ({"diameter": 60.0, "oil_volume": 1e-3}, "reservoir.outlet_bore", "too wide"),
        ({"diameter": 400.0}, "reservoir.diameter", "smaller diameter"),
        ({"diameter": 1500.0, "oil_volume": 1.0}, "reservoir.diameter", "no stock plate"),
        ({"headspace": 0.05}, "reservoir.headspace", "more headspace"),
        ({"thickness": 6.0, "bend_radius": 9.0}, "sheet.thickness", "thinner sheet"),
        ({"bend_radius": 40.0}, "sheet.bend_radius", "shield"),
    ],
)
def test_what_cannot_be_made_is_refused_with_key_and_remedy(given, key, word):
    with pytest.raises(ValueError, match=word) as caught:
        reservoir.dimension(parameters(**given))
    assert str(caught.value).startswith(f"{key}: ")


def test_oil_volume_falls_back_on_the_engines():
    d = reservoir.dimension(parameters(oil_volume=None))
    assert d.oil == 5.5e-3 and "oil.volume" in {s.key: s.because for s in d.sized}["reservoir.oil_volume"]


def test_open_diameter_gives_a_tank_two_to_three_times_as_tall_as_wide():
    for litres in (1, 3, 8, 25):
        small = {"inlet_bore": 12.0, "outlet_bore": 12.0, "thickness": 1.5, "bend_radius": 2.0}
        d = reservoir.dimension(parameters(oil_volume=litres * 1e-3, diameter=None, **small))
        assert 2 <= (d.height + d.cone_depth) / (2 * d.inside_radius) <= 3


def test_every_choice_has_a_reason():
    d = reservoir.dimension(parameters(diameter=None))
    keys = {s.key for s in d.sized}
    assert {
        "reservoir.height",
        "reservoir.diameter",
        "reservoir.full_mark",
        "reservoir.top_thickness",
        "reservoir.outlet.size",
    } <= keys
    assert all(s.because and s.value for s in d.sized)
    assert {s.key: s.value for s in d.sized}["reservoir.height"] == f"{d.height:.1f} mm"


def test_more_headspace_makes_a_taller_tank_and_more_oil_lifts_the_mark():
    usual, airy, full = (reservoir.dimension(parameters(**g)) for g in ({}, {"headspace": 0.35}, {"oil_volume": 9e-3}))
    assert airy.height > usual.height and airy.full_mark == pytest.approx(usual.full_mark, abs=1)
    assert full.full_mark - usual.full_mark == pytest.approx(1.005e6 / usual.area, abs=0.5)
    assert displaced_below(usual, usual.full_mark) < sum(v for *_, v in displaced(usual))


def test_a_long_coped_tube_is_sound():
    """The kernel left to itself is 2.5 % off its volume, which is no fault of the tube."""
    from generators.checks.solids import fault
    from generators.meshes import solid_mesh
    from generators.parts.reservoir import turned

    tube = turned.inlet_tube_solid(reservoir.dimension(parameters(oil_volume=40e-3, diameter=None)))
    assert fault(tube, solid_mesh(tube)) == ""


def test_the_shield_of_a_thick_sheet_is_as_wide_as_its_bends_need():
    """V + 2 t over two bends, V = 8 t (common practice): 8 t between the walls."""
    d = reservoir.dimension(parameters(inlet_bore=10.0, thickness=3.0, bend_radius=4.5))
    assert d.top.shield_width >= 8 * 3.0 - 1e-9
