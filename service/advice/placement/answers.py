"""From what a search found to the answer: places in the room's own axes, curve, tape measure, reasons."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from service.advice.answers.common import Finding, PlaceAnswer
from service.advice.answers.placement import (
    CurveAnswer,
    MeritParts,
    PlacedAnswer,
    PlacedSpeakerAnswer,
    ToleranceAnswer,
)
from service.advice.placement import policy
from service.advice.placement.frames import Frame, facing_rad, front_wall_of
from service.advice.placement.merit import Judge, merit_db
from service.advice.placement.moves import JudgedPlacement
from service.advice.placement.reasons import Places, avoided_modes, filled_gap, why_finding
from service.advice.placement.search import PlacementSearch
from service.advice.placement.setting import setting_of
from service.advice.placement.tolerance import tolerance
from service.advice.placement.wanted import PlacedSpeaker, Wanted
from service.advice.places.sources import source_axes
from service.advice.places.tape_measure import tape_measure
from service.advice.room.model import RoomAcoustics
from service.advice.work_limits import require_affordable
from service.domain.position import Place, Positions
from service.physics.placement.candidates import plan_geometry
from service.physics.placement.search import HEAD_M, Setting
from service.physics.room.wave_field import pressure_ratio

_LOWEST_CURVE_HZ, _HIGHEST_CURVE_HZ, _CURVE_POINTS_PER_OCTAVE = 20.0, 200.0, 24


@dataclass(frozen=True, kw_only=True)
class Present:
    """Where things stand today, seen with the wall behind the speakers in front.

    Attributes
    ----------
    frame : Frame
        [-]
    positions : Positions
        Of the room. [-]
    setting : Setting
        Of the frame, with the judged seats. [-]
    speakers_m, facing_rad, lead_m : ndarray, shapes (n, 3), (n,) and (3,)
        In the frame. [m, rad, m]
    """

    frame: Frame
    positions: Positions
    setting: Setting
    speakers_m: np.ndarray
    facing_rad: np.ndarray
    lead_m: np.ndarray


class Answers:
    """Makes the parts of one answer.

    Parameters
    ----------
    room : RoomAcoustics
        [-]
    speaker : PlacedSpeaker
        [-]
    wanted : Wanted
        [-]
    search : PlacementSearch
        [-]
    """

    def __init__(self, room: RoomAcoustics, speaker: PlacedSpeaker, wanted: Wanted, search: PlacementSearch) -> None:
        self.room, self.speaker, self.wanted, self.search = room, speaker, wanted, search

    def placed(self, placement: JudgedPlacement) -> PlacedAnswer:
        """Return a placement of the search."""
        reach = tolerance(self.search.judge_of(placement.constraints), placement, tried=self.search.effort.tried)
        return self.answer(
            placement.constraints.frame, self.positions(placement), parts=placement.parts, tolerance_cm=reach
        )

    def positions(self, placement: JudgedPlacement) -> Positions:
        """Return speakers and all seats of a placement, in the room."""
        frame = placement.constraints.frame
        speakers = tuple(
            frame.place_in_room(place_m, facing_rad=direction_rad)
            for place_m, direction_rad in zip(placement.speakers_m, placement.facing_rad, strict=True)
        )
        seats = tuple(frame.place_in_room(seat_m) for seat_m in self._seats_m(placement))
        return Positions(speakers=speakers, seats=seats)

    def _seats_m(self, placement: JudgedPlacement) -> np.ndarray:
        """All seats of a placement in its frame, those too that were not judged."""
        present = self.wanted.present
        if present is None:
            return placement.lead_m[None]
        frame = placement.constraints.frame
        if "seat" not in self.wanted.search.must_stay:
            frame = Frame(front_wall=front_wall_of(present), room_m=frame.room_m)
        seats_m = np.array([seat.xyz_m for seat in frame.positions(present).seats])
        return placement.lead_m + seats_m - seats_m[0]

    def present(self, positions: Positions) -> Present:
        """Return the present positions, ready to be judged like a candidate.

        Parameters
        ----------
        positions : Positions
            Checked, in the room. [-]

        Raises
        ------
        DomainError
            A seat is so near to a speaker that its wave field takes too long.
        """
        frame = Frame(front_wall=front_wall_of(positions), room_m=self.room.dimensions_m)
        here = frame.positions(positions)
        seats_m = np.array([seat.xyz_m for seat in here.seats])[self.wanted.judged]
        lead_m = np.array(here.seats[0].xyz_m)
        setting = setting_of(self.room, self.speaker, frame, seats_m - lead_m)
        speakers_m = np.array([place.xyz_m for place in here.speakers])
        require_affordable(
            setting.box,
            sources_m=speakers_m,
            axes=source_axes(here.speakers, radiation=self.speaker.radiation),
            seats_m=np.repeat(seats_m, len(HEAD_M), axis=0),
            pointer=positions.pointer("seats"),
        )
        return Present(
            frame=frame,
            positions=positions,
            setting=setting,
            speakers_m=speakers_m,
            facing_rad=facing_rad(here.speakers),
            lead_m=lead_m,
        )

    def as_found(self, present: Present) -> PlacedAnswer:
        """Return the present positions, judged like a candidate."""
        judge = Judge(present.setting, self.speaker, free_m=self.search.free_m)
        parts = judge.parts(present.speakers_m, present.facing_rad, present.lead_m)
        return self.answer(present.frame, present.positions, parts=parts, tolerance_cm=None)

    def answer(
        self,
        frame: Frame,
        positions: Positions,
        *,
        parts: MeritParts,
        tolerance_cm: ToleranceAnswer | None,
        bass: Sequence[Place] | None = None,
        curve: CurveAnswer | None = None,
    ) -> PlacedAnswer:
        """Return one placement.

        Parameters
        ----------
        frame : Frame
            With the wall behind the speakers in front. [-]
        positions : Positions
            Of the room. [-]
        parts : MeritParts
            How it was judged. [-]
        tolerance_cm : ToleranceAnswer or None
            [cm]
        bass : sequence of Place or None
            Bass sections that stand apart, in the room. [-]
        curve : CurveAnswer or None
            Where it is not that of the speakers alone. [-]
        """
        speakers, lead_m = positions.speakers, positions.seats[0].xyz_m
        speakers_m = np.array([place.xyz_m for place in speakers])
        here = [frame.place_here(place) for place in speakers]
        lead_here_m = frame.place_here(positions.seats[0]).xyz_m
        return PlacedAnswer(
            front_wall=frame.front_wall,
            speakers=[
                PlacedSpeakerAnswer(
                    x_m=place.x_m,
                    y_m=place.y_m,
                    z_m=place.z_m,
                    facing_deg=place.facing_deg,
                    toe_in_deg=toe_in_deg,
                    radiation=self.speaker.radiation,
                )
                for place, toe_in_deg in zip(speakers, _toe_in_deg(here, lead_here_m), strict=True)
            ],
            bass=None if bass is None else [PlaceAnswer(x_m=p.x_m, y_m=p.y_m, z_m=p.z_m) for p in bass],
            seats=[PlaceAnswer(x_m=seat.x_m, y_m=seat.y_m, z_m=seat.z_m) for seat in positions.seats],
            listening_distance_m=float(np.linalg.norm(speakers_m - lead_m, axis=1).mean()),
            base_angle_deg=float(np.degrees(plan_geometry(speakers_m, np.array(lead_m)).base_angle_rad)),
            merit=float(merit_db(parts)),
            parts=parts,
            tolerance_cm=tolerance_cm,
            tape_measure=tape_measure(
                here,
                [lead_here_m],
                dimensions_m=frame.dimensions_m,
                cabinet_width_m=self.speaker.cabinet_width_m,
                bass=[] if bass is None else [frame.place_here(place) for place in bass],
                names_as_found=frame.front_wall == "front_wall",
            ),
            curve=curve or pair_curve(self.room, speakers, lead_m, radiation=self.speaker.radiation),
        )

    def distances_cm(self, best: PlacedAnswer) -> dict[str, float]:
        """Return how far the speakers are from the wall behind them and the ears from the wall behind you. [cm]"""
        frame = Frame(front_wall=best.front_wall, room_m=self.room.dimensions_m)
        front_m = float(np.mean([frame.rotation.there_m(_xyz_m(place))[0] for place in best.speakers]))
        behind_m = frame.dimensions_m[0] - float(frame.rotation.there_m(_xyz_m(best.seats[0]))[0])
        return {"front_wall_distance_cm": 100 * front_m, "seat_to_back_wall_cm": 100 * behind_m}

    def in_mid_room(self, best: PlacedAnswer) -> bool:
        """Return whether the chair is near the middle of the length as it is listened along."""
        frame = Frame(front_wall=best.front_wall, room_m=self.room.dimensions_m)
        low, high = policy.MID_ROOM_RATIO
        return low <= frame.rotation.there_m(_xyz_m(best.seats[0]))[0] / frame.dimensions_m[0] <= high

    def why(self, best: PlacedAnswer, as_found: PlacedAnswer | None, median: JudgedPlacement | None) -> Finding | None:
        """Return the finding that says why the best wins over today's place, or over the median of what was judged."""
        if as_found is not None:
            other = _places_of(as_found)
        elif median is not None:
            rotation = median.constraints.frame.rotation
            other = Places(
                speakers_m=rotation.back_m(median.speakers_m),
                lead_m=rotation.back_m(median.lead_m),
                facing_rad=rotation.bearing_back_rad(median.facing_rad),
            )
        else:
            return None
        winner = _places_of(best)
        room_frame = Frame(front_wall="front_wall", room_m=self.room.dimensions_m)
        setting = setting_of(self.room, self.speaker, room_frame, np.zeros((1, 3)))
        modes = avoided_modes(setting, winner, other, front_wall=best.front_wall)
        gap = filled_gap(setting, other, winner) if as_found is not None and best.bass is None else None
        return why_finding(modes, gap)


def _xyz_m(place: PlaceAnswer) -> tuple[float, float, float]:
    return (place.x_m, place.y_m, place.z_m)


def _places_of(placed: PlacedAnswer) -> Places:
    """Speakers, leading seat and directions of an answer, in the room."""
    speakers = placed.speakers
    speakers_m = np.array([_xyz_m(place) for place in speakers])
    return Places(
        speakers_m=speakers_m,
        lead_m=np.array(_xyz_m(placed.seats[0])),
        facing_rad=np.radians([place.facing_deg for place in speakers]),
    )


def _toe_in_deg(speakers: Sequence[Place], lead_m: Sequence[float]) -> list[float]:
    """Angle of each speaker from straight ahead towards the middle of the pair, or towards the seat of a single one."""
    middle_y_m = sum(place.y_m for place in speakers) / 2 if len(speakers) == 2 else lead_m[1]
    angles_deg = []
    for place in speakers:
        facing = math.radians(place.facing_deg)
        sideways = math.degrees(math.atan2(math.sin(facing), abs(math.cos(facing))))
        angles_deg.append(sideways if place.y_m <= middle_y_m else -sideways)
    return angles_deg


def curve_frequencies_hz() -> np.ndarray:
    """Return the frequencies of the curves, 20 to 200 Hz. [Hz]"""
    octaves = math.log2(_HIGHEST_CURVE_HZ / _LOWEST_CURVE_HZ)
    return np.geomspace(_LOWEST_CURVE_HZ, _HIGHEST_CURVE_HZ, round(octaves * _CURVE_POINTS_PER_OCTAVE) + 1)


def pair_curve(
    room: RoomAcoustics,
    speakers: Sequence[Place],
    lead_m: Sequence[float],
    *,
    radiation: str,
    weights: np.ndarray | None = None,
) -> CurveAnswer:
    """Return the room gain of the coherent pair at a seat, 20 to 200 Hz; `weights` (n, f) of each source."""
    frequency_hz = curve_frequencies_hz()
    field = pressure_ratio(
        room.box(frequency_hz),
        sources_m=np.array([place.xyz_m for place in speakers]),
        axes=source_axes(speakers, radiation=radiation),
        seats_m=np.array([lead_m]),
    )[0]
    field = field.sum(axis=0) if weights is None else (field * weights).sum(axis=0)
    return CurveAnswer(frequency_hz=frequency_hz, gain_db=20 * np.log10(np.abs(field)), confidence=room.box_confidence)
