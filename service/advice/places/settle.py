"""Where the pair and the chair are: as told, as a tape measure shows it, or standing as a pair usually does."""

import functools
import math
from dataclasses import replace

from service.advice import policy
from service.advice.assumptions import DEFAULTS
from service.advice.places.as_found import require_agreement, settle
from service.advice.places.refusals import does_not_fit, not_on_the_wall
from service.domain.errors import DomainError
from service.domain.position import Place, Positions, StandingPlaces, facing_deg, require_apart, require_inside
from service.domain.words import words
from service.physics.uncertainty import standard_from_half_width


def told_positions(positions, *, dimensions_m):
    """Return positions that were told, after checking them against the room; speakers without a direction face the
    seats.

    Raises
    ------
    DomainError
        A place is outside the room or a seat is at a speaker.
    """
    of_speakers, of_seats = (functools.partial(positions.pointer, name) for name in ("speakers", "seats"))
    require_inside(positions.speakers, dimensions_m=dimensions_m, pointer=of_speakers, what="speaker")
    require_inside(positions.seats, dimensions_m=dimensions_m, pointer=of_seats, what="seat")
    require_apart(
        positions.seats,
        positions.speakers,
        least_m=policy.LEAST_PERSON_TO_SPEAKER_M,
        pointer=of_seats,
        what="seat",
    )
    aim_m = tuple(sum(seat.xyz_m[i] for seat in positions.seats) / len(positions.seats) for i in range(3))
    speakers = tuple(
        speaker
        if speaker.facing_deg is not None
        else Place(x_m=speaker.x_m, y_m=speaker.y_m, z_m=speaker.z_m, facing_deg=facing_deg(speaker.xyz_m, aim_m))
        for speaker in positions.speakers
    )
    return Positions(at=positions.at, speakers=speakers, seats=positions.seats)


def settled_positions(request, assume, *, dimensions_m, speaker_count):
    """Return where things stand and the listening distance.

    Parameters
    ----------
    request : LevelRequest
        With `positions`, `as_found`, `listening_distance_m`, or several of them. [-]
    assume : Assumptions
        Receives the places when they were not told. [-]
    dimensions_m : tuple of float, length 3
        Room. [m]
    speaker_count : int
        1 or 2. [-]

    Returns
    -------
    StandingPlaces

    Raises
    ------
    DomainError
        The places do not fit the room or each other, several forms disagree, or the distance does not fit the room.
    """
    told_m, as_found = request.listening_distance_m, request.as_found
    if request.positions is not None:
        return _by_coordinates(request, dimensions_m, speaker_count)
    if as_found is not None and as_found.says_where:
        return settle(request, assume, dimensions_m=dimensions_m, speaker_count=speaker_count)
    half_width_m = policy.DISTANCE_HALF_WIDTH_M if told_m is not None else policy.UNTOLD_DISTANCE_HALF_WIDTH_M
    common = {"dimensions_m": dimensions_m, "speaker_count": speaker_count}
    if told_m is None:
        told_m = _usual_distance_m(request, assume, **common)
    return StandingPlaces(
        positions=_usual_positions(request, told_m, assume, **common),
        listening_distance_m=told_m,
        distance_standard_m=float(standard_from_half_width(half_width_m)),
        found=False,
    )


def told_places(request, assume, dimensions_m):
    """Return the present places, or None where nobody told them.

    Parameters
    ----------
    request : PlacementRequest or AdviceRequest
        As told, its sides mapped. [-]
    assume : Assumptions
        Receives what was not read of them. [-]
    dimensions_m : tuple of float, length 3
        Room. [m]
    """
    if request.positions is None and (request.as_found is None or not request.as_found.says_where):
        return None
    count = request.speaker_count or DEFAULTS["speaker_count"].value
    if request.positions is not None:
        count = len(request.positions.speakers)
    return settled_positions(request, assume, dimensions_m=dimensions_m, speaker_count=count).positions


def _by_coordinates(request, dimensions_m, speaker_count):
    """Places by coordinates, which tape readings and a listening distance must not contradict."""
    as_found, told_m = request.as_found, request.listening_distance_m
    positions = told_positions(request.positions, dimensions_m=dimensions_m)
    if len(positions.speakers) != speaker_count:
        raise DomainError(
            pointer=positions.pointer("speakers"),
            code="contradiction",
            detail=words("refusals_places.speaker_count", places=len(positions.speakers), speaker_count=speaker_count),
            given=len(positions.speakers),
            allowed=words("refusals_places.speaker_count.allowed", speaker_count=speaker_count),
        )
    if as_found is not None:
        require_agreement(as_found, positions, dimensions_m=dimensions_m)
        behind_m = dimensions_m[0] - positions.seats[0].x_m
        if as_found.sofa_on_wall and behind_m > policy.SOFA_ON_WALL_M[1]:
            raise not_on_the_wall(as_found.pointer("sofa_on_wall"), True, behind_m)
    found_m = positions.listening_distance_m
    if told_m is not None and abs(told_m - found_m) > policy.SAME_PLACE_M:
        raise DomainError(
            pointer=request.pointer("listening_distance_m"),
            code="contradiction",
            detail=words("refusals_places.distance_of_positions", found_m=found_m, told_m=told_m),
            given=told_m,
            allowed=words("refusals_places.contradiction.allowed", reading_m=found_m),
        )
    return StandingPlaces(
        positions=positions,
        listening_distance_m=found_m if told_m is None else told_m,
        distance_standard_m=0.0,
        found=True,
    )


def _usual_distance_m(request, assume, *, dimensions_m, speaker_count):
    """The usual listening distance, or the longest that the room has space for. [m]"""
    usual = DEFAULTS["listening_distance_m"]
    longest_m = math.floor(10 * _longest_distance_m(dimensions_m, speaker_count, rise_m=0.0)) / 10
    fitting = replace(usual, value=min(usual.value, longest_m))
    return assume.take(request.pointer("listening_distance_m"), None, default=fitting)


def _longest_distance_m(dimensions_m, speaker_count, *, rise_m):
    """From a pair at the wall behind it to a chair at the wall behind the chair. [m]"""
    length_m, width_m, _ = dimensions_m
    depth_m = length_m - 2 * policy.LEAST_WALL_DISTANCE_M
    half_base_m = 0.0
    if speaker_count == 2:
        widest_m = max(width_m - 2 * policy.LEAST_WALL_DISTANCE_M, 0.2 * width_m)
        half_base_m = min(depth_m * math.tan(math.radians(policy.PREFERRED_BASE_ANGLE_DEG / 2)), widest_m / 2)
    return math.hypot(depth_m, half_base_m, rise_m)


def _usual_positions(request, listening_distance_m, assume, *, dimensions_m, speaker_count):
    """The pair and the chair in a triangle of equal sides on the room's axis, made narrower or nearer where it must."""
    as_found = request.as_found
    length_m, width_m, height_m = dimensions_m
    speaker_z_m = _height_m(as_found, assume, "speaker_height_m", room_m=height_m, share=0.6)
    ear_z_m = _height_m(as_found, assume, "ear_height_m", room_m=height_m, share=0.7)
    in_plan_m = math.sqrt(max(listening_distance_m**2 - (ear_z_m - speaker_z_m) ** 2, 0.01))
    widest_m = max(width_m - 2 * policy.LEAST_WALL_DISTANCE_M, 0.2 * width_m)
    half_angle_rad = math.radians(policy.PREFERRED_BASE_ANGLE_DEG / 2)
    half_base_m = 0.0
    if speaker_count == 2:
        half_base_m = min(in_plan_m * math.sin(half_angle_rad), widest_m / 2)
    depth_m = math.sqrt(in_plan_m**2 - half_base_m**2)
    room_for_it_m = length_m - 2 * policy.LEAST_WALL_DISTANCE_M
    if depth_m > room_for_it_m:
        longest_m = _longest_distance_m(dimensions_m, speaker_count, rise_m=ear_z_m - speaker_z_m)
        raise DomainError(
            pointer=request.pointer("listening_distance_m"),
            code="does_not_fit",
            detail=words("refusals_places.chair_does_not_fit", distance_m=listening_distance_m, length_m=length_m),
            given=listening_distance_m,
            allowed=words("refusals_places.chair_does_not_fit.allowed", most_m=math.floor(100 * longest_m) / 100),
        )
    front_m = assume.standard("front_wall_distance_m")
    x_m = min(front_m, length_m - policy.LEAST_WALL_DISTANCE_M - depth_m)
    seat = Place(x_m=round(x_m + depth_m, 3), y_m=round(width_m / 2, 3), z_m=round(ear_z_m, 3))
    toe_in_deg = None if as_found is None else as_found.toe_in_deg
    sides = (-1, 1) if speaker_count == 2 else (0,)
    speakers = []
    for side in sides:
        place = (round(x_m, 3), round(width_m / 2 + side * half_base_m, 3), round(speaker_z_m, 3))
        direction = round(facing_deg(place, seat.xyz_m), 2) if toe_in_deg is None else (-side or 1) * toe_in_deg
        speakers.append(Place(x_m=place[0], y_m=place[1], z_m=place[2], facing_deg=direction))
    assume.add(
        request.pointer("positions"),
        {
            "speakers": [{"x_m": s.x_m, "y_m": s.y_m, "z_m": s.z_m, "facing_deg": s.facing_deg} for s in speakers],
            "seats": [{"x_m": seat.x_m, "y_m": seat.y_m, "z_m": seat.z_m}],
        },
        why=words("assumptions.usual_positions"),
        source="practice",
    )
    return Positions(speakers=tuple(speakers), seats=(seat,))


def _height_m(as_found, assume, name, *, room_m, share):
    """A height as told, or the usual one below a share of the room's height. [m]"""
    told_m = None if as_found is None else as_found.readings_m[name]
    if told_m is None:
        return min(assume.standard(name), share * room_m)
    if not 0 < told_m < room_m:
        raise does_not_fit(as_found, name, told_m, low_m=0.0, high_m=room_m)
    return told_m
