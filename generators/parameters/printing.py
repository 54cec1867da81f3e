"""What is printed on the user's own printers."""

from typing import Literal

from pydantic import Field, StrictStr

from generators.parameters.fields import Record


class Drawings(Record):
    """Workshop drawings: the paper of their first sheet, how views stand to each other, and what the title block says."""

    paper: Literal["A4", "A3", "A2", "A1", "A0"] = Field("A2", description="shows a pan at half its size")
    projection: Literal["first angle", "third angle"] = Field("first angle", description="usual in Europe; third angle in America")
    owner: StrictStr = Field("", max_length=60)
    drawn_by: StrictStr = Field("", max_length=60)
    revision: StrictStr = Field("", max_length=10)


class Templates(Record):
    """Templates at full size: the paper that they are printed on."""

    paper: Literal["A4", "A3", "Letter", "Tabloid"] = Field("A4", description="what most printers hold")
