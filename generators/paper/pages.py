"""Pages on which lines and words are put at true scale; words are remembered, so that none is put over another."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from io import BytesIO
from pathlib import Path

import matplotlib
import numpy as np
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from shapely.geometry import Polygon, box

from generators.outlines import Loop, arc_of
from generators.paper.sizes import Paper

WIDE, NARROW = 0.5, 0.25
"""Widths of lines, mm: ISO 128 line group 0.5, outlines and all else."""

DASHED, CHAIN = (3.0, 1.0), (6.0, 1.0, 0.5, 1.0)
"""Hidden edges, and centre lines: marks and gaps in turn, mm (ISO 128-2 gives them in line widths: 12 d, 3 d; 24 d, 3 d, 0.5 d, 3 d)."""

TEXT_MM = 3.5
"""Usual height of capitals, mm: ISO 3098."""

FONT, BOLD = "DejaVuSans", "DejaVuSans-Bold"
CAPITAL_SHARE, DESCENT_SHARE = 0.729, 0.236
"""Of the font's size: how high its capitals stand, and how far its tails hang (its own tables)."""

BLACK, GREY = (0.0, 0.0, 0.0), (0.45, 0.45, 0.45)


@cache
def _fonts() -> None:
    """Make the fonts known; they come with the plotting library and are put into the file."""
    for name in (FONT, BOLD):
        pdfmetrics.registerFont(TTFont(name, str(Path(matplotlib.get_data_path()) / "fonts" / "ttf" / f"{name}.ttf")))


def text_width(words: str, height: float = TEXT_MM, *, bold: bool = False) -> float:
    """How long a line of words with capitals of `height` mm is, mm."""
    _fonts()
    return pdfmetrics.stringWidth(words, BOLD if bold else FONT, height / CAPITAL_SHARE)


def unprintable(words: str) -> str:
    """The characters of `words` that the font does not hold, each once: a box stands for them on paper."""
    _fonts()
    known = pdfmetrics.getFont(FONT).face.charToGlyph
    return "".join(dict.fromkeys(c for c in words if ord(c) not in known))


def fitted(words: str, room: float, height: float = TEXT_MM, *, bold: bool = False) -> str:
    """The words as far as they fit into `room` mm with capitals of `height` mm."""
    while words and text_width(words, height, bold=bold) > room:
        words = words[:-2].rstrip() + "…" if len(words) > 2 else ""
    return words


def broken(words: str, room: float, height: float = TEXT_MM, *, bold: bool = False) -> list[str]:
    """The words in lines no longer than `room` mm with capitals of `height` mm; a word that is longer goes on in the next line, best after
    an underscore or a slash."""
    lines = [""]
    for word in words.split():
        longer = f"{lines[-1]} {word}".strip()
        if text_width(longer, height, bold=bold) <= room:
            lines[-1] = longer
            continue
        while text_width(word, height, bold=bold) > room:
            most = max([k for k in range(1, len(word)) if text_width(word[:k], height, bold=bold) <= room], default=1)
            cut = max(word.rfind("_", 0, most), word.rfind("/", 0, most)) + 1 or most
            lines.append(word[:cut])
            word = word[cut:]
        lines.append(word)
    return lines if lines[0] or len(lines) == 1 else lines[1:]


@dataclass(frozen=True)
class Words:
    """A line of words as put on a page, and the ground that it covers."""

    said: str
    ground: Polygon


@dataclass
class Page:
    """One page of `Pages`; x to the right and y up, mm."""

    paper: Paper
    canvas: Canvas
    words: list[Words] = field(default_factory=list)
    window: Polygon | None = None

    def line(self, points, *, width: float = NARROW, dash: tuple[float, ...] = (), colour=BLACK, fill=None, closed: bool = False) -> None:
        """Straight lines through `points` (n, 2); filled with the colour `fill` where it is given."""
        points = np.asarray(points, float) * mm
        path = self.canvas.beginPath()
        path.moveTo(*points[0])
        for point in points[1:]:
            path.lineTo(*point)
        if closed:
            path.close()
        self._draw(path, width, dash, colour, fill)

    def loop(self, loop: Loop, *, width: float = WIDE, dash: tuple[float, ...] = (), colour=BLACK, fill=None) -> None:
        """A closed loop of lines and arcs."""
        path = self.canvas.beginPath()
        path.moveTo(*(loop.points[0] * mm))
        for start, end, bulge in loop.segments():
            if bulge:
                centre, radius, angle, included = arc_of(start, end, bulge)
                low, high = (centre - radius) * mm, (centre + radius) * mm
                path.arcTo(*low, *high, startAng=float(np.degrees(angle)), extent=float(np.degrees(included)))
            else:
                path.lineTo(*(np.asarray(end) * mm))
        path.close()
        self._draw(path, width, dash, colour, fill)

    def circle(self, centre, radius: float, *, width: float = WIDE, dash: tuple[float, ...] = (), colour=BLACK, fill=None) -> None:
        """A circle."""
        path = self.canvas.beginPath()
        path.circle(centre[0] * mm, centre[1] * mm, radius * mm)
        self._draw(path, width, dash, colour, fill)

    def _draw(self, path, width, dash, colour, fill) -> None:
        self.canvas.setLineWidth(width * mm)
        self.canvas.setDash([d * mm for d in dash] if dash else [])
        self.canvas.setLineJoin(1)
        self.canvas.setLineCap(1)
        self.canvas.setStrokeColorRGB(*colour)
        if fill is not None:
            self.canvas.setFillColorRGB(*fill)
        self.canvas.drawPath(path, stroke=int(width > 0), fill=int(fill is not None))

    @contextmanager
    def clipped(self, x: float, y: float, width: float, height: float) -> Iterator[None]:
        """What is drawn meanwhile is seen only in the window of `width` x `height` mm from x, y."""
        self.canvas.saveState()
        path = self.canvas.beginPath()
        path.rect(x * mm, y * mm, width * mm, height * mm)
        self.canvas.clipPath(path, stroke=0, fill=0)
        self.window = box(x, y, x + width, y + height)
        yield
        self.window = None
        self.canvas.restoreState()

    def ground(self, at, words: str, *, height: float = TEXT_MM, anchor: str = "start", angle: float = 0.0, bold: bool = False) -> Polygon:
        """What `text` with the same arguments would cover."""
        long = text_width(words, height, bold=bold)
        before = {"start": 0.0, "middle": long / 2, "end": long}[anchor]
        c, s = np.cos(angle), np.sin(angle)
        below = DESCENT_SHARE / CAPITAL_SHARE * height
        corners = [(-before, -below), (long - before, -below), (long - before, height), (-before, height)]
        return Polygon([(at[0] + c * x - s * y, at[1] + s * x + c * y) for x, y in corners])

    def text(self, at, words: str, *, height: float = TEXT_MM, anchor: str = "start", angle: float = 0.0, bold: bool = False, colour=BLACK) -> None:
        """A line of words with capitals of `height` mm on the base line through `at` (2,), which is its "start", "middle" or "end",
        turned by `angle` rad."""
        _fonts()
        ground = self.ground(at, words, height=height, anchor=anchor, angle=angle, bold=bold)
        if self.window is not None:
            ground = ground.intersection(self.window)
        if ground.is_empty:
            return
        self.words.append(Words(words, ground))
        self.canvas.saveState()
        self.canvas.translate(at[0] * mm, at[1] * mm)
        self.canvas.rotate(float(np.degrees(angle)))
        self.canvas.setFillColorRGB(*colour)
        self.canvas.setFont(BOLD if bold else FONT, height / CAPITAL_SHARE * mm)
        long = text_width(words, height, bold=bold)
        self.canvas.drawString({"start": 0.0, "middle": -long / 2, "end": -long}[anchor] * mm, 0, words)
        self.canvas.restoreState()

    def is_free(self, ground: Polygon) -> bool:
        """Whether no words lie there yet."""
        return not any(w.ground.intersects(ground) for w in self.words)

    def overlapping(self) -> list[tuple[str, str]]:
        """Pairs of lines of words that lie over each other."""
        return [(a.said, b.said) for i, a in enumerate(self.words) for b in self.words[:i] if a.ground.intersection(b.ground).area > 1e-6]


class Pages:
    """A document of pages of any sizes. The same calls give the same bytes."""

    def __init__(self, title: str):
        self._stream = BytesIO()
        self._canvas = Canvas(self._stream, invariant=1, pageCompression=1)
        self._canvas.setTitle(title)
        self._canvas.setCreator("sumpwright")
        self.pages: list[Page] = []

    def page(self, paper: Paper) -> Page:
        """A fresh page; what was drawn on the one before is done."""
        if self.pages:
            self._canvas.showPage()
        self._canvas.setPageSize((paper.width * mm, paper.height * mm))
        self.pages.append(Page(paper, self._canvas))
        return self.pages[-1]

    def pdf(self) -> bytes:
        """The file; nothing can be drawn after it. Raises ValueError where there is no page."""
        if not self.pages:
            raise ValueError("a document needs a page")
        self._canvas.showPage()
        self._canvas.save()
        return self._stream.getvalue()
