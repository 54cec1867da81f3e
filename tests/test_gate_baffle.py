"""The gate baffle: plates put together, the cell over its floor, sizes that do not fit."""

import itertools
import math
import random
from types import SimpleNamespace

import cadquery as cq
import manifold3d
import numpy as np
import pytest
import trimesh
from gate_baffle_cases import CASES, MEET_MM, REGION, Built, apart, case, given, near_boxes

from generators.meshes import part_meshes
from generators.parts.gate_baffle import dimension
from generators.parts.gate_baffle.reasons import needed_area, through_area


@pytest.fixture(scope="module", params=list(CASES))
def built(request) -> Built:
    return case(request.param)


@pytest.fixture(scope="module")
def usual() -> Built:
    return case("usual")


def metal(mesh: trimesh.Trimesh) -> manifold3d.Manifold:
    return manifold3d.Manifold(
        manifold3d.Mesh64(np.ascontiguousarray(mesh.vertices, float), np.ascontiguousarray(mesh.faces, np.uint64))
    )


# ---------------------------------------------------------------- pieces


def test_every_copy_is_one_valid_closed_solid(built):
    for piece in built.part.pieces:
        for solid in piece.solids:
            assert (
                solid.isValid() and len(solid.Shells()) == 1 and solid.Volume() == pytest.approx(piece.volume, rel=1e-9)
            )
    assert {p.kind for p in built.part.pieces} == {"plate", "folded", "tube", "turned"}


def test_plates_weigh_their_flat_pattern(built):
    for piece in built.part.pieces:
        if piece.kind == "plate":
            assert piece.volume == pytest.approx(piece.flat.area * piece.thickness, rel=1e-9)


def test_no_piece_reaches_into_another(built):
    """Copies whose boxes meet share no metal at all: every fit in this part has play."""
    for (a, m), (b, n) in itertools.combinations(built.meshes.items(), 2):
        if near_boxes(m, n, 0):
            assert abs((metal(m) ^ metal(n)).volume()) < 1e-6, (a, b)


def test_pieces_meet_only_where_they_are_joined_or_known_to_touch(built):
    met = set()
    for (a, m), (b, n) in itertools.combinations(built.meshes.items(), 2):
        if near_boxes(m, n, MEET_MM) and apart(built.trees[a], built.trees[b]) < MEET_MM:
            met.add(frozenset((a[0], b[0])))
    assert met <= built.part.joined
    shut = built.part.joined - {frozenset(("flap", "stop"))}
    assert met == shut, f"joined but apart: {[set(p) for p in shut - met]}"


def test_welds_lie_where_both_pieces_are(built):
    for seam in built.part.seams:
        for name in (seam.a, seam.b):
            solids = cq.Compound.makeCompound(built.part.piece(name).solids)
            middles = (seam.path[1:] + seam.path[:-1]) / 2
            away = [cq.Vertex.makeVertex(*map(float, p)).distance(solids) for p in (*seam.path, *middles)]
            assert max(away) <= MEET_MM / 2, (seam.a, seam.b, name)


def test_every_copy_that_does_not_move_is_welded_to_the_rest(usual):
    """Grown from one wall along the welds, the fixed body takes in every copy that is not loose."""
    fixed = [k for k in usual.meshes if not usual.part.piece(k[0]).loose]
    links = {k: set() for k in fixed}
    for seam in usual.part.seams:
        start = cq.Vertex.makeVertex(*map(float, seam.path[0]))
        held = [
            k
            for k in fixed
            if k[0] in (seam.a, seam.b) and start.distance(usual.part.piece(k[0]).solids[k[1]]) <= MEET_MM / 2
        ]
        for a, b in itertools.permutations(held, 2):
            links[a].add(b)
    found, todo = set(), [fixed[0]]
    while todo:
        here = todo.pop()
        if here not in found:
            found.add(here)
            todo += links[here]
    assert found == set(fixed)


def test_copies_stand_symmetrically_about_the_cell(built):
    """Half a turn about the cell's middle takes the part onto itself: front is rear, left is right."""
    for piece in built.part.pieces:
        middle = np.mean([s.Center().toTuple()[:2] for s in piece.solids], axis=0)
        assert middle == pytest.approx((built.d.x, built.d.y), abs=1e-6)


# ---------------------------------------------------------------- the cell


def test_openings_are_as_asked_and_seats_overlap_all_round(built):
    d = built.d
    flap = np.array([v[:2] for v in built.part.piece("flap").flat.outer.vertices])
    for name, gates in (("end_wall", d.end_gates), ("side_wall", d.side_gates)):
        holes = [h.points for h in built.part.piece(name).flat.holes]
        openings = [h for h in holes if np.allclose(np.ptp(h, axis=0), (d.opening_width, d.opening_height))]
        assert len(openings) == len(gates)
        for hole, u in zip(openings, gates, strict=True):
            low, high = hole.min(axis=0) - (u, 0), hole.max(axis=0) - (u, 0)
            overlap = [*(low - flap.min(axis=0)), *(flap.max(axis=0) - high)]
            assert min(overlap) >= 2.0 - 1e-9


def test_walls_drain_and_stand_on_their_feet(built):
    low = {name: mesh.bounds[0, 2] - built.d.floor_z for (name, _), mesh in built.meshes.items()}
    assert low["foot"] == pytest.approx(0, abs=1e-6)
    assert 0 < low["end_wall"] <= 0.5 and 0 < low["side_wall"] <= 0.5
    assert min(v for k, v in low.items() if k != "foot") > 0


def test_lid_keeps_below_the_swing_and_lets_the_pickup_through(built):
    top = max(s.BoundingBox().zmax for p in built.part.pieces for s in p.solids)
    assert top <= REGION.lowest - 5.0
    if CASES["stainless"].sheet.material == built.d.material:
        assert built.d.wall_height == 80.0, "as asked for"
    hole = next(h.as_circle() for h in built.part.piece("lid").flat.holes if h.as_circle())
    assert hole[0] == pytest.approx((0, 0)) and hole[1] > built.d.bell / 2


def test_openings_pass_what_the_pump_draws(usual):
    """1.5 x the pickup's bore (common practice): 1.5 x pi/4 x 22^2 = 570.2 mm2; even one wall alone has it."""
    assert needed_area(usual.d) == pytest.approx(570.2, abs=0.05)
    assert through_area(usual.d) >= needed_area(usual.d)


def test_meshes_are_closed(usual):
    made = part_meshes(usual.part)
    assert made.joined.is_watertight and made.fixed.is_watertight
    assert made.joined.volume == pytest.approx(sum(p.volume * p.quantity for p in usual.part.pieces), rel=0.01)


def test_cell_stands_round_the_pickup_that_is_given():
    made = dimension(given(deep_pan=SimpleNamespace(pickup=pickup(x=90.0, y=-12.0), sump=None)), REGION)
    assert (made.x, made.y, made.floor_z, made.pickup_bore) == (90.0, -12.0, -62.0 - 120.0, 19.0)
    bare = dimension(given(deep_pan=SimpleNamespace(pickup=pickup(x=None, y=None), sump=None)), REGION)
    assert (bare.x, bare.y, bare.pickup_bore) == (210.0, 0.0, 19.0)


def pickup(*, x, y):
    return SimpleNamespace(x=x, y=y, bore=19.0, floor_gap=8.0)


def test_on_a_level_floor_walls_are_two_pieces_on_feet(built):
    """What no deep pan is known of: walls alike front and rear, left and right, level, a drain gap over the floor."""
    at = built.d.footing
    assert not at.is_scribed and at.left_edge == at.right_edge == at.end_edge[0][1] == 0.4
    assert {"end_wall", "side_wall", "foot"} <= {p.name for p in built.part.pieces}
    assert {p.quantity for p in built.part.pieces if p.name.endswith("wall")} == {2}


def test_the_compartment_is_the_cell_to_the_middle_of_its_walls(built):
    """Half a wall beyond the inside all round, 1 mm under the floor, to the middle of the lid."""
    d, box = built.d, built.part.compartment.BoundingBox()
    t = d.thickness
    assert (box.xlen, box.ylen) == pytest.approx((d.length + t, d.width + t))
    assert (box.zmin, box.zmax) == pytest.approx((d.floor_z - 1.0, d.floor_z + d.lid_top - t / 2))
    assert built.part.compartment.Volume() == pytest.approx(box.xlen * box.ylen * box.zlen)


# ---------------------------------------------------------------- what does not fit


@pytest.mark.parametrize(
    "asked, key, numbers",
    [
        (given(opening=(120.0, 40.0)), "cell.length", ("130.7", "110.0")),
        (given(gates=2), "cell.length", ("138.2", "110.0")),
        (given(angle=60.0), "open_angle", ("0.75",)),
        (given(cell=(100.0, 100.0), opening=(20.0, 40.0)), "open_angle", ("18.0", "19.5")),
        (given(angle=80.0), "open_angle", ("80.0", "70")),
        (given(floor=90.0), "opening.height", ("66.8", "50.9")),
        (given(height=50.0), "wall_height", ("50.0", "66.8")),
        (given(height=100.0), "wall_height", ("100.0", "80.9")),
        (
            given(cell=(300.0, 300.0), opening=(60.0, 160.0), angle=20.0, floor=300.0),
            "opening.height",
            ("160.0", "2 deg"),
        ),
        (given(opening=(8.0, 20.0)), "opening.width", ("12.0", "15")),
    ],
)
def test_what_does_not_fit_says_what_needs_what(asked, key, numbers):
    with pytest.raises(ValueError, match=f"gate_baffle.{key}: ") as said:
        dimension(asked, REGION)
    assert all(n in str(said.value) for n in numbers), said.value
    assert any(w in str(said.value) for w in ("lower", "narrow", "smaller", "wide", "between", "leave it out")), (
        said.value
    )


def test_any_size_either_fits_in_plan_or_is_refused():
    """400 seeded sizes: what is accepted keeps its flaps apart, off the bell and inside the walls."""
    rng, accepted = random.Random(7), 0
    for _ in range(400):
        cell = (rng.uniform(70, 200), rng.uniform(70, 200))
        asked = given(
            gates=rng.randint(1, 3),
            cell=cell,
            opening=(rng.uniform(15, 90), rng.uniform(12, 60)),
            flap=rng.uniform(0.8, 3),
            angle=rng.uniform(20, 60),
            sheet=rng.choice([1.5, 2.0, 3.0]),
            floor=rng.uniform(110, 160),
        )
        try:
            d = dimension(asked, REGION)
        except ValueError as refused:
            assert str(refused).startswith("gate_baffle.")
            continue
        accepted += 1
        assert (d.opening_width, d.opening_height) == (
            asked.gate_baffle.opening.width,
            asked.gate_baffle.opening.height,
        )
        assert max(d.end_gates) + d.window_half < d.width / 2 and max(d.side_gates) + d.window_half < d.length / 2
        assert d.lid_top + d.floor_z <= REGION.lowest - 5 + 1e-9 and d.lean >= math.radians(2)
        assert all(s.because and s.key.startswith("gate_baffle.") for s in d.sized)
    assert 40 < accepted < 360
