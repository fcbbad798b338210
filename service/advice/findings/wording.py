"""What is worth saying: findings with their codes, grades and numbers. The sentences stand in the catalogue."""

from service.advice import policy
from service.advice.answers.common import Finding
from service.advice.pairing.comfort import comfortable_power_w
from service.domain.words import Words, words

_ROUNDS_TO_NOTHING_DB = 0.05


def finding(code, *, grade=None, variant=None, **values):
    """Return a finding; its sentence stands in the catalogue under its code, or under one of its variants."""
    key = f"findings.{code}" if variant is None else f"findings.{code}.{variant}"
    shown = {name: value for name, value in values.items() if not isinstance(value, Words)}
    return Finding(code=code, grade=grade, text=words(key, **values), values=shown)


def grade_of_headroom(headroom_db, uncertainty_db):
    """Return the grade that a headroom deserves, given its standard uncertainty."""
    for from_uncertainties, grade in policy.GRADE_FROM_STANDARD_UNCERTAINTIES:
        if headroom_db >= from_uncertainties * uncertainty_db:
            return grade
    return policy.GRADES[-1]


def confidence_of(uncertainty_db):
    """Return how firm an answer is: firm, fair or rough."""
    return next((word for up_to_db, word in policy.CONFIDENCE_UP_TO_DB if uncertainty_db <= up_to_db), "rough")


def headline(grade, *, power_w, headroom_db, power, sensitivity_needed_db, turned_round):
    """Return the verdict in one line."""
    if turned_round is None:
        short = grade == "suits_with_care" and headroom_db <= -_ROUNDS_TO_NOTHING_DB
        key = f"headlines.{grade}.short" if short else f"headlines.{grade}"
        return words(key, power_w=power_w, headroom_db=headroom_db, short_db=-headroom_db)
    if turned_round.looked_for == "amplifier":
        key = "headlines.power_needed" + (".more_than_sensible" if turned_round.out_of_reach else "")
        return words(key, **needed_values(power, None))
    key = "headlines.sensitivity_needed" + (".more_than_most" if turned_round.out_of_reach else "")
    return words(key, **needed_values(None, sensitivity_needed_db))


def verdict_finding(basis, *, headroom_db, uncertainty_db, limits, power, sensitivity_needed_db, turned_round):
    """Return the finding that the verdict rests on: enough, short, or what is needed.

    Parameters
    ----------
    basis : LevelBasis
        [-]
    headroom_db, uncertainty_db : float
        Of the verdict. [dB]
    limits : list of LimitAnswer
        What ends the level, lowest first. [-]
    power : PowerNeededAnswer
        [-]
    sensitivity_needed_db : float
        With which the loudest peaks just stay clean. [dB]
    turned_round : TurnedRound or None
        What was looked for. [-]
    """
    programme = basis.programme
    variant = ".at_your_level" if programme.level_was_told else ""
    values = {
        "power_w": basis.amplifier.power_w,
        "target_db": programme.peak_target_db,
        "uncertainty_db": uncertainty_db,
        "programme": programme.id,
        "needs": words(f"findings.needs{variant}", programme=programme.id),
    }
    if turned_round is not None:
        return _needed_finding(values, power, sensitivity_needed_db, turned_round)
    grade = grade_of_headroom(headroom_db, uncertainty_db)
    values |= {"reached_db": headroom_db + programme.peak_target_db, "headroom_db": headroom_db}
    if headroom_db > -_ROUNDS_TO_NOTHING_DB:
        return finding("power_enough", grade=grade, **values)
    needed_w = comfortable_power_w(basis.amplifier.power_w, headroom_db=headroom_db, limits=limits)
    variant = "watts_do_not_help" if needed_w is None else None
    values |= {"short_db": -headroom_db, "comfortable_power_w": needed_w}
    return finding("power_short", grade=grade, variant=variant, **values)


def _needed_finding(values, power, sensitivity_needed_db, turned_round):
    if turned_round.looked_for == "amplifier":
        values = {name: value for name, value in values.items() if name != "power_w"}
        variant = "more_than_sensible" if turned_round.out_of_reach else None
        return finding("power_needed", variant=variant, **values, **needed_values(power, None))
    variant = "more_than_most" if turned_round.out_of_reach else None
    return finding("sensitivity_needed", variant=variant, **values, **needed_values(None, sensitivity_needed_db))


def needed_values(power, sensitivity_needed_db):
    """Return what an answer about a missing amplifier (`power`) or a missing speaker names."""
    if power is not None:
        return {
            "for_average_w": power.for_average,
            "for_peaks_w": power.for_peaks,
            "comfortable_w": power.comfortable,
        }
    return {
        "for_peaks_db": sensitivity_needed_db,
        "comfortable_db": sensitivity_needed_db + policy.COMFORTABLE_HEADROOM_DB,
    }


def level_findings(basis, *, limits, average_power_w, turned_round):
    """Return the findings of a level budget beside the one that the verdict rests on."""
    says_it = turned_round is not None and turned_round.looked_for == "amplifier"
    found = [] if says_it else [finding("average_power", average_power_w=average_power_w)]
    if limits[0].code != "amplifier_clipping":
        found.append(
            finding(
                "other_limit_first",
                limit=limits[0].code,
                what=limits[0].text,
                peak_spl_db=limits[0].peak_spl_db,
            )
        )
    return found + speaker_findings(basis.speaker) + ([] if basis.room is None else room_findings(basis.room))


def speaker_findings(speaker):
    """Return what is worth saying about the loudspeaker itself."""
    found = []
    if speaker.asks_for_directivity:
        found.append(finding("directivity_needed", sensitivity_db_1w_1m=speaker.sensitivity_db_1w_1m))
    crossover_hz = speaker.bass_section_below_hz
    low_hz, high_hz = policy.USUAL_CROSSOVER_HZ
    if crossover_hz is not None and not low_hz <= crossover_hz <= high_hz:
        found.append(finding("unusual_crossover", crossover_hz=crossover_hz, usual_from_hz=low_hz, usual_to_hz=high_hz))
    if speaker.low_limit_hz > policy.BASS_ENDS_FROM_HZ:
        found.append(finding("speaker_bass_ends", low_limit_hz=speaker.low_limit_hz))
    return found


def room_findings(room):
    """Return what is worth saying about a room."""
    found = []
    low_s, high_s = policy.HOME_TIME_BAND_S
    time_s = room.middle_time_s
    if time_s > high_s * 1.2 or time_s < low_s * 0.8:
        code = "lively_room" if time_s > high_s else "dull_room"
        found.append(finding(code, reverberation_time_s=time_s, home_from_s=low_s, home_to_s=high_s))
    bass_s = float(room.time_s[1])
    low_s, high_s = policy.BASS_TIME_BAND_S
    if room.time_is != "measured" and not low_s <= bass_s <= high_s:
        variant = "from_surfaces" if room.time_is == "from the surfaces" else None
        found.append(finding("measure_the_bass", variant=variant, reverberation_time_125_hz_s=bass_s))
    if room.absorption_is_capped:
        found.append(finding("absorption_capped", highest_absorption_coefficient=policy.HIGHEST_WALL_ABSORPTION))
    if room.has_opening:
        found.append(finding("opening_in_the_bass"))
    because = [code for code in room.rough_because if code != "openings" or not room.has_opening]
    if because:
        found.append(finding("not_a_closed_box", because=because))
    if not room.sides_are_known:
        found.append(finding("needs_length_and_width"))
    return found


def _loudness(mode):
    """How much a mode is heard: driven, received and ringing; one that never dies away counts as endless."""
    ringing_s = float("inf") if mode.decay_time_s is None else mode.decay_time_s
    heard = mode.seat_coupling_ratio * mode.speaker_coupling_ratio
    return heard * ringing_s if heard else 0.0


def modes_findings(listed):
    """Return the findings about modes: the three that ring longest where this seat and these speakers meet them."""
    known = [mode for mode in listed if mode.seat_coupling_ratio is not None]
    loud = sorted(known, key=_loudness, reverse=True)[:3]
    if not loud:
        return []
    return [finding("modes_at_this_chair", frequencies_hz=sorted(mode.frequency_hz for mode in loud))]
