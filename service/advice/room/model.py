"""A settled room as the physics needs it: air, patches with their absorption, times, constants, admittances."""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from service.advice.octaves import LOWEST_OCTAVES, MIDDLE_OCTAVES, TRANSITION_OCTAVES
from service.advice.room.materials import Patch
from service.physics import air
from service.physics.bands import OCTAVE_RATIO, octave_midbands_hz
from service.physics.frozen import frozen, frozen_record
from service.physics.room import measured_time
from service.physics.room.admittance import (
    PEAK_ABSORPTION_COEFFICIENT,
    absorption_from_admittance,
    absorption_is_capped,
    admittance_from_absorption,
    interpolated_absorption,
)
from service.physics.room.modes import schroeder_frequency_hz
from service.physics.room.wave_field import Box, box_wavenumbers, uniform_loss_per_m

MIDBANDS_HZ = octave_midbands_hz()
NOT_TOLD = "not told"
"""Name of the patches that nobody described."""

OPENING = "opening"
"""Name of the patches that are open."""

_FURNITURE_SPREAD = np.array([0.5, 0.5, 0.5, 0.5, 1.0, 0.0])
"""Share of each surface behind furniture and people: the lower half of the walls and the floor. Ours."""


@dataclass(frozen=True, kw_only=True)
class Air:
    """Air of the room and what it does to sound."""

    speed_of_sound_m_s: float
    density_kg_m3: float
    absorption_db_per_m: np.ndarray
    attenuation_per_m: np.ndarray


@dataclass(frozen=True, kw_only=True)
class RoomAcoustics:
    """A room with every fact settled. Arrays by octave have shape (8,), 63 Hz to 8 kHz.

    `patches` are the walls as if closed, `open_m2` (6,) the openings in them. `time_relative_standard_ratio` is the
    relative standard uncertainty of the times. `sides_are_known` is False where length and width were made up from the
    floor area: what depends on them is then not to be shown.
    """

    dimensions_m: tuple[float, float, float]
    air: Air
    patches: tuple[Patch, ...]
    open_m2: np.ndarray
    object_area_m2: np.ndarray
    time_s: np.ndarray
    admittance_scale: np.ndarray
    time_is: str
    time_relative_standard_ratio: float
    sides_are_known: bool
    told_not_a_box: tuple[str, ...]
    walls_are_known: bool

    @property
    def volume_m3(self):
        """Volume. [m3]"""
        return float(np.prod(self.dimensions_m))

    @cached_property
    def wall_areas_m2(self):
        """Areas of the six surfaces, shape (6,). [m2]"""
        return frozen(wall_areas_m2(self.dimensions_m))

    @property
    def surface_area_m2(self):
        """Area of all six surfaces. [m2]"""
        return float(self.wall_areas_m2.sum())

    @cached_property
    def room_constant_m2(self):
        """Room constant by octave. [m2]"""
        exponent = measured_time.eyring_exponent(reverberation_time_s=self.time_s, **self._size)
        return frozen(measured_time.room_constant_m2(exponent=exponent, surface_area_m2=self.surface_area_m2))

    @cached_property
    def transition_hz(self):
        """Transition frequency, from the mean time of the 125 and 250 Hz octaves. [Hz]"""
        return float(
            schroeder_frequency_hz(
                reverberation_time_s=float(self.time_s[TRANSITION_OCTAVES].mean()), volume_m3=self.volume_m3
            )
        )

    @property
    def middle_time_s(self):
        """Mean of the 500 Hz and 1 kHz octaves. [s]"""
        return float(self.time_s[MIDDLE_OCTAVES].mean())

    @cached_property
    def opened_patches(self):
        """All surfaces with the openings cut into them, as the reverberation meets them."""
        return frozen_record(cut_open(self.patches, open_m2=self.open_m2, wall_areas_m2=self.wall_areas_m2))

    @cached_property
    def rough_because(self):
        """Why the bass is a guide only, as codes: openings, shape, attic."""
        found = self.told_not_a_box
        return ("openings", *found) if self.has_opening and "openings" not in found else found

    @property
    def box_confidence(self):
        """How far the wave field of a closed box holds for this room: firm, fair or rough."""
        if self.rough_because:
            return "rough"
        return "firm" if self.walls_are_known else "fair"

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
                octave_midbands_hz=MIDBANDS_HZ[patch.first_known :],
                absorption_coefficients=patch.absorption[patch.first_known :],
                slope_below=patch.slope_below,
            )
        total /= areas[:, None]
        scale = self._scale(frequency_hz)
        if (scale != 1).any():
            total = absorption_from_admittance(admittance_from_absorption(total) * scale)
        if self.object_area_m2.any():
            total += _FURNITURE_SPREAD[:, None] * self._objects_m2(frequency_hz) / (_FURNITURE_SPREAD @ areas)
        return np.minimum(total, 1.0)

    def _scale(self, frequency_hz):
        return np.interp(np.log(frequency_hz), np.log(MIDBANDS_HZ), self.admittance_scale)

    def _objects_m2(self, frequency_hz):
        """Absorption area of furniture and people; below 125 Hz it falls as from 125 to 63 Hz."""
        at_63, at_125 = self.object_area_m2[LOWEST_OCTAVES]
        slope = np.clip(np.log(at_125 / at_63) / np.log(OCTAVE_RATIO), 0.0, 2.0)
        held = np.interp(np.log(frequency_hz), np.log(MIDBANDS_HZ[1:]), self.object_area_m2[1:])
        return held * np.minimum(1.0, frequency_hz / MIDBANDS_HZ[1]) ** slope

    def wall_admittance(self, frequency_hz):
        """Return the admittance of the six surfaces at each frequency, shape (6, f).

        A surface told by its admittance keeps it, also beyond the peak of the absorption, unless a measured time scales
        all walls or furniture stands in front of it.
        """
        admittance = admittance_from_absorption(self.wall_absorption(frequency_hz))
        for patch in self.patches:
            whole = patch.area_m2 >= self.wall_areas_m2[patch.wall] * (1 - 1e-9)
            furnished = self.object_area_m2.any() and _FURNITURE_SPREAD[patch.wall] > 0
            if patch.admittance_ratio is not None and whole and not furnished:
                admittance[patch.wall] = np.where(
                    self._scale(frequency_hz) == 1, patch.admittance_ratio, admittance[patch.wall]
                )
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

    @cached_property
    def has_opening(self):
        """Whether a part of a surface takes in all sound, as an open door or window does."""
        told = [patch for patch in self.patches if patch.name != NOT_TOLD and patch.area_m2 > 0]
        return any((patch.absorption[LOWEST_OCTAVES] >= PEAK_ABSORPTION_COEFFICIENT).all() for patch in told)


def wall_areas_m2(dimensions_m):
    """Return the areas of the six surfaces of a box, shape (6,). [m2]"""
    length, width, height = dimensions_m
    return np.array([width * height] * 2 + [length * height] * 2 + [length * width] * 2)


def cut_open(patches, *, open_m2, wall_areas_m2):
    """Return patches with the openings of their walls cut in, which absorb everything.

    Parameters
    ----------
    patches : sequence of Patch
        [-]
    open_m2, wall_areas_m2 : ndarray, shape (6,)
        Areas of the openings and of the whole surfaces. [m2]
    """
    if not open_m2.any():
        return tuple(patches)
    closed = 1 - open_m2 / wall_areas_m2
    cut = [replace(patch, area_m2=patch.area_m2 * float(closed[patch.wall])) for patch in patches]
    return (
        *cut,
        *(
            Patch(wall=int(wall), area_m2=float(open_m2[wall]), absorption=np.ones(8), name=OPENING)
            for wall in np.flatnonzero(open_m2)
        ),
    )


def air_of(room, assume):
    """Return the air of a room, or of free field when `room` is None."""
    if room is None:
        state = {name: assume.standard(name) for name in ("temperature_c", "relative_humidity_pct", "pressure_kpa")}
    else:
        state = {
            "temperature_c": assume.take(room.pointer("temperature_c"), room.temperature_c),
            "relative_humidity_pct": assume.take(room.pointer("relative_humidity_pct"), room.relative_humidity_pct),
            "pressure_kpa": assume.take(room.pointer("pressure_kpa"), room.pressure_kpa),
        }
    absorption = air.absorption_db_per_m(MIDBANDS_HZ, **state)
    return Air(
        speed_of_sound_m_s=float(air.speed_of_sound_m_s(temperature_c=state["temperature_c"])),
        density_kg_m3=float(
            air.density_kg_m3(temperature_c=state["temperature_c"], pressure_kpa=state["pressure_kpa"])
        ),
        absorption_db_per_m=absorption,
        attenuation_per_m=absorption / air.DB_PER_NEPER_OF_ENERGY,
    )
