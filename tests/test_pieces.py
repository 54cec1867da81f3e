"""What a piece, a mouth and a part may be called."""

import numpy as np
import pytest
from sample_parts import DENSITY

from generators.pieces import Mouth, Piece


@pytest.mark.parametrize("name", ["end plate", "End_plate", "", "../x", "2nd", "boss.", "naïve"])
def test_names_that_are_no_safe_file_names_are_refused(name):
    with pytest.raises(ValueError, match="underscores"):
        Piece(name, "turned", "6061-T6", DENSITY, ())
    with pytest.raises(ValueError, match="underscores"):
        Mouth(name, np.zeros((1, 3)))


def test_small_letters_digits_and_underscores_are_taken():
    assert Piece("end_plate_2", "turned", "6061-T6", DENSITY, ()).quantity == 0
    assert Mouth("gutter_rear", np.zeros((1, 3))).name == "gutter_rear"
