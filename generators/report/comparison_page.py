"""Two designs side by side on one page that opens without a network."""

from html import escape
from importlib.resources import files
from string import Template

from generators.report.comparison import ROWS, Comparison, Line
from generators.report.elements import style, table


def page(found: Comparison, pictures: str, version: str) -> str:
    """The page: what it comes to, then the table group by group; `pictures` is HTML that shows the designs."""
    template = Template((files("generators") / "data" / "comparison.html").read_text(encoding="utf-8"))
    unlike = "".join(f"<li>{escape(u)}</li>" for u in found.unlike)
    return template.substitute(
        style=style(), one=escape(found.names[0]), other=escape(found.names[1]), version=escape(version), pictures=pictures,
        unlike=f"<p><strong>Not the same in both files:</strong></p><ul>{unlike}</ul>" if unlike else "",
        comes_to="".join(f"<li>{escape(s)}</li>" for s in found.comes_to), tables="".join(_group(found, g) for g in dict.fromkeys(r[0] for r in ROWS)))


def _group(found: Comparison, group: str) -> str:
    rows = [_row(line) for line in found.lines if line.group == group]
    return f"<h2>{escape(group)}</h2>" + table(("", *map(escape, found.names), "Second less first"), rows, numbers=(1, 2, 3))


def _row(line: Line) -> tuple[str, str, str, str]:
    unit = f", {line.unit}" if line.unit else ""
    return escape(line.what[:1].upper() + line.what[1:] + unit), escape(line.one), escape(line.other), escape(line.difference)
