"""The drawings of one answer: its numbers and words handed to the plan and the curves."""

from dataclasses import dataclass

from service.advice.language.localise import number, text_of
from service.domain.words import words
from service.web.sheet.curves import bass_curve, loud_and_quiet
from service.web.sheet.plan import Standing, plan, scale_of

_CABINET_M = (0.35, 0.4)
"""Width and depth drawn where the request has none; they serve the drawing only."""

_MODE_MM = (58.0, 44.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Placed:
    """A placement of the answer that is drawn, with its name."""

    answer: object
    name: str


class Figures:
    """The drawings of an answer, in a language."""

    def __init__(self, answer, details, language, *, width_mm):
        self.answer, self.details, self.language, self.width_mm = answer, details, language, width_mm
        self.main, self.today = self._placed()
        room = (answer.inputs or {}).get("room", {})
        self.sides_m = (room.get("length_m"), room.get("width_m"))

    def say(self, key, **values):
        return text_of(words(f"sheet.{key}", **values), self.language)

    def _placed(self):
        """What is drawn filled and what dashed: the best place and today's, or today's alone where it is as good."""
        placement = self.answer.placement
        if placement is None:
            return None, None
        stay = any(finding.code == "leave_it" for finding in self.answer.findings)
        today = placement.as_found and _Placed(answer=placement.as_found, name=self.say("today"))
        if today and (stay or not placement.placements):
            return today, None
        if not placement.placements:
            return None, None
        return _Placed(answer=placement.placements[0], name=self.say("recommended")), today

    @property
    def standing(self):
        """Where things stand on the plan, or None where there is no plan."""
        return self._seen(self.main.answer) if self.main is not None and None not in self.sides_m else None

    def _seen(self, placed):
        """A placement as the plan shows it: the wall behind the speakers of the main one is at the top."""
        return turned_standing(placed, sides_m=self.sides_m, front_wall=self.main.answer.front_wall)

    def written(self, mark):
        """A distance of the tape-measure list in the units of the sheet."""
        if self.details.units == "imperial":
            return mark.feet_and_inches
        return self.say("cm", cm=mark.cm)

    def tape_rows(self):
        """The list of distances: number, what is measured, distance."""
        return tuple(
            (
                str(mark.mark),
                text_of(words("report.from_to", start=mark.measure_from, end=mark.measure_to), self.language),
                self.written(mark),
            )
            for mark in self.main.answer.tape_measure
        )

    def plan_with_remarks(self, most_mm):
        """The plan of the room, to the largest scale that fits, and what stands below the list of distances."""
        return self._plan(most_mm), self._plan_remarks(most_mm)

    def _plan_sides_m(self):
        return turned_sides_m(self.sides_m, self.main.answer.front_wall)

    def _plan(self, most_mm):
        length_m, width_m = self._plan_sides_m()
        speaker = (self.answer.inputs or {}).get("speaker", {})
        cabinet_m = (
            speaker.get("cabinet_width_m", _CABINET_M[0]),
            speaker.get("cabinet_depth_m", _CABINET_M[1]),
        )
        marks = self.main.answer.tape_measure
        description = self.say(
            "plan.description",
            length_m=float(length_m),
            width_m=float(width_m),
            placed=self.main.name,
            distances="; ".join(f"{what} {far}" for _, what, far in self.tape_rows()),
        )
        names = {"front": self.say("plan.front"), "back": self.say("plan.back"), "description": description}
        return plan(
            length_m=length_m,
            width_m=width_m,
            main=self.standing,
            today=self.today and self._seen(self.today.answer),
            cabinet_m=cabinet_m,
            distances=[self.written(mark) for mark in marks],
            names=names,
            most_mm=most_mm,
        )

    def _plan_remarks(self, most_mm):
        """The scale, what dashed means, how far things may be off."""
        length_m, width_m = self._plan_sides_m()
        scale = scale_of(length_m=length_m, width_m=width_m, most_mm=most_mm)
        remarks = [self.say("plan.scale", scale=scale)]
        if self.today is not None:
            remarks.append(self.say("plan.dashed"))
        tolerance = self.main.answer.tolerance_cm
        if tolerance is not None:
            key = "report.tolerance" if tolerance.spacing is not None else "report.tolerance.one"
            values = {"front_cm": tolerance.front_wall_distance, "seat_cm": tolerance.seat}
            if tolerance.spacing is not None:
                values["spacing_cm"] = tolerance.spacing
            remarks.append(text_of(words(key, **values), self.language))
        remarks.append(self.say("plan.marks"))
        return tuple(remarks)

    def curve(self, *, height_mm):
        """The bass at the chair, at the recommended place and today's, or where things are taken to stand."""
        main, today = self._curves()
        if main is None:
            return None
        frequency_hz = [float(f) for f in main.frequency_hz]
        main_db = [float(level) for level in main.gain_db]
        return bass_curve(
            frequency_hz=frequency_hz,
            main_db=main_db,
            today_db=today and [float(level) for level in today.gain_db],
            low_limit_hz=(self.answer.inputs or {}).get("speaker", {}).get("low_limit_hz"),
            names={
                "main": self.main.name if self.main else self.say("as_taken"),
                "today": self.say("today"),
                "hz": "Hz",
                "db": "dB",
                "below": self.say("curve.below"),
                "description": self._curve_description(frequency_hz, main_db),
            },
            width_mm=self.width_mm,
            height_mm=height_mm,
        )

    def _curves(self):
        """Curve drawn thick and curve drawn dashed."""
        if self.main is not None:
            return self.main.answer.curve, self.today and self.today.answer.curve
        return self.answer.response, None

    def _curve_description(self, frequency_hz, level_db):
        low, high = min(level_db), max(level_db)
        return self.say(
            "curve.description",
            placed=self.main.name if self.main else self.say("as_taken"),
            low_db=low,
            low_hz=frequency_hz[level_db.index(low)],
            high_db=high,
            high_hz=frequency_hz[level_db.index(high)],
        )

    def curve_caption(self):
        """What the curve shows and how far to trust it."""
        main, _ = self._curves()
        caption = [self.say("curve.caption")]
        if self.main is not None:
            parts = self.main.answer.parts
            depth_db = number(-parts.deepest_hole_db, 0, self.language)
            gap = self.say("curve.gap", placed=self.main.name, depth_db=f"{depth_db} dB", at_hz=parts.deepest_hole_hz)
            caption.append(gap[:1].upper() + gap[1:])
        if main.confidence == "rough":
            caption.append(self.say("curve.rough"))
        return " ".join(caption)

    def mode_plans(self):
        """The resonances that this chair hears most, each as a small plan."""
        found = [finding for finding in self.answer.findings if finding.code == "modes_at_this_chair"]
        standing = self._standing_of_modes()
        if self.answer.modes is None or not found or standing is None:
            return ()
        wanted = {round(f, 6) for f in found[0].values["frequencies_hz"]}
        modes = [mode for mode in self.answer.modes.modes if round(mode.frequency_hz, 6) in wanted][:3]
        length_m, width_m = self.sides_m
        return tuple(
            loud_and_quiet(
                length_m=length_m,
                width_m=width_m,
                half_waves=mode.orders[:2],
                standing=standing,
                title=self._mode_title(mode),
                description=self._mode_description(mode),
                most_mm=_MODE_MM,
            )
            for mode in modes
        )

    def _standing_of_modes(self):
        """Modes are judged where things stand today, or are taken to stand: what is drawn on their plans."""
        if None in self.sides_m:
            return None
        positions = (self.answer.inputs or {}).get("positions")
        if self.answer.placement is not None and self.answer.placement.as_found:
            today = self.answer.placement.as_found
            return turned_standing(today, sides_m=self.sides_m, front_wall="front_wall")
        if not positions:
            return None
        speakers = sorted(positions["speakers"], key=lambda place: place["y_m"])
        return Standing(
            speakers_m=tuple((place["x_m"], place["y_m"]) for place in speakers),
            facing_deg=tuple(place.get("facing_deg", 0.0) for place in speakers),
            seats_m=tuple((place["x_m"], place["y_m"]) for place in positions["seats"]),
        )

    def _mode_title(self, mode):
        loud = "mode.loud" if mode.seat_coupling_ratio >= 0.5 else "mode.quiet"
        return self.say("mode.title", frequency_hz=mode.frequency_hz, here=words(f"sheet.{loud}"))

    def _mode_description(self, mode):
        quiet = [
            self.say(key, places=[self.say("mode.place", distance_m=distance_m) for distance_m in places])
            for key, places in (
                ("mode.quiet_length", mode.quiet_length_m),
                ("mode.quiet_width", mode.quiet_width_m),
                ("mode.quiet_height", mode.quiet_height_m),
            )
            if places
        ]
        return f"{self._mode_title(mode)}. {' '.join(quiet)}"


_TURNS = {
    "front_wall": lambda x_m, y_m, length_m, width_m: (x_m, y_m),
    "back_wall": lambda x_m, y_m, length_m, width_m: (length_m - x_m, width_m - y_m),
    "left_wall": lambda x_m, y_m, length_m, width_m: (y_m, length_m - x_m),
    "right_wall": lambda x_m, y_m, length_m, width_m: (width_m - y_m, x_m),
}
"""Wall of the room behind the speakers -> a place of the room as seen by somebody who faces that wall."""

_TURNED_DEG = {"front_wall": 0.0, "back_wall": 180.0, "left_wall": 90.0, "right_wall": -90.0}


def turned_sides_m(sides_m, front_wall):
    """Return the room's length and width as seen by somebody who faces a wall of it. [m]

    Parameters
    ----------
    sides_m : tuple of float, length 2
        Length and width in the room's own axes. [m]
    front_wall : str
        The wall. [-]
    """
    return sides_m if front_wall in ("front_wall", "back_wall") else sides_m[::-1]


def turned_standing(placed, *, sides_m, front_wall):
    """Return a placement of the answer as seen by somebody who faces a wall of the room.

    Parameters
    ----------
    placed : PlacedAnswer
        In the room's own axes. [-]
    sides_m : tuple of float, length 2
        Length and width in the room's own axes. [m]
    front_wall : str
        The wall. [-]
    """

    def seen(places):
        return [_TURNS[front_wall](place.x_m, place.y_m, *sides_m) for place in places]

    facing_deg = [place.facing_deg - _TURNED_DEG[front_wall] for place in placed.speakers]
    speakers = sorted(zip(seen(placed.speakers), facing_deg, strict=True), key=lambda speaker: speaker[0][1])
    return Standing(
        speakers_m=tuple(place for place, _ in speakers),
        facing_deg=tuple(facing for _, facing in speakers),
        seats_m=tuple(seen(placed.seats)),
        bass_m=tuple(sorted(seen(placed.bass or ()), key=lambda place: place[1])),
    )
