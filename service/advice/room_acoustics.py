"""The room as the physics needs it: air, patches with their absorption, times, room constants and wall admittances."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from service.advice.materials import Patch, object_absorption_m2, patch_of
from service.domain.errors import DomainError
from service.domain.surface import WALLS
from service.physics import air
from service.physics.bands import OCTAVE_NOMINAL_HZ, octave_midbands_hz
from service.physics.checks import OutOfRangeError
from service.physics.room import measured_time, reverberation
from service.physics.room.admittance import (
    PEAK_ABSORPTION_COEFFICIENT,
    absorption_from_admittance,
    absorption_is_capped,
    admittance_from_absorption,
    interpolated_absorption,
)
from service.physics.room.modes import schroeder_frequency_hz
from service.physics.room.wave_field import Box, box_wavenumbers, uniform_loss_per_m
from service.tables.loader import default_times_s

MIDBANDS_HZ = octave_midbands_hz()

_DEFAULT_TIMES_VOLUME_M3 = 44.0
"""Mean volume of the rooms behind the default times. [JACKSON-LEVENTHALL-1972]"""

_LEAST_ABSORPTION = 0.01
"""Untold surfaces absorb at least this: smooth plaster or concrete."""

_DEFAULT_TIMES_WHY = (
    "times of furnished living rooms, scaled with the cube root of the volume: tables of bare materials would miss the "
    "bass of a real room by a factor of several"
)


@dataclass(frozen=True, kw_only=True)
class Air:
    """Air of the room and what it does to sound."""

    speed_of_sound_m_s: float
    density_kg_m3: float
    impedance_pa_s_m: float
    absorption_db_per_m: np.ndarray
    attenuation_per_m: np.ndarray


@dataclass(frozen=True, kw_only=True)
class RoomAcoustics:
    """A room with every fact settled. Arrays by octave have shape (8,), 63 Hz to 8 kHz."""

    dimensions_m: tuple[float, float, float]
    air: Air
    patches: tuple[Patch, ...]
    object_area_m2: np.ndarray
    objects_fall_below: float
    time_s: np.ndarray
    admittance_scale: np.ndarray
    time_is: str

    @property
    def volume_m3(self):
        """Volume. [m3]"""
        return float(np.prod(self.dimensions_m))

    @cached_property
    def wall_areas_m2(self):
        """Areas of the six surfaces, shape (6,). [m2]"""
        return wall_areas_m2(self.dimensions_m)

    @property
    def surface_area_m2(self):
        """Area of all six surfaces. [m2]"""
        return float(self.wall_areas_m2.sum())

    @cached_property
    def room_constant_m2(self):
        """Room constant by octave. [m2]"""
        exponent = measured_time.eyring_exponent(reverberation_time_s=self.time_s, **self._size)
        return measured_time.room_constant_m2(exponent=exponent, surface_area_m2=self.surface_area_m2)

    @cached_property
    def transition_hz(self):
        """Transition frequency, from the mean time of the 125 and 250 Hz octaves. [Hz]"""
        return float(
            schroeder_frequency_hz(reverberation_time_s=float(self.time_s[1:3].mean()), volume_m3=self.volume_m3)
        )

    @property
    def middle_time_s(self):
        """Mean of the 500 Hz and 1 kHz octaves. [s]"""
        return float(self.time_s[3:5].mean())

    @property
    def _size(self):
        return {
            "volume_m3": self.volume_m3,
            "surface_area_m2": self.surface_area_m2,
            "speed_of_sound_m_s": self.air.speed_of_sound_m_s,
        }

    def wall_absorption(self, frequency_hz):
        """Return the absorption of the six surfaces with what stands in front of them, shape (6, f).

        Furniture and people absorb at the floor and the lower half of the walls: their area is spread there.
        """
        frequency_hz = np.asarray(frequency_hz, dtype=float)
        areas = self.wall_areas_m2
        total = np.zeros((6, len(frequency_hz)))
        for patch in self.patches:
            total[patch.wall] += patch.area_m2 * interpolated_absorption(
                frequency_hz,
                octave_midbands_hz=MIDBANDS_HZ,
                absorption_coefficients=patch.absorption,
                slope_below=patch.slope_below,
            )
        total /= areas[:, None]
        scale = np.interp(np.log(frequency_hz), np.log(MIDBANDS_HZ), self.admittance_scale)
        if (scale != 1).any():
            total = absorption_from_admittance(admittance_from_absorption(total) * scale)
        if self.object_area_m2.any():
            spread = np.array([0.5, 0.5, 0.5, 0.5, 1.0, 0.0])
            on = np.interp(np.log(frequency_hz), np.log(MIDBANDS_HZ), self.object_area_m2)
            on = on * np.minimum(1.0, frequency_hz / MIDBANDS_HZ[0]) ** self.objects_fall_below
            total += spread[:, None] * on / (spread @ areas)
        return np.minimum(total, 1.0)

    def wall_admittance(self, frequency_hz):
        """Return the admittance of the six surfaces at each frequency, shape (6, f)."""
        admittance = admittance_from_absorption(self.wall_absorption(frequency_hz))
        for patch in self.patches:
            whole = patch.area_m2 >= self.wall_areas_m2[patch.wall] * (1 - 1e-9)
            if patch.admittance_ratio is not None and whole and not self.object_area_m2.any():
                admittance[patch.wall] = patch.admittance_ratio
        return admittance

    def box(self, frequency_hz):
        """Return the room for the wave field, its walls doing the damping."""
        wavenumber_per_m = box_wavenumbers(frequency_hz, speed_of_sound_m_s=self.air.speed_of_sound_m_s)
        return Box(
            dimensions_m=self.dimensions_m,
            admittance_ratio=self.wall_admittance(frequency_hz),
            wavenumber_per_m=wavenumber_per_m,
        )

    def uniform_box(self, frequency_hz, *, reverberation_time_s):
        """Return the room for the wave field with rigid walls and one decay for all waves."""
        c = self.air.speed_of_sound_m_s
        wavenumber_per_m = box_wavenumbers(frequency_hz, speed_of_sound_m_s=c)
        return Box(
            dimensions_m=self.dimensions_m,
            admittance_ratio=np.zeros((6, len(wavenumber_per_m))),
            wavenumber_per_m=wavenumber_per_m,
            loss_per_m=float(uniform_loss_per_m(reverberation_time_s=reverberation_time_s, speed_of_sound_m_s=c)),
        )

    @cached_property
    def absorption_is_capped(self):
        """Whether a surface absorbs more in the bass than a wall of real admittance can."""
        return bool(absorption_is_capped(self.wall_absorption(np.geomspace(20, 300, 24))).any())


def wall_areas_m2(dimensions_m):
    """Return the areas of the six surfaces of a box, shape (6,). [m2]"""
    length, width, height = dimensions_m
    return np.array([width * height] * 2 + [length * height] * 2 + [length * width] * 2)


def air_of(room, assume, *, pointer="/room"):
    """Return the air of a room, or of free field when `room` is None."""
    state = {
        name: assume.take(f"{pointer}/{name}", getattr(room, name)) if room is not None else assume.standard(name)
        for name in ("temperature_c", "relative_humidity_pct", "pressure_kpa")
    }
    temperature = {"temperature_c": state["temperature_c"]}
    still = {**temperature, "pressure_kpa": state["pressure_kpa"]}
    absorption = air.absorption_db_per_m(MIDBANDS_HZ, **state)
    return Air(
        speed_of_sound_m_s=float(air.speed_of_sound_m_s(**temperature)),
        density_kg_m3=float(air.density_kg_m3(**still)),
        impedance_pa_s_m=float(air.characteristic_impedance_pa_s_m(**still)),
        absorption_db_per_m=absorption,
        attenuation_per_m=absorption / air.DB_PER_NEPER_OF_ENERGY,
    )


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
        A material is unknown, parts do not fit their wall, or no surfaces can have the time that was measured.

    Notes
    -----
    Surfaces that were told count as told. Untold ones share equally the absorption that brings the room to its time:
    the measured one, else that of furnished rooms. Where all six are told and a time was measured, all admittances
    are scaled by one factor in each band.
    """
    height_m = assume.take("/room/height_m", room.height_m)
    dimensions_m = (room.length_m, room.width_m, height_m)
    the_air = air_of(room, assume)
    areas = wall_areas_m2(dimensions_m)
    told = [] if room.surfaces is None else [
        patch_of(part, area_m2=area, wall=wall, pointer=f"/room/surfaces/{name}")
        for wall, (name, surface) in enumerate(zip(WALLS, room.surfaces, strict=True))
        if surface is not None
        for part, area in zip(
            surface.parts, surface.part_areas_m2(whole_m2=float(areas[wall]), name=name), strict=True
        )
    ]
    people = assume.take("/room/people", room.people)
    objects_m2, fall = object_absorption_m2(room.furniture, people)
    settle = _Settling(
        dimensions_m=dimensions_m, areas=areas, air=the_air, told=told, objects_m2=objects_m2, room=room, assume=assume
    )
    return settle.acoustics(objects_fall_below=fall)


class _Settling:
    """Brings told surfaces, untold surfaces and a time, measured or usual, together."""

    def __init__(self, *, dimensions_m, areas, air, told, objects_m2, room, assume):
        self.dimensions_m, self.areas, self.air, self.told = dimensions_m, areas, air, told
        self.objects_m2, self.room, self.assume = objects_m2, room, assume
        self.volume_m3 = float(np.prod(dimensions_m))
        self.surface_m2 = float(areas.sum())
        self.untold = sorted(set(range(6)) - {patch.wall for patch in told})
        self.measured_s = self._measured_times_s()

    def acoustics(self, *, objects_fall_below):
        patches, scale = list(self.told), np.ones(8)
        if self.untold:
            wanted_s = self.measured_s if self.measured_s is not None else self._usual_times_s()
            patches += self._untold_patches(wanted_s)
        elif self.measured_s is not None:
            scale = self._scale(patches)
        time_s = self.measured_s if self.measured_s is not None else self._eyring_s(patches)
        if self.measured_s is not None:
            time_is = "measured"
        else:
            time_is = "of furnished rooms" if len(self.untold) == 6 else "from the surfaces"
        return RoomAcoustics(
            dimensions_m=self.dimensions_m,
            air=self.air,
            patches=tuple(patches),
            object_area_m2=self.objects_m2,
            objects_fall_below=objects_fall_below,
            time_s=time_s,
            admittance_scale=scale,
            time_is=time_is,
        )

    def _measured_times_s(self):
        by_octave = self.room.reverberation_time_by_octave_s
        if self.room.reverberation_time_s is not None:
            if by_octave is None:
                self.assume.add(
                    None,
                    f"{self.room.reverberation_time_s:g} s in every octave",
                    why="one reverberation time was given for all octaves",
                    source="ours",
                )
            return np.full(8, self.room.reverberation_time_s)
        if by_octave is None:
            return None
        octaves, times = zip(*sorted(by_octave), strict=True)
        return np.interp(np.log(OCTAVE_NOMINAL_HZ), np.log(octaves), times)

    def _usual_times_s(self):
        times = np.array(default_times_s()) * (self.volume_m3 / _DEFAULT_TIMES_VOLUME_M3) ** (1 / 3)
        rounded = {str(octave): round(float(time), 3) for octave, time in zip(OCTAVE_NOMINAL_HZ, times, strict=True)}
        if len(self.untold) == 6:
            self.assume.add(
                "/room/reverberation_time_by_octave_s", rounded, why=_DEFAULT_TIMES_WHY, source="JACKSON-LEVENTHALL-1972"
            )
            return np.array(list(rounded.values()))
        return times

    def _untold_patches(self, wanted_s):
        """Patches of the untold walls, all alike, that bring the room to the wanted times by Eyring's formula."""
        exponent = measured_time.eyring_exponent(
            reverberation_time_s=wanted_s,
            volume_m3=self.volume_m3,
            surface_area_m2=self.surface_m2,
            speed_of_sound_m_s=self.air.speed_of_sound_m_s,
        )
        others_m2 = self.objects_m2 + 4 * self.air.attenuation_per_m * self.volume_m3
        wanted_m2 = -self.surface_m2 * np.expm1(others_m2 / self.surface_m2 - exponent)
        told_m2 = sum((patch.area_m2 * patch.absorption for patch in self.told), np.zeros(8))
        untold_area_m2 = float(self.areas[self.untold].sum())
        absorption = np.clip((wanted_m2 - told_m2) / untold_area_m2, _LEAST_ABSORPTION, PEAK_ABSORPTION_COEFFICIENT)
        if self.told:
            values = {str(octave): round(float(a), 4) for octave, a in zip(OCTAVE_NOMINAL_HZ, absorption, strict=True)}
            absorption = np.array(list(values.values()))
            for wall in self.untold:
                self.assume.add(
                    f"/room/surfaces/{WALLS[wall]}",
                    {"absorption_by_octave": values},
                    why="the surfaces that were not told share what brings the room to its time: "
                    + ("the measured one" if self.measured_s is not None else "that of furnished rooms"),
                    source="ours" if self.measured_s is not None else "JACKSON-LEVENTHALL-1972",
                )
        return [
            Patch(wall=wall, area_m2=float(self.areas[wall]), absorption=absorption, slope_below=0.0, name="not told")
            for wall in self.untold
        ]

    def _formula_arguments(self, patches):
        return {
            "areas_m2": np.array([patch.area_m2 for patch in patches]),
            "volume_m3": self.volume_m3,
            "object_area_m2": self.objects_m2,
            "air_attenuation_per_m": self.air.attenuation_per_m,
            "speed_of_sound_m_s": self.air.speed_of_sound_m_s,
        }

    def _eyring_s(self, patches):
        absorption = np.array([patch.absorption for patch in patches])
        time_s = reverberation.eyring_time_s(absorption, **self._formula_arguments(patches))
        if np.isnan(time_s).any():
            raise DomainError(
                pointer="/room/surfaces",
                code="no_reverberation",
                detail="these surfaces absorb everything, or nothing: no reverberation time follows from them.",
                allowed="a mean absorption more than 0 and less than 1 in every octave",
            )
        return time_s

    def _scale(self, patches):
        absorption = np.array([patch.absorption for patch in patches])
        try:
            return measured_time.admittance_scale_for_time(
                absorption, wanted_time_s=self.measured_s, **self._formula_arguments(patches)
            )
        except OutOfRangeError as error:
            given = self.room.reverberation_time_s
            name = "reverberation_time_s" if given is not None else "reverberation_time_by_octave_s"
            raise DomainError(
                pointer=f"/room/{name}",
                code="time_out_of_reach",
                detail=f"these surfaces cannot have this reverberation time: it must be {error.allowed}.",
                given=given if given is not None else dict(self.room.reverberation_time_by_octave_s),
                allowed=error.allowed,
            ) from error
