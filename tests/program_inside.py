"""The program run within the tests' own process."""

import sys

import pytest

from generators import __main__ as program


def inside(*args) -> int:
    """The program in this process: its exit status."""
    sys.argv = ["sumpwright", *map(str, args)]
    with pytest.raises(SystemExit) as left:
        program.main()
    return left.value.code
