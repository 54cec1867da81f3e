"""What the shop and the buyer are told: welds in an order that can be done, screws that reach, lists that a spreadsheet reads."""

import csv

import pytest
from sample_parts import bracket, trough
from small_parts import part_of, sheet_piece, solid_piece
from small_parts import plate as flat_plate

from configs import changed, read, region
from generators.exports import shop_lists
from generators.mockup import splitting
from generators.parts import scavenge_pan, windage_scraper
from generators.pieces import Piece
from generators.shop.bolting import bolt_steps
from generators.shop.hardware import ROD_MM, hardware, rods
from generators.shop.pack import astray_note, pack
from generators.shop.welding import STAGES, weld_lengths, weld_steps


@pytest.fixture(scope="module")
def pan():
    p = read("bench_mockup").parameters
    return scavenge_pan.part(scavenge_pan.dimension(p, region(p)))


@pytest.fixture(scope="module")
def scraper():
    p = read("bench_mockup").parameters
    return windage_scraper.part(windage_scraper.dimension(p, region(p)))


def test_every_seam_stands_once_in_the_order_of_the_stages(pan):
    steps = weld_steps(pan)
    assert sum(s.seams for s in steps) == len(pan.seams) and sum(s.length for s in steps) == pytest.approx(sum(s.length for s in pan.seams))
    order = [list(STAGES).index(s.stage) for s in steps]
    assert order == sorted(order) and [s.order for s in steps] == list(range(1, len(steps) + 1))
    tight, stitched = weld_lengths(steps)
    assert tight == pytest.approx(sum(s.length for s in pan.seams if s.leak_tight)) and stitched > 0


def test_bosses_and_what_is_inside_come_before_the_flange(pan):
    stage = {frozenset((s.a, s.b)): s.stage for s in weld_steps(pan)}
    assert stage[frozenset(("divider", "trough"))] == "inside" and stage[frozenset(("flange", "trough"))] == "flange"
    assert stage[frozenset(("drain_boss", "trough"))] == "bosses" and stage[frozenset(("port_boss", "pickup_tube"))] == "pickups"
    assert stage[frozenset(("trough", "end_plate"))] == "closing"


def test_a_welded_bracket():
    (step,) = weld_steps(bracket())
    assert (step.a, step.b, step.length, step.stage) == ("angle", "base", 80.0, "closing")


@pytest.mark.parametrize("size, flange, words", [
    ("M6", 8.0, "M6 x 20 socket head cap screw (ISO 4762): 8.0 mm clamped (flange), washer 1.6 mm, 10.4 mm in the block (1.7 d)"),
    ("M8", 9.525, "M8 x 25 socket head cap screw (ISO 4762): 9.5 mm clamped (flange), washer 1.6 mm, 13.9 mm in the block (1.7 d)"),
    ("M6", 90.0, "longer than a usual screw"),
])
def test_the_pans_bolts_reach_one_and_a_half_diameters_deep(size, flange, words):
    one = part_of(sheet_piece("flange", flat_plate(100, 60), thickness=flange))
    named = type(one)("scavenge_pan", one.pieces, None)
    found = {b.name: b for b in hardware([named], bolts=22, size=size)}
    assert words in found["pan_bolt"].note and found["pan_bolt"].quantity == 22
    assert ("pan_washer" in found) == (flange < 80)


def test_the_scraper_is_clamped_too_and_bought_pieces_are_listed(pan, scraper):
    together = {b.name: b for b in hardware([pan, scraper], bolts=20, size="M6")}
    assert "11.0 mm clamped" in together["pan_bolt"].note and together["drain_plug"].part == "scavenge_pan"
    assert "(flange and scraper)" in together["pan_bolt"].note and together["pan_seal"].quantity == 2 and together["hose_end"].quantity == len(pan.dimensions.pickups)
    alone = {b.name: b for b in hardware([pan], bolts=20, size="M6")}
    assert "8.0 mm clamped (flange)" in alone["pan_bolt"].note and alone["pan_seal"].quantity == 1
    own = {b.name: b for b in hardware([scraper], bolts=20, size="M6")}
    assert own.keys() == {"longer_bolt", "pan_seal"} and own["longer_bolt"].quantity == 20, "the engine's own bolts have to pass the scraper too"
    assert "longer by 3.0 mm" in own["longer_bolt"].note and own["pan_seal"].quantity == 2
    assert hardware([scraper], bolts=20, size="M6", elsewhere=("windage_scraper",)) == ()
    assert not any("pan_bolt" == b.name for b in hardware([pan], bolts=20, size="M6", elsewhere=("scavenge_pan",)))


def test_what_is_bolted_up_is_tried_dry_before_it_is_sealed(pan, scraper):
    bought = hardware([pan, scraper], bolts=20, size="M6")
    steps = bolt_steps([pan, scraper], bought)
    assert [s.part for s in steps] == ["scavenge_pan"] * 3 and "leak test" in steps[0].what
    assert "windage_scraper between it and the block: all 20 bolts by hand" in steps[1].what and "2 joints sealed, 20 bolts" in steps[2].what
    (alone,) = bolt_steps([scraper], hardware([scraper], bolts=20, size="M6"))
    assert "engine's own pan" in alone.what
    assert bolt_steps([pan], bought, elsewhere=["scavenge_pan"]) == ()


def test_what_has_no_place_under_this_engine_says_so():
    parameters = read("bench_mockup").parameters
    cell = type(bracket())("gate_baffle", bracket().pieces, None)
    packed = pack(parameters, [cell, bracket()], elsewhere=("gate_baffle",))
    assert "deep pan" in astray_note(packed, "gate_baffle") and astray_note(packed, "sample") == ""


@pytest.mark.parametrize("grain, free", [("length", False), ("none", True)])
def test_the_flats_tell_of_the_grain_that_the_file_asks_for(grain, free):
    packed = pack(changed("bench_mockup", sheet={"grain": grain}), [bracket()])
    said = {f.piece.name: " ".join(f.whole.split()) for f in packed.files["bracket"]}
    assert ("grain free" in said["angle"], "longest" in said["angle"]) == (free, not free)


def test_the_dowels_of_a_mock_up_are_cut_from_rod():
    (dowel,) = rods(4.0, 6)
    assert dowel.quantity == 6 and "4 mm rod cut 17 mm long, 114 mm in all" in dowel.note and rods(4.0, 0) == ()
    assert (ROD_MM + 1) / 2 == splitting.DOWEL_DEPTH_MM
    assert dowel in pack(read("bench_mockup").parameters, [bracket()], bought=[dowel]).bought


def test_the_lists_hold_every_bend_seam_and_thing_to_buy(tmp_path):
    parts = (bracket(), trough(), part_of(Piece("plug", "bought", "5052-H32", 2680.0, solid_piece("x", *bracket().piece("pin").solids).solids, note="M14")))
    made = pack(read("bench_mockup").parameters, parts)
    files = {key: tmp_path / "shop" / f"{key}.csv" for key in ("bends", "seams", "hardware")}
    shop_lists.write(parts, made, **files)
    rows = {key: list(csv.DictReader(file.open())) for key, file in files.items()}
    first = rows["bends"][0]
    assert (first["piece"], first["step"], first["gauge_mm"]) == ("angle", "1", "33.0")
    assert len(rows["bends"]) == 3 and {r["die_mm"] for r in rows["bends"]} == {"12"}
    assert tuple(rows["seams"][0][k] for k in ("a", "b", "length_mm", "kind")) == ("angle", "base", "80", "leak-tight")
    assert all(r["how"] == STAGES[r["stage"]] for r in rows["seams"])
    assert rows["hardware"] == [{"part": "sample", "item": "plug", "quantity": "2", "what": "M14"}]
