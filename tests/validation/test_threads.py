"""Threads against ISO 68-1 / ISO 724 (60 degrees) and ISO 228-1 (Whitworth form)."""

import math

import pytest

from generators import standards

SIXTY_DEGREE_THREADS = (
    [(b.size, b.diameter, b.minor_diameter, b.pitch) for b in map(standards.bolt, standards.bolt_sizes())]
    + [(f.dash, f.major, f.minor, 25.4 / f.threads_per_inch) for f in map(standards.flare, standards.flare_dashes())]
    + [(p.thread, p.major, p.minor, p.pitch) for p in map(standards.drain_plug, standards.drain_plug_names())]
)


@pytest.mark.parametrize(("name", "major", "minor", "pitch"), SIXTY_DEGREE_THREADS)
def test_minor_is_major_less_five_quarters_of_the_triangle(name, major, minor, pitch):
    # ISO 724: D1 = D - 1.0825 P
    assert minor == pytest.approx(major - 1.0825 * pitch, abs=2e-4)


@pytest.mark.parametrize(("thread", "minor"), [  # D1 = D - 1.0825 P by hand
    ("M14x1.5", 12.376), ("M18x1.5", 16.376), ("M22x1.5", 20.376)])
def test_drain_plugs_by_hand(thread, minor):
    assert standards.drain_plug(thread).minor == pytest.approx(minor, abs=5e-4)


@pytest.mark.parametrize(("thread", "inches", "per_inch"), [
    ("1/2-20", 0.5, 20), ("5/8-18", 0.625, 18), ("3/4-16", 0.75, 16)])
def test_unified_plugs_are_in_inches(thread, inches, per_inch):
    plug = standards.drain_plug(thread)
    assert (plug.major, plug.pitch) == pytest.approx((inches * 25.4, 25.4 / per_inch))


@pytest.mark.parametrize("thread", standards.drain_plug_names())
def test_a_plugs_boss_has_a_wall_to_weld_and_threads_to_hold(thread):
    plug = standards.drain_plug(thread)
    assert 8 <= plug.boss_diameter - plug.major < 10  # common practice: 8 to 10 mm over the thread
    assert plug.boss_length / plug.pitch >= 8  # common practice: 6 threads engaged and 2 left clear


@pytest.mark.parametrize(("thread", "depth"), [
    ("M14x1.5", 14), ("M16x1.5", 15.5), ("M18x1.5", 17), ("M22x1.5", 18),  # ISO 6149-1 drills, from memory, unverified
    ("1/2-20", 14), ("3/4-16", 17.5)])  # SAE J1926-1 drill depth, from memory, unverified
def test_a_plugs_boss_is_as_long_as_a_port_is_drilled(thread, depth):
    assert standards.drain_plug(thread).boss_length == depth


ISO_228 = {  # ISO 228-1, read in an open data table; G1 also in a second one
    "G1/8": (9.728, 8.566, 28), "G1/4": (13.157, 11.445, 19), "G3/8": (16.662, 14.950, 19),
    "G1/2": (20.955, 18.631, 14), "G3/4": (26.441, 24.117, 14), "G1": (33.249, 30.291, 11),
}


@pytest.mark.parametrize("thread", ISO_228)
def test_pipe_threads_are_those_of_iso_228(thread):
    pipe = standards.bspp(thread)
    assert (pipe.major, pipe.minor, pipe.threads_per_inch) == ISO_228[thread]


@pytest.mark.parametrize("thread", standards.bspp_names())
def test_pipe_threads_have_the_whitworth_depth(thread):
    # Whitworth form: sharp triangle P / (2 tan 27.5 deg) less a sixth at each end, h = 0.640327 P
    pipe = standards.bspp(thread)
    depth = 2 / 3 * 25.4 / pipe.threads_per_inch / (2 * math.tan(math.radians(27.5)))
    assert pipe.major - pipe.minor == pytest.approx(2 * depth, abs=1.1e-3)
