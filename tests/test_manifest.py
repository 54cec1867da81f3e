"""What an output folder says of how it was made: enough to make the same again, and to see when it is not the same."""

import hashlib
import json
import shutil
import sys

import pytest
from program_inside import inside

from configs import CONFIGS
from generators import __main__ as program
from generators.exports import manifest

SCRAPER = ("--only", "windage_scraper", "-q")


@pytest.fixture(autouse=True)
def _elsewhere(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "argv", sys.argv)


@pytest.fixture(scope="module")
def once(tmp_path_factory):
    """An engine whose rail is a drawing in a folder beside its file: its output folder, the file itself gone."""
    root = tmp_path_factory.mktemp("engine")
    (root / "measured").mkdir()
    shutil.copy(CONFIGS / "endurance_flat_six_rail.dxf", root / "measured/rail.dxf")
    text = (CONFIGS / "endurance_flat_six.toml").read_text().replace('"endurance_flat_six_rail.dxf"', '"measured/rail.dxf"')
    (root / "flat six.toml").write_text(text[:text.index("[vehicle]")])
    before, sys.argv = sys.argv, sys.argv
    assert inside("make", root / "flat six.toml", "--out", root / "made", *SCRAPER) == 0
    sys.argv = before
    shutil.rmtree(root / "measured")
    (root / "flat six.toml").unlink()
    return root / "made"


@pytest.fixture
def made(once, tmp_path):
    """A copy of it somewhere else."""
    return shutil.copytree(once, tmp_path / "moved" / "here")


def test_the_manifest_tells_what_made_each_file(made):
    told = json.loads((made / "manifest.json").read_text())
    here = {p.relative_to(made).as_posix(): p for p in made.rglob("*") if p.is_file() and p.name not in ("manifest.json", ".sumpwright_files")}
    assert set(told["files"]) == set(here) and {"inputs/flat six.toml", "inputs/measured/rail.dxf"} <= set(here)
    for name, about in told["files"].items():
        assert about == {"sha256": hashlib.sha256(here[name].read_bytes()).hexdigest(), "bytes": here[name].stat().st_size}
    assert told["only"] == ["windage_scraper"] and told["made_with"]["cadquery"] and told["parameters"]["pan_rail"]["bolt_size"] == "M6"


def test_the_same_is_made_again_from_it_alone(made, capsys):
    before = {p: p.read_bytes() for p in made.rglob("*") if p.is_file()}
    assert inside("make", made / "manifest.json") == 0
    assert f"the same again: all {len(before) - 2} files are as the manifest says" in capsys.readouterr().out
    assert {p: p.read_bytes() for p in made.rglob("*") if p.is_file()} == before


def rewritten(made, change) -> dict:
    """The manifest changed, with a checksum of its own as if it had been written so."""
    told = json.loads((made / "manifest.json").read_text())
    del told["manifest_sha256"]
    change(told)
    told["manifest_sha256"] = hashlib.sha256(json.dumps(told, sort_keys=True).encode()).hexdigest()
    (made / "manifest.json").write_text(json.dumps(told))
    return told


def test_what_is_not_the_same_is_named(made):
    def another(told):
        told["files"]["windage_scraper/windage_scraper.stl"]["sha256"] = "0" * 64
        told["sumpwright"] = "0.0.9"

    told = rewritten(made, another)
    with manifest.opened(made / "manifest.json") as kept:
        said = program._again(kept, made)
    assert "not the same (made by 0.0.9, now by" in said and f"1 of {len(told['files'])} files differ: windage_scraper/windage_scraper.stl" in said
    (made / "stray.txt").write_text("mine")
    assert manifest.unlike(kept, made) == ["stray.txt", "windage_scraper/windage_scraper.stl"]


def changed(made):
    (made / "inputs/flat six.toml").write_text("title = 'another'\n")


def gone(made):
    (made / "inputs/measured/rail.dxf").unlink()


def climbing(made):
    rewritten(made, lambda told: told["files"].update({"inputs/../../x": {"sha256": "0", "bytes": 0}}))


def by_hand(key, value):
    """Spoils one value of the manifest, as an editor would."""
    def spoil(made):
        told = json.loads((made / "manifest.json").read_text())
        table = told["parameters"]["pan_rail"] if key in told["parameters"]["pan_rail"] else told
        assert table[key] != value
        table[key] = value
        (made / "manifest.json").write_text(json.dumps(told, indent=1))
    return spoil


@pytest.mark.parametrize("spoil, words", [
    (changed, "was changed since"),
    (gone, "there is no such file"),
    (climbing, "leaves the folder"),
    (by_hand("width", 300.0), "was changed since it was written: it is a record; change the parameter file (inputs/flat six.toml)"),
    (by_hand("only", ["nosuch"]), "was changed since it was written"),
    (lambda made: (made / "manifest.json").write_text('{"sumpwright": "0.1.0", "files": {}}'), "is no manifest.json of ours"),
    (lambda made: (made / "manifest.json").write_text("[1, 2]"), "is no manifest.json of ours"),
    (lambda made: (made / "manifest.json").write_bytes(b"\xff\xfe"), "cannot be read"),
    (lambda made: (made / "manifest.json").unlink(), "there is no such file"),
])
def test_a_spoilt_one_is_refused_and_changes_nothing(made, capsys, spoil, words):
    spoil(made)
    before = {p: p.read_bytes() for p in made.rglob("*") if p.is_file()}
    assert inside("make", made / "manifest.json") == 2
    assert words in capsys.readouterr().err
    assert {p: p.read_bytes() for p in made.rglob("*") if p.is_file()} == before
