"""The wave field at seats."""

import functools

import numpy as np

from service.advice import policy
from service.advice.answers.response import ResponseAnswer, SeatResponse
from service.advice.assumptions import Assumptions
from service.advice.places.sources import source_axes
from service.advice.room.cached import cached_room_model
from service.advice.room.findings import room_findings
from service.advice.work_limits import require_affordable
from service.domain.position import require_apart, require_inside
from service.physics.room.wave_field import pressure_ratio


def response(request):
    """Answer POST /v1/response: the sum of the sources at each seat, re one source of 0 dB in free field at 1 m.

    Parameters
    ----------
    request : ResponseRequest
        As told. [-]

    Returns
    -------
    ResponseAnswer

    Raises
    ------
    DomainError
        A place is outside the room, or a seat is at a source.
    """
    request.room.require_sides()
    assume = Assumptions()
    room = cached_room_model(request.room, assume)
    frequency_hz = np.array(request.frequency_hz)
    of_sources, of_seats = (functools.partial(request.pointer, name) for name in ("sources", "seats"))
    require_inside(request.sources, dimensions_m=room.dimensions_m, pointer=of_sources, what="source")
    require_inside(request.seats, dimensions_m=room.dimensions_m, pointer=of_seats, what="seat")
    require_apart(request.seats, request.sources, least_m=policy.LEAST_SEAT_TO_SOURCE_M, pointer=of_seats, what="seat")
    if request.damping == "uniform":
        box = room.uniform_box(frequency_hz, reverberation_time_s=request.room.reverberation_time_s)
    else:
        box = room.box(frequency_hz)
    pressure = _driven(box, request, frequency_hz)
    with np.errstate(divide="ignore"):
        gain_db = np.maximum(20 * np.log10(np.abs(pressure)), policy.LOWEST_GAIN_DB)
    phase_deg = np.degrees(np.angle(pressure))
    return ResponseAnswer(
        frequency_hz=frequency_hz,
        seats=[SeatResponse(gain_db=gain, phase_deg=phase) for gain, phase in zip(gain_db, phase_deg, strict=True)],
        confidence=room.box_confidence,
        findings=room_findings(room),
        cautions=[],
        assumptions=assume.listed(),
    )


def _driven(box, request, frequency_hz):
    """Field at each seat of all sources together, each with its gain, polarity and delay."""
    sources = request.sources
    dipoles = np.array([[source.radiation == "dipole"] for source in sources])
    places = {
        "sources_m": np.array([source.xyz_m for source in sources]),
        "axes": source_axes(sources, radiation="dipole") * dipoles,
        "seats_m": np.array([seat.xyz_m for seat in request.seats]),
    }
    require_affordable(box, **places, pointer=request.pointer("frequency_hz"))
    field = pressure_ratio(box, **places)
    gain = np.array([source.polarity * 10 ** (source.gain_db / 20) for source in sources])
    delay_s = np.array([source.delay_ms / 1000 for source in sources])
    drive = gain[:, None] * np.exp(-2j * np.pi * frequency_hz * delay_s[:, None])
    return (field * drive).sum(axis=1)
