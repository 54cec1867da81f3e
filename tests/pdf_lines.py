"""What is drawn on the pages of a PDF, read from the file itself by another library: straight lines in mm."""

import io

import numpy as np
from pypdf import PdfReader
from pypdf.generic import ContentStream

POINT_MM = 25.4 / 72


def pages(pdf: bytes) -> list:
    return PdfReader(io.BytesIO(pdf)).pages


def size(page) -> tuple[float, float]:
    """Width and height, mm."""
    return float(page.mediabox.width) * POINT_MM, float(page.mediabox.height) * POINT_MM


def lines(page) -> np.ndarray:
    """Straight strokes (n, 2, 2) as they come out on paper, mm."""
    out, stack, now, at = [], [], np.eye(3), None
    for operands, operator in ContentStream(page.get_contents(), page.pdf).operations:
        values = [float(v) for v in operands] if operator in (b"m", b"l", b"cm") else []
        if operator == b"q":
            stack.append(now)
        elif operator == b"Q":
            now = stack.pop()
        elif operator == b"cm":
            a, b, c, d, e, f = values
            now = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ now
        elif operator in (b"m", b"l"):
            here = (np.array([*values, 1.0]) @ now)[:2] * POINT_MM
            if operator == b"l":
                out.append((at, here))
            at = here
    return np.array(out)
