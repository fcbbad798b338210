"""Several amplifiers on several speakers: the arrays of a pairing as rows of numbers, one for each speaker."""

import numpy as np

from service.advice import policy
from service.advice.answers.common import Caution, Finding
from service.advice.answers.match import MatchTable, MatchTableRow
from service.advice.findings.finding import finding
from service.advice.pairing.pairing import Pairing
from service.advice.pairing.reasons import each_caution_once, pair_cautions

_SUITING = 2
"""Grades that suit: the first of all."""

_SHOWN = (
    "headroom_db",
    "clean_peak_chance_pct",
    "average_power_w",
    "power_into_rated_w",
    "power_into_minimum_w",
    "peak_current_a",
    "load_loss_db",
    "level_swing_db",
    "effective_damping_factor",
    "noise_at_1m_dba",
    "noise_at_seat_dba",
    "noise_margin_db",
    "volume_below_full_db",
    "best_tap_ohm",
)


def match_table(pairing: Pairing) -> MatchTable:
    """Return a pairing of several speakers with several amplifiers as a table."""
    return MatchTable(
        amplifiers=[each.name for each in pairing.amplifiers],
        rows=[_row(pairing, speaker) for speaker in range(len(pairing.seats))],
    )


def _row(pairing, speaker):
    """One speaker with all amplifiers, in the order in which they were told."""
    numbers = vars(pairing.numbers)
    order, found = pairing.ranking_of_amplifiers(speaker)
    by_amplifier = dict(zip(order, found, strict=True))
    return MatchTableRow(
        speaker=pairing.seats[speaker].name,
        best_first=order,
        rank=[by_amplifier[index] for index in range(len(order))],
        grade=[policy.GRADES[index] for index in pairing.grades.overall[speaker].tolist()],
        headroom_uncertainty_db=pairing.numbers.headroom_standard_db[speaker],
        **{name: numbers[name][speaker] for name in _SHOWN},
    )


def best_pair(pairing: Pairing) -> tuple[int, int]:
    """Return the places of the speaker and the amplifier that go together best: by grade, then by headroom."""
    pairs = []
    for speaker in range(len(pairing.seats)):
        (amplifier, *_), _ = pairing.ranking_of_amplifiers(speaker)
        place = (speaker, amplifier)
        pairs.append((int(pairing.grades.overall[place]), -float(pairing.numbers.headroom_db[place]), *place))
    *_, speaker, amplifier = min(pairs)
    return speaker, amplifier


def table_findings(pairing: Pairing, best: tuple[int, int]) -> list[Finding]:
    """Return what a table says as a whole.

    Parameters
    ----------
    pairing : Pairing
        [-]
    best : tuple of int
        Places of the speaker and the amplifier of the best pair. [-]
    """
    speaker, amplifier = best
    grades = pairing.grades.overall
    return [
        finding(
            "best_of_the_table",
            amplifier=pairing.amplifiers[amplifier].name,
            speaker=pairing.seats[speaker].name,
            headroom_db=float(pairing.numbers.headroom_db[best]),
            uncertainty_db=float(pairing.numbers.headroom_standard_db[best]),
            suiting_count=int((grades < _SUITING).sum()),
            pair_count=grades.size,
        )
    ]


def table_cautions(pairing: Pairing) -> list[Caution]:
    """Return the cautions that any pair of a table calls for, each once.

    Notes
    -----
    Each amplifier is looked at on the first speaker, each speaker with the amplifier that gives it most: no other pair
    calls for more.
    """
    strongest = np.argmax(pairing.numbers.power_into_rated_w, axis=1).tolist()
    places = [*((0, amplifier) for amplifier in range(len(pairing.amplifiers))), *enumerate(strongest)]
    return each_caution_once(pair_cautions(pairing.pair(*place)) for place in dict.fromkeys(places))
