"""The commands, and the only place that knows the order of work."""

import sys
from collections.abc import Callable
from contextlib import contextmanager
from importlib.resources import files
from pathlib import Path
from typing import Annotated

import typer

from generators import __version__
from generators.findings import FAIL, BadFile, KernelFailure

GOOD, FALLS_SHORT, UNUSABLE, INTERRUPTED = 0, 1, 2, 130
"""Exit status: all checks pass or only caution; one fails (all is written); unusable input (nothing is); stopped (nor is it)."""

DEEP_PAN, SHALLOW_PAN = "deep_pan", "scavenge_pan"
DRY = (SHALLOW_PAN, "windage_scraper", "reservoir")
WET = (DEEP_PAN, "windage_scraper", "windage_screen", "gate_baffle")
IN_DEEP_PAN = ("windage_screen", "gate_baffle")
"""Parts that stand in a deep pan."""

PARTS = (SHALLOW_PAN, DEEP_PAN, "windage_scraper", "windage_screen", "gate_baffle", "reservoir")
"""Every part that can be made, in the order in which they are."""

NO_GRAPHICS = ("the geometry kernel does not load: {}. On a bare Debian or Ubuntu one system package is missing: "
               "apt-get install libgl1")

app = typer.Typer(name="sumpwright", no_args_is_help=True, add_completion=False, pretty_exceptions_enable=False,
                  rich_markup_mode=None,  # boxes and colours round the help cost as long to load as all the rest
                  help="The oil system of a performance engine, from a parameter file to parts that fit.")

File = Annotated[Path, typer.Argument(metavar="FILE", help="A parameter file (TOML).", show_default=False)]
OrManifest = Annotated[Path, typer.Argument(metavar="FILE", help="A parameter file (TOML), or the manifest.json of an output folder.",
                                            show_default=False)]
Only = Annotated[list[str] | None, typer.Option("--only", metavar="PART", help=f"Make only this part, repeatable: {', '.join(PARTS)}.")]
Quiet = Annotated[bool, typer.Option("--quiet", "-q", help="Say nothing but the results that fail.")]
Verbose = Annotated[bool, typer.Option("--verbose", "-v", help="Say every check, every sized value and where time goes.")]


def _version(asked: bool) -> None:
    if asked:
        print(f"sumpwright {__version__}")
        raise typer.Exit()


@app.callback()
def commands(version: Annotated[bool, typer.Option("--version", callback=_version, is_eager=True, help="Say the version.")] = False):
    """Exit status: 0 all checks pass or only caution; 1 a check fails, all is written; 2 the input is unusable, nothing is."""


@app.command()
def starter(file: Annotated[Path, typer.Argument(metavar="FILE", help="Where to write it; never overwrites.", show_default=False)]):
    """Write a commented parameter file to begin from."""
    try:
        with file.open("x", encoding="utf-8") as out:
            out.write((files("generators") / "data" / "starter.toml").read_text(encoding="utf-8"))
    except FileExistsError:
        raise BadFile.whole(file, "exists already and is left as it is: choose another name") from None
    except OSError as bad:
        raise BadFile.whole(file, f"cannot be written: {bad.strerror or bad}") from bad
    print(f"wrote {file}: put your own sizes into it, then  sumpwright make {file}")


@app.command()
def make(file: OrManifest, out: Annotated[Path | None, typer.Option("--out", metavar="DIR", help="Output folder; output/<file stem> unless given.",
                                                            show_default=False)] = None,
         only: Only = None, quiet: Quiet = False, verbose: Verbose = False):
    """Size, build, check, export and report; from the manifest.json of an output folder the same again."""
    from generators.exports import tree

    say = _progress(quiet)
    with _given(file) as (source, kept):
        asked = only or (kept.only if kept else None)
        read, names = _wanted(source, asked)
        target = out or (file.parent if kept else Path("output") / file.stem)
        folder = tree.ready(target, keep=None if kept else file)
        run = _run(source, read, names, say)
        with tree.replaced(folder, keep=None if kept else file) as fresh:
            _write(run, fresh, say)
            _sign(run, fresh, source, asked)
    status = _tell(run, quiet, verbose, f"written to {target}")
    if kept and not quiet:
        print(_again(kept, folder))
    raise typer.Exit(status)


@contextmanager
def _given(file: Path):
    """The parameter file to work from, and the manifest that it was taken from, None where it was given itself."""
    if file.suffix != MANIFEST_SUFFIX:
        yield file, None
        return
    from generators.exports import manifest

    with manifest.opened(file) as kept:
        yield kept.file, kept


def _sign(run, folder: Path, file: Path, only: list[str] | None) -> None:
    """Leave with the files what made them."""
    from generators.exports import manifest

    manifest.write(folder, file=file, read=run.read, only=only, program=__version__)


def _again(kept, folder: Path) -> str:
    """Whether what was made from a manifest is what it tells of."""
    from generators.exports import manifest

    unlike = manifest.unlike(kept, folder)
    if not unlike:
        return f"the same again: all {len(kept.files)} files are as the manifest says"
    by = "" if kept.made_by == __version__ else f" (made by {kept.made_by}, now by {__version__})"
    return f"not the same{by}: {len(unlike)} of {len(kept.files)} files differ: {', '.join(unlike[:MOST_NAMED])}{' ...' * (len(unlike) > MOST_NAMED)}"


MANIFEST_SUFFIX = ".json"
MOST_NAMED = 8
"""So many files that differ are named."""


@app.command()
def check(file: File, out: Annotated[Path | None, typer.Option("--out", metavar="DIR", help="Write report.json there.",
                                                             show_default=False)] = None,
          only: Only = None, quiet: Quiet = False, verbose: Verbose = False):
    """Size, build and check only; print the checks."""
    from generators.exports import tree

    say = _progress(quiet)
    read, names = _wanted(file, only)
    folder = tree.ready(out, keep=file) if out else None
    run = _run(file, read, names, say)
    if folder:
        from generators.exports.names import REPORT_JSON
        from generators.report import json_report

        with tree.replaced(folder, keep=file) as fresh:
            json_report.write(json_report.report(run), fresh / REPORT_JSON)
    raise typer.Exit(_tell(run, quiet, verbose, f"written to {out}" if out else ""))


@app.command()
def compare(file: File, other: Annotated[Path, typer.Argument(metavar="FILE", help="Another parameter file.", show_default=False)],
            out: Annotated[Path | None, typer.Option("--out", metavar="DIR", help="Write the table there, for people and for programs.",
                                                     show_default=False)] = None,
            quiet: Quiet = False, verbose: Verbose = False):
    """Set two designs side by side, as a wet and a dry system of one engine."""
    from generators.exports import tree

    say = _progress(quiet)
    wanted = [(one, *_wanted(one, None)) for one in (file, other)]
    folder = tree.ready(out, keep=file) if out else None
    runs = [_run(one, read, names, say) for one, read, names in wanted]
    from generators.report import comparison, json_report

    found = comparison.compared(*(json_report.report(run) for run in runs))
    if folder:
        with tree.replaced(folder, keep=file) as fresh:
            _write_comparison(found, runs, fresh)
    _clear()
    if verbose:
        for run in runs:
            _tell(run, quiet, verbose, "")
    if not quiet:
        print(comparison.text(found) + (f"\nwritten to {out}" if out else ""))
    raise typer.Exit(FALLS_SHORT if any(c.status == FAIL for run in runs for c in run.checks) else GOOD)


def _write_comparison(found, runs, folder: Path) -> None:
    from generators.exports import names
    from generators.report import comparison, comparison_page, fit_views
    from generators.report.elements import figures

    shown = figures([(name, image) for name, run in zip(found.names, runs, strict=True) if (image := fit_views.overview(run))])
    for file, text in ((names.COMPARISON_JSON, comparison.as_json(found, __version__)), (names.COMPARISON_CSV, comparison.as_csv(found)),
                       (names.COMPARISON_HTML, comparison_page.page(found, shown, __version__))):
        (folder / file).write_text(text, encoding="utf-8")


# ---------------------------------------------------------------- the order of work


def _wanted(file: Path, only: list[str] | None):
    """The file as read and the names of the parts to make of it."""
    from generators import reading
    from generators.reading.unmakeable import unmakeable

    strangers = [name for name in only or [] if name not in PARTS]
    if strangers:
        raise BadFile.whole("--only", f"there is no part {strangers[0]!r}: choose from {', '.join(PARTS)}")
    read = reading.read(file)
    try:
        return read, part_names(read, only)
    except ValueError as bad:
        raise unmakeable(file, str(bad)) from bad


def part_names(read, only: list[str] | None) -> tuple[str, ...]:
    """The parts to make of a file as read: those in `only`, else those of its oil system and those it has a table for.
    Raises ValueError, naming key and remedy, where one of `only` is there already."""
    p = read.parameters
    is_there = p.deep_pan is not None and not p.deep_pan.make
    if only:
        if DEEP_PAN in only and is_there:
            raise ValueError("deep_pan.make: the file says that the pan is there already (make = false), so it cannot be made; "
                             "leave make out to have one made")
        return tuple(name for name in PARTS if name in only)
    names = {*(WET if p.engine.lubrication == "wet" else DRY), *read.given}
    left_out = {"windage_scraper": not p.windage_scraper.make, "windage_screen": not p.windage_screen.make, DEEP_PAN: is_there}
    return tuple(name for name in PARTS if name in names and not left_out.get(name))


def elsewhere(names: tuple[str, ...], lubrication: str) -> tuple[str, ...]:
    """Those of the parts `names` that have no place under this engine: it has one pan, of the system that its file names."""
    if lubrication == "wet":
        return (SHALLOW_PAN,)
    return (DEEP_PAN, *IN_DEEP_PAN) if SHALLOW_PAN in names else ()


def _run(file: Path, read, names: tuple[str, ...], say: Callable[[str], None]):
    """Read file -> swept region -> dimensions -> pieces -> meshes -> vessels -> surge -> checks."""
    from generators import crank
    from generators.reading.unmakeable import unmakeable

    p = read.parameters
    region = crank.swept_region(p.crank, rail_length=p.pan_rail.length)
    say("loading the geometry kernel")
    # a deep pan that is there already is no part to make, but holds the oil
    holds_only = (DEEP_PAN,) if p.engine.lubrication == "wet" and p.deep_pan is not None and not p.deep_pan.make else ()
    modules = _kernel((*names, *holds_only))
    from generators import checks, meshes, surge, vessels
    from generators.fit import together
    from generators.mockup import printed_of
    from generators.nest import nests
    from generators.report.record import Run
    from generators.shop.hardware import rods
    from generators.shop.pack import pack

    obstructions = _obstructions(file, p)
    p = together.boxed(p, obstructions)

    dimensions = {}
    for name, module in modules.items():
        try:
            dimensions[name] = module.dimension(p, region)
        except ValueError as bad:
            raise unmakeable(file, str(bad)) from bad
    every, meshed = [], {}
    for name, module in modules.items():
        say(f"building {name}")
        try:
            every.append(module.part(dimensions[name]))
        except ValueError as bad:  # its dimensions should have told
            raise KernelFailure(name, "its pieces", str(bad)) from bad
        meshed[name] = meshes.part_meshes(every[-1])
    parts = tuple(part for part in every if part.name not in holds_only)
    away = elsewhere(names, p.engine.lubrication)
    inside = [meshed[n] for n in names if n in IN_DEEP_PAN and n not in away]
    held = vessels.vessels(list(meshed.values()), {DEEP_PAN: inside} if DEEP_PAN not in away else {})
    say("letting the oil settle")
    settled = surge.surges(p, _envelope(read), held, {part.name: part for part in parts}, region)
    placing = _placing(p, parts, meshed, away)
    say("looking whether it fits")
    fit = together.fits(p, region, meshed, placing, obstructions, holds_only=holds_only)
    say("planning how it is made")
    laid = nests(parts, p.sheet)
    if p.mockup is not None:
        say("splitting the mock-up")
    again = {part.name: lambda thick, m=modules[part.name]: m.part(m.dimension(thick, region)) for part in parts}
    printed = printed_of(p, region, parts, meshed, again)
    packed = pack(p, parts, elsewhere=away, bought=rods(p.mockup.dowel, printed.dowels) if printed else ())
    say("checking")
    found = checks.judge(p, region, parts, meshed, held, settled, lap=read.lap, elsewhere=away, fit=fit, pack=packed, nests=laid,
                         mockup=printed)
    return Run(__version__, file.name, read, region, parts, {part.name: meshed[part.name] for part in parts}, held, settled, found, placing,
               fit, laid, printed, packed)


def _obstructions(file: Path, p):
    """What stands round the engine in the vehicle."""
    from generators.fit.obstacles import BadObstacles, obstructions
    from generators.reading.unmakeable import refused

    try:
        return obstructions(p)
    except BadObstacles as bad:
        raise refused(file, bad.problems) from bad


def _envelope(read):
    """Every steady acceleration of the vehicle: as logged where there is a lap, else as stated."""
    from generators.driving import envelope
    from generators.driving.lap import smoothed

    driving = read.parameters.driving
    if read.lap is None:
        return envelope.stated(driving)
    lap = smoothed(read.lap, period=driving.smoothing)
    return envelope.logged(lap.acceleration, has_vertical=lap.has_vertical, driving=driving)


def _placing(p, parts, meshed, away: tuple[str, ...]):
    """Where the parts stand in the assembly."""
    from generators.fit.placing import placing

    where = p.reservoir.position
    return placing(parts, {n: m.joined.bounds for n, m in meshed.items()}, vehicle=p.vehicle, below_crank=p.pan_rail.below_crank,
                   positions={"reservoir": (where.x, where.y, where.z)} if where else {},
                   elsewhere=away)


def _kernel(names: tuple[str, ...]):
    """The modules of the parts, with the geometry kernel behind them."""
    from importlib import import_module

    try:
        return {name: import_module(f"generators.parts.{name}") for name in names}
    except ImportError as bad:
        if "lib" in str(bad):
            raise BadFile.whole("sumpwright", NO_GRAPHICS.format(bad)) from bad
        raise


def _write(run, folder: Path, say: Callable[[str], None]) -> None:
    from generators.exports import files as exported
    from generators.exports import mockup_files
    from generators.report import files as reports

    say("writing the parts")
    if run.mockup is not None:
        mockup_files.write(run.mockup, folder, title=run.read.parameters.title)
    exported.write_parts(run.read.parameters, list(run.meshes.values()), run.placing, run.pack, folder, nests=run.nests, region=run.region, held=run.vessels,
                         obstructions=run.fit.obstructions, failing=[(c.title, c.id) for c in run.checks if c.status == FAIL])
    say("writing the report")
    reports.write(run, folder)


# ---------------------------------------------------------------- what is said


def _progress(quiet: bool) -> Callable[[str], None]:
    """Says each step on the error stream where that is a terminal."""
    if quiet or not sys.stderr.isatty():
        return lambda step: None
    return lambda step: print(f"\r\033[K{step} ...", end="", file=sys.stderr, flush=True)


def _clear() -> None:
    """Take the last step off the error stream where that is a terminal."""
    if sys.stderr.isatty():
        print("\r\033[K", end="", file=sys.stderr)


def _tell(run, quiet: bool, verbose: bool, last: str) -> int:
    """Print what came of it; the exit status."""
    from generators.report import told

    _clear()
    for line in told.lines(run, quiet=quiet, verbose=verbose, last=last):
        print(line)
    return FALLS_SHORT if any(c.status == FAIL for c in run.checks) else GOOD


WRONG_USE = next(c for c in typer.BadParameter.__mro__ if c.__name__ == "ClickException")
"""What a wrong option or command raises: newer typer carries the class itself, older takes it from click."""


def main() -> None:
    """Run the command line; bad news goes to the error stream in its own words."""
    try:
        sys.exit(app(standalone_mode=False) or GOOD)
    except (BadFile, OSError) as bad:
        status, said = UNUSABLE, str(bad)
    except KernelFailure as bad:
        status, said = UNUSABLE, f"{bad}\nnothing was written; other sizes may work, and this one is worth a report to the developers"
    except (KeyboardInterrupt, typer.Abort):
        status, said = INTERRUPTED, "\nstopped; the last good output is as it was"
    except WRONG_USE as bad:
        bad.show()
        sys.exit(UNUSABLE)
    print(said, file=sys.stderr)
    sys.exit(status)


if __name__ == "__main__":
    main()
