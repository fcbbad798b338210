"""Size and form of a room: sides from a floor area, openings in its walls, and how far it is a closed box."""

import dataclasses
import math

import numpy as np

from service.advice import policy
from service.domain.errors import DomainError
from service.domain.surface import WALLS
from service.domain.words import words

_LOWEST_OCTAVES_HZ = (63, 125)


def settled_sides(room, assume):
    """Return the room with length and width, from its floor area where these were not told.

    Parameters
    ----------
    room : Room
        As told. [-]
    assume : Assumptions
        Receives the ratio of length to width, where it had to be assumed. [-]
    """
    if room.sides_are_told:
        return room
    ratio = policy.ASSUMED_LENGTH_TO_WIDTH
    assume.add(
        None,
        {"length_to_width_ratio": ratio},
        why=words("assumptions.length_to_width"),
        source="practice",
        spread=policy.LENGTH_TO_WIDTH_SPREAD,
    )
    return dataclasses.replace(
        room,
        length_m=math.sqrt(room.floor_area_m2 * ratio),
        width_m=math.sqrt(room.floor_area_m2 / ratio),
        floor_area_m2=None,
    )


def opening_areas_m2(room, areas_m2):
    """Return the area of the openings of each of the six surfaces, shape (6,). [m2]

    Parameters
    ----------
    room : Room
        As told. [-]
    areas_m2 : ndarray, shape (6,)
        Areas of the surfaces. [m2]

    Raises
    ------
    DomainError
        The openings of a wall are larger than the wall, or all of them leave too little of a room.
    """
    open_m2 = np.zeros(6)
    for index, opening in enumerate(room.openings):
        wall = WALLS.index(opening.wall)
        open_m2[wall] += opening.area_m2
        if open_m2[wall] > areas_m2[wall] * (1 + 1e-6):
            raise DomainError(
                pointer=room.pointer("openings", index, "area_m2"),
                code="opening_too_large",
                detail=words(
                    "refusals_room.openings_of_a_wall",
                    wall=opening.wall,
                    open_m2=float(open_m2[wall]),
                    wall_m2=float(areas_m2[wall]),
                ),
                given=opening.area_m2,
                allowed=words("refusals_room.openings.allowed", most_m2=float(areas_m2[wall])),
            )
    if open_m2.sum() > policy.MOST_OPEN_RATIO * areas_m2.sum():
        most_m2 = float(policy.MOST_OPEN_RATIO * areas_m2.sum())
        raise DomainError(
            pointer=room.pointer("openings"),
            code="opening_too_large",
            detail=words(
                "refusals_room.openings_of_the_room", open_m2=float(open_m2.sum()), surfaces_m2=float(areas_m2.sum())
            ),
            given=round(float(open_m2.sum()), 2),
            allowed=words("refusals_room.openings.allowed", most_m2=most_m2),
        )
    return np.minimum(open_m2, areas_m2)


def rough_because(room):
    """Return why the bass of a room is a guide only: codes, none for a closed box."""
    reasons = {
        "openings": bool(room.openings),
        "shape": room.shape not in (None, "box"),
        "attic": room.construction == "attic",
    }
    return tuple(code for code, holds in reasons.items() if holds)


def walls_are_known(room):
    """Whether the damping in the bass was told: measured at 63 and 125 Hz, or by all six surfaces."""
    if room.reverberation_time_by_octave_s is not None:
        return set(_LOWEST_OCTAVES_HZ) <= {octave for octave, _ in room.reverberation_time_by_octave_s}
    return room.surfaces is not None and all(surface is not None for surface in room.surfaces)
