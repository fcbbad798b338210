"""Places as distances that two people lay out with a tape measure and masking tape."""

import math

from service.advice.answers.placement import TapeMeasureMark

_METRES_PER_INCH = 0.0254


def feet_and_inches(length_m):
    """Return a length in feet and inches, to the nearest half inch: 6 ft 2.5 in."""
    half_inches = round(length_m / _METRES_PER_INCH * 2)
    feet, rest = divmod(half_inches, 24)
    inches = f"{rest / 2:g} in"
    return f"{feet} ft {inches}" if feet else inches


def tape_measure(speakers, seats, *, dimensions_m):
    """Return the numbered distances of a placement.

    Parameters
    ----------
    speakers : sequence of Place
        One, or the left and the right. [-]
    seats : sequence of tuple of float
        Ear places; the first is laid out. [m]
    dimensions_m : tuple of float, length 3
        Room. [m]

    Returns
    -------
    list of TapeMeasureMark
        Wall distances first, check diagonals last.
    """
    length_m, _, _ = dimensions_m
    seat = seats[0]
    names = ["speaker"]
    if len(speakers) == 2:
        names = ["left speaker", "right speaker"]
        if speakers[0].y_m > speakers[1].y_m:
            names.reverse()
    rows = []
    for name, place in zip(names, speakers, strict=True):
        rows.append(("wall behind the speakers", name, place.x_m))
        rows.append(("left wall", name, place.y_m))
    if len(speakers) == 2:
        rows.append((names[0], names[1], _plan(speakers[0].xyz_m, speakers[1].xyz_m)))
    rows.append(("wall behind you", "chair, below the ears", length_m - seat[0]))
    rows.append(("left wall", "chair, below the ears", seat[1]))
    rows += [
        (name, "chair, below the ears (check)", _plan(place.xyz_m, seat))
        for name, place in zip(names, speakers, strict=True)
    ]
    return [
        TapeMeasureMark(
            mark=number,
            measure_from=start,
            measure_to=end,
            cm=round(100 * distance_m, 1),
            feet_and_inches=feet_and_inches(distance_m),
        )
        for number, (start, end, distance_m) in enumerate(rows, start=1)
    ]


def _plan(a, b):
    return math.dist(a[:2], b[:2])
