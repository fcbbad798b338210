"""Bodies of comparisons and their entries, for the tests of the comparison."""

from tests.advice.bodies import FLAT_SPEAKER, ask, body

SPEAKER = {"sensitivity_db_2v83_1m": 98, "kind": "single_driver", **FLAT_SPEAKER}
OPEN_AIR = {"speaker": SPEAKER, "amplifiers": [{"power_w": 8, "load_ohm": 8}], "listening_distance_m": 2.0}
"""One metre of free field is what is told; at 2 m the level is 6.02 dB less."""
FEW = {
    "speaker": {"sensitivity_db_1w_1m": 98},
    "room": {"length_m": 5.4, "width_m": 4.1, "height_m": 2.5},
    "listening_distance_m": 2.9,
}


def entries(*amplifiers, base=OPEN_AIR, **changes):
    """Return the ranked entries of some amplifiers by their names."""
    named = [{"name": str(index), **each} for index, each in enumerate(amplifiers)]
    return {each.name: each for each in ask("match", body(base, amplifiers=named, **changes)).ranking}


def entry(amplifier, *, base=OPEN_AIR, **changes):
    """Return the entry of one amplifier."""
    return entries(amplifier, base=base, **changes)["0"]
