"""A logged lap: read in any of the ways that loggers write, refused with the row and the remedy."""

import re
from pathlib import Path

import numpy as np
import pytest

from generators import reading
from generators.findings import BadFile
from generators.parameters import LapColumns
from generators.reading import lap as reader
from generators.reading.lap import read_lap

ROOT = Path(__file__).parent.parent
G = 9.80665  # standard gravity, exact by definition (3rd CGPM, 1901)

PLAIN = {
    "time": {"column": "Time", "unit": "s"},
    "longitudinal": {"column": "Long", "unit": "g", "positive": "speeding up"},
    "lateral": {"column": "Lat", "unit": "g", "positive": "left turn"},
}
VERTICAL = {"column": "Vert", "unit": "g", "positive": "compression", "at_rest": "1 g"}
SPEED = {"column": "Speed", "unit": "km/h"}


def columns(**changes) -> LapColumns:
    """The plain columns with some tables changed, or added."""
    return LapColumns(**{k: {**PLAIN.get(k, {}), **changes.get(k, {})} for k in {**PLAIN, **changes}})


def rows(count=60, step=0.1, **more):
    """Header and rows of a plain lap: half a g of everything, going on evenly."""
    return [["Time", "Long", "Lat", *more], *([f"{i * step:.3f}", "0.5", "-0.25", *(m(i) for m in more.values())] for i in range(count))]


def joined(table, delimiter=",") -> str:
    return "".join(delimiter.join(row) + "\n" for row in table)


def read(folder, text, asked=None):
    """The lap with that text."""
    (folder / "lap.csv").write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
    return read_lap(folder / "lap.csv", name="lap.csv", columns=asked or columns())


def refused(folder, text, asked=None):
    with pytest.raises(BadFile) as bad:
        read(folder, text, asked)
    return bad.value.problems


# ---------------------------------------------------------------- read


def test_a_plain_lap_is_read_in_si_and_in_the_vehicles_axes(tmp_path):
    got = read(tmp_path, joined(rows()))
    assert got.time == pytest.approx(np.arange(60) / 10)
    assert got.acceleration == pytest.approx(np.tile([0.5 * G, -0.25 * G, 0], (60, 1)))
    assert (got.rows == np.arange(2, 62)).all() and not got.has_vertical and got.speed is None


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_delimiters_line_ends_byte_order_marks_quotes_and_remarks(tmp_path, delimiter, ending):
    remarks = ["Logger of our own; version 2", "", '"Driver","nobody"', "Date\t1 May"]
    table = [[f'"{name}"' for name in rows()[0]], *rows()[1:], [""] * 3]
    text = ending.join([*remarks, *(delimiter.join(r) for r in table)])
    got = read(tmp_path, b"\xef\xbb\xbf" + text.encode())
    assert got.rows[0] == 6 and len(got.rows) == 60
    assert got.acceleration[:, 0] == pytest.approx(0.5 * G)


@pytest.mark.parametrize("delimiter", [";", "\t"])
def test_decimal_commas_where_the_comma_parts_no_cells(tmp_path, delimiter):
    text = joined(rows(), delimiter).replace(".", ",")
    assert read(tmp_path, text).acceleration[:, 1] == pytest.approx(-0.25 * G)


def test_a_name_in_latin_1_is_found(tmp_path):
    text = joined([["Time", "Beschl. längs", "Lat"], *rows()[1:]]).encode("latin-1")
    assert read(tmp_path, text, columns(longitudinal={"column": "Beschl. längs"})).acceleration[0, 0] == pytest.approx(0.5 * G)


@pytest.mark.parametrize(("key", "unit", "number", "si"), [
    # NIST SP 811 (2008), appendix B.8: exact factors
    ("longitudinal", "g", 0.4, 0.4 * 9.80665), ("longitudinal", "m/s^2", 3.5, 3.5),
    ("speed", "mph", 100, 44.704), ("speed", "km/h", 100, 1000 / 36), ("speed", "m/s", 31, 31.0),
    ("time", "ms", 200, 0.2), ("time", "s", 0.2, 0.2), ("time", "min", 0.005, 0.3),
])
def test_units(tmp_path, key, unit, number, si):
    said = {"time": 0.1, "longitudinal": 0, "speed": 10, key: number}
    table = [["Time", "Long", "Lat", "Speed"],
             *([f"{i * said['time']:.4f}", f"{said['longitudinal']}", "0", f"{said['speed']}"] for i in range(40))]
    got = read(tmp_path, joined(table), columns(**{"speed": SPEED, key: {**(SPEED if key == "speed" else {}), "unit": unit}}))
    found = {"time": got.time[1], "longitudinal": got.acceleration[1, 0], "speed": got.speed[1]}[key]
    assert found == pytest.approx(si, rel=1e-12)


@pytest.mark.parametrize(("key", "axis", "positive", "sign"), [
    # ISO 8855: x forward, y to the left, z up
    ("longitudinal", 0, "speeding up", 1), ("longitudinal", 0, "braking", -1),
    ("lateral", 1, "left turn", 1), ("lateral", 1, "right turn", -1),
    ("vertical", 2, "compression", 1), ("vertical", 2, "crest", -1),
])
def test_signs_and_what_a_column_reads_at_rest(tmp_path, key, axis, positive, sign):
    names = {"longitudinal": "Long", "lateral": "Lat", "vertical": "Vert"}
    table = [["Time", "Long", "Lat", "Vert"], *([f"{i / 10}", "0.7", "0.7", "0.7"] for i in range(40))]
    one = {"column": names[key], "unit": "g", "positive": positive, "at_rest": "0.2 g"}
    got = read(tmp_path, joined(table), columns(**{"vertical": VERTICAL, key: one}))
    assert got.acceleration[:, axis] == pytest.approx(sign * 0.5 * G)
    assert got.has_vertical


def test_a_logger_that_reads_minus_one_g_at_rest(tmp_path):
    """Some count their weight downwards: -1.4 g in a dip of 0.4 g."""
    table = [["Time", "Long", "Lat", "Vert"], *([f"{i / 10}", "0", "0", "-1.4"] for i in range(40))]
    got = read(tmp_path, joined(table), columns(vertical={**VERTICAL, "positive": "crest", "at_rest": "-1 g"}))
    assert got.acceleration[:, 2] == pytest.approx(0.4 * G)


def test_a_row_of_units_and_units_in_names_agree_or_are_refused(tmp_path):
    agree = [rows()[0], ["[s]", "(G)", "g"], *rows()[1:]]
    assert read(tmp_path, joined(agree)).rows[0] == 3
    [bad] = refused(tmp_path, joined([rows()[0], ["s", "m/s²", "g"], *rows()[1:]]))
    assert (bad.line, bad.key, bad.value) == (2, "Long", "m/s²") and 'driving.columns.longitudinal says unit = "g"' in bad.message
    [bad] = refused(tmp_path, joined([rows()[0], ["s", "g", "ft"], *rows()[1:]]))
    assert (bad.line, bad.key, bad.value) == (2, "Lat", "ft")
    named = joined([["Time", "Long", "Lat [m/s^2]"], *rows()[1:]])
    [bad] = refused(tmp_path, named, columns(lateral={"column": "Lat [m/s^2]"}))
    assert (bad.line, bad.value) == (1, "m/s^2")
    assert read(tmp_path, named, columns(lateral={"column": "Lat [m/s^2]", "unit": "m/s^2"})).acceleration[0, 1] == -0.25


# ---------------------------------------------------------------- refused


def with_rows(changes, count=60, **keys):
    """A plain lap with some data rows (from 0; row i is line i + 2) changed: {row: {column number: text}}."""
    table = rows(count, **keys)
    for i, cells in changes.items():
        for k, text in cells.items():
            table[i + 1][k] = text
    return joined(table)


ONE_ROW = {  # text, line, column, value, what is said
    "text": (with_rows({7: {1: "abc"}}), 9, "Long", "abc", "is not a number"),
    "two numbers": (with_rows({7: {1: "1 2"}}), 9, "Long", "1 2", "is not a number"),
    "underscore": (with_rows({7: {1: "1_0"}}), 9, "Long", "1_0", "is not a number"),
    "other digits": (with_rows({7: {1: "１"}}), 9, "Long", "１", "is not a number"),
    "clock": (with_rows({7: {0: "0:00:07.1"}}), 9, "Time", "0:00:07.1", "is not a number"),
    "nan": (with_rows({8: {2: "NaN"}}), 10, "Lat", "NaN", "not a finite number"),
    "infinite": (with_rows({8: {2: "-inf"}}), 10, "Lat", "-inf", "not a finite number"),
    "beyond all numbers": (with_rows({8: {2: "1e999"}}), 10, "Lat", "1e999", "not a finite number"),
    "empty": (with_rows({5: {2: " "}}), 7, "Lat", "", "is empty"),
    "quoted decimal comma": (with_rows({5: {2: '"0,5"'}}), 7, "Lat", "0,5", "is not a number"),
    "decimal comma": (with_rows({5: {2: "0,5"}}), 7, "", "", "4 cells under a header of 3: decimal commas"),
    "cut off": (joined(rows()) + "6.0,0.5", 62, "", "", "has 2 cells under a header of 3: the row was cut off"),
    "repeated": (with_rows({9: {0: "0.8"}}), 11, "Time", "0.8 s", "is the time of line 10 too"),
    "back": (with_rows({9: {0: "0.75"}}), 11, "Time", "0.75 s", "is earlier than line 10: sort the rows"),
    "gap": (joined(rows()[:31] + [[f"{float(t) + 3:.1f}", *r] for t, *r in rows()[31:]]), 32, "Time", "6 s",
            "is 3.1 s after line 31: a gap of more than 0.5 s"),
    "spike": (with_rows({20: {1: "-14.5"}}), 22, "Long", "-14.5 g",
              "more than 10.0 g from rest, which no vehicle reaches: is the column in m/s^2?"),
    "great spike": (with_rows({20: {1: "400"}}), 22, "Long", "400 g", "a faulty sensor?"),
    "few": (joined(rows(12)), 13, "", "", "12 rows: at least 20"),
    "short": (joined(rows(30, 0.01)), 31, "Time", "", "lasts only 0.29 s; at least 2 s"),
    "header alone": (joined(rows(0)), 1, "", "", "no rows under this header"),
    "milliseconds as seconds": (joined(rows(60, 100)), 2, "Time", "",
                                "100 s apart (half of them more), more than 0.5 s, too far to see a corner: is the column in ms?"),
    "seconds as milliseconds": (joined(rows(60, 0.05)), 2, "Time", "", "less than 0.1 ms: is the column in s?"),
    "column near": (joined([["Time", "Long", "Latt"], *rows()[1:]]), 1, "Lat", "",
                    "there is no such column: did you mean Latt? the header has Time, Long, Latt"),
    "column not": (joined([["Time", "Long", "q"], *rows()[1:]]), 1, "Lat", "",
                   "there is no such column: the header has Time, Long, q"),
    "column twice": (joined([["Time", "Long", "Lat", "Lat"], *([*r, "0"] for r in rows()[1:])]), 1, "Lat", "",
                     "stands twice in the header"),
    "no header": (joined(rows()[1:]), None, "", "",
                  "has no header in its first 100 lines: put a line with the names of the columns (Time, Long, Lat)"),
    "no header, but words": (joined([*r, "ok"] for r in rows()[1:]), None, "", "", "has no header"),
    "no table": ("hello\nworld\n", None, "", "", "has no header"),
    "empty file": ("\n \n", None, "", "", "is empty"),
    "binary": (b"Time,Long,Lat\n\0\1\2", None, "", "", "not text but a binary file"),
    "utf-16": (joined(rows()).encode("utf-16"), None, "", "", "UTF-16 text: save it as CSV in UTF-8"),
    "giant cell": (with_rows({7: {1: "7" * 200_000}}), 9, "", "", "save the lap again as plain CSV"),
}


@pytest.mark.parametrize("name", ONE_ROW)
def test_each_fault_is_named_by_its_row(tmp_path, name):
    text, line, column, value, said = ONE_ROW[name]
    asked = columns(time={"unit": "ms"}) if name == "seconds as milliseconds" else None
    [bad] = refused(tmp_path, text, asked)
    assert (bad.file, bad.line, bad.key, bad.value) == ("lap.csv", line, column, value)
    assert said in bad.message


@pytest.mark.parametrize("reads, asked, hint", [
    ("1.1", {"at_rest": "0 g"}, 'at_rest = "1 g" with positive = "compression"?'),
    ("-0.9", {"at_rest": "0 g"}, 'at_rest = "-1 g" with positive = "crest"?'),
    ("-1", {}, 'at_rest = "-1 g" with positive = "crest"?'),
    ("0.05", {}, 'at_rest = "0 g"?'),
    ("9.7", {"unit": "m/s^2", "at_rest": "0 g"}, 'at_rest = "1 g" with positive = "compression"?'),
    ("9.8", {}, "is the column in m/s^2?"),
    ("1", {"unit": "m/s^2"}, "is the column in g?"),
    ("0.4", {"at_rest": "-1 g", "positive": "crest"}, "is the sensor stuck?"),
])
def test_weight_counted_twice_or_not_at_all_is_refused(tmp_path, reads, asked, hint):
    """It would be taken for a dip all lap long, under which every pickup looks covered."""
    text = joined(rows(Vert=lambda i: reads))
    [bad] = refused(tmp_path, text, columns(vertical={**VERTICAL, **asked}))
    assert bad.line == 2 and bad.key == "Vert" and bad.message.endswith(hint)


@pytest.mark.parametrize("reads", ["1e308", "-1e308", "1e300", "50"])
def test_readings_that_no_sensor_gives_are_named_by_their_rows_alone(tmp_path, reads):
    told = refused(tmp_path, joined(rows(Vert=lambda i: reads)), columns(vertical=VERTICAL))
    assert told[0].line == 2 and "no vehicle reaches" in told[0].message
    assert not any("is the middle of" in p.message for p in told)


@pytest.mark.parametrize("at_rest, positive", [("1 g", "crest"), ("-1 g", "compression")])
def test_weight_at_rest_has_the_sign_of_compression(at_rest, positive):
    """A sensor at rest reads what holds it up, and so it does in a dip."""
    with pytest.raises(ValueError, match="pushes as compression does"):
        columns(vertical={**VERTICAL, "at_rest": at_rest, "positive": positive})
    columns(vertical={**VERTICAL, "at_rest": "0.1 g", "positive": positive})


def test_a_lap_on_a_banking_is_not_refused(tmp_path):
    assert read(tmp_path, joined(rows(Vert=lambda i: "1.6")), columns(vertical=VERTICAL)).acceleration[0, 2] == pytest.approx(0.6 * G)


def test_a_file_too_large_is_not_opened(tmp_path, monkeypatch):
    monkeypatch.setattr(reader, "LARGEST_BYTES", 500)
    [bad] = refused(tmp_path, joined(rows()))
    assert "a lap has at most" in bad.message


def test_every_kind_of_fault_is_told_at_once_the_first_rows_of_each_and_how_many_more(tmp_path):
    changes = {i: {1: "x"} for i in range(10, 20)} | {30: {2: "nan"}, 40: {2: ""}, 45: {0: "1"}, 50: {2: "99"}}
    problems = refused(tmp_path, with_rows(changes))
    told = [(p.line, p.key) for p in problems]
    assert told == [(12, "Long"), (13, "Long"), (14, "Long"), (32, "Lat"), (42, "Lat"), (47, "Time"), (52, "Lat")]
    assert problems[2].message.endswith("(7 more rows like it, the last in line 21)")


def test_speeds_that_make_no_sense(tmp_path):
    text = joined(rows(Speed=lambda i: f"{600 + i}"))
    assert read(tmp_path, joined(rows(Speed=lambda i: f"{200 + i}")), columns(speed=SPEED)).speed[0] == pytest.approx(200 / 3.6)
    told = refused(tmp_path, text, columns(speed=SPEED))
    assert len(told) == 3 and "57 more rows" in told[2].message and told[0].value == "600 km/h"


def test_a_small_gap_is_bridged_and_a_wider_one_is_not(tmp_path):
    """5 usual steps, and no less than 0.25 s."""
    def lap(gap, step):
        table = rows(400, step)
        return joined(table[:200] + [[f"{float(t) + gap - step:.4f}", *r] for t, *r in table[200:]])

    for step, inside, outside in ((0.01, 0.245, 0.255), (0.2, 0.99, 1.01)):
        assert len(read(tmp_path, lap(inside, step)).time) == 400
        [bad] = refused(tmp_path, lap(outside, step))
        assert bad.line == 201 and "gap" in bad.message


GOOD = """\
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
TABLE = """\
[driving.columns]
time = { column = "Time", unit = "s" }
longitudinal = { column = "Long", unit = "g", positive = "speeding up" }
lateral = { column = "Lat", unit = "g", positive = "left turn" }
"""
LOG = 'log = "lap.csv"\n'

TABLES = {  # text after GOOD, line, key, what is said
    "no columns": (LOG, 9, "driving.columns", "is missing: a log needs a table [driving.columns]"),
    "no log": (TABLE, 9, "driving.log", "is missing: name the file"),
    "smoothing alone": ('smoothing = "0.2 s"\n', 13, "driving.smoothing", "is of a logged lap, but there is none"),
    "smoothing too long": ('smoothing = "3 s"\n' + LOG + TABLE, 13, "driving.smoothing", "must not be more than 2 s"),
    "no sign": (LOG + TABLE.replace(', positive = "left turn"', ""), 17, "driving.columns.lateral.positive",
                'add positive = "left turn" or "right turn"'),
    "other sign": (LOG + TABLE.replace("left turn", "left"), 17, "driving.columns.lateral.positive", 'must be "left turn" or "right turn"'),
    "unit": (LOG + TABLE.replace('"Lat", unit = "g"', '"Lat", unit = "kg"'), 17, "driving.columns.lateral.unit", "one of g, m/s^2"),
    "bare rest": (LOG + TABLE.replace('"left turn"', '"left turn", at_rest = 1'), 17, "driving.columns.lateral.at_rest", "has no unit"),
    "no lateral": (LOG + TABLE[:TABLE.index("lateral")], 14, "driving.columns.lateral", "is missing"),
    "one for two": (LOG + TABLE.replace('"Lat"', '"Long"'), 17, "driving.columns.lateral.column", "is the column of longitudinal already"),
    "no name": (LOG + TABLE.replace('"Lat"', '" "'), 17, "driving.columns.lateral.column", "must not be empty"),
    "old words": (LOG + TABLE.replace('{ column = "Time", unit = "s" }', '"Time"'), 15, "driving.columns.time", "must be a table of keys"),
}


@pytest.mark.parametrize("name", TABLES)
def test_a_wrong_table_of_columns_is_named_by_its_line(tmp_path, name):
    text, line, key, said = TABLES[name]
    (tmp_path / "lap.csv").write_text(joined(rows()))
    (tmp_path / "engine.toml").write_text(GOOD + text)
    with pytest.raises(BadFile) as bad:
        reading.read(tmp_path / "engine.toml")
    [problem] = bad.value.problems
    assert (problem.line, problem.key) == (line, key) and said in problem.message


def test_a_parameter_file_brings_its_lap_or_the_laps_faults(tmp_path):
    (tmp_path / "engine.toml").write_text(GOOD + LOG + TABLE)
    (tmp_path / "lap.csv").write_text(joined(rows()))
    got = reading.read(tmp_path / "engine.toml")
    assert len(got.lap.time) == 60 and got.as_report()["driving"]["log"] == "lap.csv"
    assert got.as_report()["driving"]["columns"]["lateral"] == {"column": "Lat", "unit": "g", "at_rest": "0.0 g", "positive": "left turn"}
    assert {s.key: s.value for s in got.sized}["driving.smoothing"] == "0.3 s"
    bare = reading.read(ROOT / "configs" / "hillclimb_four.toml")
    assert bare.parameters.driving.smoothing is None and "driving.smoothing" not in {s.key for s in bare.sized}  # nothing to smooth
    (tmp_path / "lap.csv").write_text(with_rows({3: {1: "?"}}))
    with pytest.raises(BadFile, match=re.escape(f"{tmp_path / 'lap.csv'}:5: Long: ?: is not a number")):
        reading.read(tmp_path / "engine.toml")
    (tmp_path / "engine.toml").write_text(GOOD)
    assert reading.read(tmp_path / "engine.toml").lap is None


def test_the_starters_lap_reads_where_its_lines_are_taken_up(tmp_path):
    text = (ROOT / "generators" / "data" / "starter.toml").read_text()
    lines = r"^# (log|smoothing|\[driving\.columns\]|time|longitudinal|lateral|vertical|speed)(?= )"
    text, count = re.subn(lines, r"\1", text, flags=re.MULTILINE)
    assert count == 8
    (tmp_path / "engine.toml").write_text(text)
    (tmp_path / "lap.csv").write_text(joined(rows(Vert=lambda i: "1.1", Speed=lambda i: "80")))
    got = reading.read(tmp_path / "engine.toml").lap
    assert got.acceleration[0] == pytest.approx([0.5 * G, -0.25 * G, 0.1 * G]) and got.speed[0] == pytest.approx(80 / 3.6)
