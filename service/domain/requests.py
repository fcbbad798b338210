"""What each operation is asked: a frozen object for each, with the facts as told."""

from dataclasses import dataclass, field

from service.domain.as_found import AsFound
from service.domain.equipment import Amplifier, Background, Loudspeaker
from service.domain.errors import DomainError
from service.domain.limits import MOST_RESPONSE_VALUES
from service.domain.load import Cable, SignalSource
from service.domain.position import Place, Positions, Source
from service.domain.room import Room
from service.domain.search import Search


@dataclass(frozen=True, slots=True, kw_only=True)
class ResponseRequest:
    """Wave field at seats."""

    room: Room
    sources: tuple[Source, ...]
    seats: tuple[Place, ...]
    frequency_hz: tuple[float, ...]
    damping: str = "surfaces"

    def __post_init__(self):
        if self.damping == "uniform" and self.room.reverberation_time_s is None:
            raise DomainError(
                pointer="/room/reverberation_time_s",
                code="missing",
                detail="damping uniform needs room.reverberation_time_s.",
                allowed="a reverberation time in seconds",
            )
        values = len(self.sources) * len(self.seats) * len(self.frequency_hz)
        if values > MOST_RESPONSE_VALUES:
            raise DomainError(
                pointer="/frequency_hz",
                code="too_much_work",
                detail=f"{len(self.sources)} sources, {len(self.seats)} seats and {len(self.frequency_hz)} frequencies "
                f"are {values} values; ask for fewer at a time.",
                given=values,
                allowed=f"at most {MOST_RESPONSE_VALUES} values of one request",
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class ModesRequest:
    """Modes of a room; how strongly they couple to speakers and seats where these are given."""

    room: Room
    to_hz: float | None = None
    positions: Positions | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReflectionsRequest:
    """First reflections of each speaker at a chair."""

    room: Room
    speaker: Loudspeaker | None = None
    positions: Positions | None = None
    as_found: AsFound | None = None
    listening_distance_m: float | None = None
    speaker_count: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReverberationRequest:
    """Reverberation times of a room."""

    room: Room
    include_air: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Period:
    """Some hours at a level."""

    level_dba: float
    hours: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ExposureRequest:
    """Periods of one day."""

    periods: tuple[Period, ...]

    def __post_init__(self):
        hours = sum(period.hours for period in self.periods)
        if hours > 24:
            raise DomainError(
                pointer="/periods",
                code="too_long",
                detail=f"the periods of one day add up to {hours:g} hours.",
                given=hours,
                allowed="at most 24 hours together",
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelRequest:
    """Level budget of a speaker and an amplifier, in a room or in free field; what is looked for is None."""

    speaker: Loudspeaker | None = None
    amplifier: Amplifier | None = None
    room: Room | None = None
    listening_distance_m: float | None = None
    programme: str | None = None
    listening: str | None = None
    listening_level_dba: float | None = None
    positions: Positions | None = None
    as_found: AsFound | None = None
    speaker_count: int | None = None
    background: Background | None = None
    cable: Cable | None = None

    def __post_init__(self):
        if self.speaker is None and self.amplifier is None:
            raise DomainError(
                pointer="",
                code="missing",
                detail="speaker and amplifier are both missing: leave out the one that you look for, not both.",
                allowed=["speaker", "amplifier"],
            )
        self.refuse_places_without_room()

    def refuse_places_without_room(self):
        """Refuse places of which the room is not known."""
        for name in ("positions", "as_found"):
            if getattr(self, name) is not None and self.room is None:
                raise DomainError(
                    pointer="/room",
                    code="missing",
                    detail=f"{name}: places need the room they are in.",
                    allowed="a room",
                )


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacementRequest:
    """Where the pair and the seat go."""

    room: Room
    speaker: Loudspeaker | None = None
    positions: Positions | None = None
    as_found: AsFound | None = None
    search: Search = field(default_factory=Search)


@dataclass(frozen=True, slots=True, kw_only=True)
class AdviceRequest(LevelRequest):
    """The whole job; `include` names the parts of the answer that are wanted, all when it is empty."""

    include: tuple[str, ...] = ()
    search: Search = field(default_factory=Search)
    amplifiers: tuple[Amplifier, ...] = ()
    source: SignalSource | None = None
    taste: str | None = None
    as_posted: dict = field(default_factory=dict, hash=False, compare=False)
