"""Two reports side by side: what the table says, what it comes to, and what is not the same of the engines."""

import csv
import io
import json

import pytest

from generators.report.comparison import as_csv, as_json, compared, text, unlike
from generators.report.comparison_page import page


def report(title="Wet", *, depth=200.0, drop=0.0, stop="crossmember", metal=4.0, oil=7.0, pieces=3, gap=12.0, statuses=("pass",), vehicle=True, stroke="86 mm"):
    """A made-up report with what a comparison looks at."""
    balance = {"centre_mm": [0.0, 0.0, 490.0 + depth / 100], "front_share": 0.53, "left_share": 0.5, "transfer_kg": 450.0}
    engine = {"fall_mm": drop / 5, "transfer_kg": 449.0}
    return {"title": title, "source": f"{title}.toml", "parameters": {"pan_rail": {"length": "420 mm"}, "crank": {"stroke": stroke}, "driving": {"cornering": "1 g"}},
            "parts": [{"weld_length_m": 1.5, "pieces": [{"quantity": pieces, "bends": [1, 2], "cut_length_m": 2.0}, {"quantity": 1, "bends": [], "cut_length_m": None}]}],
            "fit": [{"obstacle": "crossmember", "part": "pan", "gap_mm": gap, "depth_mm": 0.0, "required_mm": 10.0}],
            "fit_summary": {"assessed": True, "depth_below_rail_mm": depth, "engine_can_drop_mm": drop, "drop_stops_at": stop,
                            "ground": {"clearance_mm": 300 - depth}, "ground_engine": {"clearance_mm": 300 - depth}},
            "mass": {"parts_kg": metal, "oil_kg": oil, "centre_mm": [0, 0, 250.0], "set_beside": [],
                     "vehicle": {"with": balance, "engine": engine} if vehicle else None},
            "vessels": [{"oil_m3": 8e-3}], "surge_summary": [{"parked_oil_m3": 8e-3, "pickups": [{"least_cover_mm": 30.0}]},
                                                            {"parked_oil_m3": None, "pickups": [{"least_cover_mm": -90.0}]}],
            "checks": [{"id": f"check.{i}", "status": s} for i, s in enumerate(statuses)]}


def values(found):
    return {line.what: (line.one, line.other, line.difference) for line in found.lines}


def test_each_row_has_both_values_and_their_difference():
    found = compared(report(), report("Dry", depth=70.0, drop=45.0, stop="steering rack", metal=5.5, oil=8.0, gap=30.0))
    said = values(found)
    assert said["depth below the rail"] == ("200.0", "70.0", "-130.0") and said["engine can go down by"] == ("0.0", "45.0", "+45.0")
    assert said["pieces"] == ("4", "4", "0") and said["bends"] == ("6", "6", "0") and said["cut length"] == ("6.0", "6.0", "0.0")
    assert said["both"] == ("11.00", "13.50", "+2.50") and said["room to spare at the tightest obstacle"] == ("2.0", "20.0", "+18.0")
    assert said["least over a pickup while driving"][0] == "30.0", "a pan that is pumped empty does not count"
    assert said["what stops the engine"] == ("crossmember", "steering rack", "")


def test_it_comes_to_sentences_with_numbers():
    found = compared(report(), report("Dry", depth=70.0, drop=45.0, metal=5.5, oil=8.0))
    assert found.comes_to[0].startswith("Dry against Wet: 130 mm shallower below the rail, its pan 130 mm higher over the ground, the engine can go down 45 mm "
                                        "further, 2.5 kg heavier with its oil")
    assert "With Dry and the engine lowered as far as it can go the vehicle's centre comes down by 9.0 mm." in found.comes_to
    assert not any("With Wet" in s for s in found.comes_to)


def test_turned_round_the_words_turn_round():
    found = compared(report("Dry", depth=70.0), report("Wet"))
    assert "130 mm deeper below the rail" in found.comes_to[0] and "lower over the ground" in found.comes_to[0]


def test_the_same_design_twice_differs_in_nothing():
    found = compared(report(), report())
    assert found.comes_to == () and found.names == ("Wet.toml", "Wet.toml") and all(line.difference in ("0", "0.0", "0.00", "", "-") for line in found.lines)


def test_what_is_not_known_has_a_dash_and_no_difference():
    found = compared(report(), report("Dry", vehicle=False))
    assert values(found)["on the front axle"] == ("53.00", "-", "-")
    bare = report("Bare")
    bare["fit"], bare["fit_summary"] = [], {"assessed": False, "ground": None, "engine_can_drop_mm": None, "drop_stops_at": ""}
    said = values(compared(bare, report()))
    assert said["depth below the rail"][0] == "-" and said["which obstacle, and to what"][0] == "-" and said["their centre over the ground"][0] == "-"


def test_a_failing_design_is_named():
    found = compared(report(statuses=("pass", "fail", "fail")), report("Dry"))
    assert values(found)["failing"] == ("check.1, check.2", "-", "") and "Wet fails 2 checks: do not make it as it is." in found.comes_to


def test_another_engine_is_said_first():
    one, other = report(), report("Dry", stroke="84 mm")
    assert list(unlike(one["parameters"], other["parameters"])) == ["crank.stroke: 86 mm against 84 mm"]
    assert text(compared(one, other)).startswith("not the same in both: crank.stroke: 86 mm against 84 mm\n")
    assert "Not the same in both files" in page(compared(one, other), "", "0")


def test_the_table_lines_up_and_is_plain_text():
    lines = text(compared(report(), report("Dry & low", depth=70.0))).splitlines()
    table = [line for line in lines if line.startswith("  ") and line.rstrip()[-1].isdigit()]
    assert len(table) > 15 and len({len(line) for line in table}) == 1 and text(compared(report(), report())).isascii()


def test_files_hold_the_same():
    found = compared(report("A,B"), report("Dry <1>", depth=70.0))
    rows = list(csv.reader(io.StringIO(as_csv(found))))
    assert rows[0] == ["group", "what", "unit", "A,B", "Dry <1>", "difference"] and len(rows) == 1 + len(found.lines)
    assert ["Room", "depth below the rail", "mm", "200.0", "70.0", "-130.0"] in rows
    data = json.loads(as_json(found, "1.2"))
    assert data["sumpwright"] == "1.2" and len(data["lines"]) == len(found.lines)
    assert "Dry &lt;1&gt;" in page(found, "", "1.2") and "<1>" not in page(found, "", "1.2")


@pytest.mark.parametrize("deep, left", [(0.0, 2.0), (5.0, -15.0)])
def test_what_stands_in_an_obstacle_has_less_than_no_room(deep, left):
    one = report(gap=0.0 if deep else 12.0)
    one["fit"][0]["depth_mm"] = deep
    assert compared(one, report()).lines[8].values[0] == pytest.approx(left)
