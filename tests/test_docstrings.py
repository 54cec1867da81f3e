"""What the package says of itself: everything public has a docstring, sizes have units, parameters in backticks exist.

Reads syntax trees only. Private names (with a leading underscore), functions inside functions and Python's own hooks
(with two underscores) need none of it. Every rule is tried on made-up sources too, so that it is known to complain."""

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "generators"

Function = ast.FunctionDef | ast.AsyncFunctionDef

UNIT = re.compile(
    r"(?<![\w'])(mm|cm|um|m|mm[234]|m[23]|rad|deg|degC|degrees?|s|ms|min|Hz|kg|g|K|Pa|kPa|MPa|bar|N|Nm|J|W|kW|rpm|L|cSt"
    r"|inch|inches|percent|per cent|pixels?)(?![\w'])"
)
"""A unit as docstrings write it; "kg/m3" counts by either half."""

NO_UNIT = re.compile(
    r"\b(ratios?|shares?|K-factor|factor|multiples?|bulges?|dimensionless|cosine|unit|thicknesses)\b|^(a|the) number\b",
    re.IGNORECASE,
)
"""Words that say that a float has no unit, or that the unit comes with it; only in a thing's own docstring."""

LIBRARY_HOOKS = {"model_post_init"}
"""Methods that a library calls by this name."""

TICKED = re.compile(r"`([A-Za-z_]\w*)`")


@dataclass(frozen=True)
class Place:
    """A public thing with a docstring, and what stands around it."""

    file: str
    node: ast.AST
    name: str
    around: tuple[str, ...]
    known: frozenset[str]

    @property
    def said(self) -> str:
        """Its docstring, or nothing."""
        return ast.get_docstring(self.node) or ""

    def complaint(self, words: str) -> str:
        """A complaint with file and line."""
        return f"{self.file}:{getattr(self.node, 'lineno', 1)}: {self.name} {words}"


def places(file: str, text: str) -> Iterator[Place]:
    """The module, its public functions and classes, and the classes' public methods."""
    tree = ast.parse(text)
    classes = [node for node in tree.body if isinstance(node, ast.ClassDef)]
    top = frozenset(names_at_the_top(tree).union(*(names_at_the_top(c) for c in classes)))
    about = ast.get_docstring(tree) or ""
    yield Place(file, tree, "the module", (), top)
    for node in tree.body:
        if not isinstance(node, Function | ast.ClassDef) or node.name.startswith("_"):
            continue
        yield Place(file, node, node.name, (about,), top | names_in(node))
        if isinstance(node, ast.ClassDef):
            around = (ast.get_docstring(node) or "", about)
            fields = names_at_the_top(node)
            for inner in node.body:
                if isinstance(inner, Function) and not inner.name.startswith("_") and inner.name not in LIBRARY_HOOKS:
                    yield Place(file, inner, f"{node.name}.{inner.name}", around, top | fields | names_in(inner))


def names_at_the_top(node: ast.Module | ast.ClassDef) -> set[str]:
    """What a module or a class defines or imports for all to see."""
    found: set[str] = set()
    for inner in node.body:
        if isinstance(inner, Function | ast.ClassDef):
            found.add(inner.name)
        elif isinstance(inner, ast.Import | ast.ImportFrom):
            found |= {(alias.asname or alias.name).split(".")[0] for alias in inner.names}
        else:
            found |= {n.id for n in ast.walk(inner) if isinstance(n, ast.Name)}
    return found


def names_in(node: ast.AST) -> set[str]:
    """Parameters, names, attributes and text keys that a function or a class works with; not its docstring."""
    found: set[str] = set()
    for inner in ast.walk(node):
        if isinstance(inner, ast.arg):
            found.add(inner.arg)
        elif isinstance(inner, ast.Name):
            found.add(inner.id)
        elif isinstance(inner, ast.Attribute):
            found.add(inner.attr)
        elif isinstance(inner, ast.keyword) and inner.arg:
            found.add(inner.arg)
        elif isinstance(inner, Function):
            found.add(inner.name)
        elif isinstance(inner, ast.Constant) and isinstance(inner.value, str) and inner.value.isidentifier():
            found.add(inner.value)
    return found


def counts_floats(annotation: ast.AST | None) -> bool:
    """Whether float stands anywhere in an annotation."""
    return annotation is not None and any(isinstance(n, ast.Name) and n.id == "float" for n in ast.walk(annotation))


def parameters(node: Function) -> list[ast.arg]:
    """All of a function's parameters."""
    a = node.args
    return [*a.posonlyargs, *a.args, *a.kwonlyargs, *([a.vararg] if a.vararg else [])]


def has_docstrings(place: Place) -> Iterator[str]:
    """Something is said of it."""
    if not place.said.strip():
        yield place.complaint("has no docstring")


def names_units(place: Place) -> Iterator[str]:
    """A function that takes or gives floats tells their unit in its docstring or in one around it, or takes it."""
    if not isinstance(place.node, Function):
        return
    if not any(counts_floats(a) for a in (place.node.returns, *(p.annotation for p in parameters(place.node)))):
        return
    if any(p.arg == "unit" for p in parameters(place.node)) or NO_UNIT.search(place.said):
        return
    if not any(UNIT.search(text) for text in (place.said, *place.around)):
        yield place.complaint("takes or gives a float, but no docstring tells its unit")


def ticked_names_exist(place: Place) -> Iterator[str]:
    """A name in backticks is a parameter, or a name that the function works with or its module defines."""
    if isinstance(place.node, ast.Module):
        return
    for name in TICKED.findall(place.said):
        if name not in place.known:
            yield place.complaint(f"tells of `{name}`, which it does not have")


RULES = (has_docstrings, names_units, ticked_names_exist)


@pytest.mark.parametrize("rule", RULES, ids=lambda r: r.__name__)
def test_the_package_tells_what_it_does(rule):
    files = sorted(PACKAGE.rglob("*.py"))
    assert len(files) > 10
    complaints = [
        c
        for path in files
        for place in places(str(path.relative_to(PACKAGE.parent)), path.read_text(encoding="utf-8"))
        for c in rule(place)
    ]
    assert not complaints, "\n".join(["", *complaints])


BREACHES = [
    (has_docstrings, "x = 1", "a.py:1: the module has no docstring"),
    (has_docstrings, '"""m"""\ndef f():\n    pass', "a.py:2: f has no docstring"),
    (has_docstrings, '"""m"""\nclass C:\n    pass', "C has no docstring"),
    (
        has_docstrings,
        '"""m"""\nclass C:\n    """c"""\n    @property\n    def p(self):\n        return 1',
        "C.p has no docstring",
    ),
    (has_docstrings, '"""m"""\ndef f():\n    """  """', "f has no docstring"),
    (names_units, '"""Walls."""\ndef f(x: float):\n    """How wide."""', "a.py:2: f takes or gives a float"),
    (names_units, '"""Walls."""\ndef f() -> tuple[float, float]:\n    """The ends in a row."""', "f takes or gives"),
    (names_units, '"""Walls."""\ndef f(*, x: float | None = None):\n    """The shop\'s width."""', "f takes or gives"),
    (
        names_units,
        '"""Walls."""\nclass C:\n    """c."""\n    def f(self) -> list[float]:\n        """w."""',
        "C.f takes or gives",
    ),
    (names_units, '"""A ratio."""\ndef f(x: float):\n    """How wide."""', "f takes or gives"),
    (ticked_names_exist, '"""m"""\ndef f(width):\n    """`width` and `wdith`."""', "a.py:2: f tells of `wdith`"),
    (
        ticked_names_exist,
        '"""m"""\ndef g(depth):\n    """g"""\ndef f(width):\n    """`depth`."""',
        "f tells of `depth`",
    ),
    (ticked_names_exist, '"""m"""\nclass C:\n    """`size` of it."""\n    width: int', "C tells of `size`"),
]


@pytest.mark.parametrize(("rule", "text", "words"), BREACHES)
def test_a_breach_is_named_with_file_and_line(rule, text, words):
    complaints = [c for place in places("a.py", text) for c in rule(place)]
    assert complaints, f"{rule.__name__} saw nothing wrong"
    assert words in complaints[0]


SOUND = [
    '"""m"""\ndef _f(x: float):\n    pass\nclass _C:\n    pass',
    '"""m"""\ndef f(x: float):\n    """In mm."""',
    '"""Walls, mm."""\ndef f(x: float):\n    """x."""',
    (
        '"""m"""\nclass C:\n    """kg/m3."""\n    def __init__(self):\n        pass\n'
        '    def f(self) -> float:\n        """c"""'
    ),
    '"""m"""\ndef f(x: float) -> float:\n    """A ratio."""\n    def inner():\n        pass',
    '"""m"""\ndef f(value: float, unit: str):\n    """With its name."""',
    '"""m"""\ndef f(n: int) -> str:\n    """n."""',
    '"""m"""\nLIMIT = 1\ndef f(d):\n    """`width` of d, up to `LIMIT`, `f` itself."""\n    return d.width',
]


@pytest.mark.parametrize("text", SOUND)
def test_what_is_sound_is_let_pass(text):
    assert [c for place in places("a.py", text) for rule in RULES for c in rule(place)] == []
