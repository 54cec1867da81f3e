"""Letters made of single strokes, for a scribe or a laser that etches: four units wide, six high, drawn by hand for this purpose."""

import numpy as np

HEIGHT, PITCH = 6.0, 5.5
"""Height of a letter and the way from one to the next, in its own units."""

GLYPHS = {
    "A": "00 26 40;12 32", "B": "00 06 36 45 44 33 03;33 42 41 30 00", "C": "45 36 16 05 01 10 30 41", "D": "00 06 26 44 42 20 00",
    "E": "46 06 00 40;03 33", "F": "46 06 00;03 33", "G": "45 36 16 05 01 10 30 41 43 23", "H": "00 06;40 46;03 43", "I": "10 30;20 26;16 36",
    "J": "01 10 20 31 36", "K": "00 06;46 03 40", "L": "06 00 40", "M": "00 06 23 46 40", "N": "00 06 40 46", "O": "10 01 05 16 36 45 41 30 10",
    "P": "00 06 36 45 44 33 03", "Q": "10 01 05 16 36 45 41 30 10;22 40", "R": "00 06 36 45 44 33 03;23 40",
    "S": "01 10 30 41 42 33 13 04 05 16 36 45", "T": "06 46;26 20", "U": "06 01 10 30 41 46", "V": "06 20 46", "W": "06 10 23 30 46",
    "X": "00 46;06 40", "Y": "06 23 46;23 20", "Z": "06 46 00 40",
    "0": "10 01 05 16 36 45 41 30 10;11 35", "1": "04 26 20;00 40", "2": "05 16 36 45 44 00 40", "3": "06 46 23 33 42 41 30 10 01",
    "4": "30 36 02 42", "5": "46 06 03 33 42 41 30 00", "6": "46 26 03 01 10 30 41 42 33 03", "7": "06 46 10",
    "8": "13 04 05 16 36 45 44 33 13 02 01 10 30 41 42 33", "9": "43 13 04 05 16 36 45 43 20 00",
    "-": "13 33", "_": "00 40", ".": "20 21", "/": "00 46", "+": "13 33;22 24", " ": "", "^": "04 26 44;26 20", ">": "03 43;25 43 21",
}
"""Strokes of each letter: points as two digits x and y, parted by blanks; strokes by semicolons."""

def strokes(words: str, *, height: float) -> list[np.ndarray]:
    """The words as polylines (n, 2), mm, from (0, 0), `height` mm high; small letters as capitals. Raises ValueError for a letter
    that is not known."""
    out, unit = [], height / HEIGHT
    for i, letter in enumerate(words.upper()):
        if letter not in GLYPHS:
            raise ValueError(f"{letter!r} cannot be etched: only letters, digits and -_./+^> can")
        for stroke in filter(None, GLYPHS[letter].split(";")):
            points = np.array([(float(p[0]), float(p[1])) for p in stroke.split()])
            out.append((points + (i * PITCH, 0.0)) * unit)
    return out


def stroke_width(words: str, *, height: float) -> float:
    """How long the words are, mm."""
    return (len(words) * PITCH - (PITCH - 4.0)) * height / HEIGHT
