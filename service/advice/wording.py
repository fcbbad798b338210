"""Sentences for people. Numbers come in finished; nothing is computed here but their form."""

from service.advice import policy
from service.advice.answers import Finding


def watts(power_w):
    """Return a power as a person says it: 0.01 W, 2.5 W, 30 W."""
    return f"{power_w:.2g} W" if power_w < 100 else f"{power_w:.0f} W"


def decibels(value_db):
    """Return a whole number of decibels, or one decimal below 2."""
    return f"{value_db:.1f} dB" if abs(value_db) < 2 else f"{value_db:.0f} dB"


def grade_of_headroom(headroom_db, uncertainty_db):
    """Return the grade that a headroom deserves, given its standard uncertainty."""
    for from_uncertainties, grade in policy.GRADE_FROM_STANDARD_UNCERTAINTIES:
        if headroom_db >= from_uncertainties * uncertainty_db:
            return grade
    return policy.GRADES[-1]


def confidence_of(uncertainty_db):
    """Return how firm an answer is: firm, fair or rough."""
    return next((word for up_to_db, word in policy.CONFIDENCE_UP_TO_DB if uncertainty_db <= up_to_db), "rough")


def headline(grade, *, power_w, headroom_db):
    """Return the verdict in at most 60 characters."""
    power = watts(power_w)
    return {
        "suits_well": f"{power} is plenty here: {decibels(headroom_db)} in reserve",
        "suits": f"{power} is enough here, with {decibels(headroom_db)} in reserve",
        "suits_with_care": (
            f"{power} is just enough: {decibels(headroom_db)} in reserve"
            if headroom_db >= 0
            else f"{power} falls about {decibels(-headroom_db)} short on peaks"
        ),
        "does_not_suit": f"{power} is {decibels(-headroom_db)} short of the loudest peaks",
    }[grade]


def level_findings(basis, *, headroom_db, uncertainty_db, target_db, limits):
    """Return the findings of a level budget."""
    power_w, programme = basis.amplifier.power_w, basis.programme
    grade = grade_of_headroom(headroom_db, uncertainty_db)
    reached_db = headroom_db + target_db
    values = {
        "power_w": power_w,
        "reached_db": reached_db,
        "target_db": target_db,
        "headroom_db": headroom_db,
        "uncertainty_db": uncertainty_db,
    }
    said = (
        f"At the chair {watts(power_w)} reach about {reached_db:.0f} dB on short peaks before anything gives out; "
        f"{programme.name} needs about {target_db:.0f} dB. "
    )
    if headroom_db >= 0:
        text = said + f"That leaves {decibels(headroom_db)}, give or take {uncertainty_db:.0f} dB."
        found = [Finding(code="power_enough", grade=grade, text=text, values=values)]
    else:
        needed_w = power_w * 10 ** ((policy.COMFORTABLE_HEADROOM_DB - headroom_db) / 10)
        text = (
            said + f"That is {decibels(-headroom_db)} short, give or take {uncertainty_db:.0f} dB. "
            f"For comfort start from {watts(needed_w)}, or play a little softer."
        )
        found = [Finding(code="power_short", grade=grade, text=text, values={**values, "comfortable_power_w": needed_w})]
    if limits[0].code != "amplifier_clipping":
        found.append(
            Finding(
                code="other_limit_first",
                grade=None,
                text=f"Before the amplifier clips, {limits[0].text}: at {limits[0].peak_spl_db:.0f} dB at the chair.",
                values={"limit": limits[0].code, "peak_spl_db": limits[0].peak_spl_db},
            )
        )
    if basis.speaker.asks_for_directivity:
        found.append(
            Finding(
                code="directivity_needed",
                grade=None,
                text=f"{basis.speaker.sensitivity_db_1w_1m:.0f} dB is more than most speakers reach. Check that the figure is for "
                "1 W, and give the directivity index: a narrow beam is what makes such a figure possible.",
                values={"sensitivity_db_1w_1m": basis.speaker.sensitivity_db_1w_1m},
            )
        )
    low_limit_hz = basis.speaker.low_limit_hz
    if low_limit_hz > policy.BASS_ENDS_FROM_HZ:
        found.append(
            Finding(
                code="speaker_bass_ends",
                grade=None,
                text=f"This speaker plays down to about {low_limit_hz:.0f} Hz. The lowest notes of organ and double bass lie "
                "below. More watts do not change that; a bass section with its own amplifier does.",
                values={"low_limit_hz": low_limit_hz},
            )
        )
    return found + ([] if basis.room is None else room_findings(basis.room))


def room_findings(room):
    """Return what is worth saying about a room's reverberation."""
    found = []
    low_s, high_s = policy.HOME_TIME_BAND_S
    time_s = room.middle_time_s
    if time_s > high_s * 1.2 or time_s < low_s * 0.8:
        lively = time_s > high_s
        found.append(
            Finding(
                code="lively_room" if lively else "dull_room",
                grade=None,
                text=f"The room is {'lively' if lively else 'dull'}: a clap dies away in about {time_s:.1f} s, where {low_s:g} to "
                f"{high_s:g} s is common in homes. "
                + ("Rugs, curtains and full shelves help." if lively else "Less absorption would add air and level."),
                values={"reverberation_time_s": time_s, "home_from_s": low_s, "home_to_s": high_s},
            )
        )
    bass_s = float(room.time_s[1])
    if room.time_is == "from the surfaces" and not policy.BASS_TIME_BAND_S[0] <= bass_s <= policy.BASS_TIME_BAND_S[1]:
        found.append(
            Finding(
                code="measure_the_bass",
                grade=None,
                text=f"From these surfaces the room would ring for {bass_s:.1f} s at 125 Hz, which is unusual. Tables of materials are "
                "poor in the bass: a measured time would settle it.",
                values={"reverberation_time_125_hz_s": bass_s},
            )
        )
    if room.absorption_is_capped:
        found.append(
            Finding(
                code="absorption_capped",
                grade=None,
                text="A surface absorbs more than a wall with a real admittance can (95 %). The bass is computed with the most it "
                "can; an open door or window is no absorber in the bass.",
                values={"highest_absorption_coefficient": 0.951},
            )
        )
    return found


def grade_words(grade):
    """Return a grade as it is said."""
    return {
        "suits_well": "suits well",
        "suits": "suits",
        "suits_with_care": "suits with care",
        "does_not_suit": "does not suit",
    }[grade]


def modes_findings(listed):
    """Return the findings about modes: the three that ring longest where this seat and these speakers meet them."""
    known = [mode for mode in listed if mode.seat_coupling_ratio is not None]
    loud = sorted(known, key=lambda mode: -mode.seat_coupling_ratio * mode.speaker_coupling_ratio * mode.decay_time_s)[:3]
    if not loud:
        return []
    tones = ", ".join(f"{mode.frequency_hz:.0f} Hz" for mode in sorted(loud, key=lambda mode: mode.frequency_hz))
    return [
        Finding(
            code="modes_at_this_chair",
            grade=None,
            text=f"The room resonances that this chair hears most with the speakers where they are: {tones}.",
            values={"frequencies_hz": [mode.frequency_hz for mode in loud]},
        )
    ]


def placement_findings(best, as_found, *, gain_db, seat_ratio, low_hz):
    """Return what is worth saying about a search."""
    if not best:
        return [
            Finding(
                code="nothing_fits",
                grade=None,
                text="No place fits a pair and a chair within these limits. Allow the chair nearer to the wall behind it, or the "
                "speakers nearer together.",
                values={},
            )
        ]
    winner = best[0]
    front_cm, back_cm = 100 * winner.speakers[0].x_m, winner.tape_measure[5].cm
    values = {
        "front_wall_distance_cm": front_cm,
        "seat_to_back_wall_cm": back_cm,
        "bass_unevenness_db": winner.parts.bass_unevenness_db,
        "deepest_hole_db": winner.parts.deepest_hole_db,
        "deepest_hole_hz": winner.parts.deepest_hole_hz,
    }
    place = (
        f"With the speakers {front_cm:.0f} cm from the wall behind them and your ears {back_cm:.0f} cm from the wall behind you, "
        f"the bass from {low_hz:.0f} Hz is even within {winner.parts.bass_unevenness_db:.1f} dB and the deepest gap is "
        f"{-winner.parts.deepest_hole_db:.0f} dB at {winner.parts.deepest_hole_hz:.0f} Hz."
    )
    found = []
    if as_found is not None and gain_db < policy.LEAVE_IT_BELOW_DB:
        text = "We found no place that is clearly better than today's. Leave the speakers where they are."
        found.append(Finding(code="leave_it", grade=None, text=text, values={"gain_db": gain_db}))
    elif as_found is not None:
        hole_db, hole_hz = as_found.parts.deepest_hole_db, as_found.parts.deepest_hole_hz
        text = f"At today's place the tone around {hole_hz:.0f} Hz is {-hole_db:.0f} dB too soft at your chair. {place}"
        values = {**values, "gain_db": gain_db, "found_hole_db": hole_db, "found_hole_hz": hole_hz}
        found.append(Finding(code="move", grade=None, text=text, values=values))
    else:
        found.append(Finding(code="place_here", grade=None, text=place, values=values))
    low, high = policy.MID_ROOM_RATIO
    if low <= seat_ratio <= high:
        found.append(
            Finding(
                code="chair_in_mid_room",
                grade=None,
                text="The best chair stands near the middle of the length, where the lowest length resonances are not heard. "
                "If that cannot be, ask for a search with the chair out of mid-room.",
                values={"seat_ratio": seat_ratio},
            )
        )
    return found


def material_words(identifier):
    """Return what a proposed absorber is called in a sentence."""
    return {
        "carpet_heavy_underlay": "thick rug on felt",
        "curtain_heavy_half": "heavy curtain, generously folded",
        "wool_50_60": "50 mm mineral wool panels",
        "acoustic_tile_19": "acoustic tiles",
    }[identifier]
