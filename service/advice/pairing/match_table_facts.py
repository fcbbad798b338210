"""What speakers and amplifiers bring to a table of them: arrays over the speakers, settled facts of the amplifiers."""

from dataclasses import dataclass

import numpy as np

from service.advice import policy
from service.advice.amplifier.gain import settled_gain_db
from service.advice.amplifier.on_speaker import amplifier_on_speaker, output_impedance_ohm, usual_of
from service.advice.amplifier.power import amplifier_power
from service.advice.pairing.match_places import AssumptionsAt, refusals_at
from service.advice.speaker.load import told_cable_ohm
from service.physics.chain.amplifier import voltage_into_v
from service.physics.chain.amplifier_ratings import tap_loss_db
from service.physics.loudspeaker.sensitivity import sensitivity_db_2v83_1m_from_power

_EQUAL_POWER_RATIO = 1e-9


@dataclass(frozen=True, kw_only=True, eq=False)
class TableSpeakers:
    """What the speakers bring, each an array of shape (n, 1); octaves (n, 1, 8)."""

    seats: list
    rated_ohm: np.ndarray
    lowest_ohm: np.ndarray
    lowest_from_ohm: np.ndarray
    lowest_to_ohm: np.ndarray
    lowest_was_told: np.ndarray
    peak_1w_db: np.ndarray
    short_1w_db: np.ndarray
    target_db: np.ndarray
    other_limit_db: np.ndarray
    rest_standard_db: np.ndarray
    crest_factor_db: np.ndarray
    at_2v83_db: np.ndarray
    octaves_re_1m_db: np.ndarray

    @classmethod
    def of(cls, seats):
        """Return the columns of some speakers at their seat."""

        def column(value):
            return np.array([value(seat) for seat in seats])[:, None]

        rated_ohm = column(lambda seat: seat.basis.load.rated_ohm)
        at_1w_db = column(lambda seat: seat.basis.speaker.sensitivity_db_1w_1m)
        return cls(
            seats=seats,
            rated_ohm=rated_ohm,
            lowest_ohm=column(lambda seat: seat.basis.load.lowest_ohm),
            lowest_from_ohm=column(lambda seat: seat.basis.load.lowest_from_ohm),
            lowest_to_ohm=column(lambda seat: seat.basis.load.lowest_to_ohm),
            lowest_was_told=column(lambda seat: seat.basis.load.lowest_was_told),
            peak_1w_db=column(lambda seat: seat.peak_1w_db),
            short_1w_db=column(lambda seat: seat.short_1w_db),
            target_db=column(lambda seat: seat.target_db),
            other_limit_db=column(lambda seat: seat.other_limit_db),
            rest_standard_db=column(lambda seat: seat.rest_standard_db),
            crest_factor_db=column(lambda seat: seat.basis.programme.crest_factor_db),
            at_2v83_db=sensitivity_db_2v83_1m_from_power(at_1w_db, impedance_ohm=rated_ohm),
            octaves_re_1m_db=column(lambda seat: seat.octaves_re_1m_db),
        )


class TableAmplifiers:
    """What the amplifiers bring: facts of shape (m,) that do not hang on the speaker, and others of shape (n, m).

    These are voltages at clipping into the rated and the lowest impedance, behind the cable or not, the best tap and
    the output impedance at the tap in use; NaN where nothing is known.
    """

    def __init__(self, seats, amplifiers, speakers, assume):
        self.told = [told for _, told in amplifiers]
        self.cable_ohm = told_cable_ohm(seats[0].cable)
        facts, on_speakers = [], []
        for pointer, told in amplifiers:
            places = {"/amplifier": pointer, **seats[0].places}
            with refusals_at(places):
                facts.append(_facts(seats[0], told, self.cable_ohm, AssumptionsAt(assume, places)))
            on_speakers.append(self._on_speakers(told, facts[-1], speakers))
        self.gain_db = np.array([each["gain_db"] for each in facts])
        self.hum_mv = np.array([each["hum_mv"] or np.nan for each in facts])
        self.hum_hz = np.array([each["hum_hz"] or np.nan for each in facts])
        self.noise_uv = np.array([each["noise_uv"] or np.nan for each in facts])
        self.noise_was_told = np.array([each["noise_was_told"] for each in facts])
        self.background_dba = next((each["background_dba"] for each in facts if each["background_dba"]), None)
        self.least_load_ohm = np.array([told.minimum_load_ohm or 0.0 for told in self.told])
        for name in on_speakers[0]:  # each of shape (n, m)
            setattr(self, name, np.stack([each[name] for each in on_speakers], axis=1))

    def _on_speakers(self, told, facts, speakers):
        """Voltages, standard uncertainty, tap and output impedance of one amplifier on all speakers, each (n,)."""
        power = facts["power"]
        rated_ohm = speakers.rated_ohm[:, 0]
        loads_ohm = np.stack(
            [
                rated_ohm + self.cable_ohm,
                speakers.lowest_ohm[:, 0] + self.cable_ohm,
                rated_ohm,
                *(getattr(speakers, f"lowest_{name}ohm")[:, 0] for name in ("", "from_", "to_")),
            ]
        )
        taps = list(power.models)
        voltages_v = np.stack([voltage_into_v(power.models[tap], load_ohm=loads_ohm) for tap in taps])
        has_taps = taps != [None]
        best = np.zeros(rated_ohm.size, dtype=int)
        if has_taps:
            best = _best_taps(taps, voltages_v[:, 2] ** 2 / rated_ohm, rated_ohm)
        used = best if told.tap_in_use_ohm is None else np.full(best.size, taps.index(told.tap_in_use_ohm))
        names = ("full_v", "lowest_behind_cable_v", "rated_v", "lowest_v", "lowest_from_v", "lowest_to_v")
        found = dict(zip(names, voltages_v[used, :, np.arange(used.size)].T, strict=True))
        tap_ohm = np.array(taps, dtype=float)  # None becomes NaN
        output_ohm = np.array(facts["output_ohm"], dtype=float)[used]
        return {
            **found,
            "best_tap_ohm": tap_ohm[best],
            "output_ohm": output_ohm,
            "power_standard_db": _power_standard_db(told, power, rated_ohm, tap_ohm[used], has_taps=has_taps),
        }


def _facts(seat, told, cable_ohm, assume):
    """What an amplifier brings to any speaker, settled on the first one."""
    usual = usual_of(told)
    load = seat.basis.load
    power = amplifier_power(told, assume, impedance_ohm=load.rated_ohm, cable_ohm=cable_ohm)
    sound = amplifier_on_speaker(
        speaker=seat.basis.speaker,
        amplifier=told,
        power=power,
        load=load,
        cable=seat.cable,
        background=seat.request.background,
        octaves_re_1m_db=seat.octaves_re_1m_db,
        assume=assume,
    )
    told_noise = (told.noise_uv, told.hum_mv, told.signal_to_noise_db)
    return {
        "power": power,
        "output_ohm": [output_impedance_ohm(told, usual, power, assume, tap_ohm=tap) for tap in power.models],
        "hum_mv": sound.hum_mv,
        "hum_hz": sound.hum_hz,
        "noise_uv": sound.noise_uv,
        "background_dba": sound.background_dba,
        "noise_was_told": any(each is not None for each in told_noise),
        "gain_db": settled_gain_db(told, usual, power, assume),
    }


def _best_taps(taps, powers_w, rated_ohm):
    """Place of the tap that gives each speaker most; of equals the nearest, then the lowest, which stands first."""
    equal = powers_w >= powers_w.max(axis=0) * (1 - _EQUAL_POWER_RATIO)
    loss_db = np.stack([tap_loss_db(tap_ohm=tap, load_ohm=rated_ohm) for tap in taps])
    loss_db = np.where(equal, loss_db, np.inf)
    return np.argmax(loss_db <= loss_db.min(axis=0) + _EQUAL_POWER_RATIO, axis=0)


def _power_standard_db(told, power, rated_ohm, tap_ohm, *, has_taps):
    """Standard uncertainty of the power, more where it follows from a rating at another load."""
    several = len(told.counted_ratings) > 1
    if several and not has_taps:
        return np.full(rated_ohm.size, power.told_standard_db)
    rated_at_ohm = tap_ohm if has_taps else power.rated_load_ohm
    rule = next(iter(power.models.values())).rule
    one_sided = told.kind is not None and rule != "matched_tap"
    off = (rated_ohm < rated_at_ohm * 0.99) | ((rated_ohm > rated_at_ohm * 1.01) & (not one_sided))
    return np.where(off, max(power.told_standard_db, policy.RULE_OF_THUMB_STANDARD_DB), power.told_standard_db)
