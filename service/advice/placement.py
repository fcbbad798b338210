"""Where the pair and the seat go: constraints from room and speaker, the search, and the answer in centimetres."""

import math
from dataclasses import dataclass

import numpy as np

from service.advice import cautions, policy
from service.advice.answers import (
    CurveAnswer,
    MeritParts,
    PlaceAnswer,
    PlacedAnswer,
    PlacedSpeakerAnswer,
    PlacementAnswer,
    ToleranceAnswer,
)
from service.advice.assumptions import DEFAULTS, LOW_LIMITS_HZ, Assumptions, Default
from service.advice.settled import settled_room, source_axes
from service.advice.standing import facing_deg, told_positions
from service.advice.tape_measure import tape_measure
from service.advice.wording import placement_findings, room_findings
from service.domain.errors import DomainError
from service.domain.position import Place
from service.physics.bands import octave_midbands_hz
from service.physics.placement import merit
from service.physics.placement.candidates import candidate_grid, different_best, plan_geometry
from service.physics.placement.search import Setting, judge_grid, judge_placement
from service.physics.room.wave_field import pressure_ratio
from service.tables.loader import directivity_indices_db

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
    assume = Assumptions()
    room = settled_room(request.room, assume)
    speaker = placed_speaker(request.speaker, assume)
    found = None
    if request.positions is not None:
        found = told_positions(request.positions, dimensions_m=room.dimensions_m)
    return placement_answer(room, speaker, request, found=found, assume=assume)


def placed_speaker(speaker, assume):
    """Settle what the search needs to know of a speaker, which may be unknown."""
    told = {name: None if speaker is None else getattr(speaker, name) for name in
            ("kind", "low_limit_hz", "cabinet_width_m", "cabinet_depth_m")}
    bass = None if speaker is None else speaker.bass_section
    pointer = "/speaker/low_limit_hz" if bass is None else "/speaker/bass_section/low_limit_hz"
    told_limit_hz = told["low_limit_hz"] if bass is None else bass.low_limit_hz
    kind = told["kind"] or ("top_with_bass_section" if bass is not None else None)
    if speaker is None:
        kind = DEFAULTS["kind"].value
        assume.add(None, {"kind": kind}, why="no speaker was told; the usual one is placed", source="practice")
        limit_hz = LOW_LIMITS_HZ[kind]
        width_m, depth_m = (assume.standard(name) for name in ("cabinet_width_m", "cabinet_depth_m"))
    else:
        kind = assume.take("/speaker/kind", kind)
        usual = Default(value=LOW_LIMITS_HZ[kind], why=f"usual low limit of a speaker of kind {kind}", source="practice")
        limit_hz = assume.take(pointer, told_limit_hz, default=usual)
        width_m = assume.take("/speaker/cabinet_width_m", told["cabinet_width_m"])
        depth_m = assume.take("/speaker/cabinet_depth_m", told["cabinet_depth_m"])
    return PlacedSpeaker(
        radiation="dipole" if kind == "open_baffle" else "monopole",
        low_limit_hz=limit_hz,
        directivity_index_db=np.array(directivity_indices_db()[kind]),
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
    setting = _setting(room, speaker, found, assume)
    ranges = _ranges(room, speaker, request, found, setting)
    as_found = None if found is None else _as_found(setting, speaker, found, room)
    best, judged = [], 0
    if ranges is not None:
        grid = candidate_grid(**ranges)
        if grid.count > policy.MOST_CANDIDATES:
            raise DomainError(
                pointer="/search",
                code="too_much_work",
                detail=f"these ranges hold {grid.count} candidates.",
                given=grid.count,
                allowed=f"at most {policy.MOST_CANDIDATES} candidates: narrow a range",
            )
        grid = _without_forbidden(grid, request.search, room)
        judged = grid.count
        if judged:
            best = _best(setting, grid, speaker, room)
    gain_db = None if as_found is None or not best else as_found.merit - best[0].merit
    seat_ratio = None if not best else best[0].seats[0].x_m / room.dimensions_m[0]
    return PlacementAnswer(
        placements=best,
        as_found=as_found,
        gain_of_moving_db=gain_db,
        candidates_judged=judged,
        front_wall="front_wall",
        weights=policy.MERIT_WEIGHTS,
        findings=[
            *placement_findings(best, as_found, gain_db=gain_db, seat_ratio=seat_ratio, low_hz=setting.bands.midbands_hz[0]),
            *room_findings(room),
        ],
        cautions=[cautions.caution("heavy"), *cautions.for_cabinet(getattr(request, "speaker", None))],
        assumptions=assume.listed(),
    )


def _setting(room, speaker, found, assume):
    """What all candidates have in common."""
    speaker_z_m = found.speakers[0].z_m if found is not None else assume.standard("speaker_height_m")
    seats_m = np.array([seat.xyz_m for seat in found.seats]) if found is not None else np.zeros((1, 3))
    ear_z_m = float(seats_m[0, 2]) if found is not None else assume.standard("ear_height_m")
    lively = float(room.time_s[:3].mean()) > policy.LIVELY_FROM_S
    bands = merit.bass_bands(
        low_limit_hz=speaker.low_limit_hz, points=policy.POINTS_PER_BAND_LIVELY if lively else policy.POINTS_PER_BAND
    )
    reverberant = 16 * np.pi / room.room_constant_m2 * 10 ** (-speaker.directivity_index_db / 10)
    return Setting(
        box=room.box(bands.frequency_hz),
        bands=bands,
        speaker_z_m=speaker_z_m,
        seat_offsets_m=seats_m - seats_m[0],
        ear_z_m=ear_z_m,
        dipole=speaker.radiation == "dipole",
        reverberant_ratio=float(reverberant[_MIDDLE].mean()),
        treble_absorption=np.minimum(room.wall_absorption(octave_midbands_hz()[_TREBLE]).mean(axis=1), 0.999),
        reflection_window_s=0.015,
        speed_of_sound_m_s=room.air.speed_of_sound_m_s,
    )


def _ranges(room, speaker, request, found, setting):
    """Ends of the three ranges, or None when the room leaves no place for a pair and a seat."""
    search = request.search
    length_m, width_m, _ = room.dimensions_m
    side_m = max(policy.SIDE_WALL_FREE_M + speaker.cabinet_width_m / 2, policy.LEAST_WALL_DISTANCE_M)
    widest_m = width_m - 2 * side_m
    nearest_m = speaker.cabinet_depth_m + policy.BEHIND_CABINET_M
    furthest_m = max(min(policy.FRONT_SEARCHED_UP_TO_M, policy.FRONT_SEARCHED_SHARE * length_m), nearest_m)
    back_m = search.seat_to_back_wall_min_m
    back_m = policy.SEAT_TO_BACK_WALL_M if back_m is None else back_m
    offsets = setting.seat_offsets_m[:, 0]
    last_seat_m = length_m - max(back_m, 0.12) - max(offsets.max(), 0.0)
    spacing = search.spacing_m or tuple(min(end, widest_m) for end in policy.SPACING_SEARCHED_M)
    front = search.front_wall_distance_m or (nearest_m, furthest_m)
    if search.spacing_m is not None and spacing[1] >= width_m:
        raise DomainError(
            pointer="/search/spacing_m/1",
            code="does_not_fit",
            detail=f"a pair {spacing[1]:g} m apart does not fit into a width of {width_m:g} m.",
            given=spacing[1],
            allowed=f"less than {width_m:g}",
        )
    if search.front_wall_distance_m is not None and front[1] >= length_m:
        raise DomainError(
            pointer="/search/front_wall_distance_m/1",
            code="does_not_fit",
            detail=f"{front[1]:g} m from the front wall is outside a room {length_m:g} m long.",
            given=front[1],
            allowed=f"less than {length_m:g}",
        )
    seat = (front[0] + policy.LEAST_DEPTH_M - min(offsets.min(), 0.0), last_seat_m)
    if "speakers" in search.must_stay or "seat" in search.must_stay:
        if found is None:
            raise DomainError(
                pointer="/search/must_stay",
                code="missing",
                detail="what must stay where it is needs positions.",
                given=list(search.must_stay),
                allowed="positions of the speakers and the seat",
            )
        if "seat" in search.must_stay:
            seat = (found.seats[0].x_m,) * 2
        if "speakers" in search.must_stay:
            front = (float(np.mean([place.x_m for place in found.speakers])),) * 2
            spacing = (_spacing_m(found.speakers),) * 2
    if seat[1] < seat[0] or spacing[1] < spacing[0] or front[1] < front[0] or spacing[0] <= 0:
        return None
    return {
        "front_range_m": front,
        "spacing_range_m": spacing,
        "seat_range_m": seat,
        "step_m": policy.SEARCH_STEP_M,
        "spacing_step_m": policy.SEARCH_SPACING_STEP_M,
        "least_depth_m": policy.LEAST_DEPTH_M - min(offsets.min(), 0.0),
        "angle_range_deg": policy.BASE_ANGLE_SEARCHED_DEG,
        "distance_range_m": _distance_range_m(getattr(request, "listening_distance_m", None), longest_m=last_seat_m - front[0]),
    }


def _distance_range_m(told_m, *, longest_m):
    """Distances to search: around the one that was told, else the usual ones, as far as the room allows."""
    nearest_m, furthest_m = policy.DISTANCE_SEARCHED_M
    if told_m is not None:
        nearest_m, furthest_m = (told_m * (1 + sign * policy.DISTANCE_KEPT_RATIO) for sign in (-1, 1))
    return min(nearest_m, max(longest_m, 0.1)), furthest_m


def _without_forbidden(grid, search, room):
    """Take seats in mid-room out of the grid where that was asked for."""
    if not search.seat_not_mid_room:
        return grid
    low, high = (ratio * room.dimensions_m[0] for ratio in policy.MID_ROOM_RATIO)
    outside = (grid.seat_x_m < low) | (grid.seat_x_m > high)
    return type(grid)(
        spacing_m=grid.spacing_m, front_m=grid.front_m, seat_x_m=grid.seat_x_m, allowed=grid.allowed & outside
    )


def _best(setting, grid, speaker, room):
    """The best few that really differ, with tolerances from the grid around each."""
    judgement = judge_grid(setting, grid)
    j, i, k = np.nonzero(grid.allowed)
    coordinates_m = np.stack([grid.front_m[i], grid.spacing_m[j], grid.seat_x_m[k]], axis=1)
    geometry_db = _geometry_db(room, coordinates_m)
    total = _merit(judgement, geometry_db)
    # equal within half a decibel of rounding: the better geometry first
    order = np.lexsort((geometry_db, np.round(total, 1)))
    chosen = different_best(
        order, coordinates_m, least_difference_m=policy.DIFFERENT_PLACEMENTS_M, most=policy.PROPOSALS
    )
    table = np.full(grid.allowed.shape, np.inf)
    table[j, i, k] = total
    return [
        _placed(
            setting,
            speaker,
            room,
            coordinates_m[index],
            merit_db=float(total[index]),
            parts=_parts(judgement, index, float(geometry_db[index])),
            tolerance=_tolerance(table, (j[index], i[index], k[index])),
        )
        for index in chosen
    ]


def _merit(judgement, geometry_db):
    """Weighted sum of the parts. [dB]"""
    low, high = policy.BALANCE_WITHIN_DB
    weights = policy.MERIT_WEIGHTS
    return (
        weights["bass_unevenness_db"] * judgement.bass.bass_unevenness_db
        + weights["dips_db"] * judgement.bass.dips_db
        + weights["seat_spread_db"] * judgement.seat_spread_db
        + weights["bass_balance_db"] * merit.outside_db(judgement.bass_balance_db, low=low, high=high)
        + weights["strongest_reflection_db"]
        * np.maximum(judgement.strongest_reflection_db - policy.REFLECTION_FROM_DB, 0.0)
        + weights["geometry_db"] * geometry_db
    )


def _geometry_db(room, coordinates_m):
    """1 dB for 10 degrees outside the base angle, 1 dB for half a metre short of a free wall distance, at most 2."""
    front_m, spacing_m, seat_m = coordinates_m.T
    angle_deg = 2 * np.degrees(plan_geometry(spacing_m, seat_m - front_m).half_angle_rad)
    low, high = policy.BASE_ANGLE_WITHIN_DEG
    wall_m = np.minimum(front_m, (room.dimensions_m[1] - spacing_m) / 2)
    penalty = merit.outside_db(angle_deg, low=low, high=high) / 10
    penalty = penalty + np.maximum(policy.FREE_WALL_DISTANCE_M - wall_m, 0.0) / 0.5
    return np.minimum(penalty, policy.MOST_GEOMETRY_DB)


def _parts(judgement, index, geometry_db):
    bass = judgement.bass
    return MeritParts(
        bass_unevenness_db=float(bass.bass_unevenness_db[index]),
        dips_db=float(bass.dips_db[index]),
        deepest_hole_db=float(bass.deepest_hole_db[index]),
        deepest_hole_hz=float(bass.deepest_hole_hz[index]),
        slope_db_per_octave=float(bass.slope_db_per_octave[index]),
        seat_spread_db=float(judgement.seat_spread_db[index]),
        bass_balance_db=float(judgement.bass_balance_db[index]),
        strongest_reflection_db=float(judgement.strongest_reflection_db[index]),
        geometry_db=geometry_db,
    )


def _tolerance(table, at):
    """How far along each axis of the table the merit stays within the tolerance, the nearer of both ways. [cm]"""
    centre = table[at]
    steps_m = (policy.SEARCH_SPACING_STEP_M, policy.SEARCH_STEP_M, policy.SEARCH_STEP_M)
    found = {}
    for axis, (name, step_m) in enumerate(
        zip(("spacing", "front_wall_distance", "seat"), steps_m, strict=True)
    ):
        line = np.moveaxis(table, axis, -1)[tuple(at[other] for other in range(3) if other != axis)]
        ways = [_reach(line[at[axis] :: direction] - centre) for direction in (1, -1)]
        steps = min((way for way in ways if way is not None), default=0.5)
        found[name] = 100 * step_m * steps
    return ToleranceAnswer(**found)


def _reach(rise_db):
    """Steps until the rise passes the tolerance, interpolated; None where no step is allowed that way."""
    rise_db = rise_db[: np.argmax(np.isinf(rise_db))] if np.isinf(rise_db).any() else rise_db
    if len(rise_db) < 2:
        return None
    beyond = np.nonzero(rise_db > policy.TOLERANCE_DB)[0]
    if not len(beyond):
        return float(len(rise_db) - 1)
    step = beyond[0]
    before, after = rise_db[step - 1], rise_db[step]
    return float(step - 1 + (policy.TOLERANCE_DB - before) / (after - before))


def _spacing_m(speakers):
    return abs(speakers[-1].y_m - speakers[0].y_m)


def _placed(setting, speaker, room, coordinates_m, *, merit_db, parts, tolerance):
    """A placement of the grid as an answer."""
    front_m, spacing_m, seat_x_m = (round(float(value), 3) for value in coordinates_m)
    _, width_m, _ = room.dimensions_m
    lead = (seat_x_m, width_m / 2, setting.ear_z_m)
    speakers = []
    for side in (-1, 1):
        xyz = (front_m, round(width_m / 2 + side * spacing_m / 2, 4), setting.speaker_z_m)
        speakers.append(Place(x_m=xyz[0], y_m=xyz[1], z_m=xyz[2], facing_deg=facing_deg(xyz, lead)))
    seats = [tuple(np.add(lead, offset)) for offset in setting.seat_offsets_m]
    return _answer(setting, speaker, room, speakers, seats, merit_db=merit_db, parts=parts, tolerance=tolerance)


def _as_found(setting, speaker, found, room):
    """The present positions, judged like a candidate."""
    lead_m = np.array(found.seats[0].xyz_m)
    judgement = judge_placement(
        setting,
        sources_m=np.array([place.xyz_m for place in found.speakers]),
        axes=source_axes(found.speakers, radiation=speaker.radiation),
        lead_m=lead_m,
    )
    front_m = min(place.x_m for place in found.speakers)
    coordinates = np.array([[front_m, _spacing_m(found.speakers), lead_m[0]]])
    geometry_db = _geometry_db(room, coordinates)
    return _answer(
        setting,
        speaker,
        room,
        found.speakers,
        [seat.xyz_m for seat in found.seats],
        merit_db=float(_merit(judgement, geometry_db)[0]),
        parts=_parts(judgement, 0, float(geometry_db[0])),
        tolerance=None,
    )


def _answer(setting, speaker, room, speakers, seats, *, merit_db, parts, tolerance):
    left, right = speakers[0], speakers[-1]
    lead = seats[0]
    distance_m = sum(math.dist(place.xyz_m, lead) for place in speakers) / len(speakers)
    angles = [facing_deg(place.xyz_m, lead) for place in (left, right)]
    return PlacedAnswer(
        speakers=[
            PlacedSpeakerAnswer(
                x_m=place.x_m,
                y_m=place.y_m,
                z_m=place.z_m,
                facing_deg=place.facing_deg,
                toe_in_deg=place.facing_deg * (1 if place.y_m <= lead[1] else -1),
                radiation=speaker.radiation,
            )
            for place in speakers
        ],
        seats=[PlaceAnswer(x_m=float(x), y_m=float(y), z_m=float(z)) for x, y, z in seats],
        listening_distance_m=distance_m,
        base_angle_deg=abs(angles[0] - angles[1]),
        merit=merit_db,
        parts=parts,
        tolerance_cm=tolerance,
        tape_measure=tape_measure(speakers, seats, dimensions_m=room.dimensions_m),
        curve=pair_curve(room, speakers, lead, radiation=speaker.radiation),
    )


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
    return CurveAnswer(frequency_hz=frequency_hz, gain_db=20 * np.log10(np.abs(field)))
