"""The pan rail: its outline, gasket face and bolts, in the engine frame (x forward from the rear end, y left)."""

from typing import Annotated

from pydantic import BeforeValidator, Field, StrictStr, ValidationInfo

from generators import outlines
from generators.outlines import Loop
from generators.parameters.bolting import bolt_problems, bolts_along
from generators.parameters.fields import (
    Drawn,
    FromFile,
    Gap,
    Inconsistent,
    Length,
    Offset,
    Points,
    Record,
    Series,
    points,
)
from generators.parameters.tracing import clean, trace_problems
from generators.units import echo

LENGTH_MM, WIDTH_MM = (50.0, 3000.0), (40.0, 1000.0)
"""Smallest and largest pan rail of any engine this is meant for."""

LEAST_PITCH_MM = 20.0
"""Bolts of any size closer together leave no metal between them."""

REAR_END_MM = 0.5
"""How far from x = 0 the rear end of an outline may lie: what a tape measure can tell."""

AXIS_ABOVE_MM = 400.0
"""No engine has its crank farther above its pan rail."""


def _outline(value: object, info: ValidationInfo) -> Loop:
    return (
        value
        if isinstance(value, Loop) and not isinstance(info.context, FromFile)
        else outlines.polygon_loop(clean(points(value, info)))
    )


class Shift(Record):
    """Added to every coordinate of outline, drawing and bolts, mm."""

    x: Offset = 0.0
    y: Offset = 0.0


class PanRail(Record):
    """The pan rail, mm. Whatever it was given by (length and width, outline, drawing), it has once read: `outline`, an
    anticlockwise loop; `bolts`, centres; `length` and `width`, the outline's extent."""

    length: Length | None = None
    width: Length | None = None
    corner_radius: Gap | None = Field(20.0, description="a usual corner (common practice)")
    drawing: Drawn | None = None
    outline: Annotated[Loop, BeforeValidator(_outline), Series("length", "points")] | None = None
    offset: Shift | None = None
    face_width: Length = Field(16.0, description="a usual gasket face for M6 bolts (common practice)")
    below_crank: Gap
    bolt_size: StrictStr = Field("M6", description="the usual pan bolt (common practice)")
    bolt_pitch: Length = Field(60.0, description="no more than ten bolt diameters seals (common practice)")
    bolts: Points | None = Field(
        None,
        description="along the middle of the gasket face: one near every corner, evenly "
        "divided between, no two farther apart along it than bolt_pitch",
    )

    def model_post_init(self, context: object, /) -> None:
        _refuse([*_ways(self), *_sizes(self)])
        outline = outlines.anticlockwise(_drawn_outline(self))
        _refuse([(_source(self), message) for message in (*trace_problems(outline), *_position(outline))])
        _refuse(_face(outline, self.face_width))
        bolts = _given_bolts(self)
        if bolts is not None:
            self.model_fields_set.add("bolts")
        placed = bolts_along(outline, face_width=self.face_width, pitch=self.bolt_pitch)
        bolts = placed if bolts is None else bolts
        _refuse(bolt_problems(outline, bolts, face_width=self.face_width, size=self.bolt_size, placed=bolts is placed))
        low, high = extent(outline)
        resolved = {
            "outline": outline,
            "bolts": bolts,
            "length": high[0] - low[0],
            "width": high[1] - low[1],
            "corner_radius": self.corner_radius if _source(self) == "length" else None,
        }
        for key, value in resolved.items():
            object.__setattr__(self, key, value)


def _refuse(problems: list[tuple[str, str]]) -> None:
    if problems:
        raise Inconsistent(problems)


def extent(outline: Loop) -> tuple[tuple[float, float], tuple[float, float]]:
    """Least and largest (x, y) of a loop, mm."""
    points = outlines.flattened(outline)
    return tuple(map(float, points.min(axis=0))), tuple(map(float, points.max(axis=0)))


def _source(rail: PanRail) -> str:
    return next((key for key in ("drawing", "outline") if getattr(rail, key) is not None), "length")


def _ways(rail: PanRail):
    sizes = rail.length is not None or rail.width is not None
    ways = [
        name
        for name, given in (
            ("length and width", sizes),
            ("outline", rail.outline is not None),
            ("drawing", rail.drawing is not None),
        )
        if given
    ]
    if not ways:
        yield "", "needs its shape: length and width, or outline, or drawing"
    if len(ways) > 1:
        yield ways[-1], f"is given beside {' and '.join(ways[:-1])}: the shape must come from one of them only"
    if len(ways) == 1 and sizes and (rail.length is None or rail.width is None):
        lacking = "width" if rail.width is None else "length"
        yield "", f'needs {lacking} too, e.g. {lacking} = "240 mm"'
    if rail.bolts is not None and rail.drawing is not None and rail.drawing.bolts is not None:
        yield "bolts", "is given beside a drawing that has bolts on its layer BOLTS: leave one of them out"
    if rail.offset is not None and sizes:
        yield (
            "offset",
            "goes with outline or drawing only; length and width already lie square to the crank: leave it out",
        )
    if "corner_radius" in rail.model_fields_set and not sizes and ways:
        yield "corner_radius", f"goes with length and width only; the {ways[0]} has its own corners: leave it out"


def _sizes(rail: PanRail):
    absurd = [
        (key, _absurd(getattr(rail, key), low, high))
        for key, (low, high) in (("length", LENGTH_MM), ("width", WIDTH_MM))
        if not low <= (getattr(rail, key) or low) <= high
    ]
    yield from absurd
    if rail.bolt_pitch < LEAST_PITCH_MM:
        yield "bolt_pitch", f"must be at least {echo(LEAST_PITCH_MM, 'length')}: is the unit right?"
    if rail.below_crank > AXIS_ABOVE_MM:
        yield "below_crank", _absurd(rail.below_crank, 0.0, AXIS_ABOVE_MM)
    if (
        not absurd
        and rail.length
        and rail.width
        and rail.corner_radius is not None
        and 2 * rail.corner_radius > min(rail.length, rail.width)
    ):
        yield (
            "corner_radius",
            f"does not fit: at most half the shorter side, {echo(min(rail.length, rail.width) / 2, 'length')}",
        )


def _absurd(value: float, low: float, high: float) -> str:
    return f"is {echo(value, 'length')}, but an engine's lies between {low:g} and {high:g} mm: is the unit right?"


def _drawn_outline(rail: PanRail) -> Loop:
    if rail.drawing is not None or rail.outline is not None:
        loop = rail.outline if rail.drawing is None else rail.drawing.outline
        return loop if rail.offset is None else outlines.moved(loop, x=rail.offset.x, y=rail.offset.y)
    return outlines.rectangle(x0=0.0, y0=-rail.width / 2, x1=rail.length, y1=rail.width / 2, corner=rail.corner_radius)


def _given_bolts(rail: PanRail):
    bolts = rail.bolts
    if bolts is None and rail.drawing is not None:
        bolts = rail.drawing.bolts
    shift = rail.offset
    if bolts is None or shift is None:
        return bolts
    return tuple((x + shift.x, y + shift.y) for x, y in bolts)


def _position(outline: Loop):
    (x0, y0), (x1, y1) = extent(outline)
    for size, name, (low, high) in ((x1 - x0, "length", LENGTH_MM), (y1 - y0, "width", WIDTH_MM)):
        if not low <= size <= high:
            yield f"its {name} {_absurd(size, low, high)}"
    if abs(x0) > REAR_END_MM:
        yield (
            f"its rear end is at x = {echo(x0, 'length')}, but x counts forward from there: add "
            f'offset = {{ x = "{echo(-x0, "length")}" }} or measure from the rear end'
        )
    if y0 >= 0 or y1 <= 0:
        yield (
            f"does not lie round the crank axis (y = 0): it runs from y = {echo(y0, 'length')} to "
            f"{echo(y1, 'length')}; y counts "
            'to the left from the axis, offset = { y = "..." } shifts it'
        )


def _face(outline: Loop, face_width: float) -> list[tuple[str, str]]:
    (_, y0), (_, y1) = extent(outline)
    if face_width < min(-y0, y1):
        return []
    return [
        (
            "face_width",
            f"covers the crank axis: it must be less than {echo(min(-y0, y1), 'length')}, from the axis to the edge",
        )
    ]
