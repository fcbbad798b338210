"""What a comparison of amplifiers or speakers is asked."""

from dataclasses import dataclass

from service.domain.equipment import Amplifier, Loudspeaker
from service.domain.errors import DomainError
from service.domain.load import SignalSource
from service.domain.requests import LevelRequest

TASTES = ("as_recorded", "no_preference", "valve_colour_welcome")
"""How much an amplifier may follow the impedance of a speaker."""

MOST_COMPARED = 50


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchRequest(LevelRequest):
    """Speakers and amplifiers to compare, one or several of each."""

    speakers: tuple[Loudspeaker, ...] = ()
    amplifiers: tuple[Amplifier, ...] = ()
    source: SignalSource | None = None
    taste: str | None = None

    def __post_init__(self):
        for one, several in (("speaker", "speakers"), ("amplifier", "amplifiers")):
            told = [name for name in (one, several) if getattr(self, name)]
            if len(told) != 1:
                raise DomainError(
                    pointer="",
                    code="one_of" if told else "missing",
                    detail=f"give either one {one} or a list of {several}.",
                    given=told,
                    allowed=[one, several],
                )
        LevelRequest.refuse_places_without_room(self)

    @property
    def all_speakers(self):
        """Speakers with the JSON pointer that each stands under."""
        return _pointed(self.speaker, self.speakers, "speaker")

    @property
    def all_amplifiers(self):
        """Amplifiers with the JSON pointer that each stands under."""
        return _pointed(self.amplifier, self.amplifiers, "amplifier")


def _pointed(one, several, name):
    if one is not None:
        return ((f"/{name}", one),)
    return tuple((f"/{name}s/{index}", each) for index, each in enumerate(several))
