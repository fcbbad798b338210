"""What a table of amplifiers and speakers says beside its numbers: the best pair, and the cautions of all pairs."""

import dataclasses

import numpy as np

from service.advice import policy
from service.advice.amplifier.power import amplifier_power
from service.advice.assumptions import Assumptions
from service.advice.findings import cautions
from service.advice.findings.wording import finding
from service.advice.speaker.load import told_cable_ohm
from service.physics.levels import CREST_OF_SINE_DB

_SUITING = policy.GRADES[:2]


def best_pair(table):
    """Return the places of the speaker and the amplifier that go together best: by grade, then by headroom."""
    pairs = [
        (policy.GRADES.index(row.grade[amplifier]), -row.headroom_db[amplifier], speaker, amplifier)
        for speaker, row in enumerate(table.rows)
        for amplifier in row.best_first[:1]
    ]
    return min(pairs)[2:]


def table_findings(table, *, best):
    """Return what a table says as a whole.

    Parameters
    ----------
    table : MatchTable
        [-]
    best : tuple of int
        Places of the speaker and the amplifier of the best pair. [-]
    """
    speaker, amplifier = best
    row = table.rows[speaker]
    grades = [grade for each in table.rows for grade in each.grade]
    return [
        finding(
            "best_of_the_table",
            amplifier=table.amplifiers[amplifier],
            speaker=row.speaker,
            headroom_db=float(row.headroom_db[amplifier]),
            uncertainty_db=float(row.headroom_uncertainty_db[amplifier]),
            suiting_count=sum(grade in _SUITING for grade in grades),
            pair_count=len(grades),
        )
    ]


def table_cautions(table, *, seats, amplifiers):
    """Return the cautions that any pair of a table calls for, each once.

    Parameters
    ----------
    table : MatchTable
        [-]
    seats : list of SpeakerAtSeat
        [-]
    amplifiers : sequence of (str, Amplifier)
        As told. [-]

    Notes
    -----
    Each amplifier is looked at on the first speaker, each speaker with the amplifier that gives it most: no other pair
    calls for more.
    """
    strongest = [int(np.argmax(row.power_into_rated_w)) for row in table.rows]
    pairs = [*((0, amplifier) for amplifier in range(len(amplifiers))), *enumerate(strongest)]
    found = {}
    for speaker, amplifier in dict.fromkeys(pairs):
        for each in _cautions_of(seats[speaker], amplifiers[amplifier][1]):
            found.setdefault(each.code, each)
    last = found.pop("calculation")
    return [*found.values(), last]


def _cautions_of(seat, told):
    power = amplifier_power(
        told, Assumptions(), impedance_ohm=seat.basis.load.rated_ohm, cable_ohm=told_cable_ohm(seat.cable)
    )
    peak_db = seat.in_phase_1w_db + 10 * float(np.log10(power.power_w)) + CREST_OF_SINE_DB
    return cautions.for_level(
        dataclasses.replace(seat.request, amplifier=told),
        dataclasses.replace(seat.basis, amplifier=power),
        average_dba=seat.basis.programme.average_at_target_dba,
        peak_pressure_db=peak_db,
    )
