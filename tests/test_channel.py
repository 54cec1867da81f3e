"""Channels of constant section against closed forms. Lengths in mm."""

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely import distance, points
from shapely.geometry import LineString, Polygon

from generators.outlines import circle, crosses_itself, flattened, perimeter, signed_area, without_repeats
from generators.sheet.channel import Channel
from generators.sheet.folded import flat_of, folded_frames, metal_volume

U = Channel(((0, 40), (0, 0), (80, 0), (80, 40)), 2.0, 3.0, 150.0, 0.5)
ZED = Channel(((0, 30), (0, 0), (50, 0), (50, -30)), 2.0, 3.0, 150.0, 0.5)
TROUGH = Channel(((0, 50), (5, 18), (25, 0), (60, -4), (85, 20), (85, 45), (110, 45)), 1.5, 4.0, 300.0, 0.5)
CHANNELS = {"U": U, "zed": ZED, "trough": TROUGH, "plate": Channel(((0, 0), (60, 0)), 2.0, 3.0, 100.0, 0.5)}


def random_channel(seed: int) -> Channel:
    """A section that wanders either way, its turns up to 60 degrees and its sides long enough for them."""
    rng = np.random.default_rng(seed)
    headings = np.cumsum(rng.choice([-1, 1], 6) * rng.uniform(0.1, math.pi / 3, 6)) * rng.choice([-1, 1])
    ways = np.column_stack([np.cos(headings), np.sin(headings)]) * rng.uniform(25, 60, (6, 1))
    return Channel(
        tuple(map(tuple, np.cumsum(ways, axis=0))), float(rng.uniform(1, 3)), float(rng.uniform(2, 6)), 200.0, 0.5
    )


CHANNELS |= {f"random {seed}": random_channel(seed) for seed in range(8)}
BENT = {name: channel for name, channel in CHANNELS.items() if name != "plate"}


def named(channels):
    """One case a channel."""
    return pytest.mark.parametrize("channel", list(channels.values()), ids=list(channels))


def test_a_u_by_hand():
    # two sides of 37, a floor of 74 between two quarter rings of radii 3 and 5
    area = 2 * (37 * 2 + 74 + math.pi / 4 * (25 - 9))
    assert signed_area(U.section()) == pytest.approx(area, rel=1e-12)
    assert U.angles == pytest.approx([math.pi / 2] * 2)
    assert U.setbacks == pytest.approx([3, 3])


def test_a_bend_away_from_the_inside_turns_about_the_far_side():
    # inside face of the second bend has radius 3 + 2
    assert ZED.angles == pytest.approx([math.pi / 2, -math.pi / 2])
    assert ZED.setbacks == pytest.approx([3, 5])
    area = 2 * (27 + 42 + 25) + 2 * math.pi / 4 * (25 - 9)
    assert signed_area(ZED.section()) == pytest.approx(area, rel=1e-12)


@named(CHANNELS)
def test_section_times_length_is_the_volume(channel):
    area = signed_area(channel.section())
    assert area * channel.length == pytest.approx(metal_volume(channel.sheet()), rel=1e-10)
    assert area * channel.length == pytest.approx(flat_of(channel.sheet()).area * channel.thickness, rel=1e-10)
    assert not crosses_itself(channel.section())


@named(CHANNELS)
def test_the_folded_sheet_fills_the_section(channel):
    from generators.sheet.solids import folded_solid, prism

    root = channel.root(origin=(0, 0, 0), u=(1, 0, 0), v=(0, 1, 0))
    folded = folded_solid(channel.sheet(), where=root)
    drawn = prism(channel.section(), height=channel.length)
    assert folded.Volume() == pytest.approx(drawn.Volume(), rel=1e-6)
    assert folded.intersect(drawn).Volume() == pytest.approx(drawn.Volume(), rel=1e-6)


@named(BENT)
def test_inside_and_outside_lie_a_thickness_apart(channel):
    inside, outside = (open_line(channel, depth) for depth in (0, channel.thickness))
    assert distance(points(np.array(outside.coords)), inside) == pytest.approx(channel.thickness, abs=0.011)
    lost = sum(a * channel.thickness for a in channel.angles)  # outside a bend to the inside is longer by angle x t
    assert length(channel, channel.thickness) - length(channel, 0) == pytest.approx(lost, abs=1e-9)


def open_line(channel: Channel, depth: float) -> LineString:
    """The path at `depth` as fine chords."""
    return LineString(flattened(without_repeats(channel.path(depth)), 0.001))


def length(channel: Channel, depth: float) -> float:
    """Length of the path at `depth` from end to end: the closed loop less its closing side."""
    path = channel.path(depth)
    return perimeter(without_repeats(path)) - math.dist(path[0][:2], path[-1][:2])


@named(BENT)
def test_the_inside_path_follows_the_corners(channel):
    corners = LineString(channel.corners)
    path = np.array([v[:2] for v in channel.path()])
    assert distance(points(path), corners).max() < 1e-9
    assert path[0] == pytest.approx(channel.corners[0]) and path[-1] == pytest.approx(channel.corners[-1])


@named(BENT)
def test_the_neutral_line_is_as_long_as_the_flat(channel):
    flat = flattened(flat_of(channel.sheet()).outer)
    size = flat.max(axis=0) - flat.min(axis=0)
    assert size == pytest.approx([channel.length, length(channel, channel.thickness / 2)], abs=1e-9)


@named(CHANNELS)
def test_mixed_bends_alternate_on_the_flat(channel):
    lines = flat_of(channel.sheet()).bends
    assert [line.angle for line in lines] == pytest.approx(channel.angles)
    assert all(line.length == pytest.approx(channel.length) for line in lines)
    across = [line.start[1] for line in lines]
    assert across == sorted(across)


@pytest.mark.parametrize(
    "corners",
    [
        ((0, 40), (0, 0), (5.9, 0), (5.9, 40)),  # two setbacks of 3 need 6
        ((0, 2.9), (0, 0), (80, 0)),
        ((0, 30), (0, 0), (7.9, 0), (7.9, -30)),  # 3 and 5
        ((0, 40), (0, 0), (0, 0), (80, 0)),  # two corners in one place
    ],
)
def test_sides_too_short_for_their_bends(corners):
    channel = replace(U, corners=corners)
    for use in (channel.faces, channel.path, channel.section, channel.sheet):
        with pytest.raises(ValueError, match="mm long, its bends need"):
            use()


def test_sides_just_long_enough():
    assert signed_area(replace(U, corners=((0, 40), (0, 0), (6.1, 0), (6.1, 40))).section()) > 0
    assert signed_area(replace(ZED, corners=((0, 30), (0, 0), (8.1, 0), (8.1, -30))).section()) > 0


def test_a_corner_that_does_not_turn_is_no_bend():
    with pytest.raises(ValueError, match="impossible"):
        replace(U, corners=((0, 40), (0, 0), (40, 0), (80, 0))).sheet()


AXES = [
    ((1, 0, 0), (0, 1, 0)),
    ((0, 1, 0), (0, 0, 1)),
    ((0, -1, 0), (0, 0, 1)),
    ((0, 1, 0), (0, 0, -1)),
    ((0.6, 0.8, 0), (-0.8, 0.6, 0)),
    ((0, 0.6, 0.8), (0, 0.8, -0.6)),
]


@pytest.mark.parametrize(("u", "v"), AXES)
@named({k: CHANNELS[k] for k in ("U", "zed", "trough")})
def test_root_puts_the_inside_faces_where_the_section_says(channel, u, v):
    origin, u, v = np.array([10.0, -20.0, 5.0]), np.array(u, float), np.array(v, float)
    along = np.cross(u, v)
    sheet = channel.sheet()
    placed = folded_frames(sheet, channel.root(origin=origin, u=u, v=v))
    for region, (a, b) in zip(sheet.regions, channel.faces(), strict=True):
        across = float(np.linalg.norm(b - a))
        inside = placed[region.name].points(
            [(0, 0, channel.thickness), (0, across, channel.thickness), (channel.length, 0, channel.thickness)]
        )
        expected = [
            origin + a[0] * u + a[1] * v,
            origin + b[0] * u + b[1] * v,
            origin + a[0] * u + a[1] * v + along * channel.length,
        ]
        assert inside == pytest.approx(np.array(expected), abs=1e-9)


@pytest.mark.parametrize(
    ("u", "v"), [((0, 2, 0), (0, 0, 1)), ((0, 1, 0), (0, 0.1, 1)), ((0, 1, 0), (0, 1, 0)), ((0, 0, 0), (0, 0, 1))]
)
def test_root_needs_square_unit_axes(u, v):
    with pytest.raises(ValueError, match="unit length and square"):
        U.root(origin=(0, 0, 0), u=u, v=v)


def test_holes_lie_on_their_face():
    hole = circle(x=50, y=10, radius=4)
    flat = flat_of(U.sheet({1: (hole,)}))
    assert flat.area == pytest.approx(flat_of(U.sheet()).area - 16 * math.pi, rel=1e-12)
    (x, y), radius = flat.holes[0].as_circle()
    assert radius == pytest.approx(4)
    assert (x, y) == pytest.approx((50, 37 + math.pi / 2 * 4 + 10))  # past the first side and its bend
    assert Polygon(flattened(flat.outer)).contains(Polygon(flattened(flat.holes[0])))
