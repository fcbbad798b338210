"""The caches that a pairing rests on."""

from service.advice.pairing.seat import clear_wave_fields
from service.advice.room.cached import clear_room_models
from service.advice.speaker.cached import clear_speaker_models


def clear_caches() -> None:
    """Empty all of them: for measurements of a first request."""
    clear_room_models()
    clear_speaker_models()
    clear_wave_fields()
