"""Speakers x amplifiers in a room at a listening level: the one judgement, which level, comparison and advice read.

Room, places and music are made into models once for a request, each speaker once, each amplifier once; what is between
them is computed as arrays, and graded there.
"""

import dataclasses
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from service.advice.amplifier.facts import AmplifierFacts, amplifier_facts, usual_of
from service.advice.amplifier.gain import gain_db_of, source_of
from service.advice.amplifier.power import amplifier_power
from service.advice.assumptions import DEFAULTS, Assumption, Assumptions, CopyOf
from service.advice.pairing.grade import Graded, graded, ranks
from service.advice.pairing.inverse import Inverse, amplifier_looked_for, one_watt, speaker_looked_for
from service.advice.pairing.pair import Pair
from service.advice.pairing.quantities import Quantities, of_pair, quantities
from service.advice.pairing.scene import Scene, room_and_air, scene_of
from service.advice.pairing.seat import SpeakerAtSeat, speaker_at_seat
from service.advice.pairing.uncertainty import standard_db
from service.advice.speaker.cached import cached_speaker_model
from service.advice.speaker.model import LoudspeakerModel
from service.domain.equipment import Amplifier, Loudspeaker
from service.domain.load import SignalSource
from service.domain.requests import PairingRequest
from service.domain.words import Words, words
from service.physics.types import FloatArray


@dataclass(frozen=True, kw_only=True, eq=False)
class Pairing:
    """Every speaker of a request with every amplifier.

    Attributes
    ----------
    request : PairingRequest
        As told. [-]
    scene : Scene
        [-]
    seats : list of SpeakerAtSeat
        The speakers at the chair. [-]
    amplifiers : list of AmplifierFacts
        [-]
    numbers : Quantities
        Arrays, speakers by amplifiers. [-]
    grades : Graded
        Of the same shape. [-]
    taste : str
        How much an amplifier may follow the impedance of a speaker. [-]
    inverse : Inverse or None
        What was looked for and is filled in. [-]
    compared : list of int
        Places of the amplifiers that are compared. [-]
    lead : int
        Place of the amplifier that stands for the level. [-]
    """

    request: PairingRequest
    scene: Scene
    seats: list[SpeakerAtSeat]
    amplifiers: list[AmplifierFacts]
    numbers: Quantities[FloatArray]
    grades: Graded
    taste: str
    inverse: Inverse | None
    compared: list[int]
    lead: int

    @property
    def leading(self) -> Pair:
        """The first speaker with the amplifier that stands for the level."""
        return self.pair(0, self.lead)

    def pair(self, speaker: int, amplifier: int) -> Pair:
        """Return one speaker with one amplifier."""
        grades, place = self.grades, (speaker, amplifier)
        return Pair(
            seat=self.seats[speaker],
            amplifier=self.amplifiers[amplifier],
            numbers=of_pair(self.numbers, speaker, amplifier),
            power_grade=int(grades.power[place]),
            load_grade=int(grades.load[place]),
            noise_grade=int(grades.noise[place]),
            grade=int(grades.overall[place]),
            taste=self.taste,
        )

    def ranking_of_amplifiers(self, speaker: int) -> tuple[list[int], list[int]]:
        """Return the places of the compared amplifiers on a speaker, best first, and the rank of each in that order."""
        places = self.compared
        order, found = ranks(
            self.grades.overall[speaker, places].tolist(),
            self.numbers.headroom_db[speaker, places].tolist(),
            self.numbers.differs_standard_db[speaker, places].tolist(),
        )
        return [places[index] for index in order], found

    def ranking_of_speakers(self) -> tuple[list[int], list[int]]:
        """Return the places of the speakers with the only amplifier, best first, and the rank of each in that order.

        Speakers differ by what the amplifier makes of each, and by their sensitivity.
        """
        place = self.compared[0]
        of_speaker_db = [
            standard_db(part for part in seat.parts if part.about in ("sensitivity", "sensitivity_basis"))
            for seat in self.seats
        ]
        differs_db = np.hypot(self.numbers.differs_standard_db[:, place], of_speaker_db)
        return ranks(
            self.grades.overall[:, place].tolist(),
            self.numbers.headroom_db[:, place].tolist(),
            differs_db.tolist(),
        )


def paired(
    request: PairingRequest,
    assume: Assumptions,
    *,
    comparing: Assumptions | None = None,
    one_leads: bool = True,
) -> Pairing:
    """Return every speaker of a request with every amplifier.

    Parameters
    ----------
    request : PairingRequest
        As told, its sides mapped. [-]
    assume : Assumptions
        Receives what had to be assumed of scene, speakers and the amplifier that leads. [-]
    comparing : Assumptions, optional
        Receives what a comparison takes: source, taste, and the facts of every amplifier. Without it nothing is asked
        about gain and taste. [-]
    one_leads : bool
        Whether one amplifier stands for the level: the one that is told, else the best of the list, else the one that
        is looked for. [-]

    Raises
    ------
    DomainError
        Facts that do not fit together, of whichever speaker or amplifier.
    """
    inverse = None
    if not request.all_speakers:
        request, inverse = speaker_looked_for(request, assume, headroom_db_of=_amplifier_headroom_db)
    return _Pairs(request, assume, comparing, one_leads).paired(inverse)


def _amplifier_headroom_db(request: PairingRequest) -> float:
    """What the amplifier alone leaves above the loudest peaks, of a request for one speaker and one amplifier. [dB]"""
    return paired(request, Assumptions()).leading.numbers.amplifier_headroom_db


@dataclass(frozen=True, kw_only=True, eq=False)
class _TakenAmplifier:
    """An amplifier with what had to be assumed of it: for a level, and besides for a comparison."""

    facts: AmplifierFacts
    gain_db: float | None
    for_level: list[Assumption]
    for_comparison: list[Assumption]


class _Pairs:
    """The pairing of one request on its way. What is assumed is listed at the end, behind what was looked for."""

    def __init__(
        self, request: PairingRequest, assume: Assumptions, comparing: Assumptions | None, one_leads: bool
    ) -> None:
        self.request, self.assume, self.comparing, self.one_leads = request, assume, comparing, one_leads
        self.taken = Assumptions()
        self.source: SignalSource | None = None
        self.taste: str = DEFAULTS["taste"].value
        if comparing is not None:
            self.source = source_of(request.source, comparing)
            self.taste = comparing.take(request.pointer("taste"), request.taste)

    def paired(self, inverse: Inverse | None) -> Pairing:
        """Return the pairing."""
        amplifiers = list(self._amplifiers())
        scene, seats = self._scene_and_seats(amplifiers)
        if not amplifiers:
            headroom_db = self._numbers(seats, [self._taken(one_watt(seats[0]), 0, seats)]).amplifier_headroom_db
            told, inverse = amplifier_looked_for(seats[0], self.assume, headroom_db=headroom_db.item())
            amplifiers = [told]
        found = [self._taken(told, index, seats) for index, told in enumerate(amplifiers)]
        numbers = self._numbers(seats, found)
        grades = graded(numbers, noise_was_told=[each.facts.noise_was_told for each in found], taste=self.taste)
        pairing = Pairing(
            request=self.request,
            scene=scene,
            seats=seats,
            amplifiers=[each.facts for each in found],
            numbers=numbers,
            grades=grades,
            taste=self.taste,
            inverse=inverse,
            compared=self._compared(found),
            lead=0,
        )
        return self._listed(pairing, found)

    def _amplifiers(self) -> Iterator[Amplifier]:
        """The amplifiers that are paired: the one that leads first, where it is told beside a list."""
        request = self.request
        if self.one_leads and request.amplifier is not None:
            yield request.amplifier
        yield from request.amplifiers or (() if self.one_leads else request.all_amplifiers)

    def _compared(self, found: Sequence[_TakenAmplifier]) -> list[int]:
        """Places of the amplifiers of the comparison: those of the list, else the only one."""
        return list(range(len(found)))[-len(self.request.amplifiers) :]

    def _scene_and_seats(self, amplifiers: Sequence[Amplifier]) -> tuple[Scene, list[SpeakerAtSeat]]:
        request, taken = self.request, self.taken
        room, air = room_and_air(request, taken)
        first, *others = request.all_speakers

        def model(told: Loudspeaker) -> LoudspeakerModel:
            return cached_speaker_model(told, taken, speed_of_sound_m_s=air.speed_of_sound_m_s)

        speaker = model(first)
        if self.one_leads and len(amplifiers) == 1:
            amplifier_power(amplifiers[0], taken, impedance_ohm=speaker.impedance_ohm)
        scene = scene_of(request, taken, room=room, air=air)
        seats = [speaker_at_seat(first, speaker, scene, taken, name=_name("speaker", first.name, 0))]
        for index, told in enumerate(others, start=1):
            name = _name("speaker", told.name, index)
            seats.append(speaker_at_seat(told, model(told), scene, taken, name=name))
        return scene, seats

    def _taken(self, told: Amplifier, index: int, seats: Sequence[SpeakerAtSeat]) -> _TakenAmplifier:
        """An amplifier with its facts, its power that into the first speaker; what it takes on others is listed too."""
        own, besides = Assumptions(), Assumptions()
        rated_ohm = dict.fromkeys(seat.load.rated_ohm for seat in seats)
        power, *_ = [amplifier_power(told, own, impedance_ohm=each) for each in rated_ohm]
        facts = amplifier_facts(
            told,
            power,
            own,
            name=_name("amplifier", told.name, index),
            cable=self.request.cable,
            background=self.request.background,
        )
        gain_db = None if self.comparing is None else gain_db_of(told, usual_of(told), power, besides)
        return _TakenAmplifier(facts=facts, gain_db=gain_db, for_level=own.listed(), for_comparison=besides.listed())

    def _numbers(self, seats: Sequence[SpeakerAtSeat], found: Sequence[_TakenAmplifier]) -> Quantities[FloatArray]:
        gains_db = None if self.source is None else [each.gain_db for each in found]
        return quantities(seats, [each.facts for each in found], source=self.source, gains_db=gains_db)

    def _listed(self, pairing: Pairing, found: Sequence[_TakenAmplifier]) -> Pairing:
        """The pairing with its lead, and everything listed that had to be assumed."""
        request, assume = self.request, self.assume
        if self.one_leads and request.amplifier is None and request.amplifiers:
            (lead, *_), _ = pairing.ranking_of_amplifiers(0)
            pairing = dataclasses.replace(pairing, lead=lead)
            assume.add(None, {"amplifier": lead}, why=words("assumptions.best_amplifier"), source="ours")
            assume.fill(request.pointer("amplifier"), CopyOf(pairing.amplifiers[lead].told.at))
        assume.extend(self.taken.listed())
        if self.one_leads:
            assume.extend(found[pairing.lead].for_level)
        if self.comparing is not None:
            for place in pairing.compared:
                self.comparing.extend(found[place].for_level)
                self.comparing.extend(found[place].for_comparison)
        return pairing


def _name(what: str, told: str | None, index: int) -> Words:
    """What a speaker or an amplifier is called."""
    if told is not None:
        return words("match.named", name=told)
    return words(f"match.{what}_without_name", number=index + 1)
