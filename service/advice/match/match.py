"""Which amplifier suits a speaker, or which speaker an amplifier: a view of a pairing, ranked, with the reasons."""

import numpy as np

from service.advice import policy
from service.advice.answers.common import Caution, Finding, Question
from service.advice.answers.match import (
    ComparedSpeaker,
    GradeParts,
    MatchAnswer,
    MatchPart,
    RankedMatch,
)
from service.advice.assumptions import Assumptions
from service.advice.match.bass_section import bass_section_match
from service.advice.match.table import best_pair, match_table, table_cautions, table_findings
from service.advice.pairing.grade import audibility_of
from service.advice.pairing.pair import Pair
from service.advice.pairing.pair_findings import pair_findings
from service.advice.pairing.pairing import Pairing, paired
from service.advice.pairing.quantities import known
from service.advice.pairing.questions import questions
from service.advice.pairing.reasons import each_caution_once, equal_finding, pair_cautions
from service.advice.pairing.seat import SpeakerAtSeat
from service.advice.places.as_found import with_sides_mapped
from service.advice.speaker.travel import travel_level_at_1m_db
from service.domain.requests import MatchRequest
from service.domain.words import Words
from service.physics.frozen import frozen

_DISPLACEMENT_HZ = frozen(np.array([20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250], dtype=float))


def match(request: MatchRequest) -> MatchAnswer:
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
    pairing = paired(with_sides_mapped(request, assume), assume, comparing=assume, one_leads=False)
    if min(len(pairing.seats), len(pairing.amplifiers)) > 1:
        return _table(pairing, assume)
    ranking = _Ranking(pairing, assume)
    part = ranking.part()
    return MatchAnswer(
        **vars(part), findings=ranking.findings(), cautions=ranking.cautions(), assumptions=assume.listed()
    )


def match_part(pairing: Pairing, assume: Assumptions) -> MatchPart:
    """Return the comparison of the amplifiers of a whole advice.

    Parameters
    ----------
    pairing : Pairing
        [-]
    assume : Assumptions
        Receives what had to be assumed. [-]
    """
    return _Ranking(pairing, assume).part()


def _table(pairing, assume):
    """Several of both: all pairs as arrays, and the best of them with its reasons."""
    best = best_pair(pairing)
    pair = pairing.pair(*best)
    entry = _entry(pair, Assumptions(), name=pair.amplifier.name, rank=1, equal=[])
    return MatchAnswer(
        ranking=[entry],
        speakers=[_compared_speaker(seat) for seat in pairing.seats],
        table=match_table(pairing),
        sharpen=_sharpen(pair),
        findings=table_findings(pairing, best),
        cautions=table_cautions(pairing),
        assumptions=assume.listed(),
    )


class _Ranking:
    """The pairs of one speaker with several amplifiers, or of one amplifier with several speakers, best first."""

    def __init__(self, pairing, assume):
        self.pairing, self.assume = pairing, assume
        self.amplifiers_are_ranked = len(pairing.seats) == 1
        if self.amplifiers_are_ranked:
            order, self.ranks = pairing.ranking_of_amplifiers(0)
            places = [(0, amplifier) for amplifier in order]
        else:
            order, self.ranks = pairing.ranking_of_speakers()
            places = [(speaker, pairing.compared[0]) for speaker in order]
        self.pairs = [pairing.pair(*place) for place in places]

    def part(self) -> MatchPart:
        """Return the ranking."""
        return MatchPart(
            ranking=[self._ranked(place) for place in range(len(self.pairs))],
            speakers=[_compared_speaker(seat) for seat in self.pairing.seats],
            table=None,
            sharpen=_sharpen(self.pairs[0]),
        )

    def findings(self) -> list[Finding]:
        """Return what the top of the ranking says; each entry has its own."""
        return self._equal(self.ranks[0])

    def cautions(self) -> list[Caution]:
        """Return the cautions that any of the pairs calls for."""
        return each_caution_once(pair_cautions(pair) for pair in self.pairs)

    def _equal(self, rank):
        """The finding that several entries share a rank, if they do."""
        sharing = [self._name(pair) for pair, other in zip(self.pairs, self.ranks, strict=True) if other == rank]
        return [equal_finding(sharing)] if len(sharing) > 1 else []

    def _name(self, pair):
        return pair.amplifier.name if self.amplifiers_are_ranked else pair.seat.name

    def _ranked(self, place):
        pair, rank = self.pairs[place], self.ranks[place]
        return _entry(pair, self.assume, name=self._name(pair), rank=rank, equal=self._equal(rank))


def _sharpen(pair: Pair) -> Question | None:
    """The one fact that would narrow the uncertainty of a pair most."""
    asked = questions(pair.parts, None)
    return asked[0] if asked else None


def _entry(pair: Pair, assume: Assumptions, *, name: Words, rank: int, equal: list[Finding]) -> RankedMatch:
    """One pair with everything that is known of it."""
    numbers, load, told = pair.numbers, pair.load, pair.amplifier.told
    bass_section, bass_findings = bass_section_match(pair, assume)
    first, *others = pair_findings(pair)
    output_ohm, noise_margin_db = known(numbers.output_impedance_ohm), known(numbers.noise_margin_db)
    return RankedMatch(
        name=name,
        speaker=pair.seat.name,
        amplifier=pair.amplifier.name,
        rank=rank,
        grade=policy.GRADES[pair.grade],
        grade_parts=GradeParts(
            power=policy.GRADES[pair.power_grade],
            load=policy.GRADES[pair.load_grade],
            noise=None if noise_margin_db is None else policy.GRADES[pair.noise_grade],
            lowered_by=pair.lowered_by,
        ),
        headroom_db=numbers.headroom_db,
        headroom_uncertainty_db=numbers.headroom_standard_db,
        clean_peak_chance_pct=numbers.clean_peak_chance_pct,
        average_power_w=numbers.average_power_w,
        power_into_rated_w=numbers.power_into_rated_w,
        power_into_minimum_w=numbers.power_into_minimum_w,
        power_rule=pair.power.how,
        rated_impedance_ohm=load.rated_ohm,
        lowest_impedance_ohm=load.lowest_ohm,
        peak_current_a=numbers.peak_current_a,
        load_loss_db=numbers.load_loss_db,
        cable_loss_db=pair.cable_loss_db,
        output_impedance_ohm=output_ohm,
        level_swing_db=known(numbers.level_swing_db),
        swing_peaks_at_hz=load.swing_peaks_at_hz(output_ohm) if output_ohm else None,
        effective_damping_factor=known(numbers.effective_damping_factor),
        noise_at_1m_dba=known(numbers.noise_at_1m_dba),
        noise_at_seat_dba=known(numbers.noise_at_seat_dba),
        hum_at_1m_db=known(numbers.hum_at_1m_db),
        hum_at_seat_db=known(numbers.hum_at_seat_db),
        noise_margin_db=noise_margin_db,
        audibility=audibility_of(noise_margin_db),
        background_dba=pair.amplifier.background_dba,
        dynamic_range_db=pair.dynamic_range_db,
        gain_db=numbers.gain_db,
        input_sensitivity_v=numbers.input_sensitivity_v,
        volume_below_full_db=numbers.volume_below_full_db,
        drive_margin_db=numbers.drive_margin_db,
        full_output_reached=numbers.drive_margin_db >= 0,
        input_overload_margin_db=known(numbers.input_overload_margin_db),
        best_tap_ohm=known(numbers.best_tap_ohm),
        tap_in_use_ohm=told.tap_in_use_ohm,
        taps=pair.taps,
        voice_coil_loss_db=pair.voice_coil_loss_db,
        bass_section=bass_section,
        limits=pair.limits,
        findings=[first, *equal, *others, *bass_findings],
    )


def _compared_speaker(seat: SpeakerAtSeat) -> ComparedSpeaker:
    load, told = seat.load, seat.told
    driver = told.driver
    if driver is None and told.bass_section is not None:
        driver = told.bass_section.driver
    possible_db = None
    if driver is not None:
        possible_db = travel_level_at_1m_db(driver, _DISPLACEMENT_HZ, air_density_kg_m3=seat.scene.air.density_kg_m3)
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
