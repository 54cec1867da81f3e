"""Where each file lies in the output tree, as paths relative to its root with forward slashes."""

from generators.pieces import Part, Piece

ASSEMBLY, PARTS_LIST, REPORT_JSON, REPORT_HTML = "assembly.step", "parts_list.csv", "report.json", "report.html"

ASSEMBLY_GLB, FIT_OVERVIEW, FIT_BELOW = "assembly.glb", "fit/overview.png", "fit/overview_below.png"

COMPARISON_JSON, COMPARISON_CSV, COMPARISON_HTML = "comparison.json", "comparison.csv", "comparison.html"

MANIFEST, INPUTS = "manifest.json", "inputs"
"""What made all this, and where the parameter file lies with all that it names."""

BENDS, SEAMS, HARDWARE, SHEETS = "shop/bends.csv", "shop/seams.csv", "shop/hardware.csv", "shop/sheets.csv"

JOB_SHEET = "shop/job_sheet.pdf"
"""All of them on paper, in the order of work."""

TOGETHER = "all"
"""Stands for a pickup's name where several are shown together."""


def step(part: Part) -> str:
    """The part as made."""
    return f"{part.name}/{part.name}.step"


def stl(part: Part) -> str:
    """The part as a closed mesh."""
    return f"{part.name}/{part.name}.stl"


def oil_space(part: Part) -> str | None:
    """The volume that oil can fill; None where the part is no vessel."""
    return f"{part.name}/oil_space.stl" if part.cavity is not None else None


def compartment(part: Part, name: str) -> str:
    """The volume that oil can fill in one compartment of a vessel."""
    return f"{part.name}/oil_space_{name}.stl"


def surge_plot(part: Part, mouth: str) -> str:
    """How far a mouth of a vessel is under the oil while driving; of TOGETHER which of its mouths is the best covered."""
    return f"{part.name}/surge_{mouth}.svg"


def surge_picture(part: Part, mouth: str) -> str:
    """The oil in a vessel where a mouth, or TOGETHER the best covered of them, fares worst."""
    return f"{part.name}/surge_{mouth}.png"


def drawing(part: Part) -> str:
    """The workshop drawing."""
    return f"{part.name}/{part.name}.pdf"


def templates(part: Part) -> str:
    """What is cut by hand, at full size."""
    return f"{part.name}/templates.pdf"


PRINTED = "mockup/pieces.csv"
"""What is printed of a mock-up."""


def printed_file(group: str) -> str:
    """All pieces of a part's mock-up, or the gauges, in one file."""
    return f"mockup/{group}.3mf"


def printed_mesh(group: str, piece: str) -> str:
    """One piece of them."""
    return f"mockup/{group}/{piece}.stl"


def nest_drawing(name: str, sheet: int) -> str:
    """A laid-out sheet, numbered from 0, of the stock called `name`."""
    return f"shop/sheets/{name}_{sheet + 1}.dxf"


def nest_picture(name: str, sheet: int) -> str:
    """The same as a picture."""
    return f"shop/sheets/{name}_{sheet + 1}.svg"


def tightest(label: str) -> str:
    """The tightest place of an obstacle, by its label."""
    return f"fit/{label}.png"


def flat(part: Part, piece: Piece) -> str | None:
    """The drawing of the piece's flat pattern; None where it has none."""
    return f"{part.name}/flat/{piece.name}.dxf" if piece.flat is not None else None


def cut_only(part: Part, piece: Piece) -> str | None:
    """The same flat with nothing in the file but what is cut, for shops that want one layer."""
    return f"{part.name}/flat/cut_only/{piece.name}.dxf" if piece.flat is not None else None


def made_from(part: Part, piece: Piece) -> str:
    """The file that a shop makes the piece from: its flat pattern, else the part's solid model."""
    return flat(part, piece) or step(part)


def copy(piece: Piece, index: int) -> str:
    """The name of copy `index` (from 0) of a piece: the piece's own, with a number from the second on."""
    return piece.name if index == 0 else f"{piece.name}_{index + 1}"
