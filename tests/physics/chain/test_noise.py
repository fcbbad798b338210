"""Noise: levels by hand, the shape of white noise against a simulation, margins, refusals."""

import math

import numpy as np
import pytest

from service.physics.chain import noise
from service.physics.checks import OutOfRangeError
from service.physics.loudspeaker.sensitivity import sensitivity_db_2v83_1m_from_power
from service.physics.weighting import a_weighting_db
from tests.published import Published

SPEAKER = {"sensitivity_db_2v83_1m": 103.0, "distance_m": 1.0}


def test_noise_of_an_efficient_speaker_by_hand():
    # 103 dB for 1 W into 8 ohm, that is for sqrt 8 V: 103 + 20 lg(100e-6 / 2.82843) = 13.969
    sensitivity_db = sensitivity_db_2v83_1m_from_power(103.0, impedance_ohm=8.0)
    level_dba = noise.noise_level_dba(sensitivity_db_2v83_1m=sensitivity_db, noise_voltage_v=100e-6, distance_m=1.0)
    assert level_dba == pytest.approx(13.97, abs=0.005)


def test_hum_of_an_efficient_speaker_by_hand():
    # 1 mV is 20 dB more: 33.97 dB
    sensitivity_db = sensitivity_db_2v83_1m_from_power(103.0, impedance_ohm=8.0)
    level_db = noise.hum_level_db(sensitivity_db_2v83_1m=sensitivity_db, hum_voltage_v=1e-3, distance_m=1.0)
    assert level_db == pytest.approx(33.97, abs=0.005)


def test_noise_falls_6_db_for_each_doubled_distance_and_halved_voltage():
    near_db = noise.noise_level_dba(noise_voltage_v=3e-4, **SPEAKER)
    far_db = noise.noise_level_dba(noise_voltage_v=1.5e-4, **(SPEAKER | {"distance_m": 2.0}))
    assert near_db - far_db == pytest.approx(40.0 * math.log10(2.0), abs=1e-9)


WHITE_RE_TOTAL = [
    Published(
        printed=printed,
        unit="dB",
        source="octave bandwidth re the integral of the squared A weighting to 20 kHz; no printed source",
        where=f"{frequency} Hz",
        inputs={"octave": octave},
    )
    for octave, (printed, frequency) in enumerate((("-12.5", 1000), ("-9.5", 2000), ("-6.5", 4000), ("-3.5", 8000)))
]


@pytest.mark.parametrize("row", WHITE_RE_TOTAL, ids=lambda row: row.where)
def test_octaves_of_white_hiss(row):
    row.check(noise.white_hiss_octaves_db(0.0)[row.inputs["octave"]])


def test_octaves_of_white_hiss_agree_with_a_simulation():
    # White noise sampled at 48 kHz, its spectrum weighted line by line and cut at 20 kHz
    rate_hz = 48_000
    samples = np.random.default_rng(11).standard_normal(40 * rate_hz)
    power = np.abs(np.fft.rfft(samples)) ** 2
    frequency_hz = np.fft.rfftfreq(samples.size, 1.0 / rate_hz)
    heard = (frequency_hz >= 10.0) & (frequency_hz <= 20e3)
    total = np.sum(power[heard] * 10.0 ** (a_weighting_db(frequency_hz[heard]) / 10.0))
    midbands_hz = 1000.0 * 10.0 ** (0.3 * np.arange(4))
    expected_db = [
        10.0 * np.log10(power[(frequency_hz >= f * 10**-0.15) & (frequency_hz < f * 10**0.15)].sum() / total)
        for f in midbands_hz
    ]
    # 28 000 lines in the narrowest octave: a standard deviation of 4.34 / sqrt 28 000 = 0.026 dB
    np.testing.assert_allclose(noise.white_hiss_octaves_db(37.0), 37.0 + np.array(expected_db), atol=0.08)


def test_octaves_of_several_hisses_keep_their_places():
    octaves_db = noise.white_hiss_octaves_db([10.0, 25.0])
    assert octaves_db.shape == (2, 4)
    np.testing.assert_allclose(octaves_db[1] - octaves_db[0], 15.0, atol=1e-12)


def test_margin_by_hand():
    # threshold and background 20 and 20 -> 23.01; 0 and 20 -> 20.04; 20 and 0 likewise
    margin_db = noise.hiss_margin_db(
        [20.0, 20.0, 15.0],
        background_octaves_db=[20.0, 0.0, 20.0],
        threshold_octaves_db=[20.0, 20.0, 0.0],
    )
    np.testing.assert_allclose(margin_db, [-3.0103, -0.0432, -5.0432], atol=5e-5)


def test_margin_never_exceeds_either_mask_and_follows_the_hiss():
    hiss_db = np.array([8.0, 11.0, 14.0, 17.0])
    background_db = np.array([20.0, 16.0, 10.0, 5.0])
    threshold_db = np.array(noise.HEARING_THRESHOLD_HISS_OCTAVES_DB)
    arguments = {"background_octaves_db": background_db, "threshold_octaves_db": threshold_db}
    margin_db = noise.hiss_margin_db(hiss_db, **arguments)
    assert np.all(margin_db < hiss_db - background_db)
    assert np.all(margin_db < hiss_db - threshold_db)
    np.testing.assert_allclose(noise.hiss_margin_db(hiss_db + 6.0, **arguments) - margin_db, 6.0, atol=1e-12)


@pytest.mark.parametrize("bad", [0.0, -1e-4, math.nan])
def test_refuses_impossible_voltages_and_distances(bad):
    with pytest.raises(OutOfRangeError, match="noise_voltage_v"):
        noise.noise_level_dba(noise_voltage_v=bad, **SPEAKER)
    with pytest.raises(OutOfRangeError, match="hum_voltage_v"):
        noise.hum_level_db(hum_voltage_v=bad, **SPEAKER)
    with pytest.raises(OutOfRangeError, match="distance_m"):
        noise.noise_level_dba(noise_voltage_v=1e-4, sensitivity_db_2v83_1m=103.0, distance_m=bad)
    with pytest.raises(OutOfRangeError, match="distance_m"):
        noise.hum_level_db(hum_voltage_v=1e-4, sensitivity_db_2v83_1m=103.0, distance_m=bad)


def test_refuses_levels_that_are_not_finite():
    with pytest.raises(OutOfRangeError, match="sensitivity_db_2v83_1m"):
        noise.noise_level_dba(sensitivity_db_2v83_1m=math.inf, noise_voltage_v=1e-4, distance_m=1.0)
    with pytest.raises(OutOfRangeError, match="level_dba"):
        noise.white_hiss_octaves_db(math.nan)


@pytest.mark.parametrize("name", ["hiss_octaves_db", "background_octaves_db", "threshold_octaves_db"])
def test_margin_refuses_missing_levels(name):
    arguments = {
        "hiss_octaves_db": [1.0, 2.0],
        "background_octaves_db": [3.0, 4.0],
        "threshold_octaves_db": [5.0, 6.0],
    } | {name: [1.0, math.nan]}
    with pytest.raises(OutOfRangeError, match=name):
        noise.hiss_margin_db(arguments.pop("hiss_octaves_db"), **arguments)


@pytest.mark.parametrize("name", ["background_octaves_db", "threshold_octaves_db"])
def test_margin_refuses_other_bands(name):
    arguments = {"background_octaves_db": [3.0, 4.0], "threshold_octaves_db": [5.0, 6.0]} | {name: [1.0]}
    with pytest.raises(OutOfRangeError, match=name):
        noise.hiss_margin_db([1.0, 2.0], **arguments)
