"""A placement that was judged, which of several really differ, and how one is moved while it is refined."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from service.advice.answers.placement import MeritParts
from service.advice.placement import policy
from service.advice.placement.constraints import Constraints
from service.physics.placement.candidates import different_best

WHOLE_M = 0.001
"""Places are in whole millimetres."""

_APART_M = 1e3
"""Distance at which placements with different front walls are taken to be: more than any room is long."""


@dataclass(frozen=True, kw_only=True)
class JudgedPlacement:
    """One placement of the search, in its frame.

    Attributes
    ----------
    constraints : Constraints
        Of its frame. [-]
    speakers_m, facing_rad, lead_m : ndarray, shapes (n, 3), (n,) and (3,)
        [m, rad, m]
    parts : MeritParts
        [-]
    merit_db : float
        [dB]
    """

    constraints: Constraints
    speakers_m: np.ndarray
    facing_rad: np.ndarray
    lead_m: np.ndarray
    parts: MeritParts
    merit_db: float

    @property
    def coordinates_m(self) -> np.ndarray:
        """Front, spacing, seat and axis, by which placements differ. [m]"""
        y_m = self.speakers_m[:, 1]
        return np.array([self.speakers_m[0, 0], y_m[-1] - y_m[0], self.lead_m[0], (y_m[0] + y_m[-1]) / 2])


def different(ordered: Sequence[JudgedPlacement], *, most: int) -> list[JudgedPlacement]:
    """Return the best of which no two are near each other; those with different front walls never are.

    Parameters
    ----------
    ordered : sequence of JudgedPlacement
        Best first. [-]
    most : int
        How many are wanted. [-]
    """
    walls_m = {each.constraints.frame.front_wall: _APART_M * number for number, each in enumerate(ordered)}
    coordinates_m = np.array([[walls_m[each.constraints.frame.front_wall], *each.coordinates_m] for each in ordered])
    chosen = different_best(
        range(len(ordered)), coordinates_m, least_difference_m=policy.DIFFERENT_PLACEMENTS_M, most=most
    )
    return [ordered[index] for index in chosen]


class Moves:
    """What of a placement may be moved in a refinement: front, spacing, seat, and the whole sideways.

    Parameters
    ----------
    start : JudgedPlacement
        From where it is moved. [-]
    """

    def __init__(self, start: JudgedPlacement) -> None:
        self.start, constraints = start, start.constraints
        moves_m = {}
        if constraints.fixed_speakers is None:
            moves_m["front"] = constraints.front_m
            if constraints.speaker_count == 2:
                moves_m["spacing"] = constraints.spacing_m
        if constraints.seat_y_m is None:
            moves_m["seat"] = constraints.seat_x_m
        moves_m["axis"] = constraints.axis_y_m
        self.names = [name for name, (from_m, to_m) in moves_m.items() if from_m < to_m]

    def places(self, values_m: Sequence[float]) -> tuple[np.ndarray, np.ndarray]:
        """Return speakers (n, 3) and leading seat (3,) after moves (m,), in whole millimetres. [m]"""
        moves_m = dict(zip(self.names, np.round(np.asarray(values_m, dtype=float) / WHOLE_M) * WHOLE_M, strict=True))
        speakers_m, lead_m = self.start.speakers_m.copy(), self.start.lead_m.copy()
        speakers_m[:, 0] += moves_m.get("front", 0.0)
        if "spacing" in moves_m:
            # both speakers by whole millimetres, so that the pair stays about its axis
            half_m = round(moves_m["spacing"] / 2 / WHOLE_M) * WHOLE_M
            speakers_m[:, 1] += np.array([-half_m, half_m])
        lead_m[0] += moves_m.get("seat", 0.0)
        speakers_m[:, 1] += moves_m.get("axis", 0.0)
        if self.start.constraints.seat_y_m is None:
            lead_m[1] += moves_m.get("axis", 0.0)
        return speakers_m.round(4), lead_m.round(4)
