"""What the page is put together from: numbers as a workshop reads them, tables, facts, links and figures, as HTML."""

import base64
from collections.abc import Iterable
from dataclasses import dataclass, field
from html import escape
from importlib.resources import files
from pathlib import PurePosixPath
from urllib.parse import quote

WORDS = {"fail": "✗ fail", "caution": "! caution", "not assessed": "? not assessed", "pass": "✓ pass"}
"""Each status as it is shown, worst first: a sign and a word, so that no meaning hangs on colour."""

SHOWN = {"m3": ("L", 1e3), "Pa": ("kPa", 1e-3), "1": ("%", 1e2), "W": ("kW", 1e-3), "m3/s": ("L/min", 6e4), "mm2": ("mm²", 1.0)}
"""SI unit -> the unit that a workshop reads, and the factor."""

FIGURES = 4
"""Significant figures of a number on the page."""

DECIMALS = {"mm": 2, "L": 2, "%": 1, "mm²": 0, "deg": 1, "kPa": 1}
"""Decimals of a measured value in each unit."""

NONE = "–"

MEDIA = {".png": "image/png", ".svg": "image/svg+xml"}
"""What a browser calls each kind of picture."""


@dataclass(frozen=True)
class Drawing:
    """A picture that is a file of the output folder too, by its path there; `words` tell what it shows."""

    file: str
    words: str
    content: bytes = field(repr=False)


def style() -> str:
    """How pages look, as CSS."""
    return (files("generators") / "data" / "page.css").read_text(encoding="utf-8")


def number(value: float | None, decimals: int | None = None) -> str:
    """A number as the page shows it: with fixed decimals, else to FIGURES significant figures."""
    if value is None:
        return NONE
    if decimals is not None:
        return f"{value:.{decimals}f}"
    return f"{value:.{FIGURES}g}" if "e" not in f"{value:.{FIGURES}g}" else f"{value:.0f}"


def quantity(value: float | None, unit: str) -> str:
    """A number with its unit, in the unit that a workshop reads and no finer than it can measure; a number that would round
    to nothing keeps its first figure."""
    name, factor = SHOWN.get(unit, (unit, 1.0))
    if value is None:
        return NONE
    shown, decimals = value * factor, DECIMALS.get(name)
    if decimals is None or 0 < abs(shown) < 0.5 * 10.0**-decimals:
        return f"{number(shown) if decimals is None else f'{shown:.1g}'} {escape(name)}".strip()
    return f"{round(shown, decimals) + 0.0:.{decimals}f} {escape(name)}"


def table(headings: Iterable[str], rows: Iterable[Iterable[str]], *, numbers: Iterable[int] = ()) -> str:
    """A table of cells that are already HTML; `numbers` are the columns that are set to the right."""
    right = set(numbers)

    def line(cells, tag):
        return "<tr>" + "".join(f'<{tag}{" class=n" if i in right else ""}>{c}</{tag}>' for i, c in enumerate(cells)) + "</tr>"

    body = "\n".join(line(r, "td") for r in rows)
    return f'<div class="wide"><table><thead>{line(headings, "th")}</thead>\n<tbody>{body}</tbody></table></div>'


def status(word: str) -> str:
    """The status as a sign and a word in its colour."""
    return f'<span class="status {escape(word.replace(" ", "-"))}">{WORDS[word]}</span>'


def facts(pairs: Iterable[tuple[str, str]]) -> str:
    """A row of named values."""
    return '<dl class="facts">' + "".join(f"<div><dt>{escape(n)}</dt><dd>{v}</dd></div>" for n, v in pairs) + "</dl>"


def breakable(name: str) -> str:
    """A name that may go over to the next line after a slash or an underscore."""
    return escape(name).replace("/", "/<wbr>").replace("_", "_<wbr>")


def link(path: str) -> str:
    """A link to a file of the same output folder."""
    return f'<a href="{escape(quote(path), quote=True)}">{breakable(path)}</a>'


def key_name(key: str) -> str:
    """A key or a material's name, kept on one line."""
    return f'<span class="key-name">{escape(key)}</span>'


def figures(pictures: Iterable[tuple[str, bytes]]) -> str:
    """Pictures (caption, PNG) held in the page itself."""
    shown = "".join(_figure(words, png, "image/png", escape(words)) for words, png in pictures)
    return f'<div class="pictures">{shown}</div>' if shown else ""


def drawings(shown: Iterable[Drawing]) -> str:
    """Drawings held in the page itself, large enough to read what is written in them, each with a link to its file."""
    inside = "".join(_figure(d.words, d.content, MEDIA[PurePosixPath(d.file).suffix], f"{escape(d.words)} {link(d.file)}") for d in shown)
    return f'<div class="pictures drawings">{inside}</div>' if inside else ""


def _figure(words: str, content: bytes, media: str, caption: str) -> str:
    return (f'<figure><img alt="{escape(words, quote=True)}" src="data:{media};base64,{base64.b64encode(content).decode()}">'
            f"<figcaption>{caption}</figcaption></figure>")
