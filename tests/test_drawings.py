"""Workshop drawings: sheets by the standard, views by closed forms, figures true to the model, nothing written over anything else."""

import math

import numpy as np
import pytest
from pdf_lines import lines, pages, size
from sample_parts import bracket, trough
from shapely.geometry import LineString
from small_parts import block, bored_block, part_of, sheet_piece, solid_piece
from small_parts import plate as flat_plate

from configs import changed, read, region
from generators.drawings import part_drawing
from generators.drawings.dimensions import dimension, figure, hatching
from generators.drawings.frame import FIRST_ANGLE, THIRD_ANGLE, scale_words, space, symbol_parts, usual_scale
from generators.drawings.layout import END, MAIN, PLAN, SECTION, lay_out
from generators.drawings.mounts import mounting_holes
from generators.drawings.numbers import draw_numbers
from generators.drawings.sheet import FROM_ABOVE, FROM_FRONT, FROM_REAR, FROM_RIGHT, draw_views, shown
from generators.drawings.tables import fittings_table, places_table
from generators.drawings.views import Side, cut, meshed_view, view
from generators.outlines import circle
from generators.paper.pages import Pages, broken, text_width
from generators.paper.sizes import paper
from generators.parts import deep_pan, gate_baffle, reservoir, scavenge_pan, windage_scraper
from generators.shop.rail_holes import bolt_holes


def length(lines) -> float:
    return sum(float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum()) for line in lines)


def made(module, config="bench_mockup"):
    p = read(config).parameters
    return module.part(module.dimension(p, region(p)))


# ---------------------------------------------------------------- the sheet


@pytest.mark.parametrize("name, wide, high", [("A4", 180, 277), ("A3", 390, 277), ("A2", 564, 400), ("A1", 811, 574), ("A0", 1159, 821)])
def test_drawing_space_of_a_sheet(name, wide, high):
    """ISO 5457: border 20 mm on the left, 10 on the other sides (derived from the border rule, which is from memory)."""
    lying = paper(name).portrait() if name == "A4" else paper(name).landscape()
    x0, y0, x1, y1 = space(lying)
    assert (x0, y0, x1 - x0, y1 - y0) == (20, 10, wide, high)


def test_scales():
    """ISO 5455: 1, 2 and 5 times powers of ten."""
    assert [usual_scale(s) for s in (0.99, 0.5, 0.49, 0.21, 0.1, 3.0, 7.0)] == [0.5, 0.5, 0.2, 0.2, 0.1, 2.0, 5.0]
    assert [scale_words(s) for s in (0.5, 1.0, 2.0, 0.1)] == ["1:2", "1:1", "2:1", "1:10"]
    with pytest.raises(ValueError, match="usual scale"):
        usual_scale(1e-4)


def test_the_projection_symbol():
    """ISO 5456-2: first angle shows the circles beyond the cone's large end, third angle beyond its small one (derived: both circles are in sight only
    from the small end, and first angle puts what is seen from the left on the right)."""
    for projection, far in ((FIRST_ANGLE, "large"), (THIRD_ANGLE, "small")):
        cone, circles = symbol_parts(projection)
        half = {x: np.ptp(cone[cone[:, 0] == x, 1]) / 2 for x in set(cone[:, 0])}
        nearest = min(half, key=lambda x: abs(x - circles[0]))
        assert (half[nearest] == max(half.values())) == (far == "large")


@pytest.mark.parametrize("projection", [FIRST_ANGLE, THIRD_ANGLE])
def test_views_stand_where_the_projection_puts_them(projection):
    sizes = {MAIN: (400, 60), END: (240, 60), PLAN: (400, 240), SECTION: (240, 60)}
    found = lay_out(sizes, paper("A2").landscape(), projection)
    c = found.corners
    assert not found.in_a_row and found.scale == 0.5 and c[MAIN][0] == c[PLAN][0] and c[MAIN][1] == c[END][1] and c[END][0] > c[MAIN][0]
    assert (c[PLAN][1] < c[MAIN][1]) == (projection == FIRST_ANGLE)


def test_what_is_seen_from_where():
    """Right-handed: what lies right, up and towards the eye."""
    for side in (FROM_RIGHT, FROM_ABOVE, FROM_REAR, FROM_FRONT):
        assert np.cross(side.right, side.up) == pytest.approx(np.array(side.towards))
    assert FROM_RIGHT.up == pytest.approx((0, 0, 1)) and FROM_REAR.right == (0, -1, 0) and FROM_FRONT.right == (0, 1, 0)


# ---------------------------------------------------------------- views


def test_a_box_in_sight_and_behind():
    """A box of 30 x 20 x 10 mm: a rectangle from the front; from a corner nine edges in sight, three behind, 4 (a + b + c) of each kind foreshortened."""
    seen = view([block((0, 0, 0), (30, 20, 10))], FROM_RIGHT)
    assert seen.box == pytest.approx((0, 0, 30, 10)) and length(seen.visible) == pytest.approx(2 * (30 + 10))
    third = 1 / math.sqrt(3)
    corner = Side("corner", (third, -third, third), (1 / math.sqrt(2), 1 / math.sqrt(2), 0.0))
    seen = view([block((0, 0, 0), (30, 20, 10))], corner)
    short = math.sqrt(2 / 3)
    assert length(seen.visible) == pytest.approx(3 * 60 * short) and length(seen.hidden) == pytest.approx(60 * short)


def test_a_bored_box():
    """From above its outline and the hole's circle; from the side the bore's two edges hidden."""
    solid = bored_block((0, 0, 0), (40, 40, 10), radius=8)
    above = view([solid], FROM_ABOVE)
    assert length(above.visible) == pytest.approx(160 + 2 * math.pi * 8, rel=2e-3)
    side = view([solid], FROM_RIGHT)
    assert length(side.visible) == pytest.approx(100)
    upright = [line for line in side.hidden if np.ptp(line[:, 0]) < 1e-6 and 1 < line[:, 0].mean() < 39]
    assert sorted({round(float(line[:, 0].mean()), 6) for line in upright}) == [12.0, 28.0]


def test_the_quick_way_sees_the_same():
    solid = bored_block((0, 0, 0), (40, 40, 10), radius=8)
    exact, quick = view([solid], FROM_ABOVE, hidden=False), meshed_view([solid], FROM_ABOVE)
    assert quick.box == pytest.approx(exact.box) and length(quick.visible) == pytest.approx(length(exact.visible), rel=5e-3)


def test_a_cut_through_a_bored_box():
    """At 2 mm off the middle the bore is 2 sqrt(8^2 - 2^2) mm wide: two faces of 10 mm height."""
    faces = cut([bored_block((0, 0, 0), (40, 40, 10), radius=8), block((60, 0, 0), (70, 40, 10)), block((60, 60, 0), (70, 70, 10))], FROM_RIGHT, -22.0)
    chord = 2 * math.sqrt(64 - 4)
    assert sorted(n for n, _, _ in faces) == [0, 0, 1]
    areas = sorted(np.ptp(ring[:, 0]) * np.ptp(ring[:, 1]) for n, ring, _ in faces if n == 0)
    assert sum(areas) == pytest.approx(10 * (40 - chord))


def test_hatching_covers_the_metal_alone():
    """Lines p mm apart over an area A are A / p mm long in all, but for their ends."""
    square, hole = np.array([(0, 0), (40, 0), (40, 40), (0, 40)], float), np.array([(10, 10), (30, 10), (30, 30), (10, 30)], float)
    lines = hatching(square, [hole], pitch=0.5, lean=math.pi / 4, shift=0.3)
    assert length(lines) == pytest.approx((1600 - 400) / 0.5, rel=0.02)
    assert all(not (11 < p[0] < 29 and 11 < p[1] < 29) for line in lines for p in line)


# ---------------------------------------------------------------- figures


def test_figures():
    assert [figure(v) for v in (420.0, 64.94, 0.05, 12.96)] == ["420", "64.9", "0.1", "13"]
    assert dimension(1, (3, 5), (9, 17.25)).said == "12.2" and dimension(0, (3, 5), (9, 17)).value == 6


@pytest.fixture(scope="session")
def drawn():
    """Drawings of parts of every kind."""
    found = {}
    for module, config in ((scavenge_pan, "bench_mockup"), (windage_scraper, "bench_mockup"), (reservoir, "bench_mockup"), (deep_pan, "club_vee_eight"),
                           (gate_baffle, "club_vee_eight")):
        part = made(module, config)
        found[part.name] = part, part_drawing(part, read(config).parameters, number=1, of=3)
    return found


def test_what_is_written_is_what_the_solids_measure(drawn):
    """Overall sizes from the exact boxes of all solids, by the kernel's own other way."""
    for part, drawing in drawn.values():
        boxes = [s.BoundingBox() for p in part.pieces for s in p.solids]
        size_ = [max(getattr(b, f"{axis}max") for b in boxes) - min(getattr(b, f"{axis}min") for b in boxes) for axis in "xyz"]
        assert [d.said for d in drawing.dimensions[:3]] == [figure(s) for s in size_], part.name
        for d in drawing.dimensions:
            assert float(d.said) == pytest.approx(d.value, abs=0.05) and any(w.said == d.said for w in drawing.pages[0].words)


def test_nothing_is_written_over_anything_else(drawn):
    for name, (_, drawing) in drawn.items():
        assert [page.overlapping() for page in drawing.pages if page.overlapping()] == [], name


def test_sheets_are_as_asked_and_say_what_they_are(drawn):
    for part, drawing in drawn.values():
        found = pages(drawing.pdf)
        assert size(found[0]) == pytest.approx((594, 420), abs=0.01) and all(size(p) == pytest.approx((210, 297), abs=0.01) for p in found[1:])
        for i, page in enumerate(drawing.pages, start=1):
            said = {w.said for w in page.words}
            assert {part.name, f"{i} of {len(found)}", scale_words(drawing.scale), f"{part.mass:.3f} kg"} <= said and "first angle projection" in said
            x0, y0, x1, y1 = space(page.paper)
            assert all(x0 <= w.ground.bounds[0] and w.ground.bounds[2] <= x1 and y0 <= w.ground.bounds[1] and w.ground.bounds[3] <= y1 for w in page.words)


def test_the_bolt_table_is_the_flange(drawn):
    part, drawing = drawn["scavenge_pan"]
    found = bolt_holes(part)
    assert np.array(sorted(f[:2] for f in found)) == pytest.approx(np.array(sorted(part.dimensions.bolts))) and {round(f[2], 2) for f in found} == {6.6}
    first = min(found, key=lambda f: f[0] - f[1])
    assert found[0] == first, "from the rear on the left"
    middle = np.mean([f[:2] for f in found], axis=0)
    angles = np.unwrap([math.atan2(f[1] - middle[1], f[0] - middle[0]) for f in found])
    assert (np.diff(angles) < 0).all(), "clockwise from above"
    words = [w.said for page in drawing.pages[1:] for w in page.words]
    for i, (x, y, d) in enumerate(found, start=1):
        assert {str(i), f"{x:.2f}", f"{y:.2f}", f"{d:.2f}"} <= set(words)
    assert {str(i) for i in range(1, len(found) + 1)} <= {w.said for w in drawing.pages[0].words}


def test_general_tolerances_and_those_of_the_holes_are_told(drawn):
    """ISO 2768 m and c, ISO 13920 A and E (secondary copies) up to the size of the part; holes of ISO 273 for M6: half of 0.6 mm."""
    words = {name: [w.said for page in drawing.pages[1:] for w in page.words] for name, (_, drawing) in drawn.items()}
    for name in ("scavenge_pan", "deep_pan", "reservoir"):
        at = words[name].index("120 to 400")
        assert words[name][at + 1:at + 5] == ["0.5", "1.2", "1", "1"], name
    at = words["windage_scraper"].index("120 to 400")
    assert words["windage_scraper"][at + 1] == "0.5" and "Bent, ±" not in words["windage_scraper"] and "Welded, ±" not in words["windage_scraper"]
    (flange,) = drawn["scavenge_pan"][0].piece("flange").solids
    assert ("400 to 1000" in words["scavenge_pan"]) == (flange.BoundingBox().xlen > 400)
    assert any("within a round of 0.30 mm" in w for w in words["scavenge_pan"]) and not any("within a round" in w for w in words["reservoir"])
    assert any("up to 50 mm ±1°" in w for w in words["reservoir"])


def test_nothing_in_a_table_is_cut_off(drawn):
    """All of what stands in a note reaches the paper, in as many lines as it takes."""
    for part, drawing in drawn.values():
        said = " ".join(w.said for page in drawing.pages[1:] for w in page.words)
        assert "…" not in said
        for piece in part.pieces:
            if piece.kind == "turned" and not piece.loose:
                assert " ".join(piece.note.split()) in said, piece.name


def test_words_are_broken_where_they_do_not_fit():
    lines = broken("one two three four", text_width("two three", 2.3) + 0.01, 2.3)
    assert len(lines) == 3 and all(text_width(line, 2.3) <= text_width("two three", 2.3) + 0.01 for line in lines)
    assert " ".join(lines) == "one two three four"
    pieces = broken("a falling_side_screen", text_width("falling_side", 2.3), 2.3)
    assert pieces == ["a", "falling_", "side_screen"] or pieces[0] == "a" and "".join(pieces[1:]) == "falling_side_screen"
    assert "".join(broken("immeasurable", 5.0, 2.3)) == "immeasurable" and all(text_width(line, 2.3) <= 5 for line in broken("immeasurable", 5.0, 2.3))
    assert broken("", 5.0) == [""]


def test_the_brackets_holes_are_dimensioned_and_in_the_table(drawn):
    """Against the round edges that the kernel finds in the folded solids."""
    part, drawing = drawn["reservoir"]
    rounds = {tuple(round(v, 1) for v in e.arcCenter().toTuple()[1:]) for s in part.piece("bracket").solids for e in s.Edges()
              if e.geomType() == "CIRCLE" and e.radius() == pytest.approx(part.dimensions.brackets.hole / 2)}
    ys, zs = sorted({y for y, _ in rounds}), sorted({z for _, z in rounds})
    assert len(ys) == len(zs) == 2 and len(mounting_holes(part)) == 4
    assert {figure(ys[1] - ys[0]), figure(zs[1] - zs[0])} <= {d.said for d in drawing.dimensions}
    assert {(round(h.middle[1], 1), round(h.middle[2], 1)) for h in mounting_holes(part)} == rounds
    rows = [r for r in fittings_table(part).rows if r[0] == "bracket, hole"]
    assert {(float(y), float(z)) for _, _, y, z, _ in rows} == rounds


def test_every_sheet_piece_has_its_place_in_a_table(drawn):
    """Heights of the tank's baffles are those that its dimensions ask for; of a single plate nothing is told."""
    part, drawing = drawn["reservoir"]
    rows = [r for r in places_table(part).rows if r[0] == "baffle"]
    assert [float(r[5]) for r in rows] == pytest.approx(part.dimensions.baffles.heights, abs=0.051)
    cone, d = next(r for r in places_table(part).rows if r[0] == "base_cone"), part.dimensions
    assert [float(v) for v in cone[1:5]] == pytest.approx([-float(cone[2]), float(cone[2])] * 2, abs=0.051), "round"
    assert d.inside_radius < float(cone[2]) <= d.outside_radius + 0.05 and cone[6] == "0.0"
    assert any(w.said.startswith("Where sheet pieces stand") for page in drawing.pages for w in page.words)
    assert places_table(drawn["windage_scraper"][0]) is None


@pytest.mark.parametrize("paper_", ["A2", "A4"])
def test_numbers_of_bolts_stand_clear_of_lines(paper_):
    part = made(scavenge_pan, "bench_mockup")
    what = shown(part, "first angle")
    page = Pages("x").page(paper(paper_).landscape())
    layout = draw_views(page, part, what, "first angle", paper_).layout
    lines = [LineString((np.array(points) - what.views[PLAN].box[:2]) * layout.scale + layout.corners[PLAN]) for points in what.views[PLAN].visible]
    before = len(page.words)
    assert draw_numbers(page, part, what, layout) == len(bolt_holes(part))
    numbers = page.words[before:]
    assert [w.said for w in numbers if any(w.ground.intersects(line) for line in lines)] == []


def test_a_part_without_a_place_under_this_engine_says_so_on_its_drawing():
    p = read("bench_mockup").parameters
    said = " ".join(w.said for page in part_drawing(trough(), p, number=1, of=1, note="Not for this engine as it stands.").pages for w in page.words)
    assert "Not for this engine as it stands." in said


def test_keys_act():
    part = bracket()
    p = changed("bench_mockup", drawings={"paper": "A3", "projection": "third angle", "owner": "Nobody's works", "drawn_by": "A. N. Other", "revision": "C"})
    drawing = part_drawing(part, p, number=2, of=2)
    said = {w.said for w in drawing.pages[0].words}
    assert {"third angle projection", "Nobody's works", "A. N. Other", "C", "2 of 2", "from the front"} <= said and "from the rear" not in said
    assert size(pages(drawing.pdf)[0]) == pytest.approx((420, 297), abs=0.01)


def test_the_same_is_written_every_time():
    p = read("bench_mockup").parameters
    assert part_drawing(trough(), p, number=1, of=1).pdf == part_drawing(trough(), p, number=1, of=1).pdf


def test_hidden_edges_are_drawn_of_a_plain_part():
    part = part_of(solid_piece("block", bored_block((0, 0, 0), (40, 40, 10), radius=8)))
    plain = part_of(solid_piece("block", block((0, 0, 0), (40, 40, 10))))
    p = read("bench_mockup").parameters
    assert len(part_drawing(part, p, number=1, of=1).pdf) > len(part_drawing(plain, p, number=1, of=1).pdf) + 200


def test_a_part_too_large_for_the_paper_takes_a_larger_one():
    """Of 20,000 x 12,000 mm three views stand on A4 at no usual scale: there is too little room beside the title block."""
    part = part_of(sheet_piece("roof", flat_plate(20_000, 12_000, circle(x=50, y=50, radius=20))))
    drawing = part_drawing(part, changed("bench_mockup", drawings={"paper": "A4"}), number=1, of=1)
    assert max(size(pages(drawing.pdf)[0])) > 297.1 and drawing.scale in (0.01, 0.02)
    part = part_of(sheet_piece("roof", flat_plate(190_000, 180_000, circle(x=50, y=50, radius=20))))
    with pytest.raises(ValueError, match="usual scale"):
        part_drawing(part, changed("bench_mockup", drawings={"paper": "A0"}), number=1, of=1)


def test_no_dimension_runs_through_the_name_of_a_view(drawn):
    """A tank's outlet lies in its middle, over the name of its main view: straight strokes as they come out on paper."""
    part, drawing = drawn["reservoir"]
    assert part.name == "reservoir"
    found = lines(pages(drawing.pdf)[0])
    for name in ("from the right", "from the rear", "from above"):
        (word,) = (w for w in drawing.pages[0].words if w.said == name)
        ground = word.ground.buffer(-0.05)
        assert not [line for line in found if LineString(line).intersects(ground)], name
