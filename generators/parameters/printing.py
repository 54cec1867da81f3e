"""What is printed on the user's own printers."""

from typing import Literal

from pydantic import Field

from generators.parameters.fields import Record


class Templates(Record):
    """Templates at full size: the paper that they are printed on."""

    paper: Literal["A4", "A3", "Letter", "Tabloid"] = Field("A4", description="what most printers hold")
