"""First reflections of each speaker at the chair: how strong, how late, where, and what would tame them."""

from dataclasses import dataclass

import numpy as np

from service.advice import policy
from service.advice.answers.common import PlaceAnswer
from service.advice.answers.reflections import (
    CoveringAnswer,
    ReflectionAnswer,
    ReflectionsAnswer,
    ReflectionsPart,
    TreatmentAnswer,
)
from service.advice.assumptions import DEFAULTS, Assumptions
from service.advice.findings.cautions import caution
from service.advice.places.as_found import sides_findings, with_sides_mapped
from service.advice.places.settle import settled_positions
from service.advice.room.cached import cached_room_model
from service.advice.room.findings import room_findings
from service.advice.room.materials import surface_absorption
from service.advice.room_questions.reflections_findings import reflections_findings
from service.advice.speaker.model import directivity_index_db, radiation_of, settled_kind
from service.domain.words import words
from service.physics.bands import OCTAVE_NOMINAL_HZ, octave_midbands_hz
from service.physics.loudspeaker.off_axis import off_axis_gain_db
from service.physics.room.reflections import WALLS, first_order_reflections, first_zone_area_m2
from service.physics.room.target import EARLY_REFLECTION_LIMIT_DB, EARLY_REFLECTION_WINDOW_S
from service.tables.loader import speaker_kinds

_TREBLE = slice(4, 8)  # octaves of 1 to 8 kHz
_ZONE_HZ = 1000.0
_SOURCE = "ITU-R-BS-1116"


@dataclass(frozen=True, kw_only=True)
class Beam:
    """How a speaker sends sound to its sides: directivity index by octave (8,), and whether its back is as loud."""

    directivity_index_db: np.ndarray
    to_both_sides: bool

    def gain_db(self, angle_deg):
        """Return the level by octave at angles from the axis, re on the axis, shape (..., 8). [dB]"""
        return off_axis_gain_db(
            np.asarray(angle_deg)[..., None],
            directivity_index_db=self.directivity_index_db,
            to_both_sides=self.to_both_sides,
            lowest_db=policy.LOWEST_OFF_AXIS_DB,
        )


def reflections(request):
    """Answer POST /v1/reflections.

    Parameters
    ----------
    request : ReflectionsRequest
        As told. [-]

    Returns
    -------
    ReflectionsAnswer

    Raises
    ------
    DomainError
        The sides of the room are not known, or the places do not fit it.
    """
    request.room.require_sides()
    assume = Assumptions()
    request = with_sides_mapped(request, assume)
    room = cached_room_model(request.room, assume)
    beam = settled_beam(request.speaker, assume)
    count = request.speaker_count
    if count is None and request.positions is not None:
        count = len(request.positions.speakers)
    count = assume.take(request.pointer("speaker_count"), count)
    standing = settled_positions(request, assume, dimensions_m=room.dimensions_m, speaker_count=count)
    part = reflections_part(room, beam, standing.positions)
    seat = standing.positions.seats[0]
    return ReflectionsAnswer(
        **{name: getattr(part, name) for name in ReflectionsPart.__dataclass_fields__},
        findings=[
            *sides_findings(assume),
            *reflections_findings(part.reflections, seat=seat, speaker_count=count),
            *room_findings(room),
        ],
        cautions=[caution("mounting")] if any(_hangs(each) for each in part.reflections) else [],
        assumptions=assume.listed(),
    )


def _hangs(reflection):
    return reflection.treatment is not None and reflection.surface != "floor"


def settled_beam(speaker, assume):
    """Settle how a speaker, which may be unknown, sends sound to its sides."""
    if speaker is None:
        kind = DEFAULTS["speaker/kind"].value
        assume.add(None, {"kind": kind}, why=words("assumptions.speaker_of_reflections"), source="practice")
        index_db = np.array(speaker_kinds()[kind].directivity_index_db)
    else:
        kind = settled_kind(speaker, assume)
        index_db = directivity_index_db(speaker, kind, assume)
    assume.add(
        None, {"lowest_off_axis_db": policy.LOWEST_OFF_AXIS_DB}, why=words("assumptions.off_axis"), source="ours"
    )
    return Beam(directivity_index_db=index_db, to_both_sides=radiation_of(kind) == "dipole")


def reflections_part(room, beam, positions):
    """Return the first reflections of each speaker at the first seat.

    Parameters
    ----------
    room : RoomAcoustics
        [-]
    beam : Beam
        Of every speaker. [-]
    positions : Positions
        Inside the room; the speakers with a direction. [-]

    Returns
    -------
    ReflectionsPart
    """
    seat_m = positions.seats[0].xyz_m
    found, direct_m = [], []
    for number, place in enumerate(positions.speakers, start=1):
        physical = _from_hard_surfaces(room, place.xyz_m, seat_m)
        direct_m.append(physical.direct_path_m)
        found += _of_speaker(number, place, seat_m, physical, room, beam)
    return ReflectionsPart(
        octaves_hz=list(OCTAVE_NOMINAL_HZ),
        direct_path_m=direct_m,
        # rounded, so that equals of a mirror image pair keep the order of the speakers
        reflections=sorted(found, key=lambda reflection: -round(reflection.level_1_to_8_khz_db, 6)),
        limit_db=EARLY_REFLECTION_LIMIT_DB,
        window_ms=1000 * EARLY_REFLECTION_WINDOW_S,
        source=_SOURCE,
    )


def _from_hard_surfaces(room, speaker_m, seat_m):
    length_m, width_m, height_m = room.dimensions_m
    return first_order_reflections(
        speaker_m,
        seat_m,
        length_m=length_m,
        width_m=width_m,
        height_m=height_m,
        absorption_coefficients=np.zeros(6),
        speed_of_sound_m_s=room.air.speed_of_sound_m_s,
    )


def _of_speaker(number, place, seat_m, physical, room, beam):
    """Yield the six reflections of one speaker, its directivity on both ways taken into account."""
    place_m, seat_m = np.array(place.xyz_m), np.array(seat_m)
    facing = np.radians(place.facing_deg)
    axis = np.array([np.cos(facing), np.sin(facing), 0.0])
    leaves_deg = np.array([_angle_deg(axis, point - place_m) for point in physical.point_m])
    direct_db = beam.gain_db(_angle_deg(axis, seat_m - place_m))
    hard_db = physical.level_db[:, None] + beam.gain_db(leaves_deg) - direct_db
    absorption = _absorption(room)
    zone_m2 = _zones_m2(place_m, seat_m, physical, wavelength_m=room.air.speed_of_sound_m_s / _ZONE_HZ)
    for wall, surface in enumerate(WALLS):
        level_db = hard_db[wall] + _loss_db(absorption[wall])
        treble_db = _treble_db(level_db)
        early = bool(physical.delay_s[wall] <= EARLY_REFLECTION_WINDOW_S)
        treatment = None
        if early and treble_db > EARLY_REFLECTION_LIMIT_DB:
            treatment = _treatment(surface, hard_db[wall], today_db=treble_db, area_m2=float(zone_m2[wall]))
        x_m, y_m, z_m = (float(value) for value in physical.point_m[wall])
        yield ReflectionAnswer(
            speaker=number,
            surface=surface,
            path_m=float(physical.path_m[wall]),
            delay_ms=1000 * float(physical.delay_s[wall]),
            leaves_at_deg=float(leaves_deg[wall]),
            level_db=level_db,
            level_1_to_8_khz_db=treble_db,
            point=PlaceAnswer(x_m=x_m, y_m=y_m, z_m=z_m),
            is_early=early,
            treatment=treatment,
        )


def _angle_deg(axis, way):
    """Angle between an axis and a way, which has a length: places are neither in a surface nor at one another."""
    return float(np.degrees(np.arccos(np.clip(axis @ way / np.linalg.norm(way), -1.0, 1.0))))


def _absorption(room):
    """Absorption of the six surfaces by octave, shape (6, 8). What meets an opening is gone; where in its wall it is,
    nobody told: it counts by its share of the wall."""
    closed = room.wall_absorption(octave_midbands_hz())
    return closed + (1 - closed) * (room.open_m2 / room.wall_areas_m2)[:, None]


def _loss_db(absorption):
    return 10 * np.log10(1 - np.minimum(absorption, policy.MOST_TREBLE_ABSORPTION))


def _treble_db(level_db):
    """Mean energy of the octaves 1 to 8 kHz as a level."""
    return float(10 * np.log10((10 ** (level_db[_TREBLE] / 10)).mean()))


def _zones_m2(place_m, seat_m, physical, *, wavelength_m):
    """Area of each surface that makes most of its reflection, shape (6,)."""
    axes = np.arange(6) // 2
    on_surface_m = physical.point_m[np.arange(6), axes]
    gaps_m = np.abs(place_m[axes] - on_surface_m) + np.abs(seat_m[axes] - on_surface_m)
    return first_zone_area_m2(
        source_path_m=np.linalg.norm(physical.point_m - place_m, axis=1),
        receiver_path_m=np.linalg.norm(physical.point_m - seat_m, axis=1),
        incidence_deg=np.degrees(np.arccos(np.clip(gaps_m / physical.path_m, 0.0, 1.0))),
        wavelength_m=wavelength_m,
    )


def _treatment(surface, hard_db, *, today_db, area_m2):
    """What brings a reflection, `hard_db` by octave from a hard surface and `today_db` now, down to the limit."""
    coverings = []
    for identifier, surfaces in policy.REFLECTION_COVERINGS:
        with_it_db = _treble_db(hard_db + _loss_db(surface_absorption(identifier)))
        if surface in surfaces and with_it_db < today_db:
            coverings.append(
                CoveringAnswer(
                    material=identifier,
                    level_1_to_8_khz_db=with_it_db,
                    reaches_limit=with_it_db <= EARLY_REFLECTION_LIMIT_DB,
                )
            )
    needed = 1 - 10 ** ((EARLY_REFLECTION_LIMIT_DB - _treble_db(hard_db)) / 10)
    return TreatmentAnswer(absorption_coefficient=needed, area_m2=area_m2, coverings=coverings)
