"""What a run has to say, line by line, for the screen."""

from collections.abc import Iterator

from generators.findings import CAUTION, FAIL, NOT_ASSESSED, PASS, Check
from generators.paper.pages import unprintable
from generators.report.idle import idle
from generators.report.record import Run

HEADLINES = ("clearance", "oil_capacity", "headspace", "opening_area", "least_web", "floor_gap", "head_at_rest", "head_in_corner",
             "level_below_swing", "fit.", "gathered", "surge_open", "overshoot", "submergence", "parked")
"""Checks that are told even where they pass: those with one of these in their name."""


def lines(run: Run, *, quiet: bool, verbose: bool, last: str) -> Iterator[str]:
    """What came of it: all with `verbose`, with `quiet` what fails alone, `last` at the end."""
    if verbose:
        for s in (*run.read.sized, *(s for part in run.parts for s in part.sized)):
            yield f"sized  {s.key} = {s.value}: {s.because}"
        for key in idle(run.read):
            yield f"unused  {key}: read, but nothing that was made or checked depends on it yet"
    for part in () if quiet else run.parts:
        box = run.meshes[part.name].joined.extents
        pieces = sum(p.quantity for p in part.pieces)
        yield f"{part.name}: {pieces} piece{'s' if pieces > 1 else ''}, {part.mass:.2f} kg, {box[0]:.0f} x {box[1]:.0f} x {box[2]:.0f} mm" + (f"; {why}" if (why := run.pack.astray.get(part.name)) else "")
    for c in run.checks:
        if verbose or c.status == FAIL or (not quiet and (c.status == CAUTION or _is_unmade(c) or _is_headline(c))):
            yield line(c)
    boxes = "" if quiet else _boxes(run)
    if boxes:
        yield f"the font of drawings and templates has no {boxes}: a box stands for each; other letters in title or [drawings] would show"
    if not quiet:
        counts = {s: sum(1 for c in run.checks if c.status == s) for s in (PASS, CAUTION, FAIL, NOT_ASSESSED)}
        yield ", ".join(f"{n} {s}" for s, n in counts.items() if n) + (f"; {last}" if last else "")


def _boxes(run: Run) -> str:
    """The characters of what is said on paper that cannot be printed there."""
    p = run.read.parameters
    return unprintable(f"{p.title} {p.drawings.owner} {p.drawings.drawn_by} {p.drawings.revision}")


def _is_unmade(c: Check) -> bool:
    """Whether a check could not be made; one that was measured and is judged together with others is told only in full."""
    return c.status == NOT_ASSESSED and c.value is None


def _is_headline(c: Check) -> bool:
    return any(word in c.id for word in HEADLINES) or (c.id.startswith("surge.") and c.status != NOT_ASSESSED)


SHOWN = {"m3": ("L", 1000.0), "1": ("", 1.0), "": ("", 1.0)}
"""Unit of a check -> unit and factor for people."""


PLAIN = 1e4
"""From here on four figures would need an exponent: numbers are shown whole."""


def _figures(value: float) -> str:
    return f"{value:.0f}" if abs(value) >= PLAIN else f"{value:.4g}"


def line(c: Check) -> str:
    """One check in a line; the method, which names the worst place, where it does not plainly pass."""
    if c.value is None:
        return f"{c.status:>12}  {c.id}: {c.method}"
    unit, factor = SHOWN.get(c.unit, (c.unit, 1.0))
    said = f"{c.status:>12}  {c.id}: {_figures(factor * c.value)} {unit}".rstrip()
    if c.limit is not None:
        said += f", {'at least' if c.sense == '>=' else 'at most'} {_figures(factor * c.limit)}"
    return said if c.status == PASS else f"{said}\n{'':>14}{c.title.lower()}: {c.method}"
