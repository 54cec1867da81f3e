"""37 degree flare ends against SAE J514 / ISO 8434-2."""

import itertools

import pytest

from generators import standards


@pytest.mark.parametrize("dash", standards.flare_dashes())
def test_a_dash_is_a_sixteenth_of_an_inch_of_tube(dash):
    # the dash rule, read in two secondary copies (a hose maker's appendix and a fitting guide)
    assert standards.flare(dash).tube_od == pytest.approx(-int(dash) / 16 * 25.4, abs=1e-9)


@pytest.mark.parametrize(("dash", "tube", "thread", "major", "minor"), [
    # SAE J514 thread list from memory, unverified; D1 = D - 1.0825 P worked out by hand beside it
    ("-4", 6.350, "7/16-20", 11.112, 9.738),
    ("-6", 9.525, "9/16-18", 14.288, 12.760),
    ("-8", 12.700, "3/4-16", 19.050, 17.331),
    ("-10", 15.875, "7/8-14", 22.225, 20.261),
    ("-12", 19.050, "1 1/16-12", 26.988, 24.696),
    ("-16", 25.400, "1 5/16-12", 33.338, 31.046),
    ("-20", 31.750, "1 5/8-12", 41.275, 38.984),
])
def test_flare_threads_are_those_of_j514(dash, tube, thread, major, minor):
    end = standards.flare(dash)
    assert end.thread == thread
    assert (end.tube_od, end.major, end.minor) == pytest.approx((tube, major, minor), abs=6e-4)


@pytest.mark.parametrize(("dash", "thread"), [  # SAE J514, from memory, unverified
    ("-3", "3/8-24"), ("-5", "1/2-20"), ("-14", "1 3/16-12"), ("-24", "1 7/8-12")])
def test_the_less_used_sizes_are_those_of_j514(dash, thread):
    assert standards.flare(dash).thread == thread


@pytest.mark.parametrize(("dash", "bore"), [  # ISO 8434-2 metric bores, from memory, unverified: inch within 0.2 mm
    ("-4", 4.4), ("-6", 7.5), ("-8", 9.9), ("-10", 12.3), ("-12", 15.5), ("-16", 21.5), ("-20", 27.5), ("-24", 33.5)])
def test_bores_agree_with_the_metric_standard(dash, bore):
    assert standards.flare(dash).bore == pytest.approx(bore, abs=0.2)


@pytest.mark.parametrize("dash", standards.flare_dashes())
def test_the_bore_lies_inside_the_tube_and_the_boss_outside_the_thread(dash):
    end = standards.flare(dash)
    assert end.bore < end.tube_od < end.minor < end.major
    # common practice: a weld-in boss is 8 to 10 mm larger than its thread (the next whole mm is taken)
    assert 8 <= end.boss_diameter - end.major < 10


@pytest.mark.parametrize(("dash", "depth"), [  # SAE J1926-1 tap drill depth, from memory, unverified
    ("-4", 14), ("-6", 15.5), ("-8", 17.5), ("-10", 20), ("-12", 23), ("-16", 23), ("-20", 23)])
def test_a_boss_is_as_long_as_the_drill_goes_deep(dash, depth):
    assert standards.flare(dash).boss_length == depth


def test_sizes_grow_in_every_dimension():
    ends = [standards.flare(dash) for dash in standards.flare_dashes()]
    for small, large in itertools.pairwise(ends):
        assert small.tube_od < large.tube_od and small.major < large.major and small.bore < large.bore


@pytest.mark.parametrize("dash", standards.flare_dashes())
def test_the_flare_for_a_bore_is_the_smallest_that_passes_it(dash):
    bore = standards.flare(dash).bore
    assert standards.flare_for_bore(bore).dash == dash
    if dash != standards.flare_dashes()[-1]:
        assert standards.flare_for_bore(bore + 1e-6).tube_od > standards.flare(dash).tube_od
