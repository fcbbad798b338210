"""Which modes are worth saying."""

from service.advice.findings.finding import finding


def _loudness(mode):
    """How much a mode is heard: driven, received and ringing; one that never dies away counts as endless."""
    ringing_s = float("inf") if mode.decay_time_s is None else mode.decay_time_s
    heard = mode.seat_coupling_ratio * mode.speaker_coupling_ratio
    return heard * ringing_s if heard else 0.0


def modes_findings(listed):
    """Return the findings about modes: the three that ring longest where this seat and these speakers meet them."""
    known = [mode for mode in listed if mode.seat_coupling_ratio is not None]
    loud = sorted(known, key=_loudness, reverse=True)[:3]
    if not loud:
        return []
    return [finding("modes_at_this_chair", frequencies_hz=sorted(mode.frequency_hz for mode in loud))]
