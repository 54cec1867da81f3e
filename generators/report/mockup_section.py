"""What the page says of the mock-up."""

from html import escape

from generators.exports import names
from generators.mockup import Mockup
from generators.report.elements import NONE, breakable, link, number, table


def entry(made: Mockup | None) -> dict | None:
    """The mock-up as the report for programs holds it: mm, m3."""
    if made is None:
        return None
    return {"pieces": [{"group": p.group, "name": p.name, "mark": p.mark, "size_mm": list(p.size), "joints": p.joints, "thinnest_mm": p.thinnest,
                        "volume_m3": p.mesh.volume / 1e9, "file": names.printed_mesh(p.group, p.name), "note": p.note} for p in made.pieces],
            "files": {group: names.printed_file(group) for group in dict.fromkeys(p.group for p in made.pieces)},
            "notes": {part: list(said) for part, said in made.notes.items()}}


def section(found: dict | None) -> str:
    """The pieces to print; nothing where no mock-up is asked for."""
    if found is None:
        return ""
    rows = [(breakable(p["group"]), breakable(p["name"]), escape(p["mark"]) or NONE, " × ".join(number(v, 1) for v in p["size_mm"]), escape(p["joints"]),
             number(p["thinnest_mm"], 2), link(p["file"]), escape(p["note"]) or NONE) for p in found["pieces"]]
    said = "".join(f"<li>{escape(part)}: {escape(words)}</li>" for part, all_ in found["notes"].items() for words in all_)
    files = ", ".join(link(f) for f in found["files"].values())
    return ("<h2>Mock-up to print</h2>" + table(("Of", "Piece", "Mark", "Size on the bed", "Joined", "Thinnest wall", "File", "Note"), rows,
                                                numbers=(5,)) + f"<ul>{said}</ul><p>All pieces: {files}; {link(names.PRINTED)}</p>"
            '<p class="soft">For fitting alone: printed plastic softens in warm oil and holds no pressure. Dowels are plain rod; straps are glued over joints '
            "from inside.</p>")
