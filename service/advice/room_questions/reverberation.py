"""Reverberation of a room by five formulas, and what would bring it to a goal."""

import numpy as np

from service.advice import policy
from service.advice.answers.reverberation import AbsorberOption, GoalAnswer, ReverberationAnswer, TimesAnswer
from service.advice.assumptions import Assumptions
from service.advice.room.cached import cached_room_model
from service.advice.room.findings import room_findings
from service.advice.room.materials import surface_absorption
from service.domain.surface import WALLS
from service.physics.bands import OCTAVE_NOMINAL_HZ, octave_midbands_hz
from service.physics.room import measured_time, reverberation
from service.physics.room.target import studio_time_s, studio_tolerance_s

_MIDDLE = slice(3, 5)  # 500 Hz and 1 kHz


def reverberation_times(request):
    """Answer POST /v1/reverberation.

    Parameters
    ----------
    request : ReverberationRequest
        As told. [-]

    Returns
    -------
    ReverberationAnswer
    """
    assume = Assumptions()
    room = cached_room_model(request.room, assume)
    include_air = assume.take(request.pointer("include_air"), request.include_air)
    return reverberation_answer(room, include_air=include_air, assumptions=assume.listed())


def reverberation_answer(room, *, include_air, assumptions):
    """Return the reverberation of a settled room."""
    tolerance = studio_tolerance_s(octave_midbands_hz())
    target_s = float(studio_time_s(room.volume_m3))
    return ReverberationAnswer(
        octaves_hz=list(OCTAVE_NOMINAL_HZ),
        times_s=five_formulas(room, include_air=include_air),
        used_s=room.time_s,
        used_is=room.time_is,
        target_s=target_s,
        tolerance_s=tolerance.longer_s,
        tolerance_shorter_s=tolerance.shorter_s,
        home_band_s=policy.HOME_TIME_BAND_S,
        to_reach=[_goal(room, "home", policy.HOME_TIME_BAND_S[1]), _goal(room, "studio", target_s)],
        volume_m3=room.volume_m3,
        surface_area_m2=room.surface_area_m2,
        findings=room_findings(room),
        cautions=[],
        assumptions=assumptions,
    )


def five_formulas(room, *, include_air):
    """Return the times of all formulas from the surfaces as told or assumed, by octave."""
    areas = np.array([patch.area_m2 for patch in room.opened_patches])
    absorption = np.array([patch.absorption for patch in room.opened_patches])
    walls = np.array([patch.wall for patch in room.opened_patches])
    pair_areas = np.array([areas[walls // 2 == pair].sum() for pair in range(3)])
    pair_absorption = np.array(
        [areas[walls // 2 == pair] @ absorption[walls // 2 == pair] / pair_areas[pair] for pair in range(3)]
    )
    common = {
        "volume_m3": room.volume_m3,
        "object_area_m2": room.object_area_m2,
        "air_attenuation_per_m": room.air.attenuation_per_m if include_air else np.zeros(8),
        "speed_of_sound_m_s": room.air.speed_of_sound_m_s,
    }
    by_patch, by_pair = {"areas_m2": areas, **common}, {"pair_areas_m2": pair_areas, **common}
    return TimesAnswer(
        sabine=reverberation.sabine_time_s(absorption, **by_patch),
        eyring=reverberation.eyring_time_s(absorption, **by_patch),
        millington=reverberation.millington_time_s(absorption, **by_patch),
        fitzroy=reverberation.fitzroy_time_s(pair_absorption, **by_pair),
        arau_puchades=reverberation.arau_puchades_time_s(pair_absorption, **by_pair),
    )


def _goal(room, name, time_s):
    """What brings the middle octaves to a time."""
    needed_m2 = float(
        measured_time.absorption_area_needed_m2(
            present_time_s=room.middle_time_s,
            wanted_time_s=time_s,
            volume_m3=room.volume_m3,
            surface_area_m2=room.surface_area_m2,
            speed_of_sound_m_s=room.air.speed_of_sound_m_s,
        )
    )
    options = [] if needed_m2 <= 0 else [_option(room, needed_m2, *choice) for choice in policy.ABSORBERS]
    return GoalAnswer(
        goal=name,
        time_s=time_s,
        absorption_area_m2=needed_m2,
        options=[option for option in options if option is not None],
    )


def _option(room, needed_m2, material, surface):
    """One absorber on one surface; None where it absorbs no more than what it covers."""
    wall = WALLS.index(surface)
    covered = room.wall_absorption(octave_midbands_hz()[_MIDDLE])[wall].mean()
    area_m2 = float(
        measured_time.absorber_area_m2(
            added_absorption_area_m2=needed_m2,
            absorber_absorption=surface_absorption(material)[_MIDDLE].mean(),
            covered_absorption=covered,
        )
    )
    if np.isnan(area_m2):
        return None
    return AbsorberOption(
        material=material,
        surface=surface,
        area_m2=area_m2,
        fits=bool(area_m2 <= policy.COVERABLE_RATIO * room.wall_areas_m2[wall]),
    )
