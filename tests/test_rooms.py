"""How the house is kept: who imports what, who prints, how long a file may be. Reads syntax trees only, runs nothing.

A rule is a function from a source file to complaints; each complaint names file and line. Every rule is tried on
made-up sources too, so that it is known to complain."""

import ast
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = "generators"

ROOMS = (
    "findings",
    "units",
    "standards",
    "outlines",
    "paper",
    "parameters",
    "reading",
    "crank",
    "rail",
    "driving",
    "oil",
    "sheet",
    "fittings",
    "vehicle",
    "sump",
    "pieces",
    "parts",
    "meshes",
    "vessels",
    "bodies",
    "surge",
    "fit",
    "shop",
    "nest",
    "templates",
    "drawings",
    "mockup",
    "checks",
    "exports",
    "report",
    "__main__",
)
"""From the ground up: a file imports from rooms before its own only, and from its own where that is a folder."""

ONLY = {
    "pint": ("units",),
    "pydantic": ("parameters", "reading"),
    "cadquery": (
        "sheet/solids",
        "sheet/rolled_solids",
        "fittings",
        "pieces",
        "parts",
        "meshes",
        "fit/step_file",
        "fit/obstacles",
        "drawings",
        "exports",
        "report/picture",
        "checks/solids",
    ),
    "ezdxf": ("shop/flat_drawing", "nest/drawing"),
    "spyrrow": ("nest",),
    "lib3mf": ("mockup",),
    "reportlab": ("paper",),
    "typer": ("__main__",),
    "rich": ("__main__",),
}
"""Who may import a library: a file, or a folder with all in it."""
ONLY["OCP"] = ONLY["cadquery"]

TOO_VAGUE = {"utils", "util", "helpers", "helper", "common", "misc", "manager", "base"}
MOST_LINES = 400

TOP_FOLDERS = {PACKAGE, "configs", "tests", "output"}
TOP_FILES = {"README.md", "DEVELOPERS.md", "pyproject.toml", "LICENSE"}
LEFT_BY_TOOLS = {"build", "dist", "sumpwright.egg-info"}
"""Not kept under version control (.gitignore)."""


@dataclass(frozen=True)
class Source:
    """A file's path inside the package, without ".py" (folder files as "folder/__init__"), and its text."""

    path: str
    text: str

    @property
    def room(self) -> str:
        """The first word of the path."""
        return self.path.split("/")[0]

    @property
    def place(self) -> str:
        """How the file is imported, with slashes: a folder for its __init__."""
        return self.path.removesuffix("/__init__")

    @property
    def tree(self) -> ast.Module:
        """The syntax tree."""
        return parsed(self.text)

    def at(self, node: ast.AST | int, words: str) -> str:
        """A complaint about a line."""
        line = node if isinstance(node, int) else node.lineno
        return f"{PACKAGE}/{self.path}.py:{line}: {words}"


@cache
def parsed(text: str) -> ast.Module:
    """The syntax tree of a text: each file is read by many rules."""
    return ast.parse(text)


Rule = Callable[[Source], Iterator[str]]


def imports(source: Source) -> Iterator[tuple[ast.AST, str]]:
    """Each import with the dotted name that it asks for; of "from a import b" a.b, for b may be a file."""
    package = [PACKAGE, *source.path.split("/")[:-1]]
    for node in ast.walk(source.tree):
        if isinstance(node, ast.Import):
            yield from ((node, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = package[: len(package) - node.level + 1] if node.level else []
            module = ".".join([*above, *([node.module] if node.module else [])])
            yield from ((node, f"{module}.{alias.name}") for alias in node.names)


def own_imports(source: Source) -> Iterator[tuple[ast.AST, list[str]]]:
    """Imports from the package itself, as the words after its name."""
    for node, name in imports(source):
        words = name.split(".")
        if words[0] == PACKAGE and len(words) > 1:
            yield node, words[1:]


def within(place: str, allowed: str) -> bool:
    """Whether a place is the allowed file or lies in the allowed folder."""
    return place == allowed or place.startswith(f"{allowed}/")


# ---------------------------------------------------------------- the rules


def rooms_above(source: Source) -> Iterator[str]:
    """Imports go to rooms above only."""
    if source.path == "__init__":
        return
    if source.room not in ROOMS:
        yield source.at(1, f"room {source.room} has no place in the order of rooms")
        return
    for node, words in own_imports(source):
        if words[0] not in ROOMS:
            if not words[0].startswith("__"):  # __version__
                yield source.at(node, f"imports {words[0]}, which has no place in the order of rooms")
        elif ROOMS.index(words[0]) > ROOMS.index(source.room):
            yield source.at(node, f"{source.room} imports {words[0]}, which comes after it")


def parts_apart(source: Source) -> Iterator[str]:
    """Parts know nothing of each other."""
    if source.room != "parts" or source.path == "parts/__init__":
        return
    own = source.path.split("/")[1]
    for node, words in own_imports(source):
        if words[0] == "parts" and words[1:2] != [own]:
            yield source.at(node, f"part {own} imports {'.'.join(words)}")


def libraries_at_their_doors(source: Source) -> Iterator[str]:
    """Some libraries have few doors."""
    for node, name in imports(source):
        library = name.split(".")[0]
        if library in ONLY and not any(within(source.place, door) for door in ONLY[library]):
            yield source.at(node, f"imports {library}, which only {', '.join(ONLY[library])} may")


def no_stars(source: Source) -> Iterator[str]:
    """No import of everything."""
    for node in ast.walk(source.tree):
        if isinstance(node, ast.ImportFrom) and any(alias.name == "*" for alias in node.names):
            yield source.at(node, f"imports everything from {node.module}")


def prints_in_main_only(source: Source) -> Iterator[str]:
    """Only the commands speak."""
    for node in ast.walk(source.tree):
        if isinstance(node, ast.Name) and node.id == "print" and source.path != "__main__":
            yield source.at(node, "prints")
        stream = isinstance(node, ast.Attribute) and node.attr in ("stdout", "stderr", "__stdout__", "__stderr__")
        if stream and isinstance(node.value, ast.Name) and node.value.id == "sys" and source.path != "__main__":
            yield source.at(node, f"writes to sys.{node.attr}")


def no_bare_except(source: Source) -> Iterator[str]:
    """An except says what it expects."""
    for node in ast.walk(source.tree):
        if isinstance(node, ast.ExceptHandler) and node.type is None:
            yield source.at(node, "excepts everything")


def no_globals(source: Source) -> Iterator[str]:
    """No variable of a module is set again."""
    for node in ast.walk(source.tree):
        if isinstance(node, ast.Global):
            yield source.at(node, f"reassigns {', '.join(node.names)} of the module")


def no_swallowed_names(source: Source) -> Iterator[str]:
    """A misspelt argument is an error."""
    for node in ast.walk(source.tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda) and node.args.kwarg:
            yield source.at(node, f"takes any name in **{node.args.kwarg.arg}")


def short_files(source: Source) -> Iterator[str]:
    """A file can be read at one sitting."""
    lines = len(source.text.splitlines())
    if lines > MOST_LINES:
        yield source.at(lines, f"{lines} lines, more than {MOST_LINES}")


def telling_names(source: Source) -> Iterator[str]:
    """A file's name says what is in it."""
    for word in source.path.split("/"):
        if word.strip("_").lower() in TOO_VAGUE:
            yield source.at(1, f"the name {word} says nothing")


RULES: tuple[Rule, ...] = (
    rooms_above,
    parts_apart,
    libraries_at_their_doors,
    no_stars,
    prints_in_main_only,
    no_bare_except,
    no_globals,
    no_swallowed_names,
    short_files,
    telling_names,
)

# ---------------------------------------------------------------- the house


def sources() -> list[Source]:
    """Every file of the package."""
    folder = ROOT / PACKAGE
    return [
        Source(str(p.relative_to(folder).with_suffix("")), p.read_text(encoding="utf-8"))
        for p in sorted(folder.rglob("*.py"))
    ]


def misplaced(names: dict[str, bool]) -> list[str]:
    """Top-level names (True for a folder) that have no place; what begins with a dot is a tool's own."""
    known = {True: TOP_FOLDERS | LEFT_BY_TOOLS, False: TOP_FILES}
    return [
        f"{name}:1: no place at the top level"
        for name, is_folder in sorted(names.items())
        if not name.startswith(".") and name not in known[is_folder]
    ]


@pytest.mark.parametrize("rule", RULES, ids=lambda r: r.__name__)
def test_the_package_keeps_its_rules(rule):
    complaints = [c for source in sources() for c in rule(source)]
    assert not complaints, "\n".join(["", *complaints])


def test_the_package_was_read():
    found = {s.room for s in sources()}
    assert {"findings", "outlines", "sheet", "parts", "crank"} <= found


def test_nothing_strange_lies_at_the_top():
    assert not (strangers := misplaced({p.name: p.is_dir() for p in ROOT.iterdir()})), "\n".join(["", *strangers])


def test_test_files_are_short_and_named_for_what_they_test():
    here = ROOT / "tests"
    files = [
        Source(str(p.relative_to(here).with_suffix("")), p.read_text(encoding="utf-8")) for p in here.rglob("*.py")
    ]
    assert len(files) > 1
    complaints = [
        c.replace(f"{PACKAGE}/", "tests/", 1)
        for s in files
        for rule in (no_stars, no_bare_except, telling_names)
        for c in rule(s)
    ]
    assert not complaints, "\n".join(["", *complaints])


# ---------------------------------------------------------------- the rules complain

BREACHES = [
    (rooms_above, "outlines", "from generators.sheet.flat import FlatPattern", "outlines.py:1: outlines imports sheet"),
    (
        rooms_above,
        "sheet/flat",
        "def f():\n    import generators.parts.deep_pan",
        "sheet/flat.py:2: sheet imports parts",
    ),
    (rooms_above, "meshes", "from generators import checks", "meshes imports checks"),
    (rooms_above, "meshes", "from generators.checks import solids", "meshes imports checks"),
    (rooms_above, "crank/sweep", "from ..meshes import x", "crank imports meshes"),
    (rooms_above, "rail", "from generators.parts import scavenge_pan", "rail imports parts"),
    (rooms_above, "oil/gates", "from generators.parts import gate_baffle", "oil imports parts"),
    (libraries_at_their_doors, "oil/standing", "import cadquery", "imports cadquery"),
    (rooms_above, "cellar", "import math", "room cellar has no place"),
    (rooms_above, "exports/step", "from generators.cellar import x", "imports cellar"),
    (rooms_above, "exports/step", "from generators import cellar", "imports cellar"),
    (
        parts_apart,
        "parts/deep_pan",
        "from generators.parts.gate_baffle import wall",
        "part deep_pan imports parts.gate_baffle",
    ),
    (
        parts_apart,
        "parts/deep_pan/shape",
        "\n\nfrom generators.parts import gate_baffle",
        "deep_pan/shape.py:3: part deep_pan",
    ),
    (parts_apart, "parts/deep_pan", "from generators.parts.deep_pan_extra import x", "imports parts.deep_pan_extra"),
    (parts_apart, "parts/deep_pan/shape", "from ..gate_baffle import wall", "imports parts.gate_baffle"),
    (parts_apart, "parts/deep_pan", "import generators.parts", "imports parts"),
    (parts_apart, "parts/deep_pan", "from generators import parts", "imports parts"),
    (libraries_at_their_doors, "standards/threads", "import pint", "imports pint"),
    (libraries_at_their_doors, "exports/json", "from pydantic import BaseModel", "imports pydantic"),
    (libraries_at_their_doors, "outlines", "def f():\n    import cadquery as cq", "outlines.py:2: imports cadquery"),
    (libraries_at_their_doors, "checks/sheets", "from OCP.BRep import BRep_Tool", "imports OCP"),
    (libraries_at_their_doors, "sheet/solids_more", "import cadquery", "imports cadquery"),
    (libraries_at_their_doors, "unitsmore", "import pint.util", "imports pint"),
    (no_stars, "rail", "from numpy import *", "rail.py:1: imports everything from numpy"),
    (prints_in_main_only, "rail", "x = 1\nprint(x)", "rail.py:2: prints"),
    (prints_in_main_only, "rail", "import sys\nsys.stderr.write('x')", "writes to sys.stderr"),
    (prints_in_main_only, "report/text", "list(map(print, []))", "prints"),
    (no_bare_except, "rail", "try:\n    pass\nexcept:\n    pass", "rail.py:3: excepts everything"),
    (no_globals, "rail", "def f():\n    global x\n    x = 1", "rail.py:2: reassigns x"),
    (no_swallowed_names, "rail", "def f(a, **rest):\n    pass", "rail.py:1: takes any name in **rest"),
    (no_swallowed_names, "rail", "f = lambda **rest: 0", "takes any name"),
    (short_files, "rail", "\n" * 401, "401 lines"),
    (telling_names, "sheet/utils", "", "utils says nothing"),
    (telling_names, "common/flat", "", "common says nothing"),
    (telling_names, "parts/_base", "", "_base says nothing"),
]


@pytest.mark.parametrize(("rule", "path", "text", "words"), BREACHES)
def test_a_breach_is_named_with_file_and_line(rule, path, text, words):
    complaints = list(rule(Source(path, text)))
    assert complaints, f"{rule.__name__} saw nothing wrong"
    assert words in complaints[0] and complaints[0].startswith(f"{PACKAGE}/{path}.py:")


SOUND = [
    ("outlines", "import numpy as np\nfrom generators.findings import Check"),
    ("sheet/folded", "from generators.sheet.flat import FlatPattern\nfrom generators import standards"),
    ("sheet/folded", "from . import flat\nfrom ..outlines import Loop"),
    (
        "parts/deep_pan/shape",
        "from generators.parts.deep_pan.dimension import d\nfrom generators.parts.deep_pan import dimension",
    ),
    ("parts/deep_pan", "from generators import pieces\nfrom generators.sheet import solids"),
    ("parts/__init__", "from generators.parts import deep_pan, gate_baffle"),
    ("__init__", ""),
    ("units", "import pint"),
    ("parameters/fields", "from pydantic import Field"),
    ("sheet/solids", "import cadquery as cq\nfrom OCP.BRep import BRep_Tool"),
    ("parts/deep_pan/shape", "import cadquery as cq"),
    ("exports/__init__", "import cadquery as cq"),
    ("shop/flat_drawing", "from ezdxf import units"),
    ("__main__", "import sys\nprint('x')\nsys.stderr.write('x')\nfrom generators import report, findings"),
    ("rail", "try:\n    pass\nexcept ValueError:\n    pass\nf(**{})\ndef f(*a, b): pass"),
    ("rail", "\n" * 400),
    ("parts/database", ""),
]


@pytest.mark.parametrize(("path", "text"), SOUND)
def test_what_is_sound_is_let_pass(path, text):
    assert [c for rule in RULES for c in rule(Source(path, text))] == []


def test_a_stranger_at_the_top_is_named():
    names = {
        "generators": True,
        "tests": True,
        ".git": True,
        "LICENSE": False,
        "notes": True,
        "todo.txt": False,
        "README.md": True,
        "build": True,
    }
    assert misplaced(names) == [f"{n}:1: no place at the top level" for n in ("README.md", "notes", "todo.txt")]
