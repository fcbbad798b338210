"""Models of loudspeakers, cached for the next request about the same one."""

import functools

from service.advice.assumptions import Assumption, Assumptions
from service.advice.speaker.model import LoudspeakerModel, loudspeaker_model
from service.domain.equipment import Loudspeaker
from service.physics.frozen import frozen_record

_CACHED = 256


@functools.lru_cache(maxsize=_CACHED)
def _model(speaker: Loudspeaker, speed_of_sound_m_s: float) -> tuple[LoudspeakerModel, list[Assumption]]:
    assume = Assumptions()
    model = loudspeaker_model(speaker, assume, speed_of_sound_m_s=speed_of_sound_m_s)
    return frozen_record(model), assume.listed()


def cached_speaker_model(speaker: Loudspeaker, assume: Assumptions, *, speed_of_sound_m_s: float) -> LoudspeakerModel:
    """Return the model of a loudspeaker; what had to be assumed goes to `assume`."""
    model, assumptions = _model(speaker, speed_of_sound_m_s)
    assume.extend(assumptions)
    return model


def clear_speaker_models() -> None:
    """Empty the cache: for measurements of a first request."""
    _model.cache_clear()
