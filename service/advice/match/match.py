"""Which amplifier suits a speaker, or which speaker an amplifier: ranked, each with its reasons."""

import dataclasses

import numpy as np

from service.advice import policy
from service.advice.amplifier.gain import settled_source
from service.advice.answers.match import (
    ComparedSpeaker,
    GradeParts,
    MatchAnswer,
    MatchPart,
    RankedMatch,
)
from service.advice.assumptions import Assumptions, CopyOf, Default
from service.advice.findings import cautions
from service.advice.match.table import match_table
from service.advice.match.table_findings import best_pair, table_cautions, table_findings
from service.advice.pairing.grade import audibility_of, ranks
from service.advice.pairing.match_entry import pair_match
from service.advice.pairing.match_places import moved
from service.advice.pairing.match_speaker import speaker_at_seat
from service.advice.pairing.reasons import equal_finding, match_findings
from service.advice.pairing.uncertainty import standard_db
from service.advice.places.as_found import with_sides_mapped
from service.advice.whole_job.next_steps import questions
from service.domain.words import words
from service.physics.levels import CREST_OF_SINE_DB
from service.physics.loudspeaker.excursion import displacement_limited_level_db

_DISPLACEMENT_HZ = np.array([20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250], dtype=float)
_FULL_SPACE_SR = 4 * np.pi


def match(request):
    """Answer POST /v1/match.

    Parameters
    ----------
    request : MatchRequest
        As told. [-]

    Returns
    -------
    MatchAnswer

    Raises
    ------
    DomainError
        Facts that do not fit together, of whichever amplifier or speaker.
    """
    assume = Assumptions()
    request = with_sides_mapped(request, assume)
    if min(len(request.all_speakers), len(request.all_amplifiers)) > 1:
        return _table(request, assume)
    speakers = tuple((each.at, each) for each in request.all_speakers)
    compared = _Comparison(request, speakers, compared_amplifiers(request), assume)
    part = compared.part()
    return MatchAnswer(
        **{field.name: getattr(part, field.name) for field in dataclasses.fields(part)},
        findings=compared.findings(),
        cautions=compared.cautions(),
        assumptions=assume.listed(),
    )


def compared_amplifiers(request):
    """Return the amplifiers that a whole advice compares, each with its pointer: the list, else the only one."""
    return tuple((each.at, each) for each in request.all_amplifiers)


def match_part(request, assume):
    """Return the comparison of the amplifiers of a whole advice.

    Parameters
    ----------
    request : AdviceRequest
        With a speaker and an amplifier. [-]
    assume : Assumptions
        Receives what had to be assumed. [-]

    Returns
    -------
    MatchPart
    """
    return _Comparison(request, (("/speaker", request.speaker),), compared_amplifiers(request), assume).part()


def with_best_amplifier(request, assume):
    """Return the request with the first of its ranking as its amplifier, where only a list was told.

    Parameters
    ----------
    request : AdviceRequest
        [-]
    assume : Assumptions
        Receives which one it is. [-]
    """
    if request.amplifier is not None or not request.amplifiers or request.speaker is None:
        return request
    compared = _Comparison(request, (("/speaker", request.speaker),), compared_amplifiers(request), Assumptions())
    index = int(compared.pointers[0].rsplit("/", 1)[1])
    assume.add(None, {"amplifier": index}, why=words("assumptions.best_amplifier"), source="ours")
    chosen = compared.pairs[0].told
    assume.fill(request.pointer("amplifier"), CopyOf(chosen.at))
    return dataclasses.replace(request, amplifier=dataclasses.replace(chosen, at=request.pointer("amplifier")))


def _table(request, assume):
    """Several of both: all pairs as arrays, and the best of them with its reasons."""
    speakers, amplifiers = tuple((each.at, each) for each in request.all_speakers), compared_amplifiers(request)
    source, taste = _source_and_taste(request, assume)
    seats = _seats(request, speakers, assume)
    names = [_name("amplifier", told, index) for index, (_, told) in enumerate(amplifiers)]
    table = match_table(seats, amplifiers, names=names, source=source, taste=taste, assume=assume)
    speaker, amplifier = best = best_pair(table)
    alone = _Comparison(request, speakers[speaker : speaker + 1], amplifiers[amplifier : amplifier + 1], Assumptions())
    part = alone.part()
    called = {"name": names[amplifier], "amplifier": names[amplifier], "speaker": seats[speaker].name}
    return MatchAnswer(
        ranking=[dataclasses.replace(part.ranking[0], **called)],
        speakers=[_compared_speaker(seat) for seat in seats],
        table=table,
        sharpen=part.sharpen,
        findings=table_findings(table, best=best),
        cautions=table_cautions(table, seats=seats, amplifiers=amplifiers),
        assumptions=assume.listed(),
    )


def _source_and_taste(request, assume):
    usual = Default(value=policy.USUAL_TASTE, why=words("assumptions.taste"), source="ours")
    return settled_source(request.source, assume), assume.take("/taste", request.taste, default=usual)


def _seats(request, speakers, assume):
    return [
        speaker_at_seat(request, told, pointer=pointer, name=_name("speaker", told, index), assume=assume)
        for index, (pointer, told) in enumerate(speakers)
    ]


class _Comparison:
    """Every speaker with every amplifier, computed once and put in order."""

    def __init__(self, request, speakers, amplifiers, assume):
        self.amplifiers_are_ranked = len(speakers) == 1
        source, taste = _source_and_taste(request, assume)
        self.seats = _seats(request, speakers, assume)
        pairs = [
            (
                pointer,
                pair_match(
                    seat,
                    told,
                    pointer=pointer,
                    name=_name("amplifier", told, index),
                    source=source,
                    taste=taste,
                    assume=assume,
                ),
            )
            for seat in self.seats
            for index, (pointer, told) in enumerate(amplifiers)
        ]
        order, self.ranks = ranks(
            [int(pair.graded.overall) for _, pair in pairs],
            [pair.headroom_db for _, pair in pairs],
            [self._differs_db(pair) for _, pair in pairs],
        )
        self.pointers = [pairs[index][0] for index in order]
        self.pairs = [pairs[index][1] for index in order]

    def _differs_db(self, pair):
        """Standard uncertainty of what differs between the entries; of speakers their sensitivity does, too."""
        if self.amplifiers_are_ranked:
            return pair.differs_standard_db
        of_speaker = [part for part in pair.seat.parts if part.about in ("sensitivity", "sensitivity_basis")]
        return float(np.hypot(pair.differs_standard_db, standard_db(of_speaker)))

    def part(self):
        return MatchPart(
            ranking=[self._entry(place) for place in range(len(self.pairs))],
            speakers=[_compared_speaker(seat) for seat in self.seats],
            table=None,
            sharpen=self._sharpen(),
        )

    def findings(self):
        """What the top of the ranking says; each entry has its own."""
        sharing = self._sharing(self.ranks[0])
        return [equal_finding([self._ranked_name(pair) for pair in sharing])] if len(sharing) > 1 else []

    def cautions(self):
        found = {}
        for pair in self.pairs:
            asked = dataclasses.replace(pair.seat.request, amplifier=pair.told)
            peak_db = pair.seat.in_phase_1w_db + pair.peak_db - pair.seat.peak_1w_db + CREST_OF_SINE_DB
            average_dba = pair.basis.programme.average_at_target_dba
            for each in cautions.for_level(asked, pair.basis, average_dba=average_dba, peak_pressure_db=peak_db):
                found.setdefault(each.code, each)
        last = found.pop("calculation")
        return [*found.values(), last]

    def _sharing(self, rank):
        return [pair for pair, other in zip(self.pairs, self.ranks, strict=True) if other == rank]

    def _ranked_name(self, pair):
        return pair.name if self.amplifiers_are_ranked else pair.seat.name

    def _sharpen(self):
        """The one fact that would narrow the uncertainty of the first entry most, at its own place in the request."""
        first = self.pairs[0]
        asked = questions(first.parts, turned_round=None)
        if not asked:
            return None
        places = {"/amplifier": self.pointers[0], **first.seat.places}
        return dataclasses.replace(asked[0], pointers=[moved(pointer, places) for pointer in asked[0].pointers])

    def _entry(self, place):
        pair, rank = self.pairs[place], self.ranks[place]
        said = match_findings(pair)
        sharing = self._sharing(rank)
        if len(sharing) > 1:
            said.insert(1, equal_finding([self._ranked_name(each) for each in sharing]))
        return _ranked(pair, name=self._ranked_name(pair), rank=rank, findings=said)


def _name(what, told, index):
    if told.name is not None:
        return words("match.named", name=told.name)
    return words(f"match.{what}_without_name", number=index + 1)


def _ranked(pair, *, name, rank, findings):
    grades, graded, sound, gain = policy.GRADES, pair.graded, pair.on_speaker, pair.gain
    load, power = pair.basis.load, pair.power
    lowered_by = []
    if sound.level_swing_db is not None and sound.level_swing_db > policy.SWING_LIMIT_DB[pair.taste]:
        lowered_by.append("level_swing")
    if gain.volume_below_full_db < 0:
        lowered_by.append("gain_fit")
    peaks_at_hz = None
    if sound.output_impedance_ohm:
        peaks_at_hz = load.swing_peaks_at_hz(sound.output_impedance_ohm)
    return RankedMatch(
        name=name,
        speaker=pair.seat.name,
        amplifier=pair.name,
        rank=rank,
        grade=grades[int(graded.overall)],
        grade_parts=GradeParts(
            power=grades[int(graded.power)],
            load=grades[int(graded.load)],
            noise=None if pair.noise_margin_db is None else grades[int(graded.noise)],
            lowered_by=lowered_by,
        ),
        headroom_db=pair.headroom_db,
        headroom_uncertainty_db=pair.uncertainty_db,
        clean_peak_chance_pct=pair.chance_pct,
        average_power_w=pair.average_power_w,
        power_into_rated_w=float(power.into_w(load.rated_ohm)),
        power_into_minimum_w=pair.lowest_w,
        power_rule=power.how,
        rated_impedance_ohm=load.rated_ohm,
        lowest_impedance_ohm=load.lowest_ohm,
        peak_current_a=pair.peak_current_a,
        load_loss_db=pair.load_loss_db,
        cable_loss_db=pair.cable_loss_db,
        output_impedance_ohm=sound.output_impedance_ohm,
        level_swing_db=sound.level_swing_db,
        swing_peaks_at_hz=peaks_at_hz,
        effective_damping_factor=sound.effective_damping_factor,
        noise_at_1m_dba=sound.noise_at_1m_dba,
        noise_at_seat_dba=sound.noise_at_seat_dba,
        hum_at_1m_db=sound.hum_at_1m_db,
        hum_at_seat_db=sound.hum_at_seat_db,
        noise_margin_db=pair.noise_margin_db,
        audibility=audibility_of(pair.noise_margin_db),
        background_dba=sound.background_dba,
        dynamic_range_db=pair.dynamic_range_db,
        gain_db=gain.gain_db,
        input_sensitivity_v=gain.input_sensitivity_v,
        volume_below_full_db=gain.volume_below_full_db,
        drive_margin_db=gain.drive_margin_db,
        full_output_reached=gain.drive_margin_db >= 0,
        input_overload_margin_db=gain.overload_margin_db,
        best_tap_ohm=power.best_tap_ohm,
        tap_in_use_ohm=pair.told.tap_in_use_ohm,
        taps=pair.taps,
        voice_coil_loss_db=pair.voice_coil_loss_db,
        bass_section=pair.bass_section,
        limits=pair.limits,
        findings=findings,
    )


def _compared_speaker(seat):
    load, driver = seat.basis.load, seat.told.driver
    if driver is None and seat.told.bass_section is not None:
        driver = seat.told.bass_section.driver
    possible_db = None
    if driver is not None:
        possible_db = displacement_limited_level_db(
            _DISPLACEMENT_HZ,
            driver_area_m2=driver.area_m2,
            peak_excursion_m=driver.peak_excursion_m,
            distance_m=1.0,
            air_density_kg_m3=seat.basis.air.density_kg_m3,
            solid_angle_sr=_FULL_SPACE_SR,
        )
    return ComparedSpeaker(
        name=seat.name,
        rated_impedance_ohm=load.rated_ohm,
        lowest_impedance_ohm=load.lowest_ohm,
        lowest_impedance_hz=load.lowest_hz,
        highest_impedance_ohm=load.highest_ohm,
        highest_impedance_hz=load.highest_hz,
        steepest_phase_deg=load.steepest_phase_deg,
        steepest_phase_hz=load.steepest_phase_hz,
        impedance_is=load.curve_is,
        displacement_hz=None if driver is None else _DISPLACEMENT_HZ,
        displacement_level_at_1m_db=possible_db,
    )
