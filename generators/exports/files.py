"""The files of a part and of a whole design: the same input gives the same files."""

from collections.abc import Sequence
from pathlib import Path

from generators.drawings import PartDrawing, part_drawing
from generators.drawings.job_sheet import job_sheet
from generators.exports import glb, names, obstacle_products, parts_list, shop_lists, step, stl
from generators.fit.placing import Placing
from generators.fit.record import Obstruction
from generators.meshes import PartMeshes
from generators.nest import Nest
from generators.parameters import Parameters
from generators.shop.flat_files import FlatFile
from generators.shop.pack import Pack, astray_note
from generators.templates import PartTemplates, part_templates
from generators.vessels import Vessel


def write_part(meshes: PartMeshes, flats: Sequence[FlatFile], root: Path, *, drawing: PartDrawing, templates: PartTemplates | None = None) -> None:
    """Everything that the output tree holds of one part, with its drawing, those of its flats, and its `templates`, below `root`."""
    part = meshes.part
    (root / part.name).mkdir(parents=True, exist_ok=True)
    step.write(step.part_product(part), root / names.step(part))
    stl.write(meshes.joined, root / names.stl(part))
    (root / names.drawing(part)).write_bytes(drawing.pdf)
    if templates is not None:
        (root / names.templates(part)).write_bytes(templates.pdf)
    for flat in flats:
        (root / names.cut_only(part, flat.piece)).parent.mkdir(parents=True, exist_ok=True)
        (root / names.flat(part, flat.piece)).write_text(flat.whole, encoding="utf-8")
        (root / names.cut_only(part, flat.piece)).write_text(flat.cut_only, encoding="utf-8")


def write_vessel(vessel: Vessel, root: Path) -> None:
    """The space for oil in a vessel, and in each of its compartments, below `root`."""
    (root / vessel.name).mkdir(parents=True, exist_ok=True)
    stl.write(vessel.oil_space, root / names.oil_space(vessel.part))
    for compartment in vessel.compartments:
        stl.write(compartment.oil_space, root / names.compartment(vessel.part, compartment.name))


def write_parts(parameters: Parameters, meshes: Sequence[PartMeshes], placing: Placing, pack: Pack, root: Path, *, nests: Sequence[Nest] = (),
                region=None, held: Sequence[Vessel] = (), obstructions: Sequence[Obstruction] = (),
                failing: Sequence[tuple[str, str]] = ()) -> None:
    """All parts, what a shop is told of them, the sheets that they are cut from (`nests`), what the vessels hold, the assembly (with the swept
    region where `region` is given, and with the obstacles) and the parts list, below `root`; `failing` are title and name
    of the checks that fail."""
    for number, one in enumerate(meshes, start=1):
        drawing = part_drawing(one.part, parameters, number=number, of=len(meshes), note=astray_note(pack, one.part.name))
        write_part(one, pack.files[one.part.name], root, drawing=drawing, templates=part_templates(one.part, parameters))
    for vessel in held:
        write_vessel(vessel, root)
    around = obstacle_products.products(obstructions)
    step.write(step.assembly_product(placing.parts, region, engine_at=placing.engine, more=around), root / names.ASSEMBLY)
    glb.write({m.part.name: m for m in meshes}, placing, obstructions, region, root / names.ASSEMBLY_GLB)
    parts = [m.part for m in meshes]
    parts_list.write(parts, root / names.PARTS_LIST)
    shop_lists.write(parts, pack, bends=root / names.BENDS, seams=root / names.SEAMS, hardware=root / names.HARDWARE)
    shop_lists.write_sheets(nests, root, root / names.SHEETS)
    (root / names.JOB_SHEET).write_bytes(job_sheet(parameters, parts, pack, nests, failing=failing).pdf)
