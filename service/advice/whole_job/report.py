"""The advice as text of 80 columns, for the command line."""

import textwrap

from service.advice.language.localise import text_of, watts
from service.domain.words import words

_WIDTH = 80


def report(answer, language):
    """Return the advice as readable text.

    Parameters
    ----------
    answer : AdviceAnswer
        Spoken in the same language; parts that were not asked for are left out. [-]
    language : str
        One of `words.LANGUAGES`. [-]
    """
    return _Report(answer, language).text()


class _Report:
    """Blocks of text first, tables below; a part of the answer that is null has no block."""

    def __init__(self, answer, language):
        self.answer, self.language = answer, language

    def say(self, key, **values):
        """Return a text of the report."""
        return text_of(words(f"report.{key}", **values), self.language)

    def text(self):
        answer = self.answer
        blocks = [
            self._verdict(),
            self._headroom(),
            [finding.text for finding in answer.findings],
            self._titled("ranking", self._ranking()),
            self._titled("next_steps", [self._step(step) for step in answer.next_steps or ()]),
            self._titled("ask_next", [f"{asked.text} {asked.where}" for asked in answer.ask_next or ()]),
            self._titled("cautions", [caution.text for caution in answer.cautions]),
        ]
        text = "\n\n".join("\n".join(_wrapped(block)) for block in blocks if block)
        tables = [self._levels(), self._bands(), self._places(), self._modes(), self._assumed()]
        return "\n\n".join([text, *("\n".join(table) for table in tables if table)])

    def _titled(self, key, lines):
        return [f"{self.say(key)}:", *(f"- {line}" for line in lines)] if lines else []

    def _verdict(self):
        verdict = self.answer.verdict
        if verdict is None:
            return []
        key = "certainty" if verdict.grade is None else "grade"
        return [verdict.headline + ".", self.say(key, grade=verdict.grade, confidence=verdict.confidence)]

    def _headroom(self):
        headroom = self.answer.headroom
        if headroom is None:
            return []
        chance_pct = headroom.clean_peak_chance_pct
        key = "nearly_every" if chance_pct >= 95 else "nearly_none" if chance_pct <= 5 else "in_ten"
        lines = [
            self.say(
                "headroom",
                headroom_db=headroom.headroom_db,
                uncertainty_db=headroom.uncertainty_db,
                chance=words(f"report.chance.{key}", of_ten=chance_pct / 10),
            )
        ]
        there = headroom.at_recommended_place
        if there is not None:
            lines.append(self.say("at_recommended_place", headroom_db=there.headroom_db))
        return lines

    def _ranking(self):
        """Each of several that were compared; a single one needs no table."""
        ranking = [] if self.answer.match is None else self.answer.match.ranking
        if len(ranking) < 2:
            return []
        return [
            self.say("ranked", rank=each.rank, name=each.name, grade=each.grade, headroom_db=each.headroom_db)
            for each in ranking
        ]

    def _step(self, step):
        return f"{self.say('cost', cost=step.cost)}: {step.text}"

    def _levels(self):
        level = self.answer.level
        if level is None:
            return []
        rows = [
            (self.say("direct"), self.say("db", level_db=level.direct_single_db)),
            (self.say("steady_peak"), self.say("db", level_db=level.peak_spl_db)),
            (self.say("short_peak"), self.say("db", level_db=level.short_peak_db)),
            (self.say("needed", programme=level.programme), self.say("db", level_db=level.peak_target_db)),
            (self.say("average_level"), self.say("dba", level_db=level.average_at_target_dba)),
            (self.say("average_power"), watts(level.average_power_w, self.language)),
            *(
                (self.say("limit", what=limit.text), self.say("db", level_db=limit.peak_spl_db))
                for limit in level.limits
            ),
        ]
        return [self.say("levels"), *(line for name, value in rows for line in _row(name, value))]

    def _bands(self):
        if self.answer.level is None:
            return []
        bands = self.answer.level.bands
        lines = [f"{self.say('bands'):<25}" + "".join(f"{octave:>6}" for octave in bands.octaves_hz)]
        for key, column in (
            ("bands.direct", bands.direct_db),
            ("bands.reverberant", bands.reverberant_db),
            ("bands.level", bands.level_db),
        ):
            lines.append(f"  {self.say(key):<23}" + "".join(f"{value:>6.0f}" for value in column))
        if self.answer.room is not None:
            times = (f"{self.say('seconds', time_s=value):>6}" for value in self.answer.room.used_s)
            lines.append(f"  {self.say('bands.time'):<23}" + "".join(times))
        return lines

    def _places(self):
        placement = self.answer.placement
        if placement is None or not placement.placements:
            return []
        best = placement.placements[0]
        lines = [self.say("places")]
        for mark in best.tape_measure:
            way = self.say("from_to", start=mark.measure_from, end=mark.measure_to)
            *before, last = textwrap.wrap(way, 51, subsequent_indent="  ")
            number = f"  {mark.mark:>2}  "
            for line in before:
                lines.append(number + line)
                number = " " * 6
            lines.append(f"{number}{last:<52}{mark.cm:>4.0f} cm  {mark.feet_and_inches:>13}")
        tolerance = best.tolerance_cm
        key = "tolerance" if tolerance.spacing is not None else "tolerance.one"
        lines += textwrap.wrap(
            self.say(
                key,
                front_cm=tolerance.front_wall_distance,
                spacing_cm=tolerance.spacing,
                seat_cm=tolerance.seat,
            ),
            _WIDTH,
            initial_indent="  ",
            subsequent_indent="  ",
        )
        return lines

    def _modes(self):
        if self.answer.modes is None:
            return []
        modes = [mode for mode in self.answer.modes.modes if mode.kind == "axial" and mode.decay_time_s is not None][:6]
        lines = [
            "  " + self.say("mode", frequency_hz=mode.frequency_hz, decay_time_s=mode.decay_time_s) for mode in modes
        ]
        return [self.say("modes"), *lines] if modes else []

    def _assumed(self):
        lines = [self.say("assumed")]
        for assumption in self.answer.assumptions:
            name = _assumed_name(assumption)
            said = f"{name}: {assumption.why}" if name else str(assumption.why)
            lines += textwrap.wrap(said, _WIDTH, initial_indent="  - ", subsequent_indent="    ")
        return lines


def _wrapped(lines):
    for line in lines:
        yield from textwrap.wrap(line, _WIDTH, subsequent_indent="  " if line.startswith("- ") else "")


def _row(name, value):
    """A name and its value; a long name takes several lines, the value stands on the last."""
    *before, last = textwrap.wrap(name, 58, subsequent_indent="  ")
    return [*(f"  {line}" for line in before), f"  {last:<60}{value:>12}"]


def _assumed_name(assumption):
    """The field and the value it was given, tables left out."""
    name, value = (assumption.pointer or "").strip("/"), assumption.value
    if isinstance(value, dict) and len(value) == 1:
        ((name, value),) = value.items()
    if isinstance(value, float):
        value = f"{value:.4g}"
    return name if isinstance(value, dict) else f"{name} {value}".strip()
