"""Schemas of values by octave."""

from service.advice.octaves import OCTAVE_NOMINAL_HZ
from service.domain.errors import DomainError
from service.domain.words import words
from service.web.reading.fields import Number
from service.web.reading.schema_base import StrictSchema


def _octaves(title, limit, description, *, unit=None):
    """Return a schema with one optional number for each octave, read as pairs of octave and value."""

    def make(self, data):
        if not data:
            raise DomainError(
                pointer="",
                code="missing",
                detail=words("refusals_requests.no_octave"),
                allowed=list(self.known_keys),
            )
        return tuple(sorted((int(name.removeprefix("octave_")), value) for name, value in data.items()))

    members = {}
    for octave in OCTAVE_NOMINAL_HZ:
        field = Number(limit, data_key=str(octave), description=f"octave of {octave} Hz", unit=unit)
        field.called = words("refusals_fields.label.octave", octave=octave)
        members[f"octave_{octave}"] = field
    return type(title, (StrictSchema,), {**members, "make": make, "__doc__": description})


AbsorptionByOctave = _octaves(
    "AbsorptionByOctave",
    "absorption_coefficient",
    "Absorption coefficient of the octaves that are known; the others lie on straight lines between them.",
)
TimesByOctave = _octaves(
    "TimesByOctave",
    "reverberation_time_s",
    "Reverberation time of the octaves that were measured; the others lie on straight lines between them.",
    unit="s",
)
DirectivityByOctave = _octaves(
    "DirectivityByOctave",
    "directivity_index_db",
    "Directivity index of the octaves that are known; the others lie on straight lines between them.",
    unit="dB",
)
