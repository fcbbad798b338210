"""From what a search found to the answer: places in the room's own axes, curve, tape measure, reasons."""

import math

import numpy as np

from service.advice import policy
from service.advice.answers.common import PlaceAnswer
from service.advice.answers.placement import CurveAnswer, PlacedAnswer, PlacedSpeakerAnswer
from service.advice.pairing.settled import source_axes
from service.advice.placement.frames import Frame, front_wall_of
from service.advice.placement.merit import Judge, merit_db
from service.advice.placement.reasons import avoided_modes, filled_gap, why_finding
from service.advice.placement.search import setting_of
from service.advice.placement.tolerance import tolerance
from service.advice.places.tape_measure import tape_measure
from service.advice.work_limits import require_affordable
from service.physics.placement.candidates import plan_geometry
from service.physics.placement.search import HEAD_M
from service.physics.room.wave_field import pressure_ratio

_LOWEST_CURVE_HZ, _HIGHEST_CURVE_HZ, _CURVE_POINTS_PER_OCTAVE = 20.0, 200.0, 24


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

    def __init__(self, room, speaker, wanted, search):
        self.room, self.speaker, self.wanted, self.search = room, speaker, wanted, search

    def placed(self, found):
        """Return a placement of the search."""
        speakers, seats = self.places(found)
        reach = tolerance(self.search.judge_of(found.limits), found, tried=self.search.effort["tried"])
        return self.answer(found.limits.frame, speakers, seats, parts=found.parts, tolerance_cm=reach)

    def places(self, found):
        """Return speakers and all seats of a placement, in the room."""
        frame = found.limits.frame
        speakers = [
            frame.place_in_room(place_m, facing_rad=facing_rad)
            for place_m, facing_rad in zip(found.speakers_m, found.facing_rad, strict=True)
        ]
        return speakers, [frame.place_in_room(seat_m) for seat_m in self._seats_m(found)]

    def _seats_m(self, found):
        """All seats of a placement in its frame, those too that were not judged."""
        told = self.wanted.found
        if told is None:
            return found.lead_m[None]
        stays = "seat" in self.wanted.search.must_stay
        frame = found.limits.frame
        if not stays:
            frame = Frame(front_wall=front_wall_of(told), room_m=frame.room_m)
        seats_m = np.array([seat.xyz_m for seat in frame.positions(told).seats])
        return found.lead_m + seats_m - seats_m[0]

    def as_found(self, found, apart):
        """Return the present positions, judged like a candidate; `apart` judges bass sections beside the tops."""
        frame = Frame(front_wall=front_wall_of(found), room_m=self.room.dimensions_m)
        here = frame.positions(found)
        seats_m = np.array([seat.xyz_m for seat in here.seats])
        setting = setting_of(self.room, self.speaker, frame, (seats_m - seats_m[0])[self.wanted.judged])
        speakers_m = np.array([place.xyz_m for place in here.speakers])
        facing_rad = np.radians([place.facing_deg for place in here.speakers])
        require_affordable(
            setting.box,
            sources_m=speakers_m,
            axes=source_axes(here.speakers, radiation=self.speaker.radiation),
            seats_m=np.repeat(seats_m[self.wanted.judged], len(HEAD_M), axis=0),
            pointer="/positions/seats",
        )
        if apart is not None:
            return apart.as_found(self, frame, found, setting, speakers_m, facing_rad, seats_m[0])
        judge = Judge(setting, self.speaker, free_m=self.search.free_m, tops=len(speakers_m))
        parts = judge.parts(speakers_m, facing_rad, seats_m[0])
        return self.answer(frame, found.speakers, found.seats, parts=parts, tolerance_cm=None)

    def answer(self, frame, speakers, seats, *, parts, tolerance_cm, bass=None, curve=None):
        """Return one placement, its places in the room."""
        speakers_m = np.array([place.xyz_m for place in speakers])
        lead_m = seats[0].xyz_m
        in_frame = [frame.place_here(place) for place in speakers]
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
                for place, toe_in_deg in zip(
                    speakers, _toe_in_deg(in_frame, frame.place_here(seats[0]).xyz_m), strict=True
                )
            ],
            bass=None if bass is None else [PlaceAnswer(x_m=p.x_m, y_m=p.y_m, z_m=p.z_m) for p in bass],
            seats=[PlaceAnswer(x_m=seat.x_m, y_m=seat.y_m, z_m=seat.z_m) for seat in seats],
            listening_distance_m=float(np.linalg.norm(speakers_m - lead_m, axis=1).mean()),
            base_angle_deg=float(np.degrees(plan_geometry(speakers_m, np.array(lead_m)).base_angle_rad)),
            merit=float(merit_db(parts)),
            parts=parts,
            tolerance_cm=tolerance_cm,
            tape_measure=tape_measure(
                in_frame,
                [frame.place_here(seats[0]).xyz_m],
                dimensions_m=frame.dimensions_m,
                cabinet_width_m=self.speaker.cabinet_width_m,
                bass=[] if bass is None else [frame.place_here(place) for place in bass],
                names_as_found=frame.front_wall == "front_wall",
            ),
            curve=curve or pair_curve(self.room, speakers, lead_m, radiation=self.speaker.radiation),
        )

    def distances_cm(self, best):
        """Return how far the speakers are from the wall behind them and the ears from the wall behind you. [cm]"""
        frame = Frame(front_wall=best.front_wall, room_m=self.room.dimensions_m)
        front_m = float(np.mean([frame.turn.there_m(_xyz_m(place))[0] for place in best.speakers]))
        behind_m = frame.dimensions_m[0] - float(frame.turn.there_m(_xyz_m(best.seats[0]))[0])
        return {"front_wall_distance_cm": 100 * front_m, "seat_to_back_wall_cm": 100 * behind_m}

    def in_mid_room(self, best):
        """Return whether the chair is near the middle of the length as it is listened along."""
        frame = Frame(front_wall=best.front_wall, room_m=self.room.dimensions_m)
        low, high = policy.MID_ROOM_RATIO
        return low <= frame.turn.there_m(_xyz_m(best.seats[0]))[0] / frame.dimensions_m[0] <= high

    def why(self, best, as_found, median):
        """Return the finding that says why the best wins over today's place, or over the median of what was judged."""
        if as_found is None and median is None:
            return None
        winner = _places_m(best)
        gap, setting = None, None
        if as_found is not None:
            other = _places_m(as_found)
        else:
            frame = median.limits.frame
            facing_rad = frame.turn.bearing_back_rad(median.facing_rad)
            other = (frame.turn.back_m(median.speakers_m), frame.turn.back_m(median.lead_m), facing_rad)
        room_frame = Frame(front_wall="front_wall", room_m=self.room.dimensions_m)
        setting = setting_of(self.room, self.speaker, room_frame, np.zeros((1, 3)))
        modes = avoided_modes(setting, winner, other, room_m=self.room.dimensions_m, front_wall=best.front_wall)
        if as_found is not None and best.bass is None:
            before, after = (
                (speakers_m, _axes(facing_rad) * setting.dipole, lead_m)
                for speakers_m, lead_m, facing_rad in (other, winner)
            )
            gap = filled_gap(setting, before, after)
        return why_finding(modes, gap)


def _xyz_m(place):
    return (place.x_m, place.y_m, place.z_m)


def _axes(facing_rad):
    return np.stack([np.cos(facing_rad), np.sin(facing_rad), 0 * facing_rad], axis=1)


def _places_m(placed):
    """Speakers, leading seat and directions of an answer, in the room."""
    speakers = placed.speakers
    facing_rad = np.radians([place.facing_deg for place in speakers])
    return np.array([_xyz_m(place) for place in speakers]), np.array(_xyz_m(placed.seats[0])), facing_rad


def _toe_in_deg(speakers, lead):
    """Angle of each speaker from straight ahead towards the middle of the pair, or towards the seat of a single one."""
    middle_y_m = sum(place.y_m for place in speakers) / 2 if len(speakers) == 2 else lead[1]
    found = []
    for place in speakers:
        facing = math.radians(place.facing_deg)
        sideways = math.degrees(math.atan2(math.sin(facing), abs(math.cos(facing))))
        found.append(sideways if place.y_m <= middle_y_m else -sideways)
    return found


def curve_frequencies_hz():
    """Return the frequencies of the curves, 20 to 200 Hz. [Hz]"""
    octaves = math.log2(_HIGHEST_CURVE_HZ / _LOWEST_CURVE_HZ)
    return np.geomspace(_LOWEST_CURVE_HZ, _HIGHEST_CURVE_HZ, round(octaves * _CURVE_POINTS_PER_OCTAVE) + 1)


def pair_curve(room, speakers, lead, *, radiation, weights=None):
    """Return the room gain of the coherent pair at a seat, 20 to 200 Hz; `weights` (n, f) of each source."""
    frequency_hz = curve_frequencies_hz()
    field = pressure_ratio(
        room.box(frequency_hz),
        sources_m=np.array([place.xyz_m for place in speakers]),
        axes=source_axes(speakers, radiation=radiation),
        seats_m=np.array([lead]),
    )[0]
    field = field.sum(axis=0) if weights is None else (field * weights).sum(axis=0)
    return CurveAnswer(frequency_hz=frequency_hz, gain_db=20 * np.log10(np.abs(field)), confidence=room.box_confidence)
