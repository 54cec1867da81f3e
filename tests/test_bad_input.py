"""Every bad file is refused at the door: with its line, its key, its value and what would be right."""

import itertools
import os
import re
import subprocess
import sys
import time

import ezdxf
import pytest

from generators.findings import BadFile
from generators.reading import read

GOOD = """\
title = "Test engine"
[pan_rail]
length = "420 mm"
width = "240 mm"
face_width = "16 mm"
below_crank = "62 mm"
[crank]
swing_radius = "84 mm"
redline = "8000 rpm"
[driving]
cornering = "1.6 g"
braking = "1.4 g"
acceleration = "0.7 g"
"""
MEASURED = """\
stroke = "86 mm"
rod_length = "145 mm"
throws = { unit = "mm", positions = [60, 151, 242, 333] }
big_end = { width = "24 mm", cap_depth = "38 mm", half_breadth = "34 mm" }
counterweight = { radius = "72 mm", width = "18 mm" }
"""
SWING = 'swing_radius = "84 mm"\n'
SIZES = 'length = "420 mm"\nwidth = "240 mm"\n'


def refused(folder, text):
    """The problems of a file with this text."""
    path = folder / "engine.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    with pytest.raises(BadFile) as bad:
        read(path)
    assert all(problem.file == str(path) for problem in bad.value.problems)
    return bad.value.problems


def changed(old, new, text=GOOD):
    assert text.count(old) == 1
    return text.replace(old, new)


def outline(points, extra=""):
    return changed(SIZES, f'outline = {{ unit = "mm", points = {points} }}\n{extra}')


MEASURED_FILE = changed(SWING, MEASURED)

ONE_PROBLEM = {
    # name: (text, line, key, shown value, words of the remedy)
    "misspelt key": (changed("face_width", "face_with"), 5, "pan_rail.face_with", "16 mm", "did you mean face_width?"),
    "misspelt table": (GOOD + "[resevoir]\n", 14, "resevoir", "", "did you mean reservoir?"),
    "unknown key": (changed("redline", "colour"), 9, "crank.colour", "8000 rpm", "allowed: swing_radius"),
    "misspelt key in an inline table": (
        changed('half_breadth = "34 mm"', 'half_bredth = "34 mm"', MEASURED_FILE),
        11,
        "crank.big_end.half_bredth",
        "34 mm",
        "did you mean half_breadth?",
    ),
    "missing unit": (changed('"16 mm"', '"16"'), 5, "pan_rail.face_width", "16", '"86 mm"'),
    "bare number": (changed('"16 mm"', "16"), 5, "pan_rail.face_width", "16", "has no unit"),
    "wrong dimension": (changed('"16 mm"', '"16 kg"'), 5, "pan_rail.face_width", "16 kg", "length is needed"),
    "comma": (changed('"16 mm"', '"16,5 mm"'), 5, "pan_rail.face_width", "16,5 mm", "decimal point"),
    "grams": (changed('"1.6 g"', '"1.6 kg"'), 11, "driving.cornering", "1.6 kg", "m/s^2"),
    "negative size": (changed('"240 mm"', '"-240 mm"'), 4, "pan_rail.width", "-240 mm", "more than zero"),
    "zero size": (changed('"84 mm"', '"0 mm"'), 8, "crank.swing_radius", "0 mm", "more than zero"),
    "negative depth": (changed('"62 mm"', '"-62 mm"'), 6, "pan_rail.below_crank", "-62 mm", "must not be negative"),
    "nan text": (changed('"62 mm"', '"nan mm"'), 6, "pan_rail.below_crank", "nan mm", "not a number"),
    "nan": (changed('"62 mm"', "nan"), 6, "pan_rail.below_crank", "nan", "has no unit"),
    "inf": (GOOD + "[reservoir]\nheadspace = inf\n", 15, "reservoir.headspace", "inf", "less than 0.6"),
    "nan share": (GOOD + "[reservoir]\nheadspace = nan\n", 15, "reservoir.headspace", "nan", "must be"),
    "nan point": (outline("[[0, -120], [nan, -120], [420, 120], [0, 120]]"), 3, "pan_rail.outline", "", "point 2"),
    "inf point": (outline("[[0, -120], [420, -120], [420, inf], [0, 120]]"), 3, "pan_rail.outline", "", "finite"),
    "overflow": (changed('"62 mm"', '"1e400 mm"'), 6, "pan_rail.below_crank", "1e400 mm", "finite"),
    "headspace": (GOOD + "[reservoir]\nheadspace = 0.7\n", 15, "reservoir.headspace", "0.7", "less than 0.6"),
    "long owner": (GOOD + f'[drawings]\nowner = "{"x" * 61}"\n', 15, "drawings.owner", "xxx", "must have at most 60 characters"),
    "deductions no list": (GOOD + "[sheet]\ndeductions = 5\n", 15, "sheet.deductions", "5", 'a list of tables, as [{ angle = "60 deg", deduction = '),
    "a crumb of stock": (GOOD + '[sheet]\nstock = { width = "5 mm", length = "40 in" }\n', 15, "sheet.stock.width", "5 mm", "at least 50 mm"),
    "share as text": (GOOD + '[reservoir]\nheadspace = "0.3"\n', 15, "reservoir.headspace", "0.3", "must be"),
    "true for a number": (GOOD + "[reservoir]\nheadspace = true\n", 15, "reservoir.headspace", "true", "must be"),
    "count as text": (GOOD + '[reservoir]\nbaffles = "two"\n', 15, "reservoir.baffles", "two", "whole number"),
    "word not allowed": (
        changed('redline = "8000 rpm"', 'rotation = "clockwize"'),
        9,
        "crank.rotation",
        "clockwize",
        '"clockwise" or "anticlockwise"',
    ),
    "no pan rail": (
        GOOD[: GOOD.index("[pan_rail]")] + GOOD[GOOD.index("[crank]") :],
        None,
        "pan_rail",
        "",
        "[pan_rail]",
    ),
    "no driving value": (changed('braking = "1.4 g"\n', ""), 10, "driving.braking", "", 'braking = "1.5 g"'),
    "no depth": (changed('below_crank = "62 mm"\n', ""), 2, "pan_rail.below_crank", "", 'below_crank = "86 mm"'),
    "no crank size": (changed(SWING, ""), 7, "crank", "", "swing_radius"),
    "half measured": (
        changed(SWING, 'stroke = "86 mm"\n'),
        7,
        "crank",
        "",
        "rod_length, throws, big_end, counterweight",
    ),
    "no shape": (changed(SIZES, ""), 2, "pan_rail", "", "length and width, or outline, or drawing"),
    "two shapes": (
        changed(SIZES, SIZES + 'outline = { unit = "mm", points = [[0, -1], [9, -1], [9, 9]] }\n'),
        5,
        "pan_rail.outline",
        "",
        "one of them only",
    ),
    "no width": (changed('width = "240 mm"\n', ""), 2, "pan_rail", "", "needs width too"),
    "table given as text": ('pan_rail = "420 mm"\n' + GOOD[GOOD.index("[crank]") :], 1, "pan_rail", "420 mm", "table"),
    "list given as text": (
        changed("positions = [60, 151, 242, 333]", 'positions = "60 mm"', MEASURED_FILE),
        10,
        "crank.throws",
        "",
        "list",
    ),
    "list without unit": (
        changed('{ unit = "mm", positions = [60, 151, 242, 333] }', "[60, 151, 242, 333]", MEASURED_FILE),
        10,
        "crank.throws",
        "",
        "name its unit once",
    ),
    "texts in a list": (
        outline('[[0, -120], ["420 mm", -120], [420, 120], [0, 120]]'),
        3,
        "pan_rail.outline",
        "",
        "point 2",
    ),
    "rail in metres": (changed('"420 mm"', '"420 m"'), 3, "pan_rail.length", "420 m", "is the unit right?"),
    "rail in thou": (changed('"240 mm"', '"240 thou"'), 4, "pan_rail.width", "240 thou", "is the unit right?"),
    "bolt outside": (
        changed(
            "below_crank", 'bolts = { unit = "mm", points = [[8, -60], [8, 60], [430, 60], [412, -60]] }\nbelow_crank'
        ),
        6,
        "pan_rail.bolts",
        "",
        "bolt 3 at 430, 60 mm lies outside the rail by 10.0 mm",
    ),
    "bolt at the edge": (
        changed(
            "below_crank", 'bolts = { unit = "mm", points = [[8, -60], [8, 60], [418, 60], [412, -60]] }\nbelow_crank'
        ),
        6,
        "pan_rail.bolts",
        "",
        "bolt 3 at 418, 60 mm is 2.0 mm from the rail's edge",
    ),
    "bolt off the face": (
        changed(
            "below_crank", 'bolts = { unit = "mm", points = [[8, -60], [40, 60], [412, 60], [412, -60]] }\nbelow_crank'
        ),
        6,
        "pan_rail.bolts",
        "",
        "bolt 2 at 40, 60 mm is 40.0 mm inside the outline, off the gasket face",
    ),
    "bolt twice": (
        changed(
            "below_crank", 'bolts = { unit = "mm", points = [[8, -60], [8, -57], [8, 60], [412, 60]] }\nbelow_crank'
        ),
        6,
        "pan_rail.bolts",
        "",
        "bolts 1 and 2 are 3.0 mm apart",
    ),
    "offset of sizes": (
        changed("below_crank", 'offset = { x = "5 mm" }\nbelow_crank'),
        6,
        "pan_rail.offset",
        "",
        "outline or drawing only",
    ),
    "two bolts": (
        changed("below_crank", 'bolts = { unit = "mm", points = [[8, 0], [412, 0]] }\nbelow_crank'),
        6,
        "pan_rail.bolts",
        "",
        "3 bolts or more",
    ),
    "bolts everywhere": (
        changed("below_crank", 'bolt_pitch = "1 mm"\nbelow_crank'),
        6,
        "pan_rail.bolt_pitch",
        "1 mm",
        "at least 20.0 mm",
    ),
    "outline of dust": (
        outline("[" + ", ".join(f"[{i / 10}, {-i * i / 2000}]" for i in range(3000)) + "]"),
        3,
        "pan_rail.outline",
        "",
        "3000 corners",
    ),
    "bolt size": (changed("below_crank", 'bolt_size = "M7.5"\nbelow_crank'), 6, "pan_rail.bolt_size", "M7.5", "M8"),
    "thin face": (changed('"16 mm"', '"7 mm"'), 5, "pan_rail.face_width", "7 mm", "at least"),
    "wide face": (changed('"16 mm"', '"125 mm"'), 5, "pan_rail.face_width", "125 mm", "less than 120.0 mm"),
    "corner too round": (
        changed('face_width = "16 mm"', 'corner_radius = "150 mm"'),
        5,
        "pan_rail.corner_radius",
        "150 mm",
        "at most half the shorter side, 120.0 mm",
    ),
    "crossing outline": (
        outline("[[0, -120], [420, 120], [420, -120], [0, 120]]"),
        3,
        "pan_rail.outline",
        "",
        "near x = 210.0 mm, y = 0.0 mm, between side",
    ),
    "outline folds back": (
        outline("[[0, -120], [420, -120], [420, 120], [420, 10], [420, 120], [0, 120]]"),
        3,
        "pan_rail.outline",
        "",
        "crosses or touches itself",
    ),
    "repeated point": (
        outline("[[0, -120], [420, -120], [420, -120], [420, 120], [0, 120]]"),
        3,
        "pan_rail.outline",
        "",
        "points 2 and 3 at the same place",
    ),
    "two points": (outline("[[0, -120], [420, 120]]"), 3, "pan_rail.outline", "", "three or more"),
    "outline beside the axis": (
        outline("[[0, 0], [420, 0], [420, 240], [0, 240]]"),
        3,
        "pan_rail.outline",
        "",
        "does not lie round the crank axis",
    ),
    "outline not from the rear": (
        outline("[[-210, -120], [210, -120], [210, 120], [-210, 120]]"),
        3,
        "pan_rail.outline",
        "",
        'offset = { x = "210.0 mm" }',
    ),
    "rod too short": (
        changed('"145 mm"', '"43 mm"', MEASURED_FILE),
        9,
        "crank.rod_length",
        "43 mm",
        "not longer than the throw",
    ),
    "wide big end": (
        changed('width = "24 mm"', 'width = "92 mm"', MEASURED_FILE),
        11,
        "crank.big_end.width",
        "92 mm",
        "between neighbouring throws",
    ),
    "throws disordered": (
        changed("[60, 151, 242, 333]", "[60, 242, 151, 333]", MEASURED_FILE),
        10,
        "crank.throws",
        "",
        "from the rear end forwards",
    ),
    "throw outside": (
        changed("242, 333]", "242, 433]", MEASURED_FILE),
        10,
        "crank.throws",
        "",
        "throw 4 at x = 433.0 mm",
    ),
    "big end twice": (
        changed(
            'half_breadth = "34 mm"',
            'half_breadth = "34 mm", outline = { unit = "mm", points = [[-9, -9], [9, -9], [0, 9]] }',
            MEASURED_FILE,
        ),
        11,
        "crank.big_end.outline",
        "",
        "either",
    ),
    "big end off its pin": (
        changed(
            'cap_depth = "38 mm", half_breadth = "34 mm"',
            'outline = { unit = "mm", points = [[1, -9], [9, -9], [5, 9]] }',
            MEASURED_FILE,
        ),
        11,
        "crank.big_end.outline",
        "",
        "round the crank pin",
    ),
    "swing less than the throw": (
        changed(SWING, SWING + 'stroke = "180 mm"\n'),
        9,
        "crank.stroke",
        "180 mm",
        "more than swing_radius 84.0 mm",
    ),
    "swing above the rail": (changed('"84 mm"', '"60 mm"'), 8, "crank.swing_radius", "60 mm", "make = false"),
    "measured swing above the rail": (
        changed('"62 mm"', '"99 mm"', MEASURED_FILE),
        8,
        "crank.stroke",
        "86 mm",
        "nothing to strip",
    ),
    "swing wider than the rail": (
        changed('"84 mm"', '"150 mm"'),
        8,
        "crank.swing_radius",
        "150 mm",
        "half the opening",
    ),
    "fast redline": (changed('"8000 rpm"', '"80000 rpm"'), 9, "crank.redline", "80000 rpm", "30000 rpm"),
    "more oil running than the tank has": (
        GOOD + '[oil]\nrunning_volume = "9 L"\n[reservoir]\noil_volume = "8 L"\n',
        15,
        "oil.running_volume",
        "9 L",
        "more than reservoir.oil_volume, 8.0 L",
    ),
    "thick when hot": (
        GOOD + '[oil]\nviscosity_100C = "90 cSt"\n',
        15,
        "oil.viscosity_100C",
        "90 cSt",
        "thins as it warms",
    ),
    "more than all the oil": (
        GOOD + '[oil]\nvolume = "4 L"\nrunning_volume = "5 L"\n',
        16,
        "oil.running_volume",
        "5 L",
        "all",
    ),
    "material": (GOOD + '[sheet]\nmaterial = "cheese"\n', 15, "sheet.material", "cheese", "5052-H32"),
    "port": (GOOD + '[scavenge_pan]\nport = "-11"\n', 15, "scavenge_pan.port", "-11", "-10"),
    "gate too wide": (
        GOOD + '[gate_baffle]\ngates_per_side = 3\nopening = { width = "40 mm" }\ncell = { length = "110 mm" }\n',
        16,
        "gate_baffle.opening.width",
        "40 mm",
        "does not fit",
    ),
    "second entry of an array": (
        GOOD + '[vehicle]\nrail_above_ground = "1 m"\n' + "".join(
            f'[[vehicle.obstacle]]\nname = "{name}"\nbox = {{ unit = "mm", min = [1, 2, 3], max = [4, 5, 6] }}\n{key} = "10 mm"\n'
            for name, key in (("a", "gap"), ("b", "gapp"))),
        23,
        "vehicle.obstacle[2].gapp",
        "10 mm",
        "did you mean gap?",
    ),
    "box": (
        GOOD + '[[vehicle.obstacle]]\nname = "a"\nbox = { unit = "mm", min = [1, 2, 3], max = [0, 3, 4] }\n',
        16,
        "vehicle.obstacle[1].box",
        "",
        "less than max",
    ),
    "dotted key": (GOOD + 'hold = "4 s"\nrise_time = "4 m"\n', 15, "driving.rise_time", "4 m", "time is needed"),
    "multi-line list": (
        outline("[\n  [0, -120],\n  [420, -120],\n  [420, 120, 3],\n  [0, 120],\n]"),
        3,
        "pan_rail.outline",
        "",
        "point 3",
    ),
    "not TOML": (changed('"16 mm"', "16 mm"), 5, "", "", "is not TOML"),
    "key twice": (changed('"16 mm"\n', '"16 mm"\nface_width = "17 mm"\n'), 6, "", "", "is not TOML"),
    "missing drawing": (
        changed(SIZES, 'drawing = "nowhere.dxf"\n'),
        3,
        "pan_rail.drawing",
        "nowhere.dxf",
        "no such file",
    ),
    "path upwards": (
        changed(SIZES, 'drawing = "../rail.dxf"\n'),
        3,
        "pan_rail.drawing",
        "../rail.dxf",
        "leaves the folder",
    ),
    "absolute path": (
        changed(SIZES, 'drawing = "/etc/passwd"\n'),
        3,
        "pan_rail.drawing",
        "/etc/passwd",
        "leaves the folder",
    ),
    "path to a folder": (changed(SIZES, 'drawing = "."\n'), 3, "pan_rail.drawing", ".", "not a file"),
    "path with a nul": (changed(SIZES, 'drawing = "a\\u0000b"\n'), 3, "pan_rail.drawing", "", "null"),
    "log upwards": (GOOD + 'log = "../lap.csv"\n', 14, "driving.log", "../lap.csv", "leaves the folder"),
}


@pytest.mark.parametrize("name", ONE_PROBLEM)
def test_one_problem(tmp_path, name):
    text, line, key, value, remedy = ONE_PROBLEM[name]
    problems = refused(tmp_path, text)
    assert len(problems) == 1, problems
    assert (problems[0].line, problems[0].key) == (line, key)
    assert remedy in problems[0].message, problems[0].message
    assert value in problems[0].value
    where = "engine.toml" if line is None else f"engine.toml:{line}"
    assert where in str(problems[0])


def test_the_file_that_the_cases_change_is_good(tmp_path):
    for text in (GOOD, MEASURED_FILE):
        (tmp_path / "engine.toml").write_text(text)
        read(tmp_path / "engine.toml")


def test_all_problems_are_told_at_once_in_the_order_of_the_file(tmp_path):
    text = GOOD.replace('"16 mm"', '"16"').replace("redline", "redlin").replace('"1.4 g"', '"1.4 mm"')
    text += '[windage_scraper]\nedge_clearance = "-1 mm"\n[gate_baffle]\ngates_per_side = 4\n'
    text += 'opening = { width = "60 mm" }\ncell = { length = "110 mm" }\n'
    problems = refused(tmp_path, text)
    assert [(p.line, p.key) for p in problems] == [
        (5, "pan_rail.face_width"),
        (9, "crank.redlin"),
        (12, "driving.braking"),
        (15, "windage_scraper.edge_clearance"),
        (18, "gate_baffle.opening.width"),
    ]


def test_several_problems_of_one_table(tmp_path):
    text = changed(SWING, MEASURED).replace('"145 mm"', '"40 mm"').replace('width = "24 mm"', 'width = "95 mm"')
    assert [p.key for p in refused(tmp_path, text)] == ["crank.rod_length", "crank.big_end.width"]


WHOLE_FILES = {
    "empty": (b"", "is empty"),
    "blank": (b" \n\n", "is empty"),
    "comments only": (b"# nothing\n", "says nothing"),
    "binary": (b"\x7fELF\0\0\1", "binary"),
    "a picture": (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "binary"),
    "large": (b"# " + b"x" * 50_000_000, "50 MB"),
    "not UTF-8": ('title = "Öl"\n'.encode("latin-1"), "UTF-8"),
    "nested": (b"a = " + b"[" * 100_000, "deep"),
    "long number": (b"a = " + b"9" * 5000, "TOML"),
}


@pytest.mark.parametrize("name", WHOLE_FILES)
def test_a_file_that_is_no_parameter_file(tmp_path, name):
    data, words = WHOLE_FILES[name]
    started = time.perf_counter()
    problems = refused(tmp_path, data)
    assert words in problems[0].message
    assert time.perf_counter() - started < 1


def test_no_file_a_folder_and_a_pipe(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    for path, words in (
        (tmp_path / "none.toml", "no such file"),
        (tmp_path, "folder"),
        (tmp_path / "pipe", "ordinary"),
    ):
        with pytest.raises(BadFile, match=words):
            read(path)


def test_a_link_may_not_lead_out_of_the_folder(tmp_path):
    (tmp_path / "outside.dxf").write_text("0\nEOF\n")
    (tmp_path / "home").mkdir()
    (tmp_path / "home" / "rail.dxf").symlink_to(tmp_path / "outside.dxf")
    problems = refused(tmp_path / "home", changed(SIZES, 'drawing = "rail.dxf"\n'))
    assert "leaves the folder" in problems[0].message


def drawn(folder, draw, units=4):
    """The message for a rail drawn by `draw(modelspace)`."""
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = units
    draw(document.modelspace())
    document.saveas(folder / "rail.dxf")
    problems = refused(folder, changed(SIZES, 'drawing = "rail.dxf"\n'))
    assert {(p.line, p.key, p.value) for p in problems} == {(3, "pan_rail.drawing", '"rail.dxf"')}
    return "\n".join(p.message for p in problems)


CORNERS = [(0, -120), (420, -120), (420, 120), (0, 120)]
ON_OUTLINE = {"layer": "OUTLINE"}


def closed(space, corners=tuple(CORNERS)):
    space.add_lwpolyline(corners, close=True, dxfattribs=ON_OUTLINE)


def run(space, corners):
    for start, end in itertools.pairwise(corners):
        space.add_line(start, end, dxfattribs=ON_OUTLINE)


BAD_DRAWINGS = {
    "open": (
        lambda s: run(s, [*CORNERS, (0, -119.5)]),
        4,
        r"a gap of 0.5 mm between \(0.00, -1\d\d.\d\d\) mm and \(0.00, -1",
    ),
    "open in the middle": (
        lambda s: (run(s, CORNERS[:3]), run(s, [(419.7, 120), (0, 120), (0, -120)])),
        4,
        r"a gap of 0.3 mm between \(4(20.00|19.70), 120.00\)",
    ),
    "open polyline": (lambda s: s.add_lwpolyline(CORNERS, dxfattribs=ON_OUTLINE), 4, "a gap of 240 mm"),
    "gap counted in the drawing's units": (
        lambda s: run(s, [(0, -5), (16, -5), (16, 5), (0, 5), (0, -4)]),
        1,
        "a gap of 25.4 mm",
    ),
    "no units": (closed, 0, "does not say its units"),
    "light years": (closed, 18, "INSUNITS 18"),
    "no layer": (lambda s: s.add_lwpolyline(CORNERS, close=True, dxfattribs={"layer": "EDGE"}), 4, "its layers: EDGE"),
    "nothing drawn": (lambda s: None, 4, "none with anything on it"),
    "spline": (
        lambda s: s.add_spline([(0, 0), (1, 1), (2, 0)], dxfattribs=ON_OUTLINE),
        4,
        "redraw it as lines and arcs",
    ),
    "ellipse": (lambda s: s.add_ellipse((0, 0), (9, 0), 0.5, dxfattribs=ON_OUTLINE), 4, "redraw it as arcs"),
    "block": (lambda s: (s.doc.blocks.new("B"), s.add_blockref("B", (0, 0), dxfattribs=ON_OUTLINE)), 4, "explode"),
    "hole on the outline's layer": (
        lambda s: (closed(s), s.add_circle((8, 0), 3, dxfattribs=ON_OUTLINE)),
        4,
        "2 closed loops",
    ),
    "drawn twice": (lambda s: (run(s, [*CORNERS, CORNERS[0]]), run(s, CORNERS[:2])), 4, "drawn twice"),
    "crossing": (lambda s: closed(s, [(0, -120), (420, 120), (420, -120), (0, 120)]), 4, "crosses or touches itself"),
    "not level": (lambda s: s.add_line((0, 0, 0), (9, 9, 9), dxfattribs=ON_OUTLINE), 4, "not level"),
    "from behind": (
        lambda s: s.add_lwpolyline(CORNERS, close=True, dxfattribs=ON_OUTLINE | {"extrusion": (0, 0, -1)}),
        4,
        "seen from above",
    ),
    "points for bolts": (lambda s: (closed(s), s.add_point((8, 0), dxfattribs={"layer": "BOLTS"})), 4, "circles only"),
    "in inches by mistake": (closed, 1, "is the unit right?"),
}


@pytest.mark.parametrize("name", BAD_DRAWINGS)
def test_bad_drawing(tmp_path, name):
    draw, units, words = BAD_DRAWINGS[name]
    assert re.search(words, drawn(tmp_path, draw, units))


def test_bolt_of_a_drawing_outside_the_rail(tmp_path):
    document = ezdxf.new("R2010")
    document.units = ezdxf.units.MM
    closed(document.modelspace())
    for centre in ((8, 0), (412, 0), (210, 112), (210, 131)):
        document.modelspace().add_circle(centre, 3.3, dxfattribs={"layer": "BOLTS"})
    document.saveas(tmp_path / "rail.dxf")
    problems = refused(tmp_path, changed(SIZES, 'drawing = "rail.dxf"\n'))
    assert "bolt 4 at 210, 131 mm lies outside the rail by 11.0 mm" in problems[0].message


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "not a DXF drawing"),
        (b"hello\nthere\n", "group code"),
        (b"\0" * 99, "not a DXF"),
        (b"x" * 20_000_001, "20 MB"),
        (b"AutoCAD Binary DXF\r\n\x1a\0", "binary DXF"),
        (b"0\nSECTION\n2\nENTITIES\n", "cut short"),
        (b"0\nEOF\n", "no section"),
    ],
)
def test_a_file_that_is_no_drawing(tmp_path, data, words):
    (tmp_path / "rail.dxf").write_bytes(data)
    assert words in refused(tmp_path, changed(SIZES, 'drawing = "rail.dxf"\n'))[0].message


def test_a_bad_file_is_answered_without_the_heavy_libraries(tmp_path):
    (tmp_path / "engine.toml").write_text(changed('"16 mm"', '"16"'))
    program = (
        "import sys\nfrom generators.findings import BadFile\nfrom generators.reading import read\n"
        "try:\n    read(sys.argv[1])\nexcept BadFile:\n"
        "    print(sorted({'cadquery', 'ezdxf', 'scipy.linalg', 'trimesh', 'matplotlib'} & set(sys.modules)))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, str(tmp_path / "engine.toml")], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"
