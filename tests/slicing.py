"""What a slicer says of a mesh, where one is installed: Debian's prusa-slicer."""

import re
import shutil
import subprocess

import pytest

SLICER = shutil.which("prusa-slicer")

REPAIRS = {"open_edges", "edges_fixed", "facets_removed", "facets_reversed", "degenerate_facets", "backwards_edges"}
"""What it says of a mesh that it mended: then it calls it sound all the same."""


def assert_sliced(file, *, volume: float, size) -> None:
    """It takes the file as it is: closed, one part, nothing repaired, of that volume (mm3) and size (3,) mm."""
    said = subprocess.run([SLICER, "--info", str(file)], capture_output=True, text=True, check=True, timeout=60).stdout
    told = {key: value.strip() for key, value in re.findall(r"^(\w+) = (.*)$", said, re.MULTILINE)}
    assert told["manifold"] == "yes" and told["number_of_parts"] == "1", file.name
    assert not REPAIRS & set(told), file.name
    assert float(told["volume"]) == pytest.approx(volume, rel=5e-3)
    assert [float(told[f"size_{axis}"]) for axis in "xyz"] == pytest.approx(list(size), abs=0.05)
