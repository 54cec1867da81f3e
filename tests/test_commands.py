"""The command line as a user meets it: exit status, what is said, what is written and what is left alone."""

import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from program_inside import inside

from configs import CONFIGS
from generators import __main__ as program
from generators.findings import KernelFailure

HILL = CONFIGS / "hillclimb_four.toml"

LIGHT = """
import sys
from generators.__main__ import main
sys.argv = ["sumpwright", *sys.argv[1:]]
try:
    main()
finally:
    heavy = {"cadquery", "OCP", "vtkmodules", "trimesh", "pandas"} & set(sys.modules)
    print("heavy:", sorted(heavy), file=sys.stderr)
"""


def hill(folder) -> str:
    """The text of the demo file, with the file that it names copied to a folder."""
    shutil.copy(HILL.parent / "hillclimb_four_crossmember.step", folder)
    return HILL.read_text()


@pytest.fixture(scope="module")
def bench(tmp_path_factory) -> Path:
    """The demo file of least text, with nothing to print in plastic."""
    file = tmp_path_factory.mktemp("bench") / "bench.toml"
    file.write_text((CONFIGS / "bench_mockup.toml").read_text().partition("[mockup]")[0])
    return file


def run(*args, cwd=None):
    """The program in a process of its own, with the heavy modules it has loaded named at the end of its error stream."""
    command = [sys.executable, "-c", LIGHT, *map(str, args)]
    return subprocess.run(command, check=False, capture_output=True, text=True, cwd=cwd, timeout=120)


@pytest.fixture(autouse=True)
def _elsewhere(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "argv", sys.argv)


def test_help_names_the_commands_without_the_kernel():
    said = run("--help")
    assert said.returncode == 0 and all(word in said.stdout for word in ("starter", "make", "check"))
    assert said.stderr.strip().endswith("heavy: []")


@pytest.mark.parametrize("text, words", [
    ("", "is empty"),
    ("[pan_rail]\nlength = 420\n", "bad.toml:2: pan_rail.length"),
    ("[pan_rail]\nlenght = \"420 mm\"\n", "length"),
    ("[crank]\nswing_radius = \"84 kg\"\n", "bad.toml:2: crank.swing_radius"),
])
def test_bad_file_is_refused_without_the_kernel_and_writes_nothing(tmp_path, text, words):
    file = tmp_path / "bad.toml"
    file.write_text(text)
    said = run("make", "bad.toml", cwd=tmp_path)
    assert said.returncode == 2 and said.stdout == ""
    assert words in said.stderr and said.stderr.strip().endswith("heavy: []")
    assert [p.name for p in tmp_path.iterdir()] == ["bad.toml"]


def test_starter_writes_a_file_that_reads_and_never_overwrites(tmp_path, capsys):
    from generators import reading

    assert inside("starter", "mine.toml") == 0
    first = (tmp_path / "mine.toml").read_text()
    assert reading.read(tmp_path / "mine.toml").parameters.pan_rail.length > 0
    assert inside("starter", "mine.toml") == 2
    assert "exists already" in capsys.readouterr().err
    assert (tmp_path / "mine.toml").read_text() == first
    assert inside("starter", "no/such/folder.toml") == 2


@pytest.mark.parametrize("args, words", [
    (("make", "nowhere.toml"), "no such file"),
    (("make", HILL, "--only", "sunroof"), "scavenge_pan, deep_pan, windage_scraper"),
    (("make", HILL, "--out", "taken"), "is a file"),
    (("make", CONFIGS), "is a folder"),
])
def test_unusable_input_exits_2_with_a_remedy(tmp_path, capsys, args, words):
    (tmp_path / "taken").write_text("mine")
    assert inside(*args) == 2
    assert words in capsys.readouterr().err
    assert [p.name for p in tmp_path.iterdir()] == ["taken"]


def test_a_pan_that_is_there_already_is_not_made(tmp_path, capsys):
    file = tmp_path / "there.toml"
    pan = '\n[deep_pan]\nmake = false\nshallow_depth = "45 mm"\nsump = { length = "180 mm", width = "190 mm", depth = "160 mm", x = "130 mm" }\n'
    file.write_text(hill(tmp_path).replace('lubrication = "dry"', 'lubrication = "wet"') + pan)
    assert inside("make", file, "--only", "deep_pan") == 2
    said = capsys.readouterr().err
    assert f"there.toml:{file.read_text().splitlines().index('make = false') + 1}: deep_pan.make" in said and "leave make out" in said


def test_an_impossible_part_names_its_line(tmp_path, capsys):
    file = tmp_path / "crowd.toml"
    file.write_text(hill(tmp_path).replace("pickups = 3", "pickups = 12"))
    line = file.read_text().splitlines().index("pickups = 12") + 1
    assert inside("check", file, "--only", "scavenge_pan") == 2
    assert f"crowd.toml:{line}: scavenge_pan.pickups: 12" in capsys.readouterr().err


def test_check_prints_and_writes_only_where_asked(tmp_path, capsys, bench):
    assert inside("check", bench, "--only", "windage_scraper") == 0
    assert "windage_scraper.edge_clearance" in capsys.readouterr().out
    assert list(tmp_path.iterdir()) == []
    assert inside("check", bench, "--only", "windage_scraper", "--out", "told", "--quiet") == 0
    assert capsys.readouterr().out == ""
    assert [p.name for p in (tmp_path / "told").iterdir() if not p.name.startswith(".")] == ["report.json"]


def test_a_design_that_falls_short_is_written_and_exits_1(tmp_path, capsys, bench):
    """A sheet of 300 mm holds no scraper of 380 mm."""
    file = tmp_path / "small.toml"
    file.write_text(bench.read_text() + '\n[sheet]\nstock = { length = "300 mm", width = "200 mm" }\n')
    assert inside("make", file, "--only", "windage_scraper", "--out", "made") == 1
    said = capsys.readouterr().out
    assert "fail  windage_scraper.stock" in said
    assert (tmp_path / "made/report.html").is_file() and (tmp_path / "made/windage_scraper/flat/scraper.dxf").is_file()


@pytest.mark.parametrize("trouble, status", [(KeyboardInterrupt(), 130), (KernelFailure("scavenge_pan", "a fuse", "t=2"), 2),
                                            (OSError(28, "No space left on device"), 2)])
def test_a_run_that_breaks_off_leaves_the_last_good_output(tmp_path, monkeypatch, bench, trouble, status):
    from generators.exports import files

    out = tmp_path / "made"
    assert inside("make", bench, "--only", "windage_scraper", "--out", out, "-q") == 0
    before = {p: p.read_bytes() for p in out.rglob("*") if p.is_file()}

    def fail(*args, **kwargs):
        raise trouble

    monkeypatch.setattr(files, "write_parts", fail)
    assert inside("make", bench, "--only", "windage_scraper", "--out", out) == status
    assert {p: p.read_bytes() for p in out.rglob("*") if p.is_file()} == before
    assert [p.name for p in tmp_path.iterdir()] == ["made"]


def test_a_missing_system_library_is_said_in_words(monkeypatch, capsys):
    import importlib

    def fail(name, *args):
        raise ImportError("libGL.so.1: cannot open shared object file: No such file or directory")

    monkeypatch.setattr(importlib, "import_module", fail)
    assert inside("check", HILL) == 2
    assert "apt-get install libgl1" in capsys.readouterr().err


def test_paths_are_kept_in_the_package():
    assert (Path(program.__file__).parent / "data" / "starter.toml").is_file()
