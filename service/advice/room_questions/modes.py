"""Modes of a room: which, how long they ring, who drives and hears them; and the proportions behind them."""

import dataclasses

import numpy as np

from service.advice import policy
from service.advice.answers.modes import (
    IntegerRatioAnswer,
    IntegerRuleAnswer,
    ModeAnswer,
    ModesAnswer,
    NearestRatioAnswer,
    ProportionsAnswer,
    RangeRuleAnswer,
    ThirdOctaveRuleAnswer,
)
from service.advice.assumptions import Assumptions
from service.advice.places.settle import told_positions
from service.advice.room.cached import cached_room_model
from service.advice.room_questions.modes_findings import modes_findings
from service.physics.room import mode_density, mode_shapes, modes, proportions
from service.physics.room.published_ratios import nearest_published_ratio


def room_modes(request):
    """Answer POST /v1/modes.

    Parameters
    ----------
    request : ModesRequest
        As told. [-]

    Returns
    -------
    ModesAnswer
    """
    request.room.require_sides()
    assume = Assumptions()
    room = cached_room_model(request.room, assume)
    to_hz = assume.take(request.pointer("to_hz"), request.to_hz)
    positions = None
    if request.positions is not None:
        positions = told_positions(request.positions, dimensions_m=room.dimensions_m)
    return modes_answer(room, to_hz=to_hz, positions=positions, assumptions=assume.listed())


def modes_answer(room, *, to_hz, positions, assumptions):
    """Return the modes of a settled room up to a frequency."""
    size = dict(zip(("length_m", "width_m", "height_m"), room.dimensions_m, strict=True))
    in_air = {**size, "speed_of_sound_m_s": room.air.speed_of_sound_m_s}
    orders = modes.mode_orders(to_hz=to_hz, **in_air)
    listed, coincident = [], []
    if len(orders):
        frequency_hz = modes.mode_frequencies_hz(orders, **in_air)
        listed = _listed(room, orders, frequency_hz, positions, size, in_air)
        coincident = [
            [int(index) for index in group]
            for group in modes.coincident_groups(frequency_hz, within_ratio=policy.COINCIDENT_WITHIN_RATIO)
        ]
    return ModesAnswer(
        modes=listed,
        count=len(listed),
        expected_count=float(mode_density.modal_count(to_hz, **in_air)),
        density_per_hz=float(mode_density.modal_density_per_hz(to_hz, **in_air)),
        coincident=coincident,
        transition_hz=room.transition_hz,
        proportions=_proportions(size, in_air),
        findings=modes_findings(listed),
        cautions=[],
        assumptions=assumptions,
    )


def _listed(room, orders, frequency_hz, positions, size, in_air):
    admittance = room.wall_admittance(frequency_hz)
    pair_sums = (admittance[0::2] + admittance[1::2]).T
    decay_s = modes.mode_decay_times_s(orders, pair_admittance_sums=pair_sums, **in_air)
    speakers = seat = [None] * len(orders)
    if positions is not None:
        places = np.array([place.xyz_m for place in (*positions.speakers, positions.seats[0])])
        shapes = mode_shapes.mode_shape(orders, places, **size)
        speakers = np.abs(shapes[:-1].mean(axis=0))
        seat = np.abs(shapes[-1])
    return [
        ModeAnswer(
            frequency_hz=float(frequency_hz[index]),
            orders=tuple(int(n) for n in order),
            kind=kind,
            decay_time_s=None if np.isnan(decay_s[index]) else float(decay_s[index]),
            **{
                f"quiet_{name}": [float(x) for x in mode_shapes.nodal_positions_m(int(n), length_m=size[name])]
                for name, n in zip(size, order, strict=True)
            },
            speaker_coupling_ratio=None if positions is None else float(speakers[index]),
            seat_coupling_ratio=None if positions is None else float(seat[index]),
        )
        for index, (order, kind) in enumerate(zip(orders, modes.mode_kind(orders), strict=True))
    ]


def _proportions(size, in_air):
    integer = proportions.integer_rule(**size)
    nearest = nearest_published_ratio(**size)
    return ProportionsAnswer(
        range_rule=RangeRuleAnswer(**dataclasses.asdict(proportions.range_rule(**size))),
        integer_rule=IntegerRuleAnswer(
            passes=integer.passes,
            ratios=[IntegerRatioAnswer(**dataclasses.asdict(ratio)) for ratio in integer.ratios],
        ),
        third_octave_rule=ThirdOctaveRuleAnswer(**dataclasses.asdict(proportions.third_octave_rule(**in_air))),
        nearest_published=NearestRatioAnswer(
            name=nearest.ratio.name,
            width_to_height_ratio=nearest.ratio.width_to_height_ratio,
            length_to_height_ratio=nearest.ratio.length_to_height_ratio,
            source=nearest.ratio.source,
            distance_pct=nearest.distance_pct,
        ),
    )
