"""A STEP file put into a fixed order: the kernel writes colours in the order of their addresses in memory, and counts the
uses of products on from one file to the next, so that the same model would give another file each time."""

import itertools
import re

USE = re.compile(rb"(= NEXT_ASSEMBLY_USAGE_OCCURRENCE\()'\d+'(.*?\);)$", re.MULTILINE | re.DOTALL)
"""Where the file numbers the use of a product in another; where its line is broken hangs on how long that number is."""

BREAK = re.compile(rb"\n\s*")

STATEMENT = re.compile(rb"^#(\d+) = (.*?);$", re.MULTILINE | re.DOTALL)
REFERENCE = re.compile(rb"#(\d+)")
STYLES = rb"MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION("
"""The entity that heads each group of styles; all of them stand at the end of the data."""

END = b"ENDSEC;\nEND-ISO-10303-21;"


WRAPPED = re.compile(rb"(?<![;*])\n\s*(?=[^\s#])")
"""A break within a statement: where it falls hangs on how long the numbers before it are spelt."""

REAL = re.compile(rb"(?<=[(,])-?\d+\.\d*(?:E[+-]?\d+)?(?=[,)])")
DIGITS = 13
"""Significant digits of a real number: from run to run the kernel's last ones differ, and with them how it spells the whole."""


def _spelt(found: re.Match) -> bytes:
    """A real number in one way, with the point that the format asks for."""
    said = f"{float(found[0]) + 0.0:.{DIGITS}G}"
    mantissa, mark, exponent = said.partition("E")
    return f"{mantissa}{'' if '.' in mantissa else '.'}{mark}{exponent}".encode()


def settled(text: bytes) -> bytes:
    """The same model in the order, and spelt in the way, that does not change from run to run."""
    start = text.index(b"\nDATA;") + len(b"\nDATA;")
    text = text[:start] + REAL.sub(_spelt, WRAPPED.sub(b"", text[start:]))
    numbers = itertools.count(1)
    return _styles_in_order(USE.sub(lambda found: b"%s'%d'%s" % (found[1], next(numbers), BREAK.sub(b"", found[2])), text))


def _styles_in_order(text: bytes) -> bytes:
    """The groups of styles sorted by the shape that they colour, and numbered in that order."""
    start = text.find(b" = " + STYLES)
    if start < 0:
        return text
    start = text.rfind(b"\n", 0, start) + 1
    end = text.rindex(END)
    entities = {int(n): BREAK.sub(b"", body) for n, body in STATEMENT.findall(text[start:end])}
    order = _order(entities)
    first = min(entities)
    number = {old: first + i for i, old in enumerate(order)}
    lines = [b"#%d = %s;\n" % (number[old], _renumbered(entities[old], number)) for old in order]
    return text[:start] + b"".join(lines) + text[end:]


def _references(body: bytes) -> list[int]:
    return [int(n) for n in REFERENCE.findall(body)]


def _renumbered(body: bytes, number: dict[int, int]) -> bytes:
    return REFERENCE.sub(lambda found: b"#%d" % number.get(int(found[1]), int(found[1])), body)


def _order(entities: dict[int, bytes]) -> list[int]:
    """Every entity, heads sorted by the first thing outside `entities` that they lead to, each followed by its own."""
    def below(head: int) -> list[int]:
        return [head, *(n for ref in _references(entities[head]) if ref in entities for n in below(ref))]

    def shapes(head: int) -> list[int]:
        return [ref for n in below(head) for ref in _references(entities[n]) if ref not in entities]

    heads = sorted((n for n, body in entities.items() if body.startswith(STYLES)), key=shapes)
    order = list(dict.fromkeys(n for head in heads for n in below(head)))
    return [*order, *sorted(entities.keys() - set(order))]
