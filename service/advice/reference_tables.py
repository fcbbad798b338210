"""The tables and the invented scenes, as answers."""

import dataclasses
import json
from pathlib import Path

from service.advice.answers.tables import (
    AmplifierKindAnswer,
    AmplifierKindsAnswer,
    BackgroundAnswer,
    ConstructionAnswer,
    DemoRoomAnswer,
    DemoRoomsAnswer,
    FurnishingAnswer,
    ListeningAnswer,
    MaterialAnswer,
    MaterialsAnswer,
    ProgrammeAnswer,
    ProgrammesAnswer,
    ReferenceAnswer,
    RoomKindsAnswer,
    SpeakerKindAnswer,
    SpeakerKindsAnswer,
    SpectrumAnswer,
)
from service.advice.language.localise import LANGUAGES, text_of
from service.advice.programme import usual_programme
from service.advice.room.kinds import REFERENCE_VOLUME_M3
from service.domain.words import words
from service.physics.bands import OCTAVE_NOMINAL_HZ, THIRD_OCTAVE_NOMINAL_HZ
from service.tables import loader

_DEMO_ROOMS = Path(__file__).parents[2] / "demo_rooms"


def programme_ids():
    """Return the ids of the kinds of programme."""
    return tuple(loader.programmes())


def listening_ids():
    """Return how loud people listen, in words."""
    return tuple(loader.listening_levels())


def construction_ids():
    """Return the ids of the ways rooms are built."""
    return tuple(loader.room_constructions())


def furnishing_ids():
    """Return the ids of the ways rooms are furnished."""
    return tuple(loader.room_furnishings())


def bass_section_low_limit_hz():
    """Return the usual low limit of a bass section. [Hz]"""
    return loader.speaker_kinds()["top_with_bass_section"].low_limit_hz


def materials():
    """Answer GET /v1/materials."""
    rows = loader.materials().values()
    used = {source for row in rows for source in row.sources}
    return MaterialsAnswer(
        octaves_hz=list(OCTAVE_NOMINAL_HZ),
        materials=[
            MaterialAnswer(
                id=row.id,
                description=row.description,
                unit=row.unit,
                by_octave=list(row.by_octave),
                sources=list(row.sources),
                status=row.status,
                note=row.note,
            )
            for row in rows
        ],
        references=_references(used),
    )


def names_of(key):
    """Return a term of the catalogue in every language."""
    return {language: text_of(words(key), language) for language in LANGUAGES}


def _references(keys):
    """Return the sources of these keys."""
    return [
        ReferenceAnswer(
            key=source.key,
            authors=source.authors,
            title=source.title,
            year=source.year,
            kind=source.kind,
            seen=source.seen,
        )
        for source in loader.references().values()
        if source.key in keys
    ]


def programmes():
    """Answer GET /v1/programmes."""
    rows = loader.programmes().values()
    facts = [usual_programme(identifier) for identifier in programme_ids()]
    return ProgrammesAnswer(
        octaves_hz=list(OCTAVE_NOMINAL_HZ),
        third_octaves_hz=[float(third) for third in THIRD_OCTAVE_NOMINAL_HZ],
        programmes=[
            ProgrammeAnswer(
                id=row.id,
                name=row.name,
                description=row.description,
                average_level_db=row.average_level_db,
                crest_factor_db=row.crest_factor_db,
                peak_target_db=fact.peak_target_db,
                spectrum=row.spectrum.id,
                octave_share_ratio=fact.octave_shares,
                source=row.source,
                why=row.why,
            )
            for row, fact in zip(rows, facts, strict=True)
        ],
        spectra=[
            SpectrumAnswer(
                id=row.id,
                description=row.description,
                third_octave_levels_db=list(row.third_octave_levels_db),
                source=row.source,
                why=row.why,
            )
            for row in loader.spectra().values()
        ],
        listening=[
            ListeningAnswer(
                id=row.id,
                level_dba=row.level_dba,
                from_dba=row.from_dba,
                to_dba=row.to_dba,
                source=row.source,
                why=row.why,
            )
            for row in loader.listening_levels().values()
        ],
        references=_references({row.source for row in (*rows, *loader.spectra().values())}),
    )


def room_kinds():
    """Answer GET /v1/room-kinds."""
    built, furnished = loader.room_constructions().values(), loader.room_furnishings().values()
    return RoomKindsAnswer(
        octaves_hz=list(OCTAVE_NOMINAL_HZ),
        reference_volume_m3=REFERENCE_VOLUME_M3,
        constructions=[
            ConstructionAnswer(
                id=row.id,
                names=names_of(f"terms.construction.{row.id}"),
                reverberation_time_s=list(row.by_octave_s),
                middle_from_s=row.middle_from_s,
                middle_to_s=row.middle_to_s,
                height_m=row.height_m,
                height_from_m=row.height_from_m,
                height_to_m=row.height_to_m,
                background=row.background,
                status=row.status,
                source=row.source,
                why=row.why,
                note=row.note,
            )
            for row in built
        ],
        furnishings=[
            FurnishingAnswer(
                id=row.id,
                names=names_of(f"terms.furnishing.{row.id}"),
                time_ratio=row.time_ratio,
                status=row.status,
                source=row.source,
                why=row.why,
            )
            for row in furnished
        ],
        backgrounds=[
            BackgroundAnswer(
                **dataclasses.asdict(row),
                names=names_of(f"terms.background.{row.id}"),
            )
            for row in loader.backgrounds().values()
        ],
        references=_references({row.source for row in (*built, *furnished, *loader.backgrounds().values())}),
    )


def speaker_kinds():
    """Answer GET /v1/speaker-kinds."""
    rows = loader.speaker_kinds().values()
    return SpeakerKindsAnswer(
        octaves_hz=list(OCTAVE_NOMINAL_HZ),
        speaker_kinds=[
            SpeakerKindAnswer(
                **{
                    **dataclasses.asdict(row),
                    "directivity_index_db": list(row.directivity_index_db),
                    "standing": list(row.standing),
                },
                names=names_of(f"terms.speaker_kind.{row.id}"),
            )
            for row in rows
        ],
        references=_references({row.source for row in rows}),
    )


def amplifier_kinds():
    """Answer GET /v1/amplifier-kinds."""
    rows = loader.amplifier_kinds().values()
    return AmplifierKindsAnswer(
        amplifier_kinds=[
            AmplifierKindAnswer(**dataclasses.asdict(row), names=names_of(f"terms.amplifier_kind.{row.id}"))
            for row in rows
        ],
        references=_references({row.source for row in rows}),
    )


def demo_room_bodies():
    """Return the invented scenes as (operation, name, body), sorted; the folder names the operation."""
    files = sorted(_DEMO_ROOMS.glob("*/*.json"))
    return [(file.parent.name, file.stem, json.loads(file.read_text(encoding="utf-8"))) for file in files]


def demo_rooms():
    """Answer GET /v1/demo-rooms."""
    return DemoRoomsAnswer(
        demo_rooms=[
            DemoRoomAnswer(name=name, path=f"/v1/{operation}", note=body["note"], body=body)
            for operation, name, body in demo_room_bodies()
        ]
    )
