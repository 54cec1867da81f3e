"""STEP files (AP214, mm) with a named, coloured product for each copy of each piece."""

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import cadquery as cq
from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
from OCP.BinXCAFDrivers import BinXCAFDrivers
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Interface import Interface_Static
from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
from OCP.STEPCAFControl import STEPCAFControl_Writer
from OCP.STEPControl import STEPControl_StepModelType
from OCP.TCollection import TCollection_ExtendedString, TCollection_HAsciiString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label
from OCP.TDocStd import TDocStd_Document
from OCP.TopLoc import TopLoc_Location
from OCP.XCAFApp import XCAFApp_Application
from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool

from generators.crank import SweptRegion, outline
from generators.exports import names
from generators.exports.step_text import settled
from generators.findings import KernelFailure
from generators.fit.placing import Placed
from generators.outlines import circle, polygon_loop
from generators.pieces import Part
from generators.sheet.frames import frame
from generators.sheet.solids import location, prism

TIME_STAMP = "2000-01-01T00:00:00"
"""A file says what was designed, not when: the same input gives the same file."""

COLOURS = ((0.55, 0.65, 0.75), (0.80, 0.70, 0.52), (0.60, 0.74, 0.62), (0.76, 0.60, 0.60), (0.66, 0.62, 0.78),
           (0.56, 0.74, 0.76), (0.78, 0.76, 0.58), (0.70, 0.70, 0.70))
"""Calm colours, red, green and blue from 0 to 1, taken in turn by the pieces of a part."""

SWEEP_COLOUR = (0.90, 0.45, 0.35)
OBSTACLE_COLOUR = (0.42, 0.38, 0.34)
SWEEP, OBSTACLES = "crank_swept_region", "obstacles"
"""Groups of the assembly that are no parts."""

SWEEP_SIDES = 180
"""Sides of the body that stands for one band of the swept region where it is not round."""


@dataclass(frozen=True)
class Product:
    """A named thing in the file: one solid, or a group of products, set at `at`."""

    name: str
    colour: tuple[float, float, float] | None = None
    solid: cq.Solid | None = None
    children: tuple["Product", ...] = ()
    at: cq.Location | None = None


def part_product(part: Part, at: cq.Location | None = None) -> Product:
    """The part as a group of its pieces; further copies of a piece are called piece_2, piece_3 ..."""
    copies = tuple(Product(names.copy(piece, i), COLOURS[number % len(COLOURS)], solid)
                   for number, piece in enumerate(part.pieces) for i, solid in enumerate(piece.solids))
    return Product(part.name, None, None, copies, at)


def sweep_product(region: SweptRegion, at: cq.Location | None = None) -> Product:
    """The crank's swept region for reference, one body a band."""
    bodies = tuple(Product(f"swept_{band.label.replace(' ', '_')}_{i}", SWEEP_COLOUR, _band_solid(band))
                   for i, band in enumerate(region.bands, start=1) if band.radius.max() > 0)
    return Product(SWEEP, None, None, bodies, at)


def _band_solid(band) -> cq.Solid:
    where = frame(origin=(band.x0, 0, 0), x=(0, 1, 0), z=(1, 0, 0))
    if band.radius.max() == band.radius.min():
        loop = circle(x=0, y=0, radius=float(band.radius[0]))
    else:
        every = max(1, len(band.radius) // SWEEP_SIDES)
        loop = polygon_loop(outline(band)[::every])
    return prism(loop, height=band.x1 - band.x0, where=where)


def _named(label: TDF_Label, name: str) -> None:
    TDataStd_Name.Set_s(label, TCollection_ExtendedString(name, True))


def _add(product: Product, document: TDocStd_Document, seen: set) -> TDF_Label:
    """The label of the product with all that is in it. A solid that is already in `seen` is copied: the kernel gives all
    copies of one solid the name of the first."""
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    label = shapes.NewShape()
    _named(label, product.name)
    if product.solid is not None:
        shape = cq.Shape.cast(product.solid.wrapped.Located(TopLoc_Location()))
        shapes.SetShape(label, (shape.copy() if shape in seen else shape).wrapped)
        seen.add(shape)
    if product.colour is not None:
        colour = Quantity_Color(*product.colour, Quantity_TypeOfColor.Quantity_TOC_sRGB)
        colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())
        colours.SetColor(label, colour, XCAFDoc_ColorType.XCAFDoc_ColorGen)
    for child in product.children:
        _named(shapes.AddComponent(label, _add(child, document, seen), _place(child)), child.name)
    return label


def _place(product: Product) -> TopLoc_Location:
    """Where the product stands: the kernel loses the colour of a solid that carries its own place, so its group does."""
    own = product.solid.wrapped.Location() if product.solid is not None else TopLoc_Location()
    return product.at.wrapped.Multiplied(own) if product.at is not None else own


def _document(product: Product) -> TDocStd_Document:
    application = XCAFApp_Application.GetApplication_s()
    BinXCAFDrivers.DefineFormat_s(application)
    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    application.InitDocument(document)
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    shapes.SetAutoNaming_s(False)
    _add(product, document, set())
    shapes.UpdateAssemblies()
    return document


def _set_header(writer: STEPCAFControl_Writer, name: str) -> None:
    header = APIHeaderSection_MakeHeader(writer.ChangeWriter().Model())
    header.SetName(TCollection_HAsciiString(name))
    header.SetTimeStamp(TCollection_HAsciiString(TIME_STAMP))
    header.SetAuthorValue(1, TCollection_HAsciiString(""))
    header.SetOriginatingSystem(TCollection_HAsciiString("sumpwright"))


def write(product: Product, file: Path) -> None:
    """Write the product to `file`. Raises KernelFailure where the kernel refuses."""
    document = _document(product)
    writer = STEPCAFControl_Writer()
    writer.SetColorMode(True)
    writer.SetNameMode(True)
    Interface_Static.SetCVal_s("xstep.cascade.unit", "MM")
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    Interface_Static.SetCVal_s("write.step.schema", "AP214IS")
    Interface_Static.SetIVal_s("write.surfacecurve.mode", 0)  # curves in space alone: half the size, and readers find the rest
    sent = writer.Transfer(document, STEPControl_StepModelType.STEPControl_AsIs)
    _set_header(writer, file.name)
    if not sent or writer.Write(str(file)) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise KernelFailure(product.name, "writing STEP", file.name)
    file.write_bytes(settled(file.read_bytes()))


def assembly_product(placed: Iterable[Placed], region: SweptRegion | None = None, *, engine_at=None, more: Iterable[Product] = ()) -> Product:
    """All parts where they belong, with the swept region where one is given, set like the engine at frame `engine_at`, and with
    what else stands in the assembly's frame."""
    children = [part_product(p.part, location(p.at)) for p in placed]
    if region is not None:
        children.append(sweep_product(region, location(engine_at) if engine_at is not None else None))
    return Product("assembly", None, None, (*children, *more))
