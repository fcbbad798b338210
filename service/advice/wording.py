"""Sentences for people. Numbers come in finished; nothing is computed here but their form."""

from service.advice import policy
from service.advice.answers.common import Finding
from service.advice.comfort import comfortable_power_w

_ROUNDS_TO_NOTHING_DB = 0.05


def watts(power_w):
    """Return a power as a person says it, to two digits: 0.05 mW, 0.01 W, 2.5 W, 30 W, 250 W."""
    if power_w >= 99.5:
        return f"{power_w:.0f} W"
    if power_w >= 0.001:
        return f"{power_w:.2g} W"
    return f"{1000 * power_w:.2g} mW" if power_w >= 1e-7 else "less than 0.0001 mW"


def decibels(value_db):
    """Return a whole number of decibels, or one decimal below 2; never a minus before a zero."""
    return f"{value_db:.1f} dB".replace("-0.0", "0.0") if abs(value_db) < 2 else f"{value_db:.0f} dB"


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
            if headroom_db > -_ROUNDS_TO_NOTHING_DB
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
    if headroom_db > -_ROUNDS_TO_NOTHING_DB:
        text = said + f"That leaves {decibels(headroom_db)}, give or take {uncertainty_db:.0f} dB."
        found = [Finding(code="power_enough", grade=grade, text=text, values=values)]
    else:
        needed_w = comfortable_power_w(power_w, headroom_db=headroom_db, limits=limits)
        values = {**values, "comfortable_power_w": needed_w}
        text = (
            said
            + f"That is {decibels(-headroom_db)} short, give or take {uncertainty_db:.0f} dB. "
            + (
                "More watts alone do not bring it: sit nearer, play softer, or look for a more efficient speaker."
                if needed_w is None
                else f"For comfort start from {watts(needed_w)}, or play a little softer."
            )
        )
        found = [Finding(code="power_short", grade=grade, text=text, values=values)]
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
                text=f"{basis.speaker.sensitivity_db_1w_1m:.0f} dB is more than most speakers reach. Check that the "
                "figure is for 1 W, and give the directivity index: a narrow beam is what makes such a figure "
                "possible.",
                values={"sensitivity_db_1w_1m": basis.speaker.sensitivity_db_1w_1m},
            )
        )
    crossover_hz = basis.speaker.bass_section_below_hz
    low_hz, high_hz = policy.USUAL_CROSSOVER_HZ
    if crossover_hz is not None and not low_hz <= crossover_hz <= high_hz:
        found.append(
            Finding(
                code="unusual_crossover",
                grade=None,
                text=f"A bass section usually hands over to the top between {low_hz:.0f} and {high_hz:.0f} Hz; "
                f"{crossover_hz:.0f} Hz is unusual. Check the setting.",
                values={"crossover_hz": crossover_hz, "usual_from_hz": low_hz, "usual_to_hz": high_hz},
            )
        )
    low_limit_hz = basis.speaker.low_limit_hz
    if low_limit_hz > policy.BASS_ENDS_FROM_HZ:
        found.append(
            Finding(
                code="speaker_bass_ends",
                grade=None,
                text=f"This speaker plays down to about {low_limit_hz:.0f} Hz. The lowest notes of organ and double "
                "bass lie below. More watts do not change that; a bass section with its own amplifier does.",
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
                text=f"The room is {'lively' if lively else 'dull'}: a clap dies away in about {time_s:.1f} s, where "
                f"{low_s:g} to {high_s:g} s is common in homes. "
                + ("Rugs, curtains and full shelves help." if lively else "Less absorption would add air and level."),
                values={"reverberation_time_s": time_s, "home_from_s": low_s, "home_to_s": high_s},
            )
        )
    bass_s = float(room.time_s[1])
    low_s, high_s = policy.BASS_TIME_BAND_S
    if room.time_is != "measured" and not low_s <= bass_s <= high_s:
        found.append(
            Finding(
                code="measure_the_bass",
                grade=None,
                text=f"The room would ring for {bass_s:.1f} s at 125 Hz, which is unusual for a home. "
                + (
                    "Tables of materials are poor in the bass: a measured time would settle it."
                    if room.time_is == "from the surfaces"
                    else "No surfaces were told, and rooms of this size differ much: a measured time would settle it."
                ),
                values={"reverberation_time_125_hz_s": bass_s},
            )
        )
    if room.absorption_is_capped:
        found.append(
            Finding(
                code="absorption_capped",
                grade=None,
                text="A surface absorbs more in the bass than a wall can by its own movement (95 %). The bass is "
                "computed with that much.",
                values={"highest_absorption_coefficient": policy.HIGHEST_WALL_ABSORPTION},
            )
        )
    if room.has_opening:
        found.append(
            Finding(
                code="opening_in_the_bass",
                grade=None,
                text="A part of a surface lets all sound out, as an open door or window does. In the bass an opening "
                "is no absorber: it joins two rooms. Take the bass as a guide, or shut the door.",
                values={},
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
    tones = ", ".join(f"{mode.frequency_hz:.0f} Hz" for mode in sorted(loud, key=lambda mode: mode.frequency_hz))
    return [
        Finding(
            code="modes_at_this_chair",
            grade=None,
            text=f"The room resonances that this chair hears most with the speakers where they are: {tones}, each "
            "give or take 3 % for what the walls are like.",
            values={"frequencies_hz": [mode.frequency_hz for mode in loud]},
        )
    ]


_GIVE_UP = {
    "seat_not_mid_room": "Allow the chair near the middle of the length.",
    "seat_to_back_wall": "Allow the chair nearer to the wall behind it.",
    "listening_distance": "Allow another listening distance.",
    "base_angle": "Allow the pair nearer together or farther apart.",
    None: "The cabinets, the chair and the air around them need more room than there is or than your ranges leave.",
}
"""What a search without a place gives up first -> how it is said."""


_GAINED = {
    "bass_unevenness_db": "more even bass",
    "dips_db": "shallower gaps in the bass",
    "seat_spread_db": "seats that hear more alike",
    "bass_balance_db": "a better amount of bass",
    "strongest_reflection_db": "weaker early reflections",
    "geometry_db": "a better angle and more air to the walls",
}
"""Part of the merit -> what its improvement is called."""


def placement_findings(
    best, as_found, *, gain_db, most_gained, behind_seat_m, in_mid_room, low_hz, give_up_first, too_large
):
    """Return what is worth saying about a search."""
    if too_large:
        return [
            Finding(
                code="search_too_large",
                grade=None,
                text="No place was searched for: with a chair so near to the speakers in so large a room, or so many "
                "seats, the search would take too long. Ask for a greater distance or for fewer seats.",
                values={},
            )
        ]
    if not best:
        said = "speaker and a chair" if as_found is not None and len(as_found.speakers) == 1 else "pair and a chair"
        return [
            Finding(
                code="nothing_fits",
                grade=None,
                text=f"No place fits a {said} within these limits. {_GIVE_UP[give_up_first]}",
                values={"give_up_first": give_up_first},
            )
        ]
    winner, parts = best[0], best[0].parts
    values = {
        "front_wall_distance_cm": 100 * winner.speakers[0].x_m,
        "seat_to_back_wall_cm": 100 * behind_seat_m,
        "low_hz": low_hz,
        "bass_unevenness_db": parts.bass_unevenness_db,
        "deepest_hole_db": parts.deepest_hole_db,
        "deepest_hole_hz": parts.deepest_hole_hz,
    }
    who = "speakers" if len(winner.speakers) == 2 else "speaker"
    it = "them" if len(winner.speakers) == 2 else "it"
    place = (
        f"{values['front_wall_distance_cm']:.0f} cm from the wall behind {it} and your ears "
        f"{values['seat_to_back_wall_cm']:.0f} cm from the wall behind you"
    )
    strays_db = parts.bass_unevenness_db
    bass = f"the bass from {low_hz:.0f} Hz strays about {strays_db:.1f} dB either way from a straight line"
    gap = f"its deepest gap is {decibels(-parts.deepest_hole_db)} at {parts.deepest_hole_hz:.0f} Hz"
    if as_found is None:
        text = f"Put the {who} {place}: {bass}, and {gap}."
        found = [Finding(code="place_here", grade=None, text=text, values=values)]
    elif gain_db < policy.LEAVE_IT_BELOW_DB:
        text = f"We found no place that is clearly better than today's. Leave the {who} where they are."
        text = text if who == "speakers" else text.replace("they are", "it is")
        found = [Finding(code="leave_it", grade=None, text=text, values={"gain_db": gain_db})]
    else:
        today = as_found.parts
        values |= {
            "gain_db": gain_db,
            "most_gained": most_gained,
            "found_unevenness_db": today.bass_unevenness_db,
            "found_hole_db": today.deepest_hole_db,
            "found_hole_hz": today.deepest_hole_hz,
        }
        text = (
            f"Moving gains {gain_db:.1f} dB, most of it by {_GAINED[most_gained]}. With the {who} {place}, {bass}, "
            f"today {today.bass_unevenness_db:.1f} dB; {gap}, today {decibels(-today.deepest_hole_db)} at "
            f"{today.deepest_hole_hz:.0f} Hz."
        )
        found = [Finding(code="move", grade=None, text=text, values=values)]
    if in_mid_room:
        found.append(
            Finding(
                code="chair_in_mid_room",
                grade=None,
                text="The best chair stands near the middle of the length, where the lowest length resonances are not "
                "heard. If that cannot be, ask for a search with the chair out of mid-room.",
                values={"seat_to_back_wall_cm": 100 * behind_seat_m},
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
