"""What each operation is asked: a frozen object for each, with the facts as told; None where nothing was told."""

from dataclasses import dataclass, field

from service.domain.as_found import AsFound
from service.domain.block import Block
from service.domain.equipment import Amplifier, Background, Loudspeaker
from service.domain.errors import DomainError
from service.domain.limits import MOST_RESPONSE_VALUES
from service.domain.load import Cable, SignalSource
from service.domain.position import Place, Positions, Source
from service.domain.room import Room
from service.domain.search import Search
from service.domain.words import words

TASTES = ("as_recorded", "no_preference", "valve_colour_welcome")
"""How much an amplifier may follow the impedance of a speaker."""

MOST_COMPARED = 50
"""Speakers, or amplifiers, of one comparison."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SceneRequest(Block):
    """A room with a pair and a chair in it, as far as they are known: what most operations are asked about."""

    room: Room | None = None
    speaker: Loudspeaker | None = None
    positions: Positions | None = None
    as_found: AsFound | None = None
    listening_distance_m: float | None = None
    speaker_count: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ModesRequest(SceneRequest):
    """Modes of a room; how strongly they couple to speakers and seats where these are given."""

    room: Room
    to_hz: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReflectionsRequest(SceneRequest):
    """First reflections of each speaker at a chair."""

    room: Room


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacementRequest(SceneRequest):
    """Where the pair and the seat go."""

    room: Room
    search: Search = field(default_factory=Search)


@dataclass(frozen=True, slots=True, kw_only=True)
class PairingRequest(SceneRequest):
    """Speakers and amplifiers, one or several of each, in a room or in free field; what is looked for is None."""

    amplifier: Amplifier | None = None
    speakers: tuple[Loudspeaker, ...] = ()
    amplifiers: tuple[Amplifier, ...] = ()
    programme: str | None = None
    listening: str | None = None
    listening_level_dba: float | None = None
    background: Background | None = None
    cable: Cable | None = None
    source: SignalSource | None = None
    taste: str | None = None

    def __post_init__(self) -> None:
        for name, told in (("positions", self.positions), ("as_found", self.as_found)):
            if told is not None and self.room is None:
                raise DomainError(
                    pointer=self.own("room"),
                    code="missing",
                    detail=words("refusals_domain.places_without_room", name=name),
                    allowed=words("refusals_domain.places_without_room.allowed"),
                )

    @property
    def all_speakers(self) -> tuple[Loudspeaker, ...]:
        """Speakers of a comparison."""
        return self.speakers or (() if self.speaker is None else (self.speaker,))

    @property
    def all_amplifiers(self) -> tuple[Amplifier, ...]:
        """Amplifiers of a comparison: the list, else the only one."""
        return self.amplifiers or (() if self.amplifier is None else (self.amplifier,))


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelRequest(PairingRequest):
    """Level budget of a speaker and an amplifier."""

    def __post_init__(self) -> None:
        PairingRequest.__post_init__(self)
        if self.speaker is None and self.amplifier is None:
            raise DomainError(
                pointer="",
                code="missing",
                detail=words("refusals_domain.nothing_to_match"),
                allowed=["speaker", "amplifier"],
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class AdviceRequest(LevelRequest):
    """The whole job; `include` names the parts of the answer that are wanted, all when it is empty."""

    include: tuple[str, ...] = ()
    search: Search = field(default_factory=Search)


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchRequest(PairingRequest):
    """Speakers and amplifiers to compare, one or several of each."""

    def __post_init__(self) -> None:
        told = (
            ("speaker", self.speaker, "speakers", self.speakers),
            ("amplifier", self.amplifier, "amplifiers", self.amplifiers),
        )
        for one, single, several, listed in told:
            given = [name for name, value in ((one, single), (several, listed)) if value]
            if len(given) != 1:
                raise DomainError(
                    pointer="",
                    code="one_of" if given else "missing",
                    detail=words(f"refusals_domain.one_or_several.{several}"),
                    given=given,
                    allowed=[one, several],
                )
        PairingRequest.__post_init__(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class ResponseRequest(Block):
    """Wave field at seats."""

    room: Room
    sources: tuple[Source, ...]
    seats: tuple[Place, ...]
    frequency_hz: tuple[float, ...]
    damping: str = "surfaces"

    def __post_init__(self) -> None:
        if self.damping == "uniform" and self.room.reverberation_time_s is None:
            raise DomainError(
                pointer=self.own("room", "reverberation_time_s"),
                code="missing",
                detail=words("refusals_domain.uniform_damping"),
                allowed=words("refusals_domain.uniform_damping.allowed"),
            )
        values = len(self.sources) * len(self.seats) * len(self.frequency_hz)
        if values > MOST_RESPONSE_VALUES:
            raise DomainError(
                pointer=self.own("frequency_hz"),
                code="too_much_work",
                detail=words(
                    "refusals_domain.too_many_values",
                    sources=len(self.sources),
                    seats=len(self.seats),
                    frequencies=len(self.frequency_hz),
                    values=values,
                ),
                given=values,
                allowed=words("refusals_domain.too_many_values.allowed", most=MOST_RESPONSE_VALUES),
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class ReverberationRequest(Block):
    """Reverberation times of a room."""

    room: Room
    include_air: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Period:
    """Some hours at a level."""

    level_dba: float
    hours: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ExposureRequest(Block):
    """Periods of one day."""

    periods: tuple[Period, ...]

    def __post_init__(self) -> None:
        hours = sum(period.hours for period in self.periods)
        if hours > 24:
            raise DomainError(
                pointer=self.own("periods"),
                code="too_long",
                detail=words("refusals_domain.day_too_long", hours=hours),
                given=hours,
                allowed=words("refusals_domain.day_too_long.allowed"),
            )
