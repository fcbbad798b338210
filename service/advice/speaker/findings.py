"""What is worth saying about a loudspeaker itself."""

from service.advice import policy
from service.advice.answers.common import Finding
from service.advice.findings.finding import finding
from service.advice.speaker.model import LoudspeakerModel


def speaker_findings(speaker: LoudspeakerModel) -> list[Finding]:
    """Return what is worth saying about the loudspeaker itself."""
    found = []
    if speaker.asks_for_directivity:
        found.append(finding("directivity_needed", sensitivity_db_1w_1m=speaker.sensitivity_db_1w_1m))
    crossover_hz = speaker.bass_section_below_hz
    low_hz, high_hz = policy.USUAL_CROSSOVER_HZ
    if crossover_hz is not None and not low_hz <= crossover_hz <= high_hz:
        found.append(finding("unusual_crossover", crossover_hz=crossover_hz, usual_from_hz=low_hz, usual_to_hz=high_hz))
    if speaker.low_limit_hz > policy.BASS_ENDS_FROM_HZ:
        found.append(finding("speaker_bass_ends", low_limit_hz=speaker.low_limit_hz))
    return found
