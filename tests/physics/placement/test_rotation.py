"""A listener who faces another wall: the same room, turned, not mirrored."""

import dataclasses

import numpy as np
import pytest

from service.physics.checks import OutOfRangeError
from service.physics.placement.rotation import Rotation
from service.physics.room.wave_field import pressure_ratio
from tests.physics.placement.rooms import setting

WALLS = ("front_wall", "right_wall", "back_wall", "left_wall")


@pytest.mark.parametrize(
    ("facing", "expected_m"),
    [
        # by hand, from the tape: (from the wall in front, from the wall on the left) of x = 4, y = 1 in 5 by 3 m
        ("front_wall", (4.0, 1.0)),
        ("back_wall", (1.0, 2.0)),  # 5 - 4; the right wall is on the left, 3 - 1
        ("left_wall", (1.0, 1.0)),  # the back wall is on the left, 5 - 4
        ("right_wall", (2.0, 4.0)),  # 3 - 1; the front wall is on the left
    ],
)
def test_places_by_the_tape(facing, expected_m):
    rotation = Rotation(facing=facing, dimensions_m=(5.0, 3.0, 2.5))
    np.testing.assert_allclose(rotation.there_m((4.0, 1.0, 1.2)), (*expected_m, 1.2), atol=1e-12)
    np.testing.assert_allclose(rotation.back_m((*expected_m, 1.2)), (4.0, 1.0, 1.2), atol=1e-12)


@pytest.mark.parametrize("facing", WALLS)
def test_there_and_back_again(facing):
    rotation = Rotation(facing=facing, dimensions_m=(5.0, 3.0, 2.5))
    places_m = np.random.default_rng(1).uniform(0, (5.0, 3.0, 2.5), size=(4, 2, 3))
    np.testing.assert_allclose(rotation.back_m(rotation.there_m(places_m)), places_m, atol=1e-12)
    assert rotation.bearing_back_rad(rotation.bearing_there_rad(0.3)) == pytest.approx(0.3)


@pytest.mark.parametrize("facing", WALLS)
@pytest.mark.parametrize("dipole", [False, True], ids=["monopole", "dipole"])
def test_the_field_is_that_of_the_room_itself(facing, dipole):
    """Six unlike walls, by the solver of a single response: only the axis of its closed form may differ."""
    here = setting(dipole=dipole)
    rotation = Rotation(facing=facing, dimensions_m=here.box.dimensions_m)
    rng = np.random.default_rng(2)
    speakers_m = rng.uniform((0.4, 0.4, 0.6), (1.4, 3.7, 1.2), size=(2, 3))
    seats_m = rng.uniform((2.9, 0.4, 0.9), (5.0, 3.7, 1.3), size=(5, 3))
    bearing_rad = np.array([0.4, -0.9])

    def field(box, sources_m, ears_m, bearings_rad):
        axes = np.stack([np.cos(bearings_rad), np.sin(bearings_rad), 0 * bearings_rad], axis=1) * dipole
        return pressure_ratio(box, sources_m=sources_m, axes=axes, seats_m=ears_m)

    expected = field(here.box, speakers_m, seats_m, bearing_rad)
    found = field(
        rotation.setting(here).box,
        rotation.there_m(speakers_m),
        rotation.there_m(seats_m),
        rotation.bearing_there_rad(bearing_rad),
    )
    np.testing.assert_allclose(found, expected, rtol=1e-6, atol=1e-6)


def test_offsets_and_treble_turn_with_the_room():
    """A neighbour 0.6 m to the right (y) of a listener who faces the front wall sits behind one who faces the left."""
    here = setting(seat_offsets_m=np.array([[0.0, 0.0, 0.0], [0.1, 0.6, 0.0]]))
    there = Rotation(facing="left_wall", dimensions_m=here.box.dimensions_m).setting(here)
    np.testing.assert_allclose(there.seat_offsets_m[1], (0.6, -0.1, 0.0), atol=1e-12)
    front, back, left, right, floor, ceiling = here.treble_absorption
    np.testing.assert_array_equal(there.treble_absorption, (left, right, back, front, floor, ceiling))
    assert dataclasses.replace(there, box=here.box).bands is here.bands


def test_there_is_no_other_wall_to_face():
    with pytest.raises(OutOfRangeError, match="facing"):
        Rotation(facing="ceiling", dimensions_m=(5.0, 3.0, 2.5))
