"""Response at seats: sources add with gain, delay and polarity; the uniform case against an own sum of images."""

import numpy as np
import pytest

from service.domain.errors import DomainError
from tests.advice.bodies import all_walls, ask, codes

C = 343.2  # 20 degrees
ROOM = {
    "length_m": 6.0,
    "width_m": 4.4,
    "height_m": 2.6,
    "surfaces": {
        "front_wall": {"admittance_ratio": 0.012},
        "back_wall": {"material": "plaster_on_brick"},
        "left_wall": {"absorption_coefficient": 0.1},
        "right_wall": {"parts": [{"material": "glass_window", "area_m2": 3.0}, {"material": "plaster_on_brick"}]},
        "floor": {"material": "carpet_heavy_underlay"},
        "ceiling": {"material": "gypsum_13_studs"},
    },
}
SOURCE = {"x_m": 0.9, "y_m": 1.2, "z_m": 0.9}
SEAT = {"x_m": 4.0, "y_m": 2.2, "z_m": 1.1}
FREQUENCY_HZ = [20, 31.5, 50, 87, 140, 220]


def field(sources, *, room=ROOM, seats=(SEAT,), frequency_hz=tuple(FREQUENCY_HZ), **more):
    """Complex field at each seat, shape (seats, f)."""
    posted = {"room": room, "sources": list(sources), "seats": list(seats), "frequency_hz": list(frequency_hz), **more}
    answer = ask("response", posted)
    assert answer.frequency_hz == pytest.approx(list(frequency_hz))
    return np.array([10 ** (seat.gain_db / 20) * np.exp(1j * np.radians(seat.phase_deg)) for seat in answer.seats])


def test_gain_and_polarity_multiply():
    one = field([SOURCE])
    assert field([{**SOURCE, "gain_db": -6.0}]) == pytest.approx(one * 10 ** (-6 / 20), rel=1e-9)
    assert field([{**SOURCE, "polarity": -1}]) == pytest.approx(-one, rel=1e-9)
    assert field([{**SOURCE, "gain_db": 6.0206}]) == pytest.approx(2 * one, rel=1e-5)


def test_two_alike_sources_add_6_db():
    assert field([SOURCE, SOURCE]) == pytest.approx(2 * field([SOURCE]), rel=1e-9)


def test_sources_superpose():
    other = {"x_m": 1.4, "y_m": 3.5, "z_m": 0.5, "gain_db": 3.0, "delay_ms": 1.7, "polarity": -1}
    assert field([SOURCE, other]) == pytest.approx(field([SOURCE]) + field([other]), rel=1e-9)


def test_delay_turns_the_phase_back():
    # tau multiplies e^(-j w tau): 2 ms at 50 Hz are 36 degrees
    turned = field([{**SOURCE, "delay_ms": 2.0}]) / field([SOURCE])
    assert np.abs(turned) == pytest.approx(np.ones((1, 6)))
    assert np.degrees(np.angle(turned[0, 2])) == pytest.approx(-36.0, abs=1e-6)


def test_half_a_period_of_delay_cancels():
    # at 50 Hz 1 / (2 f) = 10 ms; two sources in one place
    both = field([SOURCE, {**SOURCE, "delay_ms": 10.0}], frequency_hz=[50.0])
    assert np.abs(both).max() < 1e-6 * np.abs(field([SOURCE], frequency_hz=[50.0])).min()


def test_half_a_period_of_delay_cancels_across_the_axis_of_a_symmetrical_room():
    room = {"length_m": 6.0, "width_m": 4.4, "height_m": 2.6, "reverberation_time_s": 0.5}
    left, right = ({"x_m": 0.9, "y_m": 2.2 + side, "z_m": 0.9} for side in (-1.1, 1.1))
    seat = {"x_m": 4.0, "y_m": 2.2, "z_m": 1.1}
    one = field([left], room=room, seats=[seat], frequency_hz=[80.0])
    both = field([left, {**right, "delay_ms": 1000 / 160}], room=room, seats=[seat], frequency_hz=[80.0])
    assert np.abs(both).max() < 1e-6 * np.abs(one).min()


def test_opposite_polarity_cancels_and_the_answer_stays_a_number():
    posted = {
        "room": ROOM,
        "sources": [SOURCE, {**SOURCE, "polarity": -1}],
        "seats": [SEAT],
        "frequency_hz": FREQUENCY_HZ,
    }
    answer = ask("response", posted)
    assert (answer.seats[0].gain_db <= -150).all()
    assert np.isfinite(answer.seats[0].gain_db).all()
    assert np.isfinite(answer.seats[0].phase_deg).all()


def test_source_and_seat_may_change_places():
    assert field([SOURCE]) == pytest.approx(field([SEAT], seats=[SOURCE]), rel=1e-6)


def test_free_field_phase_very_near_the_source():
    # 2 cm away: e^(-j k r) / r, 20 lg 50 = 33.98 dB re 1 m, phase -k r
    near = {**SEAT, "x_m": SEAT["x_m"] + 0.02}
    found = field([near], frequency_hz=[100.0])[0, 0]
    assert 20 * np.log10(abs(found)) == pytest.approx(33.98, abs=0.2)


def images_sum(source, seat, *, dimensions, frequency_hz, time_s):
    """Plain sum over the images of a box of rigid walls in a medium that decays by 60 dB in `time_s`; order up to 60
    dB."""
    k = 2 * np.pi * np.asarray(frequency_hz) / C - 1j * np.log(1000) / (time_s * C)
    reach_m = 1.6 * C * time_s
    axes = []
    for x, y, length in zip(source, seat, dimensions, strict=True):
        n = np.arange(-int(reach_m / (2 * length)) - 1, int(reach_m / (2 * length)) + 2)
        axes.append(np.concatenate([2 * n * length + x - y, 2 * n * length - x - y]))
    dx, dy, dz = np.meshgrid(*axes, indexing="ij", sparse=True)
    distances_m = np.sqrt(dx**2 + dy**2 + dz**2).ravel()
    distances_m = distances_m[distances_m < reach_m]
    return np.array([(np.exp(-1j * wave * distances_m) / distances_m).sum() for wave in k])


def test_uniform_damping_against_a_sum_of_images():
    # T 0.15 s: images up to 1.6 * 51 m away, beyond which 96 dB of decay leave less than 0.01 dB
    room = {"length_m": 4.1, "width_m": 3.3, "height_m": 2.4, "reverberation_time_s": 0.15}
    source, seat = (0.7, 1.0, 0.8), (2.9, 1.9, 1.1)
    names = ("x_m", "y_m", "z_m")
    frequency_hz = [25.0, 47.0, 90.0, 163.0, 240.0]
    found = field(
        [dict(zip(names, source, strict=True))],
        room=room,
        seats=[dict(zip(names, seat, strict=True))],
        frequency_hz=frequency_hz,
        damping="uniform",
    )[0]
    expected = images_sum(source, seat, dimensions=(4.1, 3.3, 2.4), frequency_hz=frequency_hz, time_s=0.15)
    assert 20 * np.log10(np.abs(found / expected)) == pytest.approx(np.zeros(5), abs=0.05)
    assert np.degrees(np.angle(found / expected)) == pytest.approx(np.zeros(5), abs=0.5)


def test_dipole_turned_away_has_its_null_to_the_side_in_a_dead_room():
    room = {"length_m": 9.0, "width_m": 9.0, "height_m": 6.0, "surfaces": all_walls({"absorption_coefficient": 0.9})}
    seat = {"x_m": 5.5, "y_m": 4.5, "z_m": 3.0}
    dipole = {"x_m": 4.0, "y_m": 4.5, "z_m": 3.0, "radiation": "dipole"}
    on_axis, to_the_side = (
        np.abs(field([{**dipole, "facing_deg": angle}], room=room, seats=[seat], frequency_hz=[200.0]))[0, 0]
        for angle in (0, 90)
    )
    assert to_the_side < 0.1 * on_axis
    assert 20 * np.log10(on_axis) == pytest.approx(-20 * np.log10(1.5), abs=1.5)


def test_a_grid_of_frequencies():
    answer = ask(
        "response",
        {
            "room": ROOM,
            "sources": [SOURCE],
            "seats": [SEAT],
            "frequency_hz": {"from_hz": 20, "to_hz": 160, "points_per_octave": 1},
        },
    )
    assert answer.frequency_hz.tolist() == [20, 40, 80, 160]


@pytest.mark.parametrize(
    ("change", "pointer", "code"),
    [
        ({"sources": [{**SOURCE, "x_m": 6.0}]}, "/sources/0/x_m", "outside_the_room"),
        ({"sources": [SOURCE, {**SOURCE, "z_m": 2.7}]}, "/sources/1/z_m", "outside_the_room"),
        ({"seats": [{**SEAT, "y_m": 0.0}]}, "/seats/0/y_m", "outside_the_room"),
        ({"seats": [SEAT, {**SOURCE, "x_m": 0.905}]}, "/seats/1", "too_close"),
    ],
)
def test_places_outside_are_refused(change, pointer, code):
    posted = {"room": ROOM, "sources": [SOURCE], "seats": [SEAT], "frequency_hz": [50], **change}
    with pytest.raises(DomainError) as refused:
        ask("response", posted)
    assert (refused.value.pointer, refused.value.code) == (pointer, code)
    assert refused.value.allowed


def test_capped_absorption_is_said_here_too():
    room = {**ROOM, "surfaces": {**ROOM["surfaces"], "ceiling": {"absorption_coefficient": 1.0}}}
    answer = ask("response", {"room": room, "sources": [SOURCE], "seats": [SEAT], "frequency_hz": [50]})
    assert {"absorption_capped", "opening_in_the_bass"} <= set(codes(answer.findings))
