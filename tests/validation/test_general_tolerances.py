"""General tolerances against the tables of ISO 2768-1:1989 and ISO 13920:2023 (secondary copies; from memory where said)."""

import itertools
import math

import pytest

from generators import standards


@pytest.mark.parametrize("size, cut, bent", [  # ISO 2768-1 table 1, classes m and c: secondary copy; c up to 6 mm from memory, unverified
    (1, 0.1, 0.2), (3, 0.1, 0.2), (6, 0.1, 0.3), (6.1, 0.2, 0.5), (30, 0.2, 0.5), (31, 0.3, 0.8), (120, 0.3, 0.8), (400, 0.5, 1.2), (620, 0.8, 2.0),
    (1000, 0.8, 2.0), (1500, 1.2, 3.0), (3999, 2.0, 4.0)])
def test_lengths_cut_and_bent(size, cut, bent):
    assert standards.general_tolerance(size, standard="ISO 2768", grade="m") == cut
    assert standards.general_tolerance(size, standard="ISO 2768", grade="c") == bent


@pytest.mark.parametrize("leg, m, c", [  # table 3: 1 deg, 30', 20', 10', 5' (m: secondary copy); 1 deg 30', 1 deg, 30', 15', 10' (c: from memory)
    (5, 60, 90), (10, 60, 90), (40, 30, 60), (100, 20, 30), (300, 10, 15), (500, 5, 10)])
def test_angles_go_by_their_shorter_leg(leg, m, c):
    for grade, minutes in (("m", m), ("c", c)):
        assert standards.general_tolerance(leg, standard="ISO 2768", grade=grade, of="angle") == pytest.approx(math.radians(minutes / 60))


@pytest.mark.parametrize("grade, of, deviation", [  # ISO 13920 at 350 mm: A 1, B 3; flatness E 1, F 1.5: secondary copy
    ("A", "length", 1), ("B", "length", 3), ("E", "flatness", 1), ("F", "flatness", 1.5)])
def test_a_weldment_of_350_mm(grade, of, deviation):
    assert standards.general_tolerance(350, standard="ISO 13920", grade=grade, of=of) == deviation


def test_a_finer_class_is_never_coarser_and_a_longer_size_never_finer():
    for standard, order in (("ISO 2768", "fmcv"), ("ISO 13920", "ABCD")):
        known = [[standards.general_tolerance(s, standard=standard, grade=g) for s in (10, 50, 200, 700, 1500)] for g in order]
        for row in known:
            assert row == sorted(row)
        for finer, coarser in itertools.pairwise(known):
            assert all(a <= b for a, b in zip(finer, coarser, strict=True))


@pytest.mark.parametrize("size, standard, grade, words", [
    (5000, "ISO 2768", "m", "over 0.5 up to 4000"), (0.4, "ISO 2768", "m", "over 0.5"), (100, "ISO 2768", "x", "ISO 2768 length"),
    (3000, "ISO 13920", "A", "over 2 up to 2000")])
def test_what_no_table_has_is_refused(size, standard, grade, words):
    with pytest.raises(standards.Unknown, match=words):
        standards.general_tolerance(size, standard=standard, grade=grade)


@pytest.mark.parametrize("size, fit, round_", [("M6", "medium", 0.3), ("M8", "medium", 0.5), ("M8", "coarse", 1.0), ("M5", "fine", 0.15)])
def test_holes_must_lie_within_half_their_play(size, fit, round_):
    """ASME Y14.5 annex (from memory, unverified): H = F + T1 + T2, shared alike; holes of ISO 273."""
    assert standards.hole_position(size, hole=standards.clearance_hole(size, fit=fit)).value == pytest.approx(round_)


def test_a_pattern_of_holes_at_their_worst_still_takes_every_bolt():
    """All holes off by half the round one way, all threads the other: the bolt, of its nominal size, still passes through."""
    for size in ("M5", "M6", "M8", "M10"):
        hole = standards.clearance_hole(size)
        off = standards.hole_position(size, hole=hole).value / 2
        assert standards.bolt(size).diameter / 2 + 2 * off == pytest.approx(hole / 2)
    with pytest.raises(ValueError, match="play"):
        standards.hole_position("M6", hole=6.0)
