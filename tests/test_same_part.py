"""One engine told in another way gives the same parts, and its mirror image mirrored ones: every config, every part."""

import dataclasses
import re
from functools import cache
from importlib import import_module

import numpy as np
import pytest

from configs import CONFIGS, NAMES, WET_NAMES, WET_PARTS, changed, read, region
from generators import outlines
from generators.reading import read as read_file

PARTS = ("scavenge_pan", "windage_scraper", "gate_baffle", "reservoir")

MADE = [(config, part) for config in NAMES for part in PARTS] + [(config, part) for config, parts in WET_PARTS.items() for part in parts]
"""Every part of every demo engine."""

MM = 25.4


@cache
def part_of(name: str):
    """The module of a part."""
    return import_module(f"generators.parts.{name}")


def dimensions(name, parameters):
    return part_of(name).dimension(parameters, region(parameters))


# ---------------------------------------------------------------- units


def other_units(text: str) -> str:
    """A file in inches where it had millimetres, and the other way round; numbers in full."""
    swap = {"mm": "in", "in": "mm"}

    def value(match):
        number, unit = match[1], match[2]
        whole = sum(float(a) / float(b) for a, b in (p.split("/") if "/" in p else (p, 1) for p in number.split()))
        return f'"{whole * (MM if unit == "in" else 1 / MM)!r} {swap[unit]}"'

    def listed(match):
        by = MM if match[1] == "in" else 1 / MM
        numbers = re.sub(r"-?\d+(?:\.\d+)?", lambda n: repr(float(n[0]) * by), re.sub(r"#.*", "", match[3]))
        return f'unit = "{swap[match[1]]}"{match[2]}{numbers}}}'

    text = re.sub(r'"(-?[\d./ ]+) (mm|in)"', value, text)
    return re.sub(r'unit = "(mm|in)"(, (?:points|positions|min|from) = )([^}]*)}', listed, text)


def numbers(value) -> list[float]:
    """Every number in a record, in order."""
    if isinstance(value, outlines.Loop):
        return [n for vertex in value.vertices for n in vertex]
    if dataclasses.is_dataclass(value):
        return [n for f in dataclasses.fields(value) if f.name != "sized" for n in numbers(getattr(value, f.name))]
    if isinstance(value, dict):
        return [n for inner in value.values() for n in numbers(inner)]
    if isinstance(value, (tuple, list)):
        return [n for inner in value for n in numbers(inner)]
    return [float(value)] if isinstance(value, (int, float, np.number)) else []


@pytest.fixture(scope="module", params=[*NAMES, *WET_NAMES])
def retold(request, tmp_path_factory):
    """A config, its parameters, and those of the same file in other units."""
    folder = tmp_path_factory.mktemp("units")
    for beside in (f for f in CONFIGS.iterdir() if f.suffix != ".toml"):
        (folder / beside.name).write_bytes(beside.read_bytes())
    file = CONFIGS / f"{request.param}.toml"
    text = other_units(file.read_text(encoding="utf-8"))
    sizes = re.sub(r'^unit = .*', "", text, flags=re.MULTILINE)  # what a mesh is in stays as it is
    words = {"mm": len(re.findall(r'\bmm"', sizes)), "in": len(re.findall(r'\bin"', sizes))}
    assert min(words.values()) == 0 < max(words.values())
    (folder / file.name).write_text(text, encoding="utf-8")
    return request.param, read(request.param).parameters, read_file(folder / file.name).parameters


def test_inches_and_millimetres_give_the_same_parts(retold):
    config, *both = retold
    for name in WET_PARTS.get(config, PARTS):
        one, other = (numbers(dimensions(name, p)) for p in both)
        assert len(one) == len(other) > 30
        assert one == pytest.approx(other, rel=0, abs=1e-6), name


# ---------------------------------------------------------------- one description, two shapes


@pytest.mark.parametrize("config, name", MADE)
def test_with_k_of_a_half_every_sheet_piece_has_the_volume_of_its_flat(config, name):
    """Half way through the sheet is then neutral: by Pappus a bend holds what its allowance holds."""
    parameters = changed(config, sheet={"k_factor": 0.5})
    made = part_of(name).part(dimensions(name, parameters))
    sheets = [p for p in made.pieces if p.kind in ("folded", "rolled", "plate")]
    assert sheets
    for piece in sheets:
        assert piece.volume == pytest.approx(piece.flat.area * piece.thickness, rel=1e-6), piece.name


# ---------------------------------------------------------------- mirror images


CROOKED = ((0, -118), (150, -118), (170, -104), (300, -104), (320, -118), (420, -118), (420, 122), (0, 122))
"""Corners (x, y) mm of a rail that is not the same on both sides."""

BIG_END = ((-33, 20), (-35, -20), (-28, -38), (26, -36), (31, -18), (30, 22))
"""Corners (u, v) mm of a big end with its bolts not the same on both sides."""


def crooked(*, mirrored: bool, wet: bool = False):
    """The hillclimb four, made wet where that is asked, with a crooked rail and big end, or its mirror image."""
    side = -1 if mirrored else 1
    p = read("hillclimb_four").parameters
    rail = type(p.pan_rail)(outline=outlines.polygon_loop([(x, side * y) for x, y in CROOKED]), face_width=16.0,
                            below_crank=62.0)
    crank = {k: getattr(p.crank, k) for k in p.crank.model_fields_set}
    big_end = type(p.crank.big_end)(width=24.0, outline=tuple((side * u, v) for u, v in BIG_END))
    crank |= {"rotation": "anticlockwise" if mirrored else "clockwise", "big_end": big_end}
    tables = {k: getattr(p, k) for k in type(p).model_fields}
    if wet:
        tables |= {"engine": p.engine.model_copy(update={"lubrication": "wet"}), "gate_baffle": type(p.gate_baffle)()}
    return type(p)(**{**tables, "pan_rail": rail, "crank": type(p.crank)(**crank)})


def solid_facts(piece, side: float) -> list[tuple[float, ...]]:
    """Volume, centre and box of each copy, y times `side`, in an order that mirrored copies share."""
    out = []
    for solid in piece.solids:
        centre, box = solid.Center(), solid.BoundingBox()
        across = sorted((side * box.ymin, side * box.ymax))
        facts = (solid.Volume(), centre.x, side * centre.y, centre.z, box.xmin, box.xmax, *across, box.zmin, box.zmax)
        out.append(tuple(round(f, 5) + 0.0 for f in facts))
    return sorted(out)


@pytest.mark.parametrize("name", PARTS)
def test_a_mirrored_engine_gives_mirrored_parts(name):
    """Rail, big end and rotation mirrored: every piece lies where the mirror shows it. Cell and tank do not depend on
    which way the crank turns: they stay as they are."""
    one, other = (part_of(name).part(dimensions(name, crooked(mirrored=m))) for m in (False, True))
    assert [p.name for p in one.pieces] == [p.name for p in other.pieces]
    side = 1.0 if name in ("gate_baffle", "reservoir") else -1.0
    for a, b in zip(one.pieces, other.pieces, strict=True):
        for mine, theirs in zip(solid_facts(a, 1.0), solid_facts(b, side), strict=True):
            assert mine == pytest.approx(theirs, rel=1e-7, abs=2e-4), a.name


@pytest.mark.parametrize("name", ["deep_pan", "windage_screen", "gate_baffle"])
def test_a_mirrored_wet_engine_gives_mirrored_parts(name):
    """In the deep pan the cell follows a floor that falls to the rising side, so it is mirrored, too."""
    one, other = (part_of(name).part(dimensions(name, crooked(mirrored=m, wet=True))) for m in (False, True))
    assert sorted(p.name for p in one.pieces) == sorted(p.name for p in other.pieces)
    for a in one.pieces:
        for mine, theirs in zip(solid_facts(a, 1.0), solid_facts(other.piece(a.name), -1.0), strict=True):
            assert mine == pytest.approx(theirs, rel=1e-7, abs=2e-3), a.name
