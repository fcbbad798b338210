"""Drawings of the bass: the level at the chair over frequency, and where a resonance is loud and quiet."""

import math

from service.web.sheet.shapes import Area, Disc, Drawing, Label, Line, estimated_width_mm

TICKS_HZ = (20, 30, 40, 50, 70, 100, 150, 200)
"""Frequencies that are written at the axis."""

_LEFT_MM, _RIGHT_MM, _TOP_MM, _BOTTOM_MM = 9.0, 1.0, 5.5, 5.5
_LEVEL_STEP_DB = 12
_FEWEST_DB = 24
_TODAY_DASH_MM = (1.6, 1.2)
_DOTS_ACROSS = 15


class Axes:
    """Where frequencies and levels lie on the drawing of a curve."""

    def __init__(self, *, width_mm, height_mm, from_hz, to_hz, from_db, to_db):
        self.width_mm, self.height_mm = width_mm, height_mm
        self.from_hz, self.to_hz, self.from_db, self.to_db = from_hz, to_hz, from_db, to_db

    def x_mm(self, frequency_hz):
        share = math.log(frequency_hz / self.from_hz) / math.log(self.to_hz / self.from_hz)
        return _LEFT_MM + share * (self.width_mm - _LEFT_MM - _RIGHT_MM)

    def y_mm(self, level_db):
        share = (self.to_db - level_db) / (self.to_db - self.from_db)
        return _TOP_MM + share * (self.height_mm - _TOP_MM - _BOTTOM_MM)


def axes_for(levels_db, *, frequency_hz, width_mm, height_mm):
    """Return axes that hold curves: levels in steps of 12 dB, frequencies from the first to the last.

    Parameters
    ----------
    levels_db : sequence of sequences of float
        The curves. [dB]
    frequency_hz : sequence of float
        Of each of their values. [Hz]
    width_mm, height_mm : float
        Drawing. [mm]
    """
    values = [level for curve in levels_db for level in curve]
    top_db = math.ceil(max(values) / _LEVEL_STEP_DB) * _LEVEL_STEP_DB
    bottom_db = min(math.floor(min(values) / _LEVEL_STEP_DB) * _LEVEL_STEP_DB, top_db - _FEWEST_DB)
    return Axes(
        width_mm=width_mm,
        height_mm=height_mm,
        from_hz=frequency_hz[0],
        to_hz=frequency_hz[-1],
        from_db=bottom_db,
        to_db=top_db,
    )


def bass_curve(*, frequency_hz, main_db, today_db, low_limit_hz, names, width_mm, height_mm):
    """Return the bass at the chair as a drawing.

    Parameters
    ----------
    frequency_hz : sequence of float
        Of each value. [Hz]
    main_db : sequence of float
        Drawn as a thick line. [dB]
    today_db : sequence of float or None
        Drawn as a thin dashed line. [dB]
    low_limit_hz : float or None
        Below it the speaker plays nothing: shaded. [Hz]
    names : dict of str to str
        Texts: `main`, `today`, `hz`, `db`, `below`, `description`. [-]
    width_mm, height_mm : float
        Drawing. [mm]
    """
    curves = [main_db] if today_db is None else [main_db, today_db]
    axes = axes_for(curves, frequency_hz=frequency_hz, width_mm=width_mm, height_mm=height_mm)
    left, right, top, bottom = _LEFT_MM, width_mm - _RIGHT_MM, _TOP_MM, height_mm - _BOTTOM_MM
    shapes = []
    if low_limit_hz is not None and low_limit_hz > axes.from_hz:
        edge = axes.x_mm(min(low_limit_hz, axes.to_hz))
        shapes.append(Area(points=((left, top), (edge, top), (edge, bottom), (left, bottom)), grey_ratio=0.9))
        if estimated_width_mm(names["below"]) < edge - left - 2:
            shapes.append(Label(x_mm=left + 1, y_mm=bottom - 1.2, text=names["below"], anchor="start"))
    for tick_hz in TICKS_HZ:
        if axes.from_hz <= tick_hz <= axes.to_hz:
            x = axes.x_mm(tick_hz)
            shapes.append(Line(points=((x, top), (x, bottom)), width_mm=0.08))
            text, anchor = (f"{tick_hz} {names['hz']}", "end") if tick_hz == TICKS_HZ[-1] else (str(tick_hz), "middle")
            at = right if anchor == "end" else x
            shapes.append(Label(x_mm=at, y_mm=height_mm - 1.2, text=text, anchor=anchor))
    for level_db in range(axes.from_db, axes.to_db + 1, _LEVEL_STEP_DB):
        y = axes.y_mm(level_db)
        shapes.append(Line(points=((left, y), (right, y)), width_mm=0.08))
        shapes.append(Label(x_mm=left - 1, y_mm=y + 1.1, text=str(level_db).replace("-", "\u2212"), anchor="end"))
    shapes.append(Label(x_mm=left, y_mm=top - 1.6, text=names["db"], anchor="start"))
    shapes.append(Area(points=((left, top), (right, top), (right, bottom), (left, bottom)), width_mm=0.25))
    if today_db is not None:
        shapes.append(_curve(axes, frequency_hz, today_db, width_mm=0.3, dash_mm=_TODAY_DASH_MM))
    shapes.append(_curve(axes, frequency_hz, main_db, width_mm=0.6, dash_mm=None))
    shapes += _legend(names, right, both=today_db is not None)
    return Drawing(width_mm=width_mm, height_mm=height_mm, shapes=tuple(shapes), description=names["description"])


def _curve(axes, frequency_hz, level_db, *, width_mm, dash_mm):
    points = tuple((axes.x_mm(f), axes.y_mm(level)) for f, level in zip(frequency_hz, level_db, strict=True))
    return Line(points=points, width_mm=width_mm, dash_mm=dash_mm)


def _legend(names, right, *, both):
    """A sample of each line with its name, above the curves."""
    lines = [("today", 0.3, _TODAY_DASH_MM)] if both else []
    end = right
    for name, width_mm, dash_mm in (*lines, ("main", 0.6, None)):
        start = end - estimated_width_mm(names[name])
        yield Label(x_mm=start, y_mm=_TOP_MM - 1.6, text=names[name], anchor="start")
        sample = ((start - 10, _TOP_MM - 2.7), (start - 1.5, _TOP_MM - 2.7))
        yield Line(points=sample, width_mm=width_mm, dash_mm=dash_mm)
        end = start - 14


def loud_and_quiet(*, length_m, width_m, half_waves, standing, title, description, most_mm):
    """Return a small plan of one resonance: large dots where it is loud, none where it is not heard.

    Parameters
    ----------
    length_m, width_m : float
        Room. [m]
    half_waves : tuple of int, length 2
        Along its length and its width. [-]
    standing : Standing
        Marked on it: the speakers by bars, the chair by a ring. [-]
    title : str
        Written below. [-]
    description : str
        What it shows, in words. [-]
    most_mm : tuple of float, length 2
        Width and height. [mm]
    """
    room_most_mm = most_mm[0], most_mm[1] - 6.0
    mm_per_m = min(room_most_mm[0] / width_m, room_most_mm[1] / length_m)
    across, down = width_m * mm_per_m, length_m * mm_per_m
    left = (most_mm[0] - across) / 2
    step = max(across, down) / _DOTS_ACROSS
    columns, rows = max(round(across / step), 2), max(round(down / step), 2)
    shapes = []
    for row in range(rows):
        for column in range(columns):
            x_ratio, y_ratio = (row + 0.5) / rows, (column + 0.5) / columns
            loud = abs(math.cos(half_waves[0] * math.pi * x_ratio) * math.cos(half_waves[1] * math.pi * y_ratio))
            if loud > 0.1:
                shapes.append(
                    Disc(
                        x_mm=left + y_ratio * across,
                        y_mm=x_ratio * down + 0.4,
                        radius_mm=0.42 * step * loud,
                        grey_ratio=0.6,
                    )
                )
    walls = ((left, 0.4), (left + across, 0.4), (left + across, down + 0.4), (left, down + 0.4))
    shapes.append(Area(points=walls, width_mm=0.4))
    for x_m, y_m in standing.speakers_m:
        x, y = left + y_m * mm_per_m, x_m * mm_per_m + 0.4
        shapes.append(Line(points=((x - 1.6, y), (x + 1.6, y)), width_mm=0.9))
    x_m, y_m = standing.seats_m[0]
    shapes.append(Disc(x_mm=left + y_m * mm_per_m, y_mm=x_m * mm_per_m + 0.4, radius_mm=1.3, grey_ratio=1.0))
    shapes.append(Disc(x_mm=left + y_m * mm_per_m, y_mm=x_m * mm_per_m + 0.4, radius_mm=1.3, grey_ratio=None))
    shapes.append(Label(x_mm=most_mm[0] / 2, y_mm=down + 4.6, text=title))
    return Drawing(width_mm=most_mm[0], height_mm=down + 6.0, shapes=tuple(shapes), description=description)
