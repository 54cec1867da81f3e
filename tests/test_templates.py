"""Templates: tiled by the rule, true to scale in the file itself, and meeting where they are taped."""

import math

import numpy as np
import pytest
from pdf_lines import lines, pages, size
from sample_parts import bracket, trough
from shapely.geometry import box
from small_parts import part_of, sheet_piece
from small_parts import plate as flat_plate

from configs import changed, read, region
from generators.outlines import circle, flattened
from generators.paper.sizes import paper
from generators.parameters import Templates
from generators.parts import reservoir, scavenge_pan
from generators.sheet.branches import TubeEnd, mitre, round_angles, saddle
from generators.shop.rail_holes import bolt_holes
from generators.templates import part_templates, templates_of
from generators.templates.drawn import EDGE_MM, FLAP_MM, PAPER_MM, Template, Words, flat_template, wrap_template
from generators.templates.sheets import BAR_MM, MARGIN_MM, OVERLAP_MM, Tiling, sheets_along, tile_name, tiling, words_on


@pytest.mark.parametrize("name, lying, across, up", [
    ("A4", "landscape", 3, 3), ("A4", "portrait", 4, 2), ("A3", "landscape", 2, 2), ("Letter", "landscape", 3, 2)])
def test_sheets_of_620_by_380_mm(name, lying, across, up):
    """Printable page less 2 x 10 mm, overlap 10 mm: ceil((W - o) / (u - o)) (derived by hand)."""
    sheet = getattr(paper(name), lying)()
    assert (sheets_along(620, sheet.width - 20), sheets_along(380, sheet.height - 20)) == (across, up)


def test_the_way_that_takes_fewer_sheets_is_taken():
    assert (tiling(620, 380, "A4").across, tiling(620, 380, "A4").up) == (4, 2)
    assert tiling(277, 190, "A4") == Tiling(paper("A4").landscape(), 1, 1) and tiling(190, 277, "A4") == Tiling(paper("A4"), 1, 1)
    assert tiling(277.1, 190, "A4").across * tiling(277.1, 190, "A4").up == 2


def test_paper_sizes():
    """ISO 216; ANSI/ASME Y14.1 sizes A and B are 8.5 x 11 and 11 x 17 in."""
    assert [(paper(n).width, paper(n).height) for n in ("A4", "A3", "Letter", "Tabloid")] == [
        (210, 297), (297, 420), pytest.approx((8.5 * 25.4, 11 * 25.4)), pytest.approx((11 * 25.4, 17 * 25.4))]


def test_sheets_are_named_by_letters_and_numbers():
    assert [tile_name(0, 0), tile_name(2, 1), tile_name(25, 9), tile_name(26, 0)] == ["A1", "C2", "Z10", "AA1"]


@pytest.fixture(scope="module")
def large():
    """A plate of 400 x 300 mm with a hole where four sheets meet."""
    step = tiling(406, 306, "A4").step
    at = (step[0] + OVERLAP_MM / 2 - 3, step[1] + OVERLAP_MM / 2 - 3)
    part = part_of(sheet_piece("lid", flat_plate(400, 300, circle(x=at[0], y=at[1], radius=40))))
    return part, part_templates(part, read("bench_mockup").parameters)


def test_every_page_is_the_paper_asked_for_and_its_bars_measure_100_mm(large):
    _, made = large
    found = pages(made.pdf)
    assert len(found) == len(made.pages) and len(found) > 3
    for page in found:
        assert sorted(size(page)) == pytest.approx([210, 297], abs=0.01)
        drawn = lines(page)
        length = np.linalg.norm(drawn[:, 1] - drawn[:, 0], axis=1)
        for axis in (0, 1):
            along = np.abs(drawn[:, 1, axis] - drawn[:, 0, axis])
            assert np.any((np.abs(length - BAR_MM) < 0.01) & (np.abs(along - BAR_MM) < 0.01)), "one bar each way"


def test_taped_by_their_marks_the_sheets_make_the_template(large):
    """Each edge of the plate, put together from what the pages show, is as long as the plate."""
    _, made = large
    ((template, tiled, inked),) = made.templates
    assert tiled.across * tiled.up == 4 and len(inked) == 4
    offset = {tile: np.array(tiled.window(*tile)[:2]) - MARGIN_MM for tile in inked}
    edges = []
    for tile, page in zip(inked, pages(made.pdf)[1:], strict=True):
        drawn = lines(page) + offset[tile]
        edges.append({tuple(np.round(np.sort(line, axis=0).ravel(), 2)) for line in drawn if np.linalg.norm(line[1] - line[0]) > 250})
    shared = set.intersection(*edges)
    assert {(3.0, 3.0, 403.0, 3.0), (3.0, 303.0, 403.0, 303.0), (3.0, 3.0, 3.0, 303.0), (403.0, 3.0, 403.0, 303.0)} <= shared
    assert (template.width, template.height) == pytest.approx((406, 306))


def test_marks_of_neighbouring_sheets_lie_over_each_other(large):
    _, made = large
    ((_, tiled, inked),) = made.templates
    crosses = {}
    for tile, page in zip(inked, pages(made.pdf)[1:], strict=True):
        drawn = lines(page)
        short = drawn[np.abs(np.linalg.norm(drawn[:, 1] - drawn[:, 0], axis=1) - 6.0) < 1e-3]
        crosses[tile] = {tuple(np.round(p, 2)) for p in short.mean(axis=1) + np.array(tiled.window(*tile)[:2]) - MARGIN_MM}
    assert all(len(c) >= 4 for c in crosses.values())
    for a, b in (((0, 0), (1, 0)), ((0, 0), (0, 1)), ((1, 1), (1, 0)), ((1, 1), (0, 1))):
        assert len(crosses[a] & crosses[b]) >= 2


def test_a_sheet_with_nothing_on_it_is_not_printed():
    corner = flat_plate(500, 10)
    l_shape = type(corner)(type(corner.outer)(((0, 0, 0), (500, 0, 0), (500, 10, 0), (10, 10, 0), (10, 500, 0), (0, 500, 0))))
    made = part_templates(part_of(sheet_piece("angle", l_shape)), read("bench_mockup").parameters)
    ((_, tiled, inked),) = made.templates
    assert len(inked) < tiled.across * tiled.up and len(made.pages) == 1 + len(inked)
    assert (tiled.across - 1, tiled.up - 1) not in inked


@pytest.mark.parametrize("name", ["A3", "Letter", "Tabloid"])
def test_the_paper_acts(name):
    p = changed("bench_mockup", templates={"paper": name})
    assert isinstance(p.templates, Templates)
    found = {tuple(sorted(round(v, 1) for v in size(page))) for page in pages(part_templates(bracket(), p).pdf)}
    assert found == {(round(paper(name).width, 1), round(paper(name).height, 1))}


# ---------------------------------------------------------------- tube ends


def curve(template, radius: float) -> np.ndarray:
    """The cut (n, 2) of a wrapped template: round the tube in rad, and mm over its lowest point."""
    points = next(line.points for line in template.lines if len(line.points) > 10)
    return np.column_stack([(points[:, 0] - points[0, 0]) / (radius + PAPER_MM / 2), points[:, 1] - points[:, 1].min()])


def test_a_mitre_is_a_cosine_on_the_flat():
    """R 50 at 45 degrees: 25.000 mm at 60 degrees, 100 mm in all (derived: R tan(a) (1 - cos phi))."""
    back = mitre(round_angles(72), radius=50.0, angle=math.pi / 4)
    made = wrap_template(sheet_piece("tube", flat_plate(10, 10)), TubeEnd("mitre", 50.0, tuple(back), "the outside"))
    found = curve(made, 50.0)
    assert np.ptp(found[:, 1]) == pytest.approx(100.0) and found[-1, 0] == pytest.approx(2 * math.pi)
    assert 100 - np.interp(math.pi / 3, *found.T) == pytest.approx(25.000, abs=1e-3)
    assert made.width == pytest.approx(2 * math.pi * (50 + PAPER_MM / 2) + FLAP_MM + 6)


def test_a_saddle_on_a_shell():
    """R 75, r 19, square, radial: 75 at 0 degrees, 72.553 at 90 (derived); the curve stands 2.447 mm high."""
    w = saddle(round_angles(72), main_radius=75.0, radius=19.0)
    made = wrap_template(sheet_piece("tube", flat_plate(10, 10)), TubeEnd("saddle", 19.0, tuple(w - w.min()), "the top"))
    found = curve(made, 19.0)
    assert np.ptp(found[:, 1]) == pytest.approx(2.447, abs=5e-4)
    assert found[:, 1].max() - found[0, 1] == pytest.approx(2.447, abs=5e-4), "longest where it is cut back least"


def test_parts_tell_how_their_tubes_end():
    """The return tube by its note's own numbers; the elbow rises as much across as it is wide."""
    p = read("bench_mockup").parameters
    tank = reservoir.part(reservoir.dimension(p, region(p)))
    tube = tank.piece("inlet_tube")
    told = [float(v) for v in tube.note.rpartition(": ")[2].split(", ")]
    assert list(np.array(tube.ends[0].back)[:: len(tube.ends[0].back) // len(told)]) == pytest.approx(told, abs=0.12), "the longest point lies between the note's twelve"
    pan = scavenge_pan.part(scavenge_pan.dimension(p, region(p)))
    (end,) = pan.piece("pickup_tube").ends
    assert max(end.back) == pytest.approx(2 * end.radius)
    made = part_templates(tank, p)
    assert "inlet_tube, saddle on the shell" in [t.name for t, _, _ in made.templates]
    assert [page.overlapping() for page in (*made.pages, *part_templates(pan, p).pages) if page.overlapping()] == []


def test_what_a_flat_shows():
    found = flat_template(trough(), trough().piece("channel"))
    said = [w.said for w in found.words]
    assert [w for w in said if w.startswith(("1:", "2:"))] == ["1: up 90.0°, R3 inside", "2: up 90.0°, R3 inside"]
    assert "5052-H32, 2 mm, 1 off" in found.about
    base = flat_template(bracket(), bracket().piece("base"))
    assert "ø6" in [w.said for w in base.words]


def test_words_stand_whole_on_a_sheet():
    """Of flats whose words reach over their edges, or over where two sheets meet: every word of a template is on a sheet, and no word is cut off by
    its edge."""
    p = read("bench_mockup").parameters
    pan = scavenge_pan.part(scavenge_pan.dimension(p, region(p)))
    made = part_templates(pan, p)
    pages_ = iter(made.pages[-sum(len(tiles) for _, _, tiles in made.templates):])
    for template, tiled, tiles in made.templates:
        shown = []
        for _ in tiles:
            page = next(pages_)
            inside = box(MARGIN_MM, MARGIN_MM, page.paper.width - MARGIN_MM, page.paper.height - MARGIN_MM).buffer(1e-6)
            own = [w for w in page.words if w.said in {t.said for t in template.words}]
            assert all(inside.contains(w.ground) for w in own), template.name
            shown += [w.said for w in own]
        assert {w.said for w in template.words} == set(shown), template.name
        assert tiled.across * tiled.up >= len(tiles)


def test_words_that_no_bend_is_long_enough_for_stand_beside_the_template():
    p = read("bench_mockup").parameters
    pan = scavenge_pan.part(scavenge_pan.dimension(p, region(p)))
    screen = next(t for t in templates_of(pan) if t.name == "screen")
    assert {"2", "3"} <= {w.said for w in screen.words} and all(f"bend {n}: down 90.0°" in screen.about for n in (2, 3)) and "bend 1:" not in screen.about


def test_words_that_would_be_cut_in_two_are_moved_to_the_sheet_of_their_middle():
    tiled = tiling(400, 100, "A4")
    seam = tiled.step[0] + OVERLAP_MM / 2
    template = Template("strip", "", (400, 100), 400, 100, (), (), (Words("to the front, seen from above", (seam + 1, 50)),))
    found = {c: words_on(template, tiled, c, 0) for c in range(tiled.across)}
    (c,) = [c for c, words in found.items() if words]
    (moved,) = found[c]
    assert box(*tiled.window(c, 0)).contains(moved.ground) and 0 < abs(moved.at[0] - seam - 1) < 30


def test_a_long_title_stays_on_the_sheet():
    made = part_templates(bracket(), read("bench_mockup").parameters.model_copy(update={"title": "A title that goes on and on " * 5}))
    for page in made.pages:
        assert all(0 < w.ground.bounds[0] and w.ground.bounds[2] < page.paper.width for w in page.words)


def test_equal_holes_have_one_size():
    """20.175 mm lies half way between two figures."""
    holes = [circle(x=x, y=30, radius=r) for x, r in ((30, 20.175 / 2), (80, 20.1750000001 / 2), (130, 20.1749999999 / 2))]
    said = [w.said for w in flat_template(part_of(sheet_piece("lid", flat_plate(200, 60, *holes))), sheet_piece("lid", flat_plate(200, 60, *holes))).words]
    assert len({w for w in said if w.startswith("ø")}) == 1


def test_the_same_is_written_every_time(large):
    part, made = large
    assert part_templates(part, read("bench_mockup").parameters).pdf == made.pdf


def test_holes_have_the_numbers_that_the_drawing_gives_them():
    """The number stands beside the hole, inwards, that the drawing's table calls so; the cover tells the flat's own size."""
    parameters = read("bench_mockup").parameters
    part = scavenge_pan.part(scavenge_pan.dimension(parameters, region(parameters)))
    corners = flattened(part.piece("flange").flat.outer)
    low = corners.min(axis=0) - EDGE_MM
    (template,) = (t for t in templates_of(part) if t.name == "flange")
    for number, (x, y, _) in enumerate(bolt_holes(part), start=1):
        (word,) = (w for w in template.words if w.said == str(number))
        assert word.at[0] == pytest.approx(x - low[0])
        away = word.at[1] - (y - low[1])
        assert abs(away) < 12 and away * y <= 0, "towards the middle of the flange"
    wide, high = np.ptp(corners, axis=0)
    words = [w.said for page in part_templates(part, parameters).pages for w in page.words]
    assert any(w.startswith(f"{wide:.1f} x {high:.1f} mm,") for w in words)
