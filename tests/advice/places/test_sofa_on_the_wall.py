"""Ears of somebody on a sofa that touches the wall behind are 0.12 to 0.6 m from that wall, however they are told."""

import math

import pytest

from service.domain.errors import DomainError
from service.domain.position import Place, Positions
from tests.advice.tape_readings import HEIGHTS, PLACES, ROOM_M, standing

LENGTH_M = ROOM_M[0]


def coordinates_of(behind_m):
    """A pair near the front wall and a seat so far from the wall behind."""
    return Positions(speakers=PLACES.speakers, seats=(Place(x_m=LENGTH_M - behind_m, y_m=2.1, z_m=1.0),))


@pytest.mark.parametrize("behind_m", [0.119, 0.3, 0.6])
def test_coordinates_near_the_wall_behind_agree(behind_m):
    """Nearer than a head allows is left to whoever told coordinates."""
    assert standing({"sofa_on_wall": True}, positions=coordinates_of(behind_m)).found


@pytest.mark.parametrize("behind_m", [0.601, 4.9])
def test_coordinates_off_the_wall_behind_are_refused(behind_m):
    """0.5 m from the wall behind the speakers is 4.9 m from the one behind you."""
    with pytest.raises(DomainError) as refused:
        standing({"sofa_on_wall": True}, positions=coordinates_of(behind_m))
    assert (refused.value.pointer, refused.value.code) == ("/as_found/sofa_on_wall", "contradiction")


def test_a_chair_off_the_wall_is_no_contradiction_without_a_sofa():
    assert standing({"sofa_on_wall": False}, positions=coordinates_of(2.0)).found


@pytest.mark.parametrize(("behind_m", "agrees"), [(0.6, True), (0.601, False)])
def test_a_reading_of_the_ears(behind_m, agrees):
    told = {"front_wall_to_baffle_m": 0.8, "spacing_m": 2.4, "back_wall_to_ears_m": behind_m, **HEIGHTS}
    assert standing(told).found
    if agrees:
        assert standing({**told, "sofa_on_wall": True}).found
        return
    with pytest.raises(DomainError) as refused:
        standing({**told, "sofa_on_wall": True})
    assert refused.value.pointer == "/as_found/back_wall_to_ears_m"


@pytest.mark.parametrize(
    ("behind_m", "agrees"), [(0.1195, False), (0.1205, True), (0.3, True), (0.5995, True), (0.6005, False)]
)
def test_a_listening_distance_that_puts_the_ears(behind_m, agrees):
    """Speakers 0.8 m from their wall and 2.4 m apart: the depth is the rest of 5.4 m, the distance by Pythagoras."""
    told = {"front_wall_to_baffle_m": 0.8, "spacing_m": 2.4, "sofa_on_wall": True, **HEIGHTS}
    distance_m = math.hypot(LENGTH_M - 0.8 - behind_m, 1.2)
    if agrees:
        found = standing(told, distance_m=distance_m)
        assert LENGTH_M - found.positions.seats[0].x_m == pytest.approx(behind_m, abs=1e-4)
        return
    with pytest.raises(DomainError) as refused:
        standing(told, distance_m=distance_m)
    assert (refused.value.pointer, refused.value.code) == ("/listening_distance_m", "contradiction")


def test_a_distance_leaves_a_head_between_sofa_and_wall():
    """With both walls open, the speakers stand where the distance puts them, the ears as near as a head: 0.12 m."""
    longest_m = math.hypot(LENGTH_M - 0.12, 1.2)  # speakers at their wall
    told = {"spacing_m": 2.4, "sofa_on_wall": True, **HEIGHTS}
    found = standing(told, distance_m=longest_m - 0.05)
    assert LENGTH_M - found.positions.seats[0].x_m == pytest.approx(0.12, abs=1e-4)
    with pytest.raises(DomainError) as refused:
        standing(told, distance_m=longest_m + 0.001)
    assert (refused.value.pointer, refused.value.code) == ("/listening_distance_m", "does_not_fit")
