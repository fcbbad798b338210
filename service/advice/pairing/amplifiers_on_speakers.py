"""One amplifier on some speakers: what it delivers into each, from which tap, and how sure that is."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from service.advice.amplifier.facts import AmplifierFacts
from service.advice.amplifier.power import power_standard_db
from service.advice.speaker.load import Load
from service.physics.chain.amplifier import voltage_into_v
from service.physics.chain.amplifier_ratings import tap_loss_db
from service.physics.types import FloatArray, IntArray

VOLTS = ("full", "lowest_behind_cable", "rated", "lowest", "lowest_from", "lowest_to")
"""What an amplifier plays into: rated and lowest impedance behind the cable, both without it, and the usual range."""

_EQUAL_POWER_RATIO = 1e-9


@dataclass(frozen=True, kw_only=True, eq=False)
class OnSpeakers:
    """One amplifier on n speakers.

    Attributes
    ----------
    volts : dict of str to ndarray, shape (n,)
        Highest clean voltages at the terminals of the amplifier, by `VOLTS`. [V]
    best_tap_ohm, tap_ohm : ndarray, shape (n,)
        The best tap and the one in use, NaN where nothing is known of taps. [ohm]
    output_ohm : ndarray, shape (n,)
        Output impedance on the tap in use, NaN where it is not known. [ohm]
    power_standard_db : ndarray, shape (n,)
        Standard uncertainty of the power. [dB]
    """

    volts: dict[str, FloatArray]
    best_tap_ohm: FloatArray
    tap_ohm: FloatArray
    output_ohm: FloatArray
    power_standard_db: FloatArray


def on_speakers(amplifier: AmplifierFacts, loads: Sequence[Load], *, cable_ohm: float) -> OnSpeakers:
    """Return one amplifier on some speakers.

    Parameters
    ----------
    amplifier : AmplifierFacts
        [-]
    loads : sequence of Load
        The speakers, as the amplifier meets them. [-]
    cable_ohm : float
        That was told, else 0. [ohm]
    """
    power = amplifier.power
    rated_ohm = np.array([load.rated_ohm for load in loads])
    lowest_ohm = np.array([load.lowest_ohm for load in loads])
    loads_ohm = np.stack(
        [
            rated_ohm + cable_ohm,
            lowest_ohm + cable_ohm,
            rated_ohm,
            lowest_ohm,
            np.array([load.lowest_from_ohm for load in loads]),
            np.array([load.lowest_to_ohm for load in loads]),
        ]
    )
    taps = list(power.models)
    voltages_v = np.stack([voltage_into_v(power.models[tap], load_ohm=loads_ohm) for tap in taps])
    taps_ohm = np.array(taps, dtype=float)  # None becomes NaN
    best: IntArray = np.zeros(rated_ohm.size, dtype=int)
    if power.tap_ohm is not None:
        best = _best_taps(taps_ohm, voltages_v[:, VOLTS.index("rated")] ** 2 / rated_ohm, rated_ohm)
    in_use_ohm = amplifier.told.tap_in_use_ohm
    used = best if in_use_ohm is None else np.full(best.size, taps.index(in_use_ohm))
    return OnSpeakers(
        volts=dict(zip(VOLTS, voltages_v[used, :, np.arange(used.size)].T, strict=True)),
        best_tap_ohm=taps_ohm[best],
        tap_ohm=taps_ohm[used],
        output_ohm=np.array(amplifier.output_impedance_ohm, dtype=float)[used],
        power_standard_db=power_standard_db(amplifier.told, power, impedance_ohm=rated_ohm, tap_ohm=taps_ohm[used]),
    )


def _best_taps(taps_ohm: FloatArray, powers_w: FloatArray, rated_ohm: FloatArray) -> IntArray:
    """Place of the tap that gives each speaker most; of equals the nearest, then the lowest, which stands first."""
    equal = powers_w >= powers_w.max(axis=0) * (1 - _EQUAL_POWER_RATIO)
    loss_db = np.stack([tap_loss_db(tap_ohm=tap, load_ohm=rated_ohm) for tap in taps_ohm.tolist()])
    loss_db = np.where(equal, loss_db, np.inf)
    return np.argmax(loss_db <= loss_db.min(axis=0) + _EQUAL_POWER_RATIO, axis=0)
