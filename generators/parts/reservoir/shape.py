"""The tank's pieces, and the part with its welds."""

import math
from collections import Counter

import numpy as np

from generators.fittings import flare_words, hose_end_words
from generators.outlines import Loop, circle
from generators.parts.reservoir import plates, turned
from generators.parts.reservoir.records import ReservoirDimensions
from generators.parts.reservoir.welds import circle_points, welds
from generators.pieces import Extra, Mouth, Part, Piece, Tube
from generators.sheet.branches import TubeEnd, round_angles, saddle, set_on_cut
from generators.sheet.channel import Channel
from generators.sheet.flat import FlatPattern
from generators.sheet.folded import Bend, FoldedSheet, Region, flat_of
from generators.sheet.frames import Frame, frame
from generators.sheet.rolled import frustum_flat, shell_flat, shell_middle
from generators.sheet.rolled_solids import frustum_solid, shell_solid
from generators.sheet.solids import folded_solid, prism, proved

NAME = "reservoir"

RIM_POINTS = 48
SADDLE_STEPS = 12
"""Stations at which a piece's note gives the saddle of the return tube."""


def pieces(d: ReservoirDimensions) -> tuple[Piece, ...]:
    """Every piece, in place."""
    return (*_vessel(d), *_inside(d), *_fittings(d), _brackets(d))


def part(d: ReservoirDimensions) -> Part:
    """The tank with its welds, the space for oil and the mouth of its outlet."""
    made = pieces(d)
    touching = [
        frozenset(pair)
        for pair in (("filler_neck", "filler_cap"), ("outlet_end", "drain_plug"), ("vane_slot_up", "vane_slot_down"))
    ]
    rim = circle_points(radius=d.outlet.bore_radius, z=d.outlet.mouth, count=RIM_POINTS)[:-1]
    return Part(
        NAME,
        made,
        d,
        d.sized,
        welds(d),
        tuple(touching),
        cavity=turned.cavity_solid(d),
        full_mark=d.full_mark,
        oil=d.oil,
        mouths=(Mouth("outlet", rim),),
        own_frame=True,
        extras=_extras(d),
    )


def _extras(d: ReservoirDimensions) -> tuple[Extra, ...]:
    """What is bought for it and not drawn."""
    thread, b = {boss.name: boss.thread for boss in d.bosses}, d.brackets
    ears = EARS * len(b.heights)
    washers = f"{b.bolt}, ISO 7089, under head and nut"
    ends = Counter(flare.dash for flare in (d.outlet.flare, d.inlet.flare, d.top.breather))
    return (
        *(Extra("test_cap", n, f"{dash} cap, for the leak test") for dash, n in ends.items()),
        *(Extra("hose_end", n, hose_end_words(dash)) for dash, n in ends.items()),
        Extra("heater_plug", 1, f"{thread['heater_boss']} plug with sealing washer, or an oil heater made for that thread"),
        Extra("temperature_sender", 1, f"{thread['temperature_boss']}, for the car's gauge, or a plug with sealing washer"),
        Extra("sight_fitting", 2, f"{thread['sight_boss_low']} elbows with a hose for hot oil between them to see the level in, or plugs with sealing washers"),
        Extra("bracket_bolt", ears, f"{b.bolt}, as long as what it is bolted to asks, with a locking nut"),
        Extra("bracket_washer", 2 * ears, washers),
        Extra("bracket_rubber", ears, f"rubber mount or bush for {b.bolt}, good for hot oil"),
    )


EARS = 2
"""Bolts of a bracket: one in each ear."""


def _sheet(
    d: ReservoirDimensions,
    name: str,
    kind: str,
    solids,
    flat: FlatPattern,
    *,
    thickness: float | None = None,
    laid=(),
    note: str = "",
) -> Piece:
    return Piece(
        name,
        kind,
        d.material,
        d.density,
        tuple(solids),
        d.thickness if thickness is None else thickness,
        flat,
        note=note,
        laid=tuple(laid),
    )


def _bar(d: ReservoirDimensions, name: str, kind: str, *solids, loose: bool = False, note: str = "", ends: tuple[TubeEnd, ...] = (),
         stock: Tube | None = None) -> Piece:
    return Piece(name, kind, d.bar, d.bar_density, solids, loose=loose, note=note, ends=ends, stock=stock)


def _plate(
    d: ReservoirDimensions, name: str, outer: Loop, holes, thickness: float, places: list[Frame], note: str = ""
) -> Piece:
    """A flat piece with its underside at each of `places`."""
    flat = FlatPattern(outer, tuple(holes))
    solids = [
        proved(
            prism(outer, height=thickness, holes=holes, where=where),
            volume=flat.area * thickness,
            part=NAME,
            step=f"cutting the {name}",
        )
        for where in places
    ]
    return _sheet(d, name, "plate", solids, flat, thickness=thickness, laid=places, note=note)


def _vessel(d: ReservoirDimensions) -> tuple[Piece, ...]:
    """Shell, base and top plate."""
    shell = d.shell()
    rim = circle(x=0, y=0, radius=d.mean_radius)
    rolled = _sheet(
        d,
        "shell",
        "rolled",
        [shell_solid(shell, part=NAME)],
        shell_flat(shell, rings=d.baffles.heights),
        laid=[shell_middle(shell)],
        note=f"roll to {2 * d.inside_radius:.1f} mm inside, towards the etched side (baffle lines inside); butt and weld "
        "the seam first; ends cut square after pre-bending",
    )
    top = _plate(
        d,
        "top_plate",
        rim,
        plates.top_holes(d),
        d.top_thickness,
        [turned.upright(0, d.height)],
        note="lies half on the shell's edge: fillet on the step that is left",
    )
    if d.cone_depth:
        cone = d.cone()
        return (
            rolled,
            _sheet(
                d,
                "base_cone",
                "rolled",
                [frustum_solid(cone, part=NAME)],
                frustum_flat(cone),
                note=f"roll to {2 * d.inside_radius:.1f} and {2 * d.cone_foot:.1f} mm inside, {d.cone_depth:.1f} mm deep, "
                "and butt the seam; edges square: inside edge on the shell's, welded in the groove outside",
            ),
            top,
        )
    hole = circle(x=0, y=0, radius=d.cone_foot)
    return (
        rolled,
        _plate(
            d,
            "base_plate",
            rim,
            [hole],
            d.base_thickness,
            [turned.upright(0, -d.base_thickness)],
            note="as the top plate",
        ),
        top,
    )


def _inside(d: ReservoirDimensions) -> tuple[Piece, ...]:
    """Crossed vanes, baffles and the breather's shield."""
    t, half = d.thickness, d.thickness / 2
    crossed = []
    for name, up, along, out in (
        ("vane_slot_up", True, (1, 0, 0), (0, -1, 0)),
        ("vane_slot_down", False, (0, 1, 0), (1, 0, 0)),
    ):
        where = frame(origin=-half * np.array(out), x=along, z=out)
        outline = plates.vane_outline(d.vanes, thickness=t, slot_up=up)
        crossed.append(
            _plate(
                d, name, outline, (), t, [where], note="half-lapped with the other over the outlet, tacked to the base"
            )
        )
    channel = Channel(
        ((0.0, d.top.shield_depth), (0.0, 0.0), (d.top.shield_width, 0.0), (d.top.shield_width, d.top.shield_depth)),
        t,
        d.bend_radius,
        d.top.shield_length,
        d.k_factor,
    )
    root = channel.root(
        origin=(d.top.breather_x - d.top.shield_length / 2, -d.top.shield_width / 2, d.height - d.top.shield_depth),
        u=(0, 1, 0),
        v=(0, 0, 1),
    )
    shield = _sheet(
        d,
        "breather_shield",
        "folded",
        [folded_solid(channel.sheet(), where=root, part=NAME)],
        flat_of(channel.sheet()),
        laid=[root],
        note="open ends along the radius, closed sides to the swirl",
    )
    if not d.baffles.heights:
        return (*crossed, shield)
    baffle = _plate(
        d,
        "baffle",
        plates.baffle_outline(d.baffles),
        plates.baffle_holes(d.baffles, web=t),
        t,
        [turned.upright(0, z) for z in d.baffles.heights],
        note="push to its etched line, a notch over the shell's seam; tack from the nearer open end before base and "
        "top go on, the innermost first",
    )
    return (*crossed, baffle, shield)


def _fittings(d: ReservoirDimensions) -> tuple[Piece, ...]:
    """Turned ends, tubes, bosses, plug and cap."""
    bosses = [
        _bar(
            d,
            b.name,
            "turned",
            turned.boss_solid(b),
            note=f"{b.thread} through; weld with a plug in, chase the thread after",
        )
        for b in d.bosses
    ]
    return (
        _bar(
            d,
            "outlet_end",
            "turned",
            turned.outlet_solid(d.outlet),
            note=f"{flare_words(d.outlet.flare.dash)}; drain {turned.DRAIN_THREAD} across",
        ),
        _bar(
            d,
            "drain_plug",
            "bought",
            turned.drain_plug_solid(d.outlet),
            loose=True,
            note=f"{turned.DRAIN_THREAD} with sealing washer, drilled for lock wire",
        ),
        _bar(d, "inlet_tube", "tube", turned.inlet_tube_solid(d), note=saddle_note(d), ends=(saddle_end(d),),
             stock=Tube(2 * d.inlet.radius, 2 * d.inlet.bore, _longest(d))),
        _bar(
            d,
            "inlet_end",
            "turned",
            turned.inlet_end_solid(d),
            note=f"{flare_words(d.inlet.flare.dash)}, socket for the return tube",
        ),
        _bar(
            d,
            "filler_neck",
            "tube",
            turned.neck_solid(d),
            note=f"{_tube_words(d.top.neck_radius, d.top.neck_bore)}, {d.top_thickness + d.top.neck_height:.1f} mm long; "
            "flush with the top plate's underside",
            stock=Tube(2 * d.top.neck_radius, 2 * d.top.neck_bore, d.top_thickness + d.top.neck_height),
        ),
        _bar(d, "filler_cap", "bought", turned.cap_solid(d), loose=True, note=f"for a plain neck {2 * d.top.neck_radius:.1f} mm outside, clamped and sealed on it, with a lanyard; a cap that screws on is bought with its own neck"),
        _bar(
            d, "breather_end", "turned", turned.breather_solid(d), note=f"{flare_words(d.top.breather.dash)}, to a catch tank; turn or buy"
        ),
        *bosses,
    )


def _tube_words(radius: float, bore_radius: float) -> str:
    return f"{2 * radius:.2f} x {radius - bore_radius:.2f} mm tube"


def _longest(d: ReservoirDimensions) -> float:
    """Length of the return tube where its outside reaches deepest, mm: it is coped from so much."""
    i = d.inlet
    return i.end - float(saddle(round_angles(TEMPLATE_STEPS), main_radius=d.outside_radius, radius=i.radius, angle=i.angle, offset=i.offset).min())


def _cut_back(d: ReservoirDimensions, steps: int) -> np.ndarray:
    """How far the return tube is cut back from its longest point, mm, at equal steps round it from the side of the acute angle."""
    i = d.inlet
    w = set_on_cut(
        round_angles(steps),
        main_radius=d.outside_radius,
        bore_radius=i.bore,
        outside_radius=i.radius,
        angle=i.angle,
        offset=i.offset,
    )
    return w - w.min()


TEMPLATE_STEPS = 180
"""Steps round the tube in which its end is told for a template."""


def saddle_end(d: ReservoirDimensions) -> TubeEnd:
    """How the return tube is cut to sit on the shell."""
    return TubeEnd("saddle on the shell", d.inlet.radius, tuple(map(float, _cut_back(d, TEMPLATE_STEPS))), "the top, towards the wall side")


def saddle_note(d: ReservoirDimensions) -> str:
    """How far to cut back the return tube, every 30 degrees round it from the side of the acute angle (the top)."""
    i = d.inlet
    back = ", ".join(f"{x:.1f}" for x in _cut_back(d, SADDLE_STEPS))
    every = 360 // SADDLE_STEPS
    return f"{_tube_words(i.radius, i.bore)}; cope: cut back from the longest point, mm, every {every} deg from the top towards the wall side: {back}"


def bracket_sheet(d: ReservoirDimensions) -> FoldedSheet:
    """The bracket: a back plate with ears and two coped flanges."""
    b = d.brackets
    back = plates.bracket_back(b)
    sides = [
        i
        for i, (start, end, bulge) in enumerate(back.segments())
        if not bulge and start[1] == end[1] and start[1] in (0.0, b.back)
    ]
    flange = plates.bracket_flange(b, bend_radius=d.bend_radius)
    names = ["lower flange", "upper flange"]
    return FoldedSheet(
        d.thickness,
        d.k_factor,
        (Region("back", back, plates.bracket_holes(b)), *(Region(n, flange) for n in names)),
        tuple(Bend("back", n, side, math.pi / 2, d.bend_radius) for n, side in zip(names, sides, strict=True)),
    )


def _brackets(d: ReservoirDimensions) -> Piece:
    sheet = bracket_sheet(d)
    places = turned.bracket_places(d)
    solids = [folded_solid(sheet, where=where, part=NAME) for where in places]
    return _sheet(d, "bracket", "folded", solids, flat_of(sheet), laid=places, note=f"{d.brackets.bolt} through each ear, on rubber")
