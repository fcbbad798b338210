"""What is worth saying about a room."""

from service.advice import policy
from service.advice.answers.common import Finding
from service.advice.findings.finding import finding
from service.advice.octaves import LOWEST_OCTAVES
from service.advice.room.model import RoomAcoustics


def room_findings(room: RoomAcoustics) -> list[Finding]:
    """Return what is worth saying about a room."""
    found = []
    low_s, high_s = policy.HOME_TIME_BAND_S
    time_s = room.middle_time_s
    if time_s > high_s * 1.2 or time_s < low_s * 0.8:
        code = "lively_room" if time_s > high_s else "dull_room"
        found.append(finding(code, reverberation_time_s=time_s, home_from_s=low_s, home_to_s=high_s))
    bass_s = float(room.time_s[LOWEST_OCTAVES][-1])
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
