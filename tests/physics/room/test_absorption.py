"""Mean absorption of patches and what is refused as patches."""

import numpy as np
import pytest

from service.physics.checks import OutOfRangeError
from service.physics.room.absorption import mean_absorption


def test_mean_by_hand():
    # (3 * 0.9 + 7 * 0.1) / 10 and (3 * 0.5 + 7 * 0.2) / 10
    found = mean_absorption([[0.9, 0.5], [0.1, 0.2]], areas_m2=[3.0, 7.0])
    assert found == pytest.approx([0.34, 0.29], abs=1e-15)


def test_splitting_a_patch_changes_nothing():
    whole = mean_absorption([0.3, 0.7], areas_m2=[5.0, 2.0])
    split = mean_absorption([0.3, 0.3, 0.7, 0.9], areas_m2=[1.5, 3.5, 2.0, 0.0])
    assert split == pytest.approx(whole, abs=1e-15)


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
        mean_absorption(absorption, areas_m2=areas)
