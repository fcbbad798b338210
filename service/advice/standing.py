"""Where the pair and the chair are: as told, or standing as a pair usually does."""

import math

from service.advice.policy import (
    LEAST_PERSON_TO_SPEAKER_M,
    LEAST_WALL_DISTANCE_M,
    PREFERRED_BASE_ANGLE_DEG,
    SAME_PLACE_M,
)
from service.domain.errors import DomainError
from service.domain.position import Place, Positions, require_apart, require_inside


def facing_deg(speaker_xyz_m, seat_xyz_m):
    """Return the direction in plan from a speaker to a seat, from +x towards +y. [deg]"""
    return math.degrees(math.atan2(seat_xyz_m[1] - speaker_xyz_m[1], seat_xyz_m[0] - speaker_xyz_m[0]))


def told_positions(positions, *, dimensions_m):
    """Return positions that were told, after checking them against the room; speakers without a direction face the
    seats.

    Raises
    ------
    DomainError
        A place is outside the room or a seat is at a speaker.
    """
    require_inside(positions.speakers, dimensions_m=dimensions_m, pointer="/positions/speakers", what="speaker")
    require_inside(positions.seats, dimensions_m=dimensions_m, pointer="/positions/seats", what="seat")
    require_apart(
        positions.seats,
        positions.speakers,
        least_m=LEAST_PERSON_TO_SPEAKER_M,
        pointer="/positions/seats",
        what="seat",
    )
    aim_m = tuple(sum(seat.xyz_m[i] for seat in positions.seats) / len(positions.seats) for i in range(3))
    speakers = tuple(
        speaker
        if speaker.facing_deg is not None
        else Place(x_m=speaker.x_m, y_m=speaker.y_m, z_m=speaker.z_m, facing_deg=facing_deg(speaker.xyz_m, aim_m))
        for speaker in positions.speakers
    )
    return Positions(speakers=speakers, seats=positions.seats)


def distance_m(positions):
    """Return the mean distance from the speakers to the first seat. [m]"""
    seat = positions.seats[0].xyz_m
    return sum(math.dist(speaker.xyz_m, seat) for speaker in positions.speakers) / len(positions.speakers)


def settled_positions(request, assume, *, dimensions_m, speaker_count):
    """Return where things stand and the listening distance.

    Parameters
    ----------
    request : LevelRequest
        With `positions`, `listening_distance_m`, or both. [-]
    assume : Assumptions
        Receives the places when they were not told. [-]
    dimensions_m : tuple of float, length 3
        Room. [m]
    speaker_count : int
        1 or 2. [-]

    Returns
    -------
    tuple of Positions and float

    Raises
    ------
    DomainError
        The places do not fit the room or each other, both forms disagree, or the distance does not fit the room.
    """
    told_m = request.listening_distance_m
    if request.positions is not None:
        positions = told_positions(request.positions, dimensions_m=dimensions_m)
        if len(positions.speakers) != speaker_count:
            raise DomainError(
                pointer="/positions/speakers",
                code="contradiction",
                detail=f"the places of the speakers are {len(positions.speakers)}, speaker_count is {speaker_count}.",
                given=len(positions.speakers),
                allowed=f"{speaker_count} places, or another speaker_count",
            )
        found_m = distance_m(positions)
        if told_m is not None and abs(told_m - found_m) > SAME_PLACE_M:
            raise DomainError(
                pointer="/listening_distance_m",
                code="contradiction",
                detail=f"the positions are {found_m:.2f} m apart, listening_distance_m says {told_m:g} m.",
                given=told_m,
                allowed=f"{found_m:.2f}, or leave it out",
            )
        return positions, (told_m if told_m is not None else found_m)
    if told_m is None:
        raise DomainError(
            pointer="/listening_distance_m",
            code="missing",
            detail="the distance from the ear to each speaker is needed, or positions.",
            allowed="listening_distance_m or positions",
        )
    positions = _usual_positions(told_m, assume, dimensions_m=dimensions_m, speaker_count=speaker_count)
    return positions, told_m


def _usual_positions(listening_distance_m, assume, *, dimensions_m, speaker_count):
    """The pair and the chair in a triangle of equal sides on the room's axis, made narrower or nearer where it must."""
    length_m, width_m, height_m = dimensions_m
    speaker_z_m = min(assume.standard("speaker_height_m"), 0.6 * height_m)
    ear_z_m = min(assume.standard("ear_height_m"), 0.7 * height_m)
    in_plan_m = math.sqrt(max(listening_distance_m**2 - (ear_z_m - speaker_z_m) ** 2, 0.01))
    widest_m = max(width_m - 2 * LEAST_WALL_DISTANCE_M, 0.2 * width_m)
    half_angle_rad = math.radians(PREFERRED_BASE_ANGLE_DEG / 2)
    half_base_m = 0.0
    if speaker_count == 2:
        half_base_m = min(in_plan_m * math.sin(half_angle_rad), widest_m / 2)
    depth_m = math.sqrt(in_plan_m**2 - half_base_m**2)
    room_for_it_m = length_m - 2 * LEAST_WALL_DISTANCE_M
    if depth_m > room_for_it_m:
        longest_half_base_m = min(room_for_it_m * math.tan(half_angle_rad), widest_m / 2) if speaker_count == 2 else 0.0
        longest_m = math.hypot(room_for_it_m, longest_half_base_m, ear_z_m - speaker_z_m)
        raise DomainError(
            pointer="/listening_distance_m",
            code="does_not_fit",
            detail=f"a chair {listening_distance_m:g} m from the speakers does not fit into a length of {length_m:g} "
            "m. Is length_m the side along which you listen?",
            given=listening_distance_m,
            allowed=f"at most {math.floor(100 * longest_m) / 100:.2f}",
        )
    front_m = assume.standard("front_wall_distance_m")
    x_m = min(front_m, length_m - LEAST_WALL_DISTANCE_M - depth_m)
    seat = Place(x_m=round(x_m + depth_m, 3), y_m=round(width_m / 2, 3), z_m=round(ear_z_m, 3))
    sides = (-1, 1) if speaker_count == 2 else (0,)
    speakers = []
    for side in sides:
        place = (round(x_m, 3), round(width_m / 2 + side * half_base_m, 3), round(speaker_z_m, 3))
        direction = round(facing_deg(place, seat.xyz_m), 2)
        speakers.append(Place(x_m=place[0], y_m=place[1], z_m=place[2], facing_deg=direction))
    assume.add(
        "/positions",
        {
            "speakers": [{"x_m": s.x_m, "y_m": s.y_m, "z_m": s.z_m, "facing_deg": s.facing_deg} for s in speakers],
            "seats": [{"x_m": seat.x_m, "y_m": seat.y_m, "z_m": seat.z_m}],
        },
        why="no places were told: the pair stands at 60 degrees on the room's axis, narrower or nearer the wall where "
        "the room asks for it",
        source="practice",
    )
    return Positions(speakers=tuple(speakers), seats=(seat,))
