"""What a run has to say: checks, sized values, and the three kinds of bad news."""

from dataclasses import dataclass
from pathlib import Path

PASS, CAUTION, FAIL, NOT_ASSESSED = "pass", "caution", "fail", "not assessed"


@dataclass(frozen=True)
class Check:
    """One thing measured against its limit. `sense` is ">=" or "<="; value and limit are in `unit`."""

    id: str
    title: str
    value: float | None
    limit: float | None
    unit: str
    sense: str
    status: str
    method: str
    source: str

    @property
    def margin(self) -> float | None:
        """How far inside the limit the value lies, in `unit`; negative outside; None where nothing was measured."""
        if self.value is None or self.limit is None:
            return None
        return self.value - self.limit if self.sense == ">=" else self.limit - self.value


def judged(*, id: str, title: str, value: float, limit: float, unit: str, sense: str, method: str, source: str,
           caution_below: float | None = None) -> Check:
    """Hold `value` against `limit`. A value within the limit whose margin is under `caution_below` is a caution."""
    if sense not in (">=", "<="):
        raise ValueError(f"sense must be '>=' or '<=', not {sense!r}")
    margin = value - limit if sense == ">=" else limit - value
    status = FAIL if margin < 0 else PASS
    if status == PASS and caution_below is not None and margin < caution_below:
        status = CAUTION
    return Check(id, title, value, limit, unit, sense, status, method, source)


def not_assessed(*, id: str, title: str, unit: str, sense: str, reason: str, source: str) -> Check:
    """A check that could not be made, and why."""
    return Check(id, title, None, None, unit, sense, NOT_ASSESSED, reason, source)


@dataclass(frozen=True)
class Sized:
    """A value that the tool chose: the key it stands for, the value with its unit, and the reason."""

    key: str
    value: str
    because: str


@dataclass(frozen=True)
class Problem:
    """One thing wrong with a parameter file. `line` counts from 1; None where the file as a whole is meant."""

    file: str
    line: int | None
    key: str
    value: str
    message: str

    def __str__(self) -> str:
        where = self.file if self.line is None else f"{self.file}:{self.line}"
        what = ": ".join(t for t in (self.key, self.value) if t)
        return f"{where}: {what}: {self.message}" if what else f"{where}: {self.message}"


class BadFile(Exception):
    """The input is unusable: every problem that was found in it."""

    def __init__(self, problems: list[Problem]):
        self.problems = tuple(problems)
        super().__init__("\n".join(str(p) for p in problems))

    @classmethod
    def whole(cls, file: Path | str, message: str) -> "BadFile":
        """A problem with the file as a whole."""
        return cls([Problem(str(file), None, "", "", message)])


class KernelFailure(Exception):
    """The geometry kernel failed: the part, the step that failed and the dimensions that it was given."""

    def __init__(self, part: str, step: str, dimensions: object):
        self.part, self.step, self.dimensions = part, step, dimensions
        super().__init__(f"{part}: the geometry kernel failed at {step} with {dimensions}")
