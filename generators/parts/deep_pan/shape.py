"""Dimensions -> the pieces of the deep pan in the engine frame, and the part that they make."""


from generators import standards
from generators.fittings import BASE_MM, boss_material, elbow_end, elbow_words, flare_words, hole_for, hose_end_words
from generators.outlines import Loop, circle, signed_area
from generators.parts.deep_pan import body, strainer, sump_sheets, turned
from generators.parts.deep_pan.dimension import DeepPanDimensions
from generators.parts.deep_pan.places import along, section_frame
from generators.parts.deep_pan.space import cavity
from generators.parts.deep_pan.welds import seams, strainer_welds
from generators.pieces import Extra, HoseEnd, Mouth, Part, Piece, Tube
from generators.sheet.branches import TubeEnd
from generators.sheet.flat import FlatPattern
from generators.sheet.folded import flat_of
from generators.sheet.frames import frame
from generators.sheet.solids import folded_solid, prism, proved
from generators.sump.drain import DRAIN_THREAD
from generators.sump.size import PLAIN_CORNERS

NAME = "deep_pan"

def pieces(d: DeepPanDimensions) -> tuple[Piece, ...]:
    """Every piece of the pan, placed; none of one that is there already. Raises KernelFailure where one does not come out
    as described."""
    if not d.inside.is_made:
        return ()
    notch = (_notch(d),) if d.inside.notch else ()
    strut = (_strut(d),) if d.has_strut else ()
    return (_flange(d), *_troughs(d), *_ends(d), _sump(d), *_sump_ends(d), *notch, *strut, *_fittings(d), *_pickup(d))


def part(d: DeepPanDimensions) -> Part:
    """The welded pan with its seams, its inside and its pickup; of a pan that is there already only inside and pickup."""
    made = pieces(d)
    touching = [("drain_plug", "drain_boss"), ("temperature_plug", "temperature_boss"), *([] if strainer_welds(d) else [("strainer", "bell")])]
    return Part(NAME, made, d, sized=d.sized, seams=seams(d) if made else (),
                touching=tuple(frozenset(pair) for pair in touching) if made else (), cavity=cavity(d),
                full_mark=d.full_mark, oil=d.oil, mouths=(Mouth("pickup", turned.rim(d)),), extras=_extras(d) if made else (),
                hose_ends=(HoseEnd("port_boss", 0, d.draw.port.dash, turned.port_frame(d), BASE_MM),) if made and d.draw.port else ())


# ---------------------------------------------------------------- sheet pieces


def _sheet_piece(d, name, kind, solid, flat, where, thickness=None, note="") -> Piece:
    return Piece(name, kind, d.material, d.density, (solid,), thickness or d.thickness, flat, note=note, laid=(where,))


def _flange(d: DeepPanDimensions) -> Piece:
    flat = body.flange_flat(d)
    where = frame(origin=(0, 0, d.inside.underside), x=(1, 0, 0), z=(0, 0, 1))
    solid = proved(prism(flat.outer, height=d.flange_thickness, holes=flat.holes, where=where), volume=flat.area * d.flange_thickness,
                   part=NAME, step="flange", dimensions=d.inside.opening)
    return _sheet_piece(d, "flange", "plate", solid, flat, where, d.flange_thickness,
                        note="bolt to a flat plate while it is welded on, back-step along each side; face the top flat last")


def _troughs(d: DeepPanDimensions) -> list[Piece]:
    out = []
    for half in body.halves(d):
        sheet = body.trough_sheet(d, half)
        where = body.floor_frame(d, half)
        solid = folded_solid(sheet, where=where, part=NAME, step=half.name)
        out.append(_sheet_piece(d, half.name, "folded", solid, flat_of(sheet), where,
                                note=("butt to the other trough first, root open at the outside; the ends of the walls stand plumb, their feet "
                                      "follow the floor; dress the weld flush inside" if half.slope else "one piece, its floor level")))
    return out


def _ends(d: DeepPanDimensions) -> list[Piece]:
    i, o = d.inside, d.inside.opening
    out = []
    for name, x, x0 in (("end_rear", o.x0, o.x0 - i.thickness), ("end_front", o.x1, o.x1)):
        outline = body.end_outline(d, x)
        where = frame(origin=(x0, 0, 0), x=(0, 1, 0), z=(1, 0, 0))
        solid = proved(prism(outline, height=i.thickness, where=where), volume=abs(signed_area(outline)) * i.thickness, part=NAME,
                       step=name, dimensions=f"x {x0}")
        out.append(_sheet_piece(d, name, "plate", solid, FlatPattern(outline), where, note="on the trough's end, flush with its outside"))
    return out


def _sump(d: DeepPanDimensions) -> Piece:
    i, faces = d.inside, d.inside.channel.faces()
    floor, last = i.floor_index, len(faces) - 1
    drain = circle(x=along(d, d.drain[0]), y=d.drain[1], radius=hole_for(d.boss.spigot_diameter) / 2)
    holes: dict[int, tuple[Loop, ...]] = {floor: (drain,)}
    if d.draw.port:
        radius = hole_for(d.draw.port.spigot_diameter) / 2
        holes[last] = (circle(x=along(d, d.draw.x), y=d.draw.leg_z - faces[last][0][1], radius=radius),)
    sheet = sump_sheets.sump_sheet(d, holes)
    where = sump_sheets.sump_root(d)
    solid = folded_solid(sheet, where=where, part=NAME, step="sump")
    return _sheet_piece(d, "sump", "folded", solid, flat_of(sheet), where,
                        note=f"{_bending(d)}; stand it upside down on the body, tack the neck all round, weld it from inside through "
                             "the open trough and from outside")


def _bending(d: DeepPanDimensions) -> str:
    """In which order the channel is bent."""
    if len(d.inside.corners) == PLAIN_CORNERS:
        return "two bends"
    return "bend from the edges inwards, neck, then shelf, the floor's two bends last: the other way the floor runs into the punch"


def _sump_ends(d: DeepPanDimensions) -> list[Piece]:
    i, t = d.inside, d.thickness
    out = []
    for name, at_front, x0 in (("sump_end_rear", False, i.x0 - t), ("sump_end_front", True, i.x1)):
        outline = sump_sheets.end_plate(d, at_front=at_front)
        holes = (_temperature_hole(d),) if d.temperature.at_front == at_front else ()
        area = abs(signed_area(outline)) - sum(abs(signed_area(h)) for h in holes)
        where = section_frame(d, x0, x0 + t)
        solid = proved(prism(outline, height=t, holes=holes, where=where), volume=area * t, part=NAME, step=name,
                       dimensions=i.corners)
        out.append(_sheet_piece(d, name, "plate", solid, FlatPattern(outline, holes), where,
                                note="on the end of the sump, flush with its outside: closes neck and kick-outs; clamp a block inside, weld "
                                     "from the corners inwards"))
    return out


def _temperature_hole(d: DeepPanDimensions) -> Loop:
    b = d.temperature
    return circle(x=b.s, y=b.z, radius=hole_for(b.diameter) / 2)


def _notch(d: DeepPanDimensions) -> Piece:
    sheet = sump_sheets.notch_sheet(d)
    where = sump_sheets.notch_root(d)
    solid = folded_solid(sheet, where=where, part=NAME, step="notch")
    return _sheet_piece(d, "notch", "folded", solid, flat_of(sheet), where,
                        note="over the obstacle: covers the cut edges of walls and floor; fit it before the end plate over it")


def _strut(d: DeepPanDimensions) -> Piece:
    return _sheet_piece(d, "strut", "plate", turned.strut(d), FlatPattern(turned.strut_outline(d)), turned.strut_frame(d),
                        note="from the sump's rear end to the leg's side; last of all, so that it pulls nothing aside")


# ---------------------------------------------------------------- turned, tube and bought pieces


def _metal(d: DeepPanDimensions) -> standards.Material:
    return boss_material(d.material, density=d.density)


def _bar(d: DeepPanDimensions, name: str, kind: str, solid, note: str, ends: tuple[TubeEnd, ...] = (), stock: Tube | None = None) -> Piece:
    m = _metal(d)
    return Piece(name, kind, m.name, m.density, (solid,), note=note, ends=ends, stock=stock)


def _bought(name: str, solid, note: str) -> Piece:
    steel = standards.material("S235")
    return Piece(name, "bought", steel.name, steel.density, (solid,), loose=True, note=note)


def _fittings(d: DeepPanDimensions) -> list[Piece]:
    thread = d.temperature.thread
    return [
        _bar(d, "drain_boss", "turned", turned.drain_boss(d),
             f"{DRAIN_THREAD}, slotted at its foot; weld outside with a plug in, then face the seat square and chase the thread"),
        _bought("drain_plug", turned.drain_plug(d), f"{DRAIN_THREAD} hexagon plug with sealing washer, drilled for lock wire"),
        _bar(d, "temperature_boss", "turned", turned.temperature_boss(d), f"{thread} through; weld with a plug in, chase the thread after"),
        _bought("temperature_plug", turned.temperature_plug(d), f"{thread} hexagon plug with sealing washer; makes way for the sender"),
    ]


def _pickup(d: DeepPanDimensions) -> list[Piece]:
    draw = d.draw
    steel, disc = standards.material(strainer.MATERIAL), strainer.flat(d.draw.bell)
    return [
        _bar(d, "bell", "turned", turned.bell(d), f"mouth {draw.bell:.1f} mm; weld to the tube, then put the strainer in"),
        Piece("strainer", "plate", steel.name, steel.density, (turned.strainer(d),), strainer.THICKNESS_MM, disc,
              note=f"{len(disc.holes)} square holes of {strainer.HOLE_MM:g} mm at {strainer.PITCH_MM:g} mm, burrs up; "
                   + ("tack from below at four places" if strainer_welds(d) else
                      "stake the bell's rim over it at four places: the two metals do not weld"),
              laid=(turned.strainer_frame(d),)),
        *(_side_outlet(d) if draw.port else [_riser(d)]),
    ]


def _side_outlet(d: DeepPanDimensions) -> list[Piece]:
    draw, made = d.draw, turned.elbow(d)
    return [
        _bar(d, "pickup_tube", "tube", turned.pickup_tube(d),
             f"{elbow_words(made)}; with the bell on it, it goes in from above, and through the lid of a cell", (elbow_end(made),), Tube(made.outer, made.bore, made.reach + made.drop)),
        _bar(d, "port_boss", "turned", turned.port_boss(d),
             f"{flare_words(draw.port.dash)}, weld-in, turn or buy; push it over the tube's end from outside, set the bell's gap, weld the wall, then "
             "the tube inside"),
    ]


def _riser(d: DeepPanDimensions) -> Piece:
    outer, bore = d.draw.outer, turned.tube_bore(d)
    joint = "a sleeve, brazed" if _metal(d).family == "steel" else "a sleeve with seals: light metal does not braze to a steel pipe"
    return _bar(d, "pickup_tube", "tube", turned.pickup_tube(d),
                f"{outer:.2f} x {(outer - bore) / 2:.2f} mm, {turned.riser_length(d):.1f} mm long at most; hangs from the engine's own pump, not "
                f"from the pan: cut it to meet the pump's pipe with the pan off ({joint}), bracket it to a main cap so that it cannot "
                "shake, then set the bell's gap to the floor with clay", stock=Tube(outer, bore, turned.riser_length(d)))


def _extras(d: DeepPanDimensions) -> tuple[Extra, ...]:
    """What is bought for it and not drawn."""
    sender = Extra("temperature_sender", 1, f"{d.temperature.thread}, for the car's gauge; in the place of the plug")
    return (sender, *((Extra("hose_end", 1, hose_end_words(d.draw.port.dash)), Extra("test_cap", 1, f"{d.draw.port.dash} cap, for the leak test")) if d.draw.port else ()))
