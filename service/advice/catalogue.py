"""The tables and the invented scenes, as answers."""

import json
from pathlib import Path

from service.advice.answers.tables import (
    DemoRoomAnswer,
    DemoRoomsAnswer,
    MaterialAnswer,
    MaterialsAnswer,
    ProgrammeAnswer,
    ProgrammesAnswer,
    ReferenceAnswer,
    SpectrumAnswer,
)
from service.advice.assumptions import Assumptions
from service.advice.programme import programme_facts
from service.physics.bands import OCTAVE_NOMINAL_HZ, THIRD_OCTAVE_NOMINAL_HZ
from service.tables import loader

_DEMO_ROOMS = Path(__file__).parents[2] / "demo_rooms"


def programme_ids():
    """Return the ids of the kinds of programme."""
    return tuple(loader.programmes())


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
    facts = [programme_facts(identifier, Assumptions()) for identifier in programme_ids()]
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
        references=_references({row.source for row in (*rows, *loader.spectra().values())}),
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
