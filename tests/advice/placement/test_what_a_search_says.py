"""What a search says of its places, and what it takes of the room: findings, reasons, reflections, setting, by hand."""

import dataclasses
import math

import numpy as np
import pytest

from service.advice.answers.common import PlaceAnswer
from service.advice.answers.placement import MeritParts, PlacedAnswer, PlacedSpeakerAnswer
from service.advice.assumptions import Assumptions
from service.advice.findings.finding import finding
from service.advice.language.localise import text_of
from service.advice.placement.findings import gain_of_moving_db, nothing_fits, placement_findings
from service.advice.placement.give_up import GiveUp
from service.advice.placement.moves import JudgedPlacement
from service.advice.placement.reasons import Avoided, Places, avoided_modes, filled_gap, why_finding
from service.advice.placement.reflections import strongest_reflection_db
from service.advice.placement.setting import setting_of
from service.advice.room.settle import room_acoustics
from service.domain.room import Room
from service.physics.room.wave_field import pressure_ratio
from tests.advice.placement.scenes import constraints, frame, placed_speaker
from tests.physics.placement.rooms import C_M_S, setting

NO_PARTS = MeritParts(**dict.fromkeys(MeritParts.__dataclass_fields__, 0.0))
DISTANCES_CM = {"front_wall_distance_cm": 100.0, "seat_to_back_wall_cm": 120.0}


def placed(merit=3.0, *, front_wall="front_wall", speakers=2, **parts):
    """A judged placement of an answer; its places play no part."""
    one = PlacedSpeakerAnswer(x_m=1.0, y_m=1.0, z_m=0.9, facing_deg=0.0, toe_in_deg=0.0, radiation="monopole")
    return PlacedAnswer(
        front_wall=front_wall,
        speakers=[one] * speakers,
        bass=None,
        seats=[PlaceAnswer(x_m=3.0, y_m=2.0, z_m=1.1)],
        listening_distance_m=2.0,
        base_angle_deg=60.0,
        merit=merit,
        parts=dataclasses.replace(NO_PARTS, **parts),
        tolerance_cm=None,
        tape_measure=[],
        curve=None,
    )


def said(best, as_found=None, *, why=None, mid_room=False):
    return placement_findings(best, as_found, low_hz=45.0, why=why, mid_room=mid_room, distances_cm=DISTANCES_CM)


def codes(findings):
    return [each.code for each in findings]


# findings ------------------------------------------------------------------------------------------------------------


def test_without_a_present_place_it_is_said_where_to():
    (only,) = said(placed(bass_unevenness_db=2.5, deepest_hole_db=-7.0, deepest_hole_hz=61.0))
    assert only.code == "place_here"
    assert only.values == {
        **DISTANCES_CM,
        "front_wall": "front_wall",
        "low_hz": 45.0,
        "bass_unevenness_db": 2.5,
        "hole_depth_db": 7.0,
        "deepest_hole_hz": 61.0,
    }


@pytest.mark.parametrize(("gain_db", "code"), [(0.49, "leave_it"), (0.5, "move"), (-1.0, "leave_it")])
def test_half_a_decibel_is_worth_moving(gain_db, code):
    best, today = placed(3.0), placed(3.0 + gain_db)
    findings = said(best, today, mid_room=True, why=finding("search_too_large"))
    assert findings[0].code == code
    assert findings[0].values["gain_db"] == pytest.approx(gain_db)
    assert (len(findings) == 1) == (code == "leave_it"), "who stays needs no reason"
    assert gain_of_moving_db(best, today) == pytest.approx(gain_db)
    assert gain_of_moving_db(best, None) is None
    assert gain_of_moving_db(None, today) is None


def test_a_move_says_what_it_fills_and_what_gains_most():
    """Weighted: 1 dB of unevenness, 0.5 x 3 dB of dips, 0.5 x 1 of reflections."""
    today = placed(
        9.0,
        bass_unevenness_db=4.0,
        dips_db=5.0,
        strongest_reflection_db=-8.0,
        deepest_hole_db=-11.0,
        deepest_hole_hz=48.0,
    )
    best = placed(6.0, bass_unevenness_db=3.0, dips_db=2.0, strongest_reflection_db=-9.0)
    values = said(best, today)[0].values
    assert values["most_gained"] == "dips_db"
    assert (values["found_hole_depth_db"], values["found_hole_hz"]) == (11.0, 48.0)


def test_findings_come_in_order_and_only_where_they_apply():
    why = finding("search_too_large")
    left, front = placed(front_wall="left_wall"), placed()
    assert codes(said(left, why=why, mid_room=True)) == [
        "place_here",
        "other_front_wall",
        "search_too_large",
        "chair_in_mid_room",
    ]
    assert codes(said(front)) == ["place_here"]
    assert codes(said(left, placed(9.0, front_wall="left_wall"))) == ["move"]
    assert codes(said(front, placed(9.0, front_wall="left_wall"))) == ["move", "other_front_wall"]
    assert said(left)[1].values == {"front_wall": "left_wall"}


def test_one_speaker_is_spoken_of_as_one():
    assert said(placed(speakers=1))[0].text.key == "findings.place_here.one"
    assert said(placed(speakers=1), placed(3.0))[0].text.key == "findings.leave_it.one"
    assert said(placed())[0].text.key == "findings.place_here"


def test_nothing_fits():
    best = JudgedPlacement(
        constraints=constraints(),
        speakers_m=np.zeros((2, 3)),
        facing_rad=np.zeros(2),
        lead_m=np.zeros(3),
        parts=dataclasses.replace(NO_PARTS, bass_unevenness_db=2.5),
        merit_db=4.5,
    )
    assert nothing_fits(None, count=2, too_large=True).code == "search_too_large"
    none = nothing_fits(None, count=2, too_large=False)
    assert (none.code, none.values) == ("nothing_fits", {"give_up_first": None})
    assert none.text.key == "findings.nothing_fits"
    assert nothing_fits(None, count=1, too_large=False).text.key == "findings.nothing_fits.one"
    zone = nothing_fits(GiveUp(name="keep_clear", zone="piano", best=best), count=2, too_large=False)
    assert zone.values == {"give_up_first": "keep_clear", "merit_without_db": 4.5, "zone": "piano"}
    assert "piano" in text_of(zone.text, "en")
    assert "2.5" in text_of(zone.text, "en")
    other = nothing_fits(GiveUp(name="spacing", zone=None, best=best), count=2, too_large=False)
    assert other.values == {"give_up_first": "spacing", "merit_without_db": 4.5}


# reasons -------------------------------------------------------------------------------------------------------------

BOX_M = (5.4, 4.1, 2.5)


def places(speakers_m, lead_m, facing_deg=0.0):
    speakers_m = np.array(speakers_m, dtype=float)
    return Places(
        speakers_m=speakers_m, lead_m=np.array(lead_m, dtype=float), facing_rad=np.full(len(speakers_m), facing_deg)
    )


def test_speakers_in_mid_width_do_not_drive_the_first_mode_across():
    """c / (2 x 4.1) = 41.9 Hz is driven by cos(pi y / 4.1): not in the middle, fully at a side wall. One speaker; the
    chair at the side wall hears it fully either way."""
    middle, side = (places([(2.7, y_m, 1.25)], (2.7, 0.0, 1.25)) for y_m in (2.05, 0.0))
    (mode, *_) = avoided_modes(setting(), middle, side, front_wall="front_wall")
    assert (mode.along, mode.by) == ("width", "speakers")
    assert mode.frequency_hz == pytest.approx(C_M_S / 2 / 4.1)
    (mode, *_) = avoided_modes(setting(), middle, side, front_wall="left_wall")
    assert mode.along == "length"
    assert avoided_modes(setting(), side, middle, front_wall="front_wall") == []
    assert avoided_modes(setting(), middle, middle, front_wall="front_wall") == []


def test_a_pair_about_the_axis_does_not_drive_what_is_odd_across():
    """cos(pi 0.6 / 4.1) and cos(pi 3.5 / 4.1) are opposite: their mean is nothing."""
    pair = places([(2.7, 0.6, 1.25), (2.7, 3.5, 1.25)], (2.7, 0.0, 1.25))
    one = places([(2.7, 0.6, 1.25)], (2.7, 0.0, 1.25))
    assert avoided_modes(setting(), pair, one, front_wall="front_wall")[0].along == "width"


def test_at_most_two_modes_are_named_those_that_differ_most_by_frequency():
    """From a corner to the middle of everything: of all the odd ones at most two, in the order of their frequency."""
    corner, middle = places([(0, 0, 0)], (5.4, 4.1, 2.5)), places([(2.7, 2.05, 1.25)], (2.7, 2.05, 1.25))
    found = avoided_modes(setting(), middle, corner, front_wall="front_wall")
    assert [mode.frequency_hz for mode in found] == pytest.approx([C_M_S / 2 / 5.4, C_M_S / 2 / 4.1])
    above = avoided_modes(setting(low_hz=40.0), middle, corner, front_wall="front_wall")
    assert above[0].frequency_hz == pytest.approx(C_M_S / 2 / 4.1), "below the speaker's range nothing is named"
    assert all(mode.frequency_hz <= 120 for mode in [*found, *above])


def test_a_mode_of_two_axes_is_named_by_both():
    """Of the chair: in mid-length and at mid-width it does not hear the mode of both, sqrt(31.8^2 + 41.9^2) Hz."""
    by_frequency = {}
    for y_m in (0.0, 2.05):
        here, there = places([(0, 0, 1.25)], (2.7, y_m, 1.25)), places([(0, 0, 1.25)], (0, 0, 1.25))
        for mode in avoided_modes(setting(low_hz=50.0), here, there, front_wall="front_wall"):
            by_frequency[round(mode.frequency_hz, 1)] = (mode.along, mode.by)
    oblique_hz = round(math.hypot(C_M_S / 2 / 5.4, C_M_S / 2 / 4.1), 1)
    assert by_frequency[oblique_hz] == ("length_and_width", "chair")


def test_a_dipole_drives_a_mode_by_its_slope():
    """Along the room: cos(pi x / 5.4) has its slope in mid-length and none at the wall, where a box drives it most."""
    lead_m = (5.4, 0.0, 1.25)
    wall, middle = (places([(x_m, 2.05, 1.25)], lead_m) for x_m in (0.0, 2.7))
    (mode, *_) = avoided_modes(setting(dipole=True), wall, middle, front_wall="front_wall")
    assert (mode.along, mode.by) == ("length", "speakers")
    (mode, *_) = avoided_modes(setting(), middle, wall, front_wall="front_wall")
    assert (mode.along, mode.by) == ("length", "speakers")


def line_and_levels(here, at):
    """Octaves of the bands, and band levels of a placement, by the mean energy of the frequencies of each band."""
    axes = np.zeros((len(at.speakers_m), 3))
    field = pressure_ratio(here.box, sources_m=at.speakers_m, axes=axes, seats_m=at.lead_m[None])[0].sum(axis=0)
    energies = np.abs(field).reshape(-1, here.bands.points) ** 2
    return np.log2(here.bands.midbands_hz), 10 * np.log10(energies.mean(axis=1))


def test_the_gap_that_is_filled_by_another_method():
    """Below the line of least squares, its slope between -3 and 0 dB an octave."""
    here = setting(beta=(0.02,) * 6)
    rng = np.random.default_rng(5)
    named = 0
    for _ in range(12):
        before, after = (
            places(rng.uniform((0.4, 0.4, 0.6), (1.5, 3.7, 1.2), size=(2, 3)), rng.uniform((2.5, 1, 1), (5, 3, 1.2)))
            for _ in range(2)
        )
        below_db = []
        for each in (before, after):
            octaves, levels_db = line_and_levels(here, each)
            slope = np.clip(np.polyfit(octaves, levels_db, 1)[0], -3.0, 0.0)
            below_db.append(levels_db.mean() + slope * (octaves - octaves.mean()) - levels_db)
        band = int(np.argmax(below_db[0]))
        found = filled_gap(here, before, after)
        if below_db[0][band] - below_db[1][band] < 3.0 or below_db[0][band] < 3.0:
            assert found is None
        else:
            named += 1
            assert found == pytest.approx((here.bands.midbands_hz[band], below_db[0][band], below_db[1][band]))
        assert filled_gap(here, before, before) is None
    assert named >= 3


def test_why_it_wins_in_words():
    mode = Avoided(frequency_hz=31.8, along="length", by="chair")
    assert why_finding([], None) is None
    assert why_finding([mode], None).values == {"resonances_hz": [31.8]}
    left = why_finding([mode], (50.0, 9.0, 1.0))
    assert left.values == {"resonances_hz": [31.8], "gap_hz": 50.0, "gap_as_found_db": 9.0, "gap_here_db": 1.0}
    assert [each.key for each in left.text.values["because"]] == ["findings.why.chair", "findings.why.gap"]
    gone = why_finding([], (50.0, 9.0, 0.99))
    assert [each.key for each in gone.text.values["because"]] == ["findings.why.gap_gone"]


# reflections ---------------------------------------------------------------------------------------------------------


def strongest_db(speakers_m, lead_m, *, facing_deg=(0.0,), window_s=0.015, **speaker):
    here = dataclasses.replace(setting(), reflection_window_s=window_s)
    return float(
        strongest_reflection_db(
            here, placed_speaker(**speaker), np.array(speakers_m), np.radians(facing_deg), np.array(lead_m)
        )[0]
    )


@pytest.mark.parametrize(
    ("speaker_m", "seat_m", "image_m", "absorption"),
    [
        # the seat behind each wall in turn of 5.4 x 4.1 x 2.5 m, both near that wall and far from the others
        ((0.5, 2.0, 1.2), (0.6, 2.4, 1.25), (-0.6, 2.4, 1.25), 0.1),
        ((4.9, 2.0, 1.2), (4.8, 2.4, 1.25), (6.0, 2.4, 1.25), 0.2),
        ((2.5, 0.5, 1.2), (2.9, 0.6, 1.25), (2.9, -0.6, 1.25), 0.05),
        ((2.5, 3.6, 1.2), (2.9, 3.5, 1.25), (2.9, 4.7, 1.25), 0.3),
        ((2.5, 2.0, 0.3), (2.9, 2.1, 0.4), (2.9, 2.1, -0.4), 0.4),
        ((2.5, 2.0, 2.2), (2.9, 2.1, 2.1), (2.9, 2.1, 2.9), 0.15),
    ],
)
def test_a_box_that_plays_alike_in_all_directions_by_its_images(speaker_m, seat_m, image_m, absorption):
    """10 lg of what the wall gives back, and 20 lg of the ratio of the ways."""
    expected_db = 20 * math.log10(math.dist(speaker_m, seat_m) / math.dist(speaker_m, image_m))
    expected_db += 10 * math.log10(1 - absorption)
    assert strongest_db([speaker_m], seat_m) == pytest.approx(expected_db)


def test_a_late_reflection_does_not_count_and_the_loudest_speaker_does():
    """Floor: sqrt(2.4^2 + 2.3^2) - 2.402 m = 0.922 m later, 2.69 ms; all others come after 6 ms."""
    near, far = (1.5, 2.05, 1.2), (3.9, 2.05, 1.1)
    later_s = (math.hypot(2.4, 2.3) - math.hypot(2.4, 0.1)) / C_M_S
    floor_db = 20 * math.log10(math.hypot(2.4, 0.1) / math.hypot(2.4, 2.3)) + 10 * math.log10(0.6)
    assert strongest_db([near], far, window_s=later_s * 1.001) == pytest.approx(floor_db)
    assert strongest_db([near], far, window_s=later_s * 0.999) == -100.0
    wall = (2.5, 0.5, 1.2)
    both_db = strongest_db([near, wall], (2.9, 0.6, 1.25), facing_deg=(0.0, 0.0))
    assert both_db == pytest.approx(max(strongest_db([near], (2.9, 0.6, 1.25)), strongest_db([wall], (2.9, 0.6, 1.25))))


def test_directivity_counts_on_both_ways():
    """A cardioid (10 lg 3 dB of index) that faces along the room: energies ((1 + cos) / 2)^2 of both directions."""
    speaker_m, seat_m, image_m = (2.5, 0.5, 1.2), (3.2, 0.7, 1.2), (3.2, -0.7, 1.2)
    index_db = np.full(8, 10 * math.log10(3.0))
    level_db = 20 * math.log10(math.dist(speaker_m, seat_m) / math.dist(speaker_m, image_m)) + 10 * math.log10(0.95)
    for facing_deg in (0.0, 40.0):
        for to_both_sides in (False, True):
            gains = []
            for target_m in (seat_m, image_m):
                angle = math.atan2(target_m[1] - 0.5, 0.7) - math.radians(facing_deg)
                gains.append(math.cos(angle) ** 2 if to_both_sides else ((1 + math.cos(angle)) / 2) ** 2)
            expected_db = level_db + 10 * math.log10(gains[1] / gains[0])
            kind = {"radiation": "dipole" if to_both_sides else "monopole", "directivity_index_db": index_db}
            found_db = strongest_db([speaker_m], seat_m, facing_deg=(facing_deg,), window_s=1.3 / C_M_S, **kind)
            assert found_db == pytest.approx(expected_db, abs=1e-6), (facing_deg, to_both_sides)


# setting -------------------------------------------------------------------------------------------------------------


def setting_in(time_s, **speaker):
    room = room_acoustics(Room(length_m=6.0, width_m=4.0, height_m=2.5, reverberation_time_s=time_s), Assumptions())
    return room, setting_of(room, placed_speaker(**speaker), frame(), np.array([(0.0, 0.0, 0.0), (0.1, 0.6, 0.0)]))


@pytest.mark.parametrize(("time_s", "points"), [(0.5, 4), (0.79, 4), (0.81, 8)])
def test_a_lively_room_is_resolved_twice_as_finely(time_s, points):
    assert setting_in(time_s)[1].bands.points == points


def test_what_a_setting_takes_of_room_and_speaker():
    """The reverberant field of one speaker at 1 m: 16 pi over the room constant, less the directivity, 500 to 2k Hz."""
    index_db = np.array([0.0, 0.0, 9.0, 1.0, 2.0, 3.0, 9.0, 9.0])
    room, here = setting_in(0.5, directivity_index_db=index_db, low_limit_hz=47.0)
    octaves = [16 * math.pi / room.room_constant_m2[n] / 10 ** (index_db[n] / 10) for n in (3, 4, 5)]
    assert here.reverberant_ratio == pytest.approx(sum(octaves) / 3)
    assert here.bands.low_hz == 47.0
    assert here.seat_offsets_m.tolist() == [[0, 0, 0], [0.1, 0.6, 0]]
    assert not here.dipole
    assert setting_in(0.5, radiation="dipole")[1].dipole
    assert (here.treble_absorption > 0).all()
    assert (here.treble_absorption <= 0.999).all()
