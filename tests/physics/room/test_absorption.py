"""What is refused as patches of absorbing surface, and what is not."""

import numpy as np
import pytest

from service.physics.checks import OutOfRangeError
from service.physics.room.absorption import require_patches


@pytest.mark.parametrize("absorption", [[0.0, 1.0], [[0.9, 0.5], [0.1, 0.2]]])
def test_possible_patches_pass(absorption):
    assert require_patches(absorption, areas_m2=[3.0, 0.0]) is None


@pytest.mark.parametrize(
    ("absorption", "areas", "name"),
    [
        ([0.1, 1.1], [1.0, 2.0], "absorption_coefficients"),
        ([0.1, np.nan], [1.0, 2.0], "absorption_coefficients"),
        ([0.1, 0.2], [1.0, -2.0], "areas_m2"),
        ([0.1, 0.2], [0.0, 0.0], "areas_m2"),
        ([0.1, 0.2], [1.0, 2.0, 3.0], "areas_m2"),
        (0.1, 1.0, "areas_m2"),
    ],
)
def test_impossible_patches_are_refused(absorption, areas, name):
    with pytest.raises(OutOfRangeError, match=name):
        require_patches(absorption, areas_m2=areas)
