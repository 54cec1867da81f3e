"""Sizes of paper, mm."""

from dataclasses import dataclass, replace

from generators.standards.tables import Unknown


@dataclass(frozen=True)
class Paper:
    """A sheet's `width` and `height` as it lies, mm."""

    name: str
    width: float
    height: float

    def turned(self) -> "Paper":
        """The same sheet, turned by a quarter."""
        return replace(self, width=self.height, height=self.width)

    def landscape(self) -> "Paper":
        """The same sheet with its long side across."""
        return self if self.width >= self.height else self.turned()

    def portrait(self) -> "Paper":
        """The same sheet with its long side upright."""
        return self if self.height >= self.width else self.turned()


PAPERS = {p.name: p for p in (
    Paper("A4", 210.0, 297.0), Paper("A3", 297.0, 420.0), Paper("A2", 420.0, 594.0), Paper("A1", 594.0, 841.0), Paper("A0", 841.0, 1189.0),
    Paper("Letter", 215.9, 279.4), Paper("Tabloid", 279.4, 431.8))}
"""Upright. ISO 216 series A; ANSI/ASME Y14.1 sizes A (8.5 x 11 in) and B (11 x 17 in) by their office names."""


def paper(name: str) -> Paper:
    """The paper of that name, upright. Raises Unknown."""
    if name not in PAPERS:
        raise Unknown("paper", name, tuple(PAPERS))
    return PAPERS[name]
