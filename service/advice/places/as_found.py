"""A room and places as people measure them: the wall behind the speakers first, then what a tape measure shows.

What was not read is taken as usual and listed under its own field, so that the list completes the request.
"""

import dataclasses

from service.advice import policy
from service.advice.assumptions import DEFAULTS
from service.advice.findings.finding import finding
from service.advice.places.as_found_depth import Depth
from service.advice.places.refusals import contradiction, does_not_fit, not_on_the_wall
from service.domain.as_found import tape_readings_m
from service.domain.errors import DomainError
from service.domain.position import Place, Positions, StandingPlaces, facing_deg
from service.domain.words import words

_SIDES = "assumptions.sides_taken_the_other_way"


def with_sides_mapped(request, assume):
    """Return the request with length and width taken so that the wall that was named is behind the speakers.

    Parameters
    ----------
    request : LevelRequest, PlacementRequest or other request with a room
        As told. [-]
    assume : Assumptions
        Is told when the two sides were taken the other way round. [-]

    Raises
    ------
    DomainError
        Distances were told in a room of which the floor area alone is known, or coordinates say otherwise.
    """
    told, room = request.as_found, request.room
    if told is None or room is None:
        return request
    if not room.sides_are_told:
        _refuse_distances(told, room)
        return request
    on_short_wall = room.width_m < room.length_m
    if told.speakers_on is None or room.width_m == room.length_m or (told.speakers_on == "short_wall") == on_short_wall:
        return request
    if request.positions is not None:
        behind = "short_wall" if on_short_wall else "long_wall"
        raise DomainError(
            pointer=told.pointer("speakers_on"),
            code="contradiction",
            detail=words("refusals_places.other_wall_behind", length_m=room.length_m, behind=behind),
            given=told.speakers_on,
            allowed=words("refusals_places.other_wall_behind.allowed", behind=behind),
        )
    length_m, width_m = room.width_m, room.length_m
    assume.add(
        None,
        {"length_m": length_m, "width_m": width_m},
        why=words(_SIDES, speakers_on=told.speakers_on),
        source="practice",
    )
    assume.fill(room.pointer("length_m"), length_m)
    assume.fill(room.pointer("width_m"), width_m)
    return dataclasses.replace(request, room=dataclasses.replace(room, length_m=length_m, width_m=width_m))


def sides_findings(assume):
    """Return the finding that the two sides were taken the other way round, if they were."""
    return [
        finding("sides_taken_the_other_way", **item.why.values, **item.value)
        for item in assume.listed()
        if item.why.key == _SIDES
    ]


def _refuse_distances(told, room):
    for name in told.distances_m:
        raise DomainError(
            pointer=room.pointer("length_m"),
            code="needs_length_and_width",
            detail=words("refusals_places.needs_sides", name=name),
            given=room.floor_area_m2,
            allowed=[words("refusals_domain.both_sides")],
        )


def require_agreement(told, positions, *, dimensions_m):
    """Refuse readings that places contradict by more than a hand's breadth.

    Parameters
    ----------
    told : AsFound
        [-]
    positions : Positions
        [-]
    dimensions_m : tuple of float, length 3
        Room. [m]
    """
    readings = tape_readings_m(positions, dimensions_m=dimensions_m)
    for name, found_m in readings.items():
        given = told.readings_m[name]
        for reading_m in found_m:
            if given is not None and abs(given - reading_m) > policy.SAME_PLACE_M:
                raise contradiction(told, name, given, reading_m)


def settle(request, assume, *, dimensions_m, speaker_count):
    """Return where things stand by tape measure.

    Parameters
    ----------
    request : SceneRequest
        With `as_found` of one distance at least, or of a sofa on the wall. [-]
    assume : Assumptions
        Receives what was not read, each under its own field. [-]
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
        A reading does not fit the room, or two readings contradict each other.
    """
    return _Tape(request, assume, dimensions_m, speaker_count).places(request.listening_distance_m)


class _Tape:
    """One pair, or one speaker, and one chair, laid out from what was read."""

    def __init__(self, request, assume, dimensions_m, speaker_count):
        self.request, self.told = request, request.as_found
        self.assume, self.count = assume, speaker_count
        self.dimensions_m = dimensions_m
        self.length_m, self.width_m, self.height_m = dimensions_m
        self.doubt_m = {}

    def places(self, told_distance_m):
        self.require_inside()
        ear_z_m, speaker_z_m = self.height("ear_height_m", share=0.7), self.height("speaker_height_m", share=0.6)
        edges_m = self.edges_m()
        self.axis_m = self.middle_m() if edges_m is None else sum(edges_m) / 2
        ears_m = self.ears_across_m()
        depth = Depth(self, rise_m=ear_z_m - speaker_z_m, aside_m=ears_m - self.axis_m)
        half_m = None if edges_m is None else (edges_m[1] - edges_m[0]) / 2
        front_m, back_m, half_m = depth.settled(half_m, told_distance_m)
        seat = Place(x_m=_tenth_mm(self.length_m - back_m), y_m=_tenth_mm(ears_m), z_m=ear_z_m)
        sides = (-1, 1) if self.count == 2 else (0,)
        places_m = [(_tenth_mm(front_m), _tenth_mm(self.axis_m + side * half_m), speaker_z_m) for side in sides]
        positions = Positions(speakers=self.facing(places_m, seat), seats=(seat,))
        require_agreement(self.told, positions, dimensions_m=self.dimensions_m)
        found_m = positions.listening_distance_m
        if told_distance_m is not None and abs(told_distance_m - found_m) > policy.SAME_PLACE_M:
            raise contradiction(self.request, "listening_distance_m", told_distance_m, found_m)
        return StandingPlaces(
            positions=positions,
            listening_distance_m=found_m if told_distance_m is None else told_distance_m,
            distance_standard_m=depth.distance_standard_m(half_m),
            found=True,
        )

    def assumed(self, name, value, *, why, spread, source="practice"):
        """List a value under its field, and return it as listed; a small room may press it out of the usual range."""
        value = round(value, 3)
        spread = (min(round(spread[0], 3), value), max(round(spread[1], 3), value))
        self.assume.add(self.told.pointer(name), value, why=why, source=source, spread=spread)
        self.doubt_m[name] = (spread[1] - spread[0]) / 2
        return value

    def fits(self, name, low_m, high_m):
        """Refuse a reading outside the range that room and other readings leave."""
        value_m = self.told.readings_m[name]
        if value_m is not None and not low_m < value_m < high_m:
            raise does_not_fit(self.told, name, value_m, low_m=low_m, high_m=high_m)

    def require_inside(self):
        """Refuse every reading that does not fit the room by itself."""
        told, width_m = self.told, self.width_m
        for name in ("ear_height_m", "speaker_height_m"):
            self.fits(name, 0.0, self.height_m)
        for name in ("left_wall_to_left_baffle_m", "right_wall_to_right_baffle_m", "left_wall_to_ears_m"):
            self.fits(name, 0.0, width_m)
        self.fits("side_offset_m", -width_m / 2, width_m / 2)
        for name in ("front_wall_to_baffle_m", "back_wall_to_ears_m"):
            self.fits(name, 0.0, self.length_m)
        if told.front_wall_to_baffle_m is not None:
            self.fits(
                "back_wall_to_ears_m",
                0.0,
                self.length_m - told.front_wall_to_baffle_m - policy.LEAST_PERSON_TO_SPEAKER_M,
            )
        behind_m = told.back_wall_to_ears_m
        if told.sofa_on_wall and behind_m is not None and behind_m > policy.SOFA_ON_WALL_M[1]:
            raise not_on_the_wall(told.pointer("back_wall_to_ears_m"), behind_m, behind_m)
        if self.count == 1 and told.spacing_m is not None:
            raise DomainError(
                pointer=told.pointer("spacing_m"),
                code="contradiction",
                detail=words("refusals_places.spacing_of_one"),
                given=told.spacing_m,
                allowed=words("refusals_places.spacing_of_one.allowed"),
            )

    def height(self, name, *, share):
        """Height of ears or acoustic centres, no usual one above a share of the room's."""
        told_m = self.told.readings_m[name]
        if told_m is not None:
            return told_m
        default = DEFAULTS[name]
        value_m = min(default.value, share * self.height_m)
        return self.assumed(name, value_m, why=default.why, spread=default.spread, source=default.source)

    def middle_m(self):
        """The left wall to the middle of the pair. [m]"""
        offset_m = self.told.side_offset_m
        if offset_m is None:
            default = DEFAULTS["side_offset_m"]
            offset_m = self.assumed("side_offset_m", default.value, why=default.why, spread=default.spread)
        return self.width_m / 2 + offset_m

    def edges_m(self):
        """The left wall to the left and to the right speaker, twice the same of one; None where spacing is open."""
        left_m, right_m = self.told.left_wall_to_left_baffle_m, self.told.right_wall_to_right_baffle_m
        spacing_m, width_m = self.told.spacing_m, self.width_m
        if self.count == 1:
            place_m = left_m
            if place_m is None:
                place_m = self.middle_m() if right_m is None else width_m - right_m
            return place_m, place_m
        if left_m is not None and right_m is not None:
            self.fits("right_wall_to_right_baffle_m", 0.0, width_m - left_m)
            return left_m, width_m - right_m
        if spacing_m is not None and left_m is not None:
            self.fits("spacing_m", 0.0, width_m - left_m)
            return left_m, left_m + spacing_m
        if spacing_m is not None and right_m is not None:
            self.fits("spacing_m", 0.0, width_m - right_m)
            return width_m - right_m - spacing_m, width_m - right_m
        if left_m is None and right_m is None and spacing_m is None:
            return None
        middle_m = self.middle_m()
        if left_m is not None:
            self.fits("left_wall_to_left_baffle_m", max(0.0, 2 * middle_m - width_m), middle_m)
            return left_m, 2 * middle_m - left_m
        if right_m is not None:
            self.fits("right_wall_to_right_baffle_m", max(0.0, width_m - 2 * middle_m), width_m - middle_m)
            return 2 * middle_m - (width_m - right_m), width_m - right_m
        self.fits("spacing_m", 0.0, 2 * min(middle_m, width_m - middle_m))
        return middle_m - spacing_m / 2, middle_m + spacing_m / 2

    def ears_across_m(self):
        if self.told.left_wall_to_ears_m is not None:
            return self.told.left_wall_to_ears_m
        half_m = DEFAULTS["side_offset_m"].spread[1]
        return self.assumed(
            "left_wall_to_ears_m",
            self.axis_m,
            why=words("assumptions.chair_on_axis"),
            spread=(max(self.axis_m - half_m, 0.0), min(self.axis_m + half_m, self.width_m)),
        )

    def facing(self, places_m, seat):
        """Speakers with their direction: turned in as told, else as much as makes them face the chair on average."""
        inwards = (1, -1) if self.count == 2 else (1 if places_m[0][1] <= seat.y_m else -1,)
        toe_in_deg = self.told.toe_in_deg
        if toe_in_deg is None:
            turned = [sign * facing_deg(place, seat.xyz_m) for sign, place in zip(inwards, places_m, strict=True)]
            mean_deg = sum(turned) / len(turned)
            spread = (min(mean_deg, 0.0), mean_deg + policy.TOE_IN_PAST_THE_CHAIR_DEG)
            toe_in_deg = self.assumed("toe_in_deg", mean_deg, why=words("assumptions.toe_in_deg"), spread=spread)
        return tuple(
            Place(x_m=x, y_m=y, z_m=z, facing_deg=sign * toe_in_deg)
            for sign, (x, y, z) in zip(inwards, places_m, strict=True)
        )


def _tenth_mm(value_m):
    return round(value_m, 4)
