"""Fields that several operations ask in the same words."""

from service.domain import requests
from service.web.reading.fields import Choice, Number, Whole
from service.web.reading.shown_defaults import shown_default


def listening_distance_m():
    """Return the field of the distance from the ear to the speakers."""
    return Number("listening_distance_m", description="from the ear to the front of each speaker", unit="m")


def speaker_count():
    """Return the field of the number of speakers."""
    return Whole("speaker_count", description="a pair, or one speaker", **shown_default("speaker_count"))


def taste():
    """Return the field of what is liked."""
    return Choice(
        requests.TASTES,
        **shown_default("taste"),
        description="how much an amplifier may follow the speaker's impedance",
    )
