"""What a search for a placement is asked: the speaker that is placed, and everything that was told."""

from dataclasses import dataclass, replace
from typing import Any, Self

import numpy as np

from service.domain.position import Positions
from service.domain.search import Search


@dataclass(frozen=True, kw_only=True)
class PlacedSpeaker:
    """What the search needs to know of the speaker.

    Attributes
    ----------
    radiation : str
        monopole or dipole. [-]
    low_limit_hz : float
        Down to which it plays. [Hz]
    directivity_index_db : ndarray, shape (8,)
        By octave, 63 Hz to 8 kHz. [dB]
    cabinet_width_m, cabinet_depth_m : float
        [m]
    ways_of_standing : tuple of str
        Those that suit it. [-]
    crossover_hz : float or None
        Where a bass section of its own takes over. [Hz]
    """

    radiation: str
    low_limit_hz: float
    directivity_index_db: np.ndarray
    cabinet_width_m: float
    cabinet_depth_m: float
    ways_of_standing: tuple[str, ...]
    crossover_hz: float | None


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """What a search is asked, whatever wall is the front.

    Attributes
    ----------
    search : Search
        [-]
    present : Positions or None
        Present places, checked, in the room. [-]
    count : int
        Speakers. [-]
    distance_m : float or None
        Listening distance that was told, kept roughly. [m]
    speaker_z_m, ear_z_m : float
        Heights. [m]
    seat_offsets_m : ndarray, shape (s, 3)
        Judged seats re the leading one, in the frame of the present places. [m]
    judged : ndarray of int, shape (s,)
        Which of the seats these are. [-]
    ways_of_standing : tuple of str
        That suit the speaker. [-]
    walking_room_m : float
        Past the chair. [m]
    distance_is_free, angle_is_free : bool
        Whether these constraints were given up, to see what that would gain. [-]
    """

    search: Search
    present: Positions | None
    count: int
    distance_m: float | None
    speaker_z_m: float
    ear_z_m: float
    seat_offsets_m: np.ndarray
    judged: np.ndarray
    ways_of_standing: tuple[str, ...]
    walking_room_m: float
    distance_is_free: bool = False
    angle_is_free: bool = False

    def staying(self, what: str) -> Positions | None:
        """Return the present places where one of "seat", "speakers" or "bass" must stay, in the room."""
        return self.present if what in self.search.must_stay else None

    @property
    def in_corners(self) -> bool:
        """Whether the speakers stand in corners and nowhere else."""
        return self.ways_of_standing == ("corner",)

    def relaxed(self, **changes: Any) -> Self:
        """Return the same with parts of its search given up."""
        return replace(self, search=replace(self.search, **changes))
