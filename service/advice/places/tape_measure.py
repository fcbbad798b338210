"""Places as distances that two people lay out with a tape measure and masking tape."""

import math

from service.advice.answers.placement import TapeMeasureMark
from service.domain.as_found import tape_readings_m
from service.domain.position import Place, Positions
from service.domain.words import words

_METRES_PER_INCH = 0.0254
_ONE_LINE_M = 0.005
"""Speakers that differ by less in distance to the wall behind them stand on one line."""


def feet_and_inches(length_m):
    """Return a length in feet and inches, to the nearest half inch: 6 ft 2.5 in."""
    half_inches = round(length_m / _METRES_PER_INCH * 2)
    feet, rest = divmod(half_inches, 24)
    inches = f"{rest / 2:g} in"
    return f"{feet} ft {inches}" if feet else inches


def tape_measure(speakers, seats, *, dimensions_m, cabinet_width_m=None, bass=(), names_as_found=True):
    """Return the numbered distances of a placement.

    Parameters
    ----------
    speakers : sequence of Place
        One, or a pair in any order. [-]
    seats : sequence of tuple of float
        Ear places; the first is laid out. [m]
    dimensions_m : tuple of float, length 3
        Room, its length from the wall behind the speakers. [m]
    cabinet_width_m : float or None
        For the toe-in, which is laid out by the front corners; None leaves it out. [m]
    bass : sequence of Place
        Bass sections that stand apart. [-]
    names_as_found : bool
        Whether the distances are those of `as_found`, whose front wall is the room's own. [-]

    Returns
    -------
    list of TapeMeasureMark
        Wall distances first, check diagonals last. Those that name a field of `as_found` lead back to these places
        when they are posted there; a pair that does not stand on one line cannot be told that way.
    """
    x_m, y_m, z_m = seats[0]
    places = Positions(speakers=tuple(speakers), seats=(Place(x_m=x_m, y_m=y_m, z_m=z_m),))
    read_m = tape_readings_m(places, dimensions_m=dimensions_m)
    ordered = sorted(speakers, key=lambda place: place.y_m)
    names = ("left_speaker", "right_speaker") if len(ordered) == 2 else ("speaker",)
    rows = _pair(read_m) if len(ordered) == 2 else _one(read_m)
    if cabinet_width_m is not None:
        rows += [
            row for name, place in zip(names, ordered, strict=True) for row in _toe_in(name, place, cabinet_width_m)
        ]
    rows += [
        ("back_wall_to_ears_m", "wall_behind_you", "chair", read_m["back_wall_to_ears_m"][0]),
        ("left_wall_to_ears_m", "left_wall", "chair", read_m["left_wall_to_ears_m"][0]),
    ]
    rows += _bass(sorted(bass, key=lambda place: place.y_m), width_m=dimensions_m[1])
    rows += [
        (None, name, "chair_check", math.dist(place.xyz_m[:2], (x_m, y_m)))
        for name, place in zip(names, ordered, strict=True)
    ]
    return [
        TapeMeasureMark(
            mark=number,
            as_found=field if names_as_found else None,
            measure_from=words(f"marks.{start}"),
            measure_to=words(f"marks.{end}"),
            cm=round(100 * distance_m, 1),
            feet_and_inches=feet_and_inches(distance_m),
        )
        for number, (field, start, end, distance_m) in enumerate(rows, start=1)
    ]


def _toe_in(name, place, cabinet_width_m):
    """How much nearer to the wall behind one front corner is than the other: the width times the sine of the toe-in."""
    if place.facing_deg is None:
        return []
    turned = math.sin(math.radians(place.facing_deg))
    nearer, further = ("right_corner", "left_corner") if turned > 0 else ("left_corner", "right_corner")
    difference_m = cabinet_width_m * abs(turned)
    if difference_m < _ONE_LINE_M:
        return []
    return [(None, f"{name}.{nearer}", f"{name}.{further}.farther", difference_m)]


def _bass(ordered, *, width_m):
    """Each bass section from the wall behind the speakers and from its side wall."""
    rows = []
    for place in ordered:
        on_left = place.y_m <= width_m / 2
        name = "bass" if len(ordered) == 1 else "left_bass" if place is ordered[0] else "right_bass"
        rows.append((None, "wall_behind_the_speakers", name, place.x_m))
        wall, distance_m = ("left_wall", place.y_m) if on_left else ("right_wall", width_m - place.y_m)
        rows.append((None, wall, name, distance_m))
    return rows


def _one(read_m):
    return [
        ("front_wall_to_baffle_m", "wall_behind_the_speaker", "speaker", read_m["front_wall_to_baffle_m"][0]),
        ("left_wall_to_left_baffle_m", "left_wall", "speaker", read_m["left_wall_to_left_baffle_m"][0]),
    ]


def _pair(read_m):
    left_m, right_m = read_m["front_wall_to_baffle_m"]
    on_one_line = abs(left_m - right_m) < _ONE_LINE_M
    front, spacing = ("front_wall_to_baffle_m", "spacing_m") if on_one_line else (None, None)
    left, right = "left_wall_to_left_baffle_m", "right_wall_to_right_baffle_m"
    return [
        (front, "wall_behind_the_speakers", "left_speaker", left_m),
        (left, "left_wall", "left_speaker", read_m[left][0]),
        (front, "wall_behind_the_speakers", "right_speaker", right_m),
        (right, "right_wall", "right_speaker", read_m[right][0]),
        (spacing, "left_speaker", "right_speaker", read_m["spacing_m"][0]),
    ]
