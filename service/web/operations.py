"""All operations of the service: where each is, what it takes, which function of the advice answers it."""

from service.advice import answers, catalogue
from service.advice.advice import advice
from service.advice.exposure import exposure
from service.advice.level import level
from service.advice.modes import room_modes
from service.advice.placement import placement
from service.advice.response import response
from service.advice.reverberation import reverberation_times
from service.web import requests
from service.web.operation import Operation


def _example(operation, name):
    """Return the function that gives an invented scene as the example of an operation."""

    def body():
        return next(
            body for folder, stem, body in catalogue.demo_room_bodies() if folder == operation and stem == name
        )

    return body


def _post(name, summary, description, *, compute, schema, answer, example):
    return Operation(
        method="POST",
        path=f"/v1/{name}",
        operation_id=name.replace("-", "_"),
        tag="advice",
        summary=summary,
        description=description,
        compute=compute,
        request_schema=schema,
        answer_type=answer,
        example=_example(name, example),
    )


def _get(name, summary, description, *, compute, answer):
    return Operation(
        method="GET",
        path=f"/v1/{name}",
        operation_id=name.replace("-", "_"),
        tag="tables",
        summary=summary,
        description=description,
        compute=compute,
        request_schema=None,
        answer_type=answer,
    )


OPERATIONS = (
    _post(
        "advice",
        "The whole job",
        "Will this amplifier drive this pair loud enough, in that room, at that chair; where do the speakers go; what will the "
        "room do to the bass. A sensitivity, a power, a distance and a room are enough; all else is assumed and listed.",
        compute=advice,
        schema=requests.AdviceRequestSchema,
        answer=answers.AdviceAnswer,
        example="flat_living_room",
    ),
    _post(
        "level",
        "Level budget",
        "Direct, reverberant and peak level at the seat, headroom, what ends the level first, and the uncertainty. Without a "
        "room: free field.",
        compute=level,
        schema=requests.LevelRequestSchema,
        answer=answers.LevelAnswer,
        example="counter_question",
    ),
    _post(
        "modes",
        "Room modes and proportions",
        "Every mode up to a frequency with its kind, decay time and quiet places; with positions, how strongly speakers and seat "
        "couple to it.",
        compute=room_modes,
        schema=requests.ModesRequestSchema,
        answer=answers.ModesAnswer,
        example="attic_study",
    ),
    _post(
        "response",
        "Wave field at seats",
        "Complex sum of point sources at each seat, re one source of 0 dB in free field at 1 m, exact for walls of real admittance.",
        compute=response,
        schema=requests.ResponseRequestSchema,
        answer=answers.ResponseAnswer,
        example="hotel_suite_pair",
    ),
    _post(
        "placement",
        "Where the pair and the seat go",
        "Every candidate of a grid judged with the wave field; the best that really differ, the present position next to them.",
        compute=placement,
        schema=requests.PlacementRequestSchema,
        answer=answers.PlacementAnswer,
        example="dealer_large_room",
    ),
    _post(
        "reverberation",
        "Reverberation times",
        "Five formulas from surfaces, furniture, people and air; the studio recommendation for comparison; what would reach a goal.",
        compute=reverberation_times,
        schema=requests.ReverberationRequestSchema,
        answer=answers.ReverberationAnswer,
        example="dealer_small_room",
    ),
    _post(
        "exposure",
        "How loud for how long",
        "The periods of a day against NIOSH, OSHA, the European directive and the WHO-ITU week.",
        compute=exposure,
        schema=requests.ExposureRequestSchema,
        answer=answers.ExposureAnswer,
        example="show_day",
    ),
    _get(
        "materials",
        "Table of materials",
        "Absorption by octave with the source of every row.",
        compute=catalogue.materials,
        answer=answers.MaterialsAnswer,
    ),
    _get(
        "programmes",
        "Table of programmes",
        "Average level, crest factor, peak target and spectrum of each kind of music, with source or reason.",
        compute=catalogue.programmes,
        answer=answers.ProgrammesAnswer,
    ),
    _get(
        "demo-rooms",
        "Invented scenes",
        "Valid bodies for the operations. Rooms, people and equipment are invented.",
        compute=catalogue.demo_rooms,
        answer=answers.DemoRoomsAnswer,
    ),
)
