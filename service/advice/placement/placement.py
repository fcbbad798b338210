"""Where the pair and the seat go: from what was told over the search to the answer in centimetres."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from service.advice.answers.placement import PlacementAnswer
from service.advice.assumptions import DEFAULTS, Assumptions, Default
from service.advice.findings import cautions
from service.advice.placement import policy
from service.advice.placement.answers import Answers
from service.advice.placement.bass_apart import BassApart
from service.advice.placement.findings import gain_of_moving_db, nothing_fits, placement_findings
from service.advice.placement.frames import Frame, default_front_walls, front_wall_of
from service.advice.placement.give_up import first_to_give_up
from service.advice.placement.refusals import require_search
from service.advice.placement.search import PlacementSearch
from service.advice.placement.wanted import PlacedSpeaker, Wanted
from service.advice.places.as_found import sides_findings, with_sides_mapped
from service.advice.places.settle import told_places
from service.advice.policy import EAR_HEIGHT_AT_MOST_RATIO, SPEAKER_HEIGHT_AT_MOST_RATIO
from service.advice.room.cached import cached_room_model
from service.advice.room.findings import room_findings
from service.advice.room.model import RoomAcoustics
from service.advice.speaker.model import (
    directivity_index_db,
    radiation_of,
    settled_kind,
    settled_low_limit_hz,
)
from service.domain.equipment import Loudspeaker
from service.domain.position import Positions
from service.domain.requests import AdviceRequest, PlacementRequest
from service.domain.words import words
from service.tables.loader import speaker_kinds


def placement(request: PlacementRequest) -> PlacementAnswer:
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
    room = cached_room_model(request.room, assume)
    speaker = placed_speaker(request.speaker, assume)
    present = told_places(request, assume, room.dimensions_m)
    answer = placement_answer(room, speaker, request, present=present, assume=assume, effort="normal")
    return replace(answer, findings=[*sides_findings(assume), *answer.findings])


def placed_speaker(speaker: Loudspeaker | None, assume: Assumptions) -> PlacedSpeaker:
    """Return what the search needs to know of a speaker, which may be unknown."""
    if speaker is None:
        kind = DEFAULTS["speaker/kind"].value
        assume.add(None, {"kind": kind}, why=words("assumptions.speaker_to_place"), source="practice")
        limit_hz = speaker_kinds()[kind].low_limit_hz
        width_m, depth_m = (assume.standard(name) for name in ("cabinet_width_m", "cabinet_depth_m"))
        index_db = np.array(speaker_kinds()[kind].directivity_index_db)
    else:
        kind = settled_kind(speaker, assume)
        limit_hz = settled_low_limit_hz(speaker, kind, assume)
        width_m = assume.take(speaker.pointer("cabinet_width_m"), speaker.cabinet_width_m)
        depth_m = assume.take(speaker.pointer("cabinet_depth_m"), speaker.cabinet_depth_m)
        index_db = directivity_index_db(speaker, kind, assume)
    section = None if speaker is None else speaker.bass_section
    return PlacedSpeaker(
        radiation=radiation_of(kind),
        low_limit_hz=limit_hz,
        directivity_index_db=index_db,
        cabinet_width_m=width_m,
        cabinet_depth_m=depth_m,
        ways_of_standing=speaker_kinds()[kind].standing,
        crossover_hz=None if section is None else section.crossover_hz,
    )


def placement_answer(
    room: RoomAcoustics,
    speaker: PlacedSpeaker,
    request: PlacementRequest | AdviceRequest,
    *,
    present: Positions | None,
    assume: Assumptions,
    effort: str = "quick",
) -> PlacementAnswer:
    """Search a room for a speaker.

    Parameters
    ----------
    room : RoomAcoustics
        [-]
    speaker : PlacedSpeaker
        [-]
    request : PlacementRequest or AdviceRequest
        Its `search`. [-]
    present : Positions or None
        Present positions, checked. [-]
    assume : Assumptions
        [-]
    effort : str
        How hard to search where the request does not say it. [-]
    """
    search = request.search
    require_search(search, speaker, present=present, room_m=room.dimensions_m)
    effort = search.effort or effort
    front_walls = _front_walls(request, present, room.dimensions_m, assume)
    frames = [Frame(front_wall=wall, room_m=room.dimensions_m) for wall in front_walls]
    wanted = _wanted(request, speaker, present, frames, assume)
    looked = PlacementSearch(room, speaker, wanted, frames, policy.EFFORTS[effort])
    answers = Answers(room, speaker, wanted, looked)
    apart = BassApart(room, speaker, wanted, looked) if search.bass_apart else None
    as_found = None
    if present is not None:
        here = answers.present(present)
        as_found = answers.as_found(here) if apart is None else apart.as_found(answers, here)
    result = looked.result()
    placed = [answers.placed(each) for each in result.best] if apart is None else apart.answers(answers, result.best)
    best = placed[0] if placed else None
    if best is None:
        give_up = None if result.too_large else first_to_give_up(room, speaker, wanted, frames)
        findings = [nothing_fits(give_up, count=wanted.count, too_large=result.too_large)]
    else:
        findings = placement_findings(
            best,
            as_found,
            low_hz=looked.judge_of(result.best[0].constraints).setting.bands.low_hz,
            why=answers.why(best, as_found, result.median),
            mid_room="seat" not in search.must_stay and answers.in_mid_room(best),
            distances_cm=answers.distances_cm(best),
        )
    return PlacementAnswer(
        placements=placed,
        as_found=as_found,
        gain_of_moving_db=gain_of_moving_db(best, as_found),
        confidence=room.box_confidence,
        candidates_judged=result.candidates_judged,
        front_wall=None if best is None else best.front_wall,
        effort=effort,
        weights=dict(policy.MERIT_WEIGHTS),
        findings=[*findings, *room_findings(room)],
        cautions=[cautions.caution("heavy"), *cautions.for_cabinet(request.speaker)],
        assumptions=assume.listed(),
    )


def _front_walls(
    request: PlacementRequest | AdviceRequest, present: Positions | None, room_m: Sequence[float], assume: Assumptions
) -> tuple[str, ...]:
    """Walls that may be the front: as told, else the one behind the present speakers, else those that are usual."""
    as_found = request.as_found
    if present is not None:
        walls, key = [front_wall_of(present)], "behind_the_speakers"
    elif as_found is not None and as_found.speakers_on is not None:
        walls, key = ["front_wall"], "behind_the_speakers"
    else:
        walls, key = list(default_front_walls(room_m)), "usual"
    usual = Default(value=walls, why=words(f"assumptions.front_walls.{key}"), source="ours")
    return tuple(assume.take(request.search.pointer("front_walls"), request.search.front_walls, default=usual))


def _wanted(
    request: PlacementRequest | AdviceRequest,
    speaker: PlacedSpeaker,
    present: Positions | None,
    frames: Sequence[Frame],
    assume: Assumptions,
) -> Wanted:
    """What is asked of the search, whatever wall is the front."""
    search = request.search
    if present is None:
        speaker_z_m, ear_z_m = assume.standard("speaker_height_m"), assume.standard("ear_height_m")
        height_m = frames[0].room_m[2]
        speaker_z_m, ear_z_m = (
            min(speaker_z_m, SPEAKER_HEIGHT_AT_MOST_RATIO * height_m),
            min(ear_z_m, EAR_HEIGHT_AT_MOST_RATIO * height_m),
        )
        seats_m = np.zeros((1, 3))
        count = request.speaker_count or DEFAULTS["speaker_count"].value
    else:
        speaker_z_m, ear_z_m, count = present.speakers[0].z_m, present.seats[0].z_m, len(present.speakers)
        own = Frame(front_wall=front_wall_of(present), room_m=frames[0].room_m)
        seats_m = np.array([seat.xyz_m for seat in own.positions(present).seats])
    judged = _judged(len(seats_m), assume)
    ways_of_standing = speaker.ways_of_standing if search.standing is None else (search.standing,)
    if search.standing is None:
        why = words("assumptions.standing")
        assume.add(None, {"standings": list(ways_of_standing)}, why=why, source="practice")
    narrowest_m = min(frame.dimensions_m[1] for frame in frames)
    usual = DEFAULTS["search/walking_room_m"]
    usual_m = max(min(usual.value, round(narrowest_m / 2 - policy.CHAIR_RADIUS_M - 0.005, 2)), 0.0)
    return Wanted(
        search=search,
        present=present,
        count=count,
        distance_m=request.listening_distance_m,
        speaker_z_m=speaker_z_m,
        ear_z_m=ear_z_m,
        seat_offsets_m=(seats_m - seats_m[0])[judged],
        judged=judged,
        ways_of_standing=ways_of_standing,
        walking_room_m=assume.take(
            search.pointer("walking_room_m"), search.walking_room_m, default=replace(usual, value=usual_m)
        ),
    )


def _judged(count: int, assume: Assumptions) -> np.ndarray:
    """Which seats are judged: all of them, or of many the leading one and others evenly picked."""
    if count <= policy.MOST_SEATS_JUDGED:
        return np.arange(count)
    picked = np.linspace(0, count - 1, policy.MOST_SEATS_JUDGED).round().astype(int)
    assume.add(
        None,
        {"seats_judged": [int(index) + 1 for index in picked]},
        why=words("assumptions.seats_judged"),
        source="ours",
    )
    return picked
