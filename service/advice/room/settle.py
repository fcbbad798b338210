"""From the facts of a room, told or usual, to its acoustics: what each surface absorbs, how long the room rings."""

import numpy as np

from service.advice import policy
from service.advice.octaves import by_octave, over_octaves
from service.advice.room.kinds import room_kind, settled_height_m, time_relative_standard_ratio
from service.advice.room.materials import Patch, object_absorption_m2, patch_of
from service.advice.room.model import NOT_TOLD, RoomAcoustics, air_of, cut_open, wall_areas_m2
from service.advice.room.shape import opening_areas_m2, rough_because, settled_sides, walls_are_known
from service.domain.errors import DomainError
from service.domain.limits import LIMITS
from service.domain.surface import WALLS
from service.domain.words import words
from service.physics.bands import OCTAVE_NOMINAL_HZ
from service.physics.checks import OutOfRangeError
from service.physics.room import measured_time, reverberation
from service.physics.room.admittance import PEAK_ABSORPTION_COEFFICIENT

_LEAST_ABSORPTION = 0.01
"""Untold surfaces of a furnished room absorb at least this: smooth plaster or concrete."""

_LEAST_MEASURED_ABSORPTION = 0.001
"""Untold surfaces of a room that was measured absorb at least this: no building material is harder."""

_LEAST_CLOSED_SHARE = 1e-6

_MIDDLE_OCTAVES = np.isin(OCTAVE_NOMINAL_HZ, (500, 1000))
"""A reverberation time given as one number is one of these."""


def room_acoustics(room, assume):
    """Settle every fact of a room.

    Parameters
    ----------
    room : Room
        As told. [-]
    assume : Assumptions
        Receives what had to be assumed. [-]

    Returns
    -------
    RoomAcoustics

    Raises
    ------
    DomainError
        A material is unknown, parts or openings do not fit their wall, or no surfaces can have the time that was
        measured.

    Notes
    -----
    Surfaces that were told count as told. Untold ones share equally the absorption that brings the room to its time:
    the measured one, else that of rooms built and furnished alike. Where the surfaces that were told cannot have the
    measured time, all six of them, or the others at their hardest, all admittances of the band are scaled by one
    factor. An opening takes all sound that meets it in place of its part of the wall; a measured time holds with it.
    """
    sides = settled_sides(room, assume)
    dimensions_m = (sides.length_m, sides.width_m, settled_height_m(room, assume))
    the_air = air_of(room, assume)
    areas = wall_areas_m2(dimensions_m)
    told = (
        []
        if room.surfaces is None
        else [
            patch_of(part, area_m2=area, wall=wall, surface=surface)
            for wall, (name, surface) in enumerate(zip(WALLS, room.surfaces, strict=True))
            if surface is not None
            for part, area in zip(
                surface.parts, surface.part_areas_m2(whole_m2=float(areas[wall]), name=name), strict=True
            )
        ]
    )
    people = assume.take(room.pointer("people"), room.people)
    return _Settling(
        dimensions_m=dimensions_m,
        areas=areas,
        open_m2=opening_areas_m2(room, areas),
        air=the_air,
        told=told,
        objects_m2=object_absorption_m2(room.furniture, people),
        room=room,
        assume=assume,
    ).acoustics()


class _Settling:
    """Brings told surfaces, untold surfaces and a time, measured or usual, together."""

    def __init__(self, *, dimensions_m, areas, open_m2, air, told, objects_m2, room, assume):
        self.dimensions_m, self.areas, self.air, self.told = dimensions_m, areas, air, told
        self.open_m2, self.objects_m2, self.room, self.assume = open_m2, objects_m2, room, assume
        self.volume_m3 = float(np.prod(dimensions_m))
        self.surface_m2 = float(areas.sum())
        self.untold = sorted(set(range(6)) - {patch.wall for patch in told})
        self.measured_s = self._measured_times_s()

    def acoustics(self):
        patches, to_scale = list(self.told), np.full(8, self.measured_s is not None)
        if self.untold:
            absorption, too_much = self._untold_walls()
            patches += self._patches_of_untold(absorption)
            to_scale &= too_much
        opened = cut_open(patches, open_m2=self.open_m2, wall_areas_m2=self.areas)
        scale = np.ones(8)
        if to_scale.any():
            scale[to_scale] = self._scale(opened, to_scale)
        if self.measured_s is not None:
            time_is, relative = "measured", policy.MEASURED_TIME_RELATIVE
        else:
            time_is = "from the surfaces" if self.told else "usual for its kind"
            relative = time_relative_standard_ratio(self.room)
        return RoomAcoustics(
            dimensions_m=self.dimensions_m,
            air=self.air,
            patches=tuple(patches),
            open_m2=self.open_m2,
            object_area_m2=self.objects_m2,
            time_s=self.measured_s if self.measured_s is not None else self._eyring_s(opened),
            admittance_scale=scale,
            time_is=time_is,
            time_relative_standard_ratio=relative,
            sides_are_known=self.room.sides_are_told,
            told_not_a_box=rough_because(self.room),
            walls_are_known=walls_are_known(self.room),
        )

    def _patches_of_untold(self, absorption):
        return [
            Patch(wall=wall, area_m2=float(self.areas[wall]), absorption=absorption, name=NOT_TOLD)
            for wall in self.untold
        ]

    def _longest_times_s(self, absorption):
        """Times when every surface absorbs this little: furniture, people and the air then end the sound."""
        return reverberation.eyring_time_s(
            np.full((1, 8), absorption), areas_m2=np.array([self.surface_m2]), **self._losses(np.full(8, True))
        )

    def _measured_times_s(self):
        """Times of the eight octaves from those that were measured; None where nothing was.

        Octaves that were not measured are ours to fill in: no longer than air and furniture allow.
        """
        told, time_s = self.room.reverberation_time_by_octave_s, self.room.reverberation_time_s
        if time_s is not None:
            measured, times_s, key = _MIDDLE_OCTAVES, np.full(8, time_s), "assumptions.one_time_for_all_octaves"
        elif told is not None:
            measured = np.isin(OCTAVE_NOMINAL_HZ, [octave for octave, _ in told])
            times_s, key = over_octaves(told), "assumptions.times_between_octaves"
        else:
            return None
        if not measured.all():
            longest_s = np.where(measured, np.inf, self._longest_times_s(_LEAST_MEASURED_ABSORPTION))
            if (longest_s < times_s).any():
                key += ".limited"
            times_s = np.minimum(times_s, longest_s)
            filled = zip(OCTAVE_NOMINAL_HZ, times_s, measured, strict=True)
            self.assume.add(
                None,
                {f"reverberation_time_{octave}_hz_s": round(float(t), 3) for octave, t, known in filled if not known},
                why=words(key),
                source="ours",
            )
        return times_s

    def _untold_walls(self):
        """Absorption of the untold walls, and in which octaves the told ones absorb too much for a measured time."""
        if self.measured_s is not None:
            found = self._untold_absorption(self.measured_s, open_m2=self.open_m2)
            self._list_untold(found[0], of="measured", source="ours")
            return found
        kind = room_kind(self.room, self.assume)
        wanted_s = np.minimum(kind.times_s(self.volume_m3), self._longest_times_s(_LEAST_ABSORPTION))
        if self.told:
            found = self._untold_absorption(wanted_s, open_m2=np.zeros(6))
            self._list_untold(found[0], of="usual", source=kind.source)
            return found
        if self.open_m2.any():
            closed, _ = self._untold_absorption(wanted_s, open_m2=np.zeros(6))
            patches = self._patches_of_untold(closed)
            wanted_s = self._eyring_s(cut_open(patches, open_m2=self.open_m2, wall_areas_m2=self.areas))
        # what is listed can be told: never shorter than a request may say
        wanted_s = np.maximum(wanted_s.round(3), LIMITS["reverberation_time_s"].minimum)
        shortest, longest = (by_octave((wanted_s * ratio).round(3)) for ratio in kind.spread_ratio)
        self.assume.add(
            self.room.pointer("reverberation_time_by_octave_s"),
            by_octave(wanted_s),
            why=kind.times_why,
            source=kind.source,
            spread={octave: (shortest[octave], longest[octave]) for octave in shortest},
        )
        return self._untold_absorption(wanted_s, open_m2=self.open_m2)

    def _list_untold(self, absorption, *, of, source):
        """List what walls absorb that were not told, where others were."""
        if not self.told:
            return
        for wall in self.untold:
            self.assume.add(
                self.room.pointer("surfaces", WALLS[wall]),
                {"absorption_by_octave": by_octave(absorption)},
                why=words(f"assumptions.surfaces_not_told.{of}"),
                source=source,
            )

    def _untold_absorption(self, wanted_s, *, open_m2):
        """Absorption of the untold walls, all alike, that brings the room to the wanted times by Eyring's formula.

        `open_m2` are the openings through which sound leaves at these times. Returns also in which octaves the rest of
        the room absorbs too much for that.
        """
        exponent = measured_time.eyring_exponent(
            reverberation_time_s=wanted_s,
            volume_m3=self.volume_m3,
            surface_area_m2=self.surface_m2,
            speed_of_sound_m_s=self.air.speed_of_sound_m_s,
        )
        others_m2 = reverberation.objects_and_air_area_m2(
            object_area_m2=self.objects_m2,
            air_attenuation_per_m=self.air.attenuation_per_m,
            volume_m3=self.volume_m3,
        )
        wanted_m2 = -self.surface_m2 * np.expm1(others_m2 / self.surface_m2 - exponent)
        told = cut_open(self.told, open_m2=open_m2, wall_areas_m2=self.areas)
        told_m2 = sum((patch.area_m2 * patch.absorption for patch in told), np.zeros(8))
        closed_m2 = float((self.areas - open_m2)[self.untold].sum())
        # walls that are open altogether have nothing left to absorb with
        absorption = (wanted_m2 - told_m2) / max(closed_m2, _LEAST_CLOSED_SHARE * self.surface_m2)
        least = _LEAST_MEASURED_ABSORPTION if self.measured_s is not None else _LEAST_ABSORPTION
        too_much = absorption < least * (1 - 1e-6)
        absorption = np.clip(absorption, least, PEAK_ABSORPTION_COEFFICIENT)
        return absorption.round(4) if self.told else absorption, too_much

    def _losses(self, octaves):
        return {
            "volume_m3": self.volume_m3,
            "object_area_m2": self.objects_m2[octaves],
            "air_attenuation_per_m": self.air.attenuation_per_m[octaves],
            "speed_of_sound_m_s": self.air.speed_of_sound_m_s,
        }

    def _formula_arguments(self, patches, octaves):
        return {"areas_m2": np.array([patch.area_m2 for patch in patches]), **self._losses(octaves)}

    def _eyring_s(self, patches):
        absorption = np.array([patch.absorption for patch in patches])
        time_s = reverberation.eyring_time_s(absorption, **self._formula_arguments(patches, np.full(8, True)))
        if np.isnan(time_s).any():
            raise DomainError(
                pointer=self.room.pointer("surfaces"),
                code="no_reverberation",
                detail=words("refusals_room.all_or_nothing_absorbed"),
                allowed=words("refusals_room.all_or_nothing_absorbed.allowed"),
            )
        return time_s

    def _scale(self, patches, octaves):
        """Factor on all admittances, in the octaves asked for, with which the room has its measured time."""
        absorption = np.array([patch.absorption for patch in patches])[:, octaves]
        try:
            return measured_time.admittance_scale_for_time(
                absorption, wanted_time_s=self.measured_s[octaves], **self._formula_arguments(patches, octaves)
            )
        except OutOfRangeError as error:
            if error.name == "absorption_coefficients":
                raise DomainError(
                    pointer=self.room.pointer("surfaces"),
                    code="no_reverberation",
                    detail=words("refusals_room.nothing_absorbed"),
                    allowed=words("refusals_room.nothing_absorbed.allowed"),
                ) from error
            given = self.room.reverberation_time_s
            name = "reverberation_time_s" if given is not None else "reverberation_time_by_octave_s"
            too_long = (self.measured_s >= self._longest_times_s(0.0))[octaves].any()
            key = "refusals_room.time." + ("too_long" if too_long else "too_short")
            raise DomainError(
                pointer=self.room.pointer(name),
                code="time_out_of_reach",
                detail=words(key),
                given=given if given is not None else dict(self.room.reverberation_time_by_octave_s),
                allowed=words(f"{key}.allowed"),
            ) from error
