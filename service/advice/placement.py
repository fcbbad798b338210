"""Where the pair and the seat go: constraints from room and speaker, the search, and the answer in centimetres."""

import math
from dataclasses import dataclass, replace

import numpy as np

from service.advice import cautions, policy
from service.advice.answers.common import PlaceAnswer
from service.advice.answers.placement import CurveAnswer, PlacedAnswer, PlacedSpeakerAnswer, PlacementAnswer
from service.advice.as_found import sides_findings, with_sides_mapped
from service.advice.assumptions import DEFAULTS, Assumptions
from service.advice.effort import require_affordable
from service.advice.loudspeaker_model import (
    directivity_index_db,
    radiation_of,
    settled_kind,
    settled_low_limit_hz,
)
from service.advice.placement_limits import first_to_give_up, search_grid, search_limits
from service.advice.placement_merit import (
    geometry_db,
    merit_db,
    merit_parts,
    parts_of_one,
    search_terms,
    tolerance,
    weighted_parts_db,
)
from service.advice.settled import settled_room, source_axes
from service.advice.standing import told_places
from service.advice.tape_measure import tape_measure
from service.advice.wording import placement_findings, room_findings
from service.advice.words import words
from service.domain.limits import MOST_SEARCH_TERMS
from service.domain.position import Place
from service.physics.bands import octave_midbands_hz
from service.physics.placement import merit
from service.physics.placement.candidates import different_best, plan_geometry
from service.physics.placement.search import HEAD_M, Setting, judge_grid, judge_placement
from service.physics.room.target import EARLY_REFLECTION_WINDOW_S
from service.physics.room.wave_field import pressure_ratio
from service.tables.loader import speaker_kinds

_MIDDLE = slice(3, 6)  # 500 Hz to 2 kHz
_TREBLE = slice(4, 8)  # 1 to 8 kHz
_LOWEST_CURVE_HZ, _HIGHEST_CURVE_HZ, _CURVE_POINTS_PER_OCTAVE = 20.0, 200.0, 24


@dataclass(frozen=True, kw_only=True)
class PlacedSpeaker:
    """What the search needs to know of the speaker."""

    radiation: str
    low_limit_hz: float
    directivity_index_db: np.ndarray
    cabinet_width_m: float
    cabinet_depth_m: float


def placement(request):
    """Answer POST /v1/placement.

    Parameters
    ----------
    request : PlacementRequest
        As told. [-]

    Returns
    -------
    PlacementAnswer

    Raises
    ------
    DomainError
        Places or ranges do not fit the room.
    """
    request.room.require_sides()
    assume = Assumptions()
    request = with_sides_mapped(request, assume)
    room = settled_room(request.room, assume)
    speaker = placed_speaker(request.speaker, assume)
    found = told_places(request, assume, room.dimensions_m)
    answer = placement_answer(room, speaker, request, found=found, assume=assume)
    return replace(answer, findings=[*sides_findings(assume), *answer.findings])


def placed_speaker(speaker, assume):
    """Settle what the search needs to know of a speaker, which may be unknown."""
    if speaker is None:
        kind = DEFAULTS["kind"].value
        assume.add(None, {"kind": kind}, why=words("assumptions.speaker_to_place"), source="practice")
        limit_hz = speaker_kinds()[kind].low_limit_hz
        width_m, depth_m = (assume.standard(name) for name in ("cabinet_width_m", "cabinet_depth_m"))
        index_db = np.array(speaker_kinds()[kind].directivity_index_db)
    else:
        kind = settled_kind(speaker, assume)
        limit_hz = settled_low_limit_hz(speaker, kind, assume)
        width_m = assume.take("/speaker/cabinet_width_m", speaker.cabinet_width_m)
        depth_m = assume.take("/speaker/cabinet_depth_m", speaker.cabinet_depth_m)
        index_db = directivity_index_db(speaker, kind, assume)
    return PlacedSpeaker(
        radiation=radiation_of(kind),
        low_limit_hz=limit_hz,
        directivity_index_db=index_db,
        cabinet_width_m=width_m,
        cabinet_depth_m=depth_m,
    )


def placement_answer(room, speaker, request, *, found, assume):
    """Search a settled room for a settled speaker.

    Parameters
    ----------
    room : RoomAcoustics
        [-]
    speaker : PlacedSpeaker
        [-]
    request : PlacementRequest or AdviceRequest
        Its `search`. [-]
    found : Positions or None
        Present positions, checked. [-]
    assume : Assumptions
        [-]
    """
    speaker_z_m = found.speakers[0].z_m if found is not None else assume.standard("speaker_height_m")
    ear_z_m = found.seats[0].z_m if found is not None else assume.standard("ear_height_m")
    seats_m = np.array([seat.xyz_m for seat in found.seats]) if found is not None else np.zeros((1, 3))
    offsets_m = seats_m - seats_m[0]
    setting = _setting(room, speaker, _judged(offsets_m, assume))
    as_found = None if found is None else _as_found(setting, speaker, found, room)
    limits = search_limits(room, speaker, request, found=found, seat_offsets_m=offsets_m)
    common = {"speaker_z_m": speaker_z_m, "ear_z_m": ear_z_m, "seats": len(setting.seat_offsets_m)}
    grid = search_grid(limits, **common)
    too_large = grid is not None and search_terms(setting, grid) > MOST_SEARCH_TERMS
    best = [] if grid is None or too_large else _best(setting, grid, speaker, room, offsets_m)
    gain_db = None if as_found is None or not best else as_found.merit - best[0].merit
    return PlacementAnswer(
        placements=best,
        as_found=as_found,
        gain_of_moving_db=gain_db,
        confidence=room.box_confidence,
        candidates_judged=0 if grid is None or too_large else grid.count,
        front_wall="front_wall",
        weights=policy.MERIT_WEIGHTS,
        findings=[
            *placement_findings(
                best,
                as_found,
                gain_db=gain_db,
                most_gained=None if gain_db is None else _most_gained(as_found, best[0]),
                behind_seat_m=None if not best else room.dimensions_m[0] - best[0].seats[0].x_m,
                in_mid_room=bool(best) and "seat" not in request.search.must_stay and _in_mid_room(best[0], room),
                low_hz=setting.bands.low_hz,
                give_up_first=first_to_give_up(limits, **common) if grid is None else None,
                too_large=too_large,
            ),
            *room_findings(room),
        ],
        cautions=[cautions.caution("heavy"), *cautions.for_cabinet(getattr(request, "speaker", None))],
        assumptions=assume.listed(),
    )


def _judged(seat_offsets_m, assume):
    """Seats that are judged: all of them, or of many the leading one and others evenly picked."""
    count = len(seat_offsets_m)
    if count <= policy.MOST_SEATS_JUDGED:
        return seat_offsets_m
    picked = np.linspace(0, count - 1, policy.MOST_SEATS_JUDGED).round().astype(int)
    assume.add(
        None,
        {"seats_judged": [int(index) + 1 for index in picked]},
        why=words("assumptions.seats_judged"),
        source="ours",
    )
    return seat_offsets_m[picked]


def _most_gained(as_found, winner):
    """Part of the merit that moving improves most."""
    today, then = weighted_parts_db(as_found.parts), weighted_parts_db(winner.parts)
    return max(today, key=lambda name: today[name] - then[name])


def _in_mid_room(placed, room):
    low, high = policy.MID_ROOM_RATIO
    return low <= placed.seats[0].x_m / room.dimensions_m[0] <= high


def _setting(room, speaker, seat_offsets_m):
    """What all candidates have in common."""
    lively = float(room.time_s[:3].mean()) > policy.LIVELY_FROM_S
    least_hz, most_hz = policy.BASS_JUDGED_FROM_HZ
    bands = merit.bass_bands(
        low_hz=min(max(least_hz, speaker.low_limit_hz), most_hz),
        points=policy.POINTS_PER_BAND_LIVELY if lively else policy.POINTS_PER_BAND,
    )
    reverberant = 16 * np.pi / room.room_constant_m2 * 10 ** (-speaker.directivity_index_db / 10)
    treble = room.wall_absorption(octave_midbands_hz()[_TREBLE]).mean(axis=1)
    return Setting(
        box=room.box(bands.frequency_hz),
        bands=bands,
        seat_offsets_m=seat_offsets_m,
        dipole=speaker.radiation == "dipole",
        reverberant_ratio=float(reverberant[_MIDDLE].mean()),
        treble_absorption=np.minimum(treble, policy.MOST_TREBLE_ABSORPTION),
        reflection_window_s=EARLY_REFLECTION_WINDOW_S,
        speed_of_sound_m_s=room.air.speed_of_sound_m_s,
    )


def _best(setting, grid, speaker, room, seat_offsets_m):
    """The best few that really differ, best first."""
    candidates = grid.candidates()
    speakers_m, leads_m = candidates.speakers_m, candidates.seats_m
    geometry = geometry_db(speakers_m, leads_m, dimensions_m=room.dimensions_m)
    parts = merit_parts(judge_grid(setting, grid), geometry)
    total = merit_db(parts)
    spacing_m = speakers_m[:, -1, 1] - speakers_m[:, 0, 1]
    chosen = different_best(
        np.argsort(total, kind="stable"),
        np.stack([speakers_m[:, 0, 0], spacing_m, leads_m[:, 0]], axis=1),
        least_difference_m=policy.DIFFERENT_PLACEMENTS_M,
        most=policy.PROPOSALS,
    )
    placed = []
    for index in chosen:
        lead_m = leads_m[index]
        facing_rad = grid.facing_rad
        if facing_rad is None:
            facing_rad = plan_geometry(speakers_m[index], lead_m).bearing_rad
        placed.append(
            _answer(
                room,
                speaker,
                [
                    Place(x_m=float(x), y_m=float(y), z_m=float(z), facing_deg=float(facing))
                    for (x, y, z), facing in zip(speakers_m[index], np.degrees(facing_rad), strict=True)
                ],
                lead_m + seat_offsets_m,
                parts=parts_of_one(parts, index),
                tolerance=tolerance(setting, speakers_m=speakers_m[index], lead_m=lead_m, facing_rad=grid.facing_rad),
            )
        )
    return placed


def _as_found(setting, speaker, found, room):
    """The present positions, judged like a candidate."""
    speakers_m = np.array([place.xyz_m for place in found.speakers])
    seats_m = np.array([seat.xyz_m for seat in found.seats])
    axes = source_axes(found.speakers, radiation=speaker.radiation)
    ears_m = np.repeat(seats_m[0] + setting.seat_offsets_m, len(HEAD_M), axis=0)
    require_affordable(setting.box, sources_m=speakers_m, axes=axes, seats_m=ears_m, pointer="/positions/seats")
    judgement = judge_placement(setting, speakers_m=speakers_m, axes=axes, lead_m=seats_m[0])
    geometry = geometry_db(speakers_m[None], seats_m[:1], dimensions_m=room.dimensions_m)
    return _answer(
        room,
        speaker,
        found.speakers,
        seats_m,
        parts=parts_of_one(merit_parts(judgement, geometry), 0),
        tolerance=None,
    )


def _answer(room, speaker, speakers, seats_m, *, parts, tolerance):
    """One placement as an answer; `seats_m` (s, 3), the leading one first."""
    seats = [tuple(float(value) for value in seat) for seat in seats_m]
    speakers_m = np.array([place.xyz_m for place in speakers])
    return PlacedAnswer(
        speakers=[
            PlacedSpeakerAnswer(
                x_m=place.x_m,
                y_m=place.y_m,
                z_m=place.z_m,
                facing_deg=place.facing_deg,
                toe_in_deg=toe_in,
                radiation=speaker.radiation,
            )
            for place, toe_in in zip(speakers, _toe_in_deg(speakers, seats[0]), strict=True)
        ],
        seats=[PlaceAnswer(x_m=x, y_m=y, z_m=z) for x, y, z in seats],
        listening_distance_m=float(np.linalg.norm(speakers_m - seats[0], axis=1).mean()),
        base_angle_deg=float(np.degrees(plan_geometry(speakers_m, seats_m[0]).base_angle_rad)),
        merit=float(merit_db(parts)),
        parts=parts,
        tolerance_cm=tolerance,
        tape_measure=tape_measure(speakers, seats, dimensions_m=room.dimensions_m),
        curve=pair_curve(room, speakers, seats[0], radiation=speaker.radiation),
    )


def _toe_in_deg(speakers, lead):
    """Angle of each speaker from straight ahead towards the middle of the pair, or towards the seat of a single one."""
    middle_y_m = sum(place.y_m for place in speakers) / 2 if len(speakers) == 2 else lead[1]
    found = []
    for place in speakers:
        facing = math.radians(place.facing_deg)
        sideways = math.degrees(math.atan2(math.sin(facing), abs(math.cos(facing))))
        found.append(sideways if place.y_m <= middle_y_m else -sideways)
    return found


def pair_curve(room, speakers, lead, *, radiation):
    """Return the room gain of the coherent pair at a seat, 20 to 200 Hz."""
    octaves = math.log2(_HIGHEST_CURVE_HZ / _LOWEST_CURVE_HZ)
    frequency_hz = np.geomspace(_LOWEST_CURVE_HZ, _HIGHEST_CURVE_HZ, round(octaves * _CURVE_POINTS_PER_OCTAVE) + 1)
    field = pressure_ratio(
        room.box(frequency_hz),
        sources_m=np.array([place.xyz_m for place in speakers]),
        axes=source_axes(speakers, radiation=radiation),
        seats_m=np.array([lead]),
    )[0].sum(axis=0)
    return CurveAnswer(frequency_hz=frequency_hz, gain_db=20 * np.log10(np.abs(field)), confidence=room.box_confidence)
