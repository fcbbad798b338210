"""The plan of a room to scale: where speakers and chair stand, with the distances of the tape measure."""

import math
from dataclasses import dataclass

from service.web.sheet.shapes import Area, Disc, Drawing, Label, Line, estimated_width_mm

SCALES = (20, 25, 40, 50, 75, 100, 125, 150, 200, 250, 400, 500, 750, 1000, 1500, 2000)
"""One to so many; the largest drawing that fits is taken."""

_EDGE_MM = (2.0, 6.0)
"""Left free beside and above the room, for the thickness of walls and the names of two of them."""

_HEAD_M = 0.11
_CHAIR_M = 0.6
_BASS_M = 0.45
_TICK_MM = 1.2
_DASH_MM = (1.4, 1.0)

_ALONG = 0.42
"""How far along a diagonal, from the speaker, its label stands."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Where a pair and a chair stand, in metres from the corner at the left of the wall behind the speakers.

    `speakers_m` are (x, y) of the baffles, the left one first, `facing_deg` where they face; the first of `seats_m`
    is the one that is laid out; `bass_m` are bass sections that stand apart, the left one first.
    """

    speakers_m: tuple[tuple[float, float], ...]
    facing_deg: tuple[float, ...]
    seats_m: tuple[tuple[float, float], ...]
    bass_m: tuple[tuple[float, float], ...] = ()


def laid_out_m(standing, *, length_m, width_m, count=None):
    """Return the distances of a tape-measure list as pairs of points in the room, in the order of the list. [m]

    Between the distances of the pair and those of the chair the list may have some that the plan cannot show: how far
    a front corner stands back. They are None.

    Parameters
    ----------
    standing : Standing
        One speaker or a pair. [-]
    length_m, width_m : float
        Room. [m]
    count : int, optional
        Of the distances in the list. [-]
    """
    (x_s, y_s), (x_l, y_l), (x_r, y_r) = standing.seats_m[0], standing.speakers_m[0], standing.speakers_m[-1]
    left = [((0.0, y_l), (x_l, y_l)), ((x_l, 0.0), (x_l, y_l))]
    pair = len(standing.speakers_m) == 2
    right = [((0.0, y_r), (x_r, y_r)), ((x_r, width_m), (x_r, y_r)), ((x_l, y_l), (x_r, y_r))] if pair else []
    seat = [((length_m, y_s), (x_s, y_s)), ((x_s, 0.0), (x_s, y_s))]
    checks = [(place, (x_s, y_s)) for place in standing.speakers_m]
    bass = []
    for x, y in standing.bass_m:
        bass += [((0.0, y), (x, y)), ((x, 0.0 if y <= width_m / 2 else width_m), (x, y))]
    seen = len(left + right + seat + bass + checks)
    return left + right + [None] * ((count or seen) - seen) + seat + bass + checks


def scale_of(*, length_m, width_m, most_mm):
    """Return the scale, one to so many, at which a room fits into a width and a height. [-]

    Parameters
    ----------
    length_m, width_m : float
        Room; its length runs down the paper. [m]
    most_mm : tuple of float, length 2
        Width and height of the whole drawing. [mm]
    """
    across_mm, down_mm = (most - 2 * edge for most, edge in zip(most_mm, _EDGE_MM, strict=True))
    return next((s for s in SCALES if 1e3 * width_m / s <= across_mm and 1e3 * length_m / s <= down_mm), SCALES[-1])


def plan(*, length_m, width_m, main, today, cabinet_m, distances, names, most_mm):
    """Return the plan, the wall behind the speakers at its top.

    Parameters
    ----------
    length_m, width_m : float
        Room. [m]
    main : Standing
        Drawn filled, with its distances. [-]
    today : Standing or None
        Drawn as a dashed outline. [-]
    cabinet_m : tuple of float, length 2
        Width and depth of a cabinet. [m]
    distances : sequence of str
        Distances of `laid_out_m` as they are written, in the same order. [-]
    names : dict of str to str
        Texts: `front`, `back`, `description`. [-]
    most_mm : tuple of float, length 2
        Largest width and height. [mm]
    """
    scale = scale_of(length_m=length_m, width_m=width_m, most_mm=most_mm)
    wall_names_mm = max(estimated_width_mm(names["front"]), estimated_width_mm(names["back"]))
    paper = _Paper(1e3 / scale, left_mm=max(_EDGE_MM[0], (wall_names_mm - 1e3 / scale * width_m) / 2))
    (left, top), (right, bottom) = paper.at(0, 0), paper.at(length_m, width_m)
    shapes = []
    if today is not None:
        shapes += paper.furniture(today, cabinet_m, (length_m, width_m), filled=False)
    shapes += paper.furniture(main, cabinet_m, (length_m, width_m), filled=True)
    walls = ((left, top), (right, top), (right, bottom), (left, bottom))
    shapes.append(Area(points=walls, width_mm=0.7))
    middle = (left + right) / 2
    shapes.append(Label(x_mm=middle, y_mm=top - 1.8, text=names["front"]))
    shapes.append(Label(x_mm=middle, y_mm=bottom + 4.4, text=names["back"]))
    ways = laid_out_m(main, length_m=length_m, width_m=width_m, count=len(distances))
    apart_mm = abs(main.speakers_m[-1][1] - main.speakers_m[0][1]) * paper.mm_per_m or right - left
    aside_mm = cabinet_m[0] * paper.mm_per_m / 2 + 2.5
    for number, (way, written) in enumerate(zip(ways, distances, strict=True), start=1):
        if way is not None:
            shapes += paper.dimension(*way, number=number, written=written, aside_mm=aside_mm, apart_mm=apart_mm)
    return Drawing(
        width_mm=right + paper.left_mm,
        height_mm=bottom + _EDGE_MM[1],
        shapes=tuple(shapes),
        description=names["description"],
    )


class _Paper:
    """Puts places of the room on paper."""

    def __init__(self, mm_per_m, *, left_mm):
        self.mm_per_m, self.left_mm = mm_per_m, left_mm

    def at(self, x_m, y_m):
        return self.left_mm + y_m * self.mm_per_m, _EDGE_MM[1] + x_m * self.mm_per_m

    def furniture(self, standing, cabinet_m, room_m, *, filled):
        dash_mm = None if filled else _DASH_MM
        width_m, depth_m = cabinet_m
        for (x_m, y_m), facing_deg in zip(standing.speakers_m, standing.facing_deg, strict=True):
            ahead = math.cos(math.radians(facing_deg)), math.sin(math.radians(facing_deg))
            aside = -ahead[1], ahead[0]
            corners = [
                (x_m - back * ahead[0] + side * aside[0], y_m - back * ahead[1] + side * aside[1])
                for back, side in ((0, -width_m / 2), (0, width_m / 2), (depth_m, width_m / 2), (depth_m, -width_m / 2))
            ]
            outline = tuple(self.at(*corner) for corner in corners)
            yield Area(points=outline, grey_ratio=0.8 if filled else None, width_mm=0.25, dash_mm=dash_mm)
            if filled:
                yield Line(points=outline[:2], width_mm=0.9)
        for x_m, y_m in standing.bass_m:
            corners = ((-_BASS_M, -1), (-_BASS_M, 1), (0, 1), (0, -1))
            outline = tuple(self.at(x_m + dx, y_m + side * _BASS_M / 2) for dx, side in corners)
            yield Area(points=outline, grey_ratio=0.8 if filled else None, width_mm=0.25, dash_mm=dash_mm)
        for seat_m in standing.seats_m:
            yield Line(points=self._chair(seat_m, standing, room_m), width_mm=0.25, dash_mm=dash_mm)
            x_mm, y_mm = self.at(*seat_m)
            yield Disc(x_mm=x_mm, y_mm=y_mm, radius_mm=_HEAD_M * self.mm_per_m, grey_ratio=0.0 if filled else None)

    def _chair(self, seat_m, standing, room_m):
        """Arms and back of a chair that looks squarely towards the speakers; its back ends at the wall behind."""
        count = len(standing.speakers_m)
        to_m = [sum(place[axis] for place in standing.speakers_m) / count - seat_m[axis] for axis in (0, 1)]
        axis = 0 if abs(to_m[0]) >= abs(to_m[1]) else 1
        ahead = math.copysign(1.0, to_m[axis])
        behind_m = seat_m[axis] if ahead > 0 else room_m[axis] - seat_m[axis]
        outline = []
        for along, side in (
            (0.1, -1),
            (-min(_CHAIR_M - 0.1, behind_m), -1),
            (-min(_CHAIR_M - 0.1, behind_m), 1),
            (0.1, 1),
        ):
            place = list(seat_m)
            place[axis] += along * ahead
            place[1 - axis] += side * _CHAIR_M / 2
            outline.append(self.at(*place))
        return tuple(outline)

    def dimension(self, start, end, *, number, written, aside_mm, apart_mm):
        """A distance as a thin line with a tick at each end and its number; on a short one the number alone."""
        (x0, y0), (x1, y1) = self.at(*start), self.at(*end)
        long_mm = math.hypot(x1 - x0, y1 - y0)
        if long_mm < 0.5:
            return
        upright, level = abs(x1 - x0) < 0.01, abs(y1 - y0) < 0.01
        if upright and start[0] == 0.0:  # to a speaker: beside the cabinet
            shift_mm = -aside_mm if x1 - self.left_mm > aside_mm + 5 else aside_mm
            yield Line(points=((x1, y1), (x1 + shift_mm, y1)), width_mm=0.12)
            x0, x1 = x0 + shift_mm, x1 + shift_mm
        yield Line(points=((x0, y0), (x1, y1)), width_mm=0.15, dash_mm=None if upright or level else (0.8, 0.8))
        along = (x1 - x0) / long_mm, (y1 - y0) / long_mm
        for x, y in ((x0, y0), (x1, y1)):
            tick = -along[1] * _TICK_MM, along[0] * _TICK_MM
            yield Line(points=((x - tick[0], y - tick[1]), (x + tick[0], y + tick[1])), width_mm=0.3)
        if not (upright or level):
            long_mm = (1 - _ALONG) * apart_mm  # between the two diagonals at their labels
        yield from _distance_label(x0, y0, x1, y1, number, written, long_mm, upright=upright, level=level)


def _distance_label(x0, y0, x1, y1, number, written, long_mm, *, upright, level):
    text = f"{number}: {written}"
    if estimated_width_mm(text) > long_mm - 1:
        text = str(number)
    if estimated_width_mm(text) > long_mm:
        return
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    if upright:
        yield Label(x_mm=x - 0.9, y_mm=y, text=text, turned=True, on_white=True)
    elif level:
        yield Label(x_mm=x, y_mm=y - 0.9, text=text, on_white=True)
    else:  # a diagonal, nearer to the speaker, where the two are well apart
        x, y = x0 + _ALONG * (x1 - x0), y0 + _ALONG * (y1 - y0)
        yield Label(x_mm=x, y_mm=y + 1.1, text=text, on_white=True)
