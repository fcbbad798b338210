"""All operations of the service: where each is, what it takes, which function of the advice answers it."""

from service.advice import reference_tables as catalogue
from service.advice.answers.exposure import ExposureAnswer
from service.advice.answers.field_coil import FieldCoilAnswer
from service.advice.answers.level import LevelAnswer
from service.advice.answers.match import MatchAnswer
from service.advice.answers.modes import ModesAnswer
from service.advice.answers.open_baffle import OpenBaffleAnswer
from service.advice.answers.placement import PlacementAnswer
from service.advice.answers.reflections import ReflectionsAnswer
from service.advice.answers.response import ResponseAnswer
from service.advice.answers.reverberation import ReverberationAnswer
from service.advice.answers.run_in import RunInAnswer
from service.advice.answers.tables import (
    AmplifierKindsAnswer,
    DemoRoomsAnswer,
    MaterialsAnswer,
    ProgrammesAnswer,
    RoomKindsAnswer,
    SpeakerKindsAnswer,
)
from service.advice.answers.whole_job import AdviceAnswer
from service.advice.calculators.exposure import exposure
from service.advice.calculators.field_coil import field_coil
from service.advice.calculators.open_baffle import open_baffle
from service.advice.calculators.run_in import run_in
from service.advice.level.level import level
from service.advice.match.match import match
from service.advice.placement.placement import placement
from service.advice.room_questions.modes import room_modes
from service.advice.room_questions.reflections import reflections
from service.advice.room_questions.response import response
from service.advice.room_questions.reverberation import reverberation_times
from service.advice.whole_job.advice import advice
from service.domain import limits
from service.web import visit_form
from service.web.form_fields import FormFieldsAnswer, form_fields
from service.web.operation import Operation
from service.web.reading.schema_base import LanguageQuerySchema
from service.web.requests.advice import AdviceRequestSchema
from service.web.requests.exposure import ExposureRequestSchema
from service.web.requests.field_coil import FieldCoilRequestSchema
from service.web.requests.level import LevelRequestSchema
from service.web.requests.match import MatchRequestSchema
from service.web.requests.modes import ModesRequestSchema
from service.web.requests.open_baffle import OpenBaffleRequestSchema
from service.web.requests.placement import PlacementRequestSchema
from service.web.requests.reflections import ReflectionsRequestSchema
from service.web.requests.response import ResponseRequestSchema
from service.web.requests.reverberation import ReverberationRequestSchema
from service.web.requests.run_in import RunInRequestSchema
from service.web.sheet.sheet import ADVICE_SHEETS
from service.web.writing.inputs import with_inputs


def _example(operation, name):
    """Return the function that gives an invented scene as the example of an operation."""

    def body():
        return next(body for folder, stem, body in catalogue.demo_room_bodies() if folder == operation and stem == name)

    return body


def _post(name, summary, description, *, compute, schema, answer, example, **more):
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
        **more,
    )


def _get(name, summary, description, *, compute, answer, **more):
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
        **more,
    )


OPERATIONS = (
    _post(
        "advice",
        "The whole job",
        "Will this amplifier drive this pair loud enough, in that room, at that chair; where do the speakers go; what "
        "will the room do to the bass? A sensitivity, a power, a distance and a room are enough; all else is assumed, "
        "and `assumptions` lists it. `inputs` is the request with these filled in, itself a valid request.",
        compute=advice,
        schema=AdviceRequestSchema,
        answer=AdviceAnswer,
        example="flat_living_room",
        other_forms=ADVICE_SHEETS,
        complete=with_inputs,
    ),
    _post(
        "level",
        "Level budget",
        "Direct, reverberant and peak level at the seat, the headroom above what the programme needs, what ends the "
        "level first, and the uncertainty. Without a room: free field.",
        compute=level,
        schema=LevelRequestSchema,
        answer=LevelAnswer,
        example="counter_question",
    ),
    _post(
        "match",
        "Which amplifier, or which speaker",
        "Amplifiers ranked for a speaker, a room and a programme, each with its reasons in dB, V, A and ohm: headroom "
        "and how sure it is, level swing, noise, gain, load, a grade. Or speakers for an amplifier. `sharpen` is "
        "the one fact that would narrow the answer most. Several of both give `table`, a row of numbers for each "
        "speaker, and the best pair with its reasons.",
        compute=match,
        schema=MatchRequestSchema,
        answer=MatchAnswer,
        example="three_on_the_shelf",
    ),
    _post(
        "modes",
        "Room modes and proportions",
        "Every mode up to a frequency with its kind, its decay time and where it is not heard, and what the room's "
        "proportions mean by published rules. With positions: how strongly speakers and seat couple to each mode.",
        compute=room_modes,
        schema=ModesRequestSchema,
        answer=ModesAnswer,
        example="attic_study",
    ),
    _post(
        "response",
        "Wave field at seats",
        "Complex sum of point sources at each seat, relative to one source of 0 dB in free field at 1 m; exact for a "
        "box whose walls have a real admittance. "
        f"At most {limits.MOST_RESPONSE_VALUES} values (sources x seats x frequencies) and "
        f"{limits.MOST_FIELD_TERMS // 10**6} million terms of the sum over wall modes: only a hall with seats close to "
        "a source comes near.",
        compute=response,
        schema=ResponseRequestSchema,
        answer=ResponseAnswer,
        example="hotel_suite_pair",
    ),
    _post(
        "placement",
        "Where the pair and the seat go",
        "Judges every candidate of a grid with the wave field and gives the best that really differ, each with the "
        "distances to lay out by tape measure, and beside them the present position where it is told.",
        compute=placement,
        schema=PlacementRequestSchema,
        answer=PlacementAnswer,
        example="dealer_large_room",
    ),
    _post(
        "reverberation",
        "Reverberation times",
        "Times by five formulas, from surfaces, furniture, people and air, or the measured time; the studio "
        "recommendation for comparison; how much of which absorber would reach a goal.",
        compute=reverberation_times,
        schema=ReverberationRequestSchema,
        answer=ReverberationAnswer,
        example="dealer_small_room",
    ),
    _post(
        "reflections",
        "First reflections",
        "Each first reflection of each speaker at the first seat: path, delay, point on the surface, level against the "
        "direct sound by octave with the absorption of the surface and the directivity of the speaker; the studio "
        "recommendation for early reflections, and where how much of which absorber would reach it.",
        compute=reflections,
        schema=ReflectionsRequestSchema,
        answer=ReflectionsAnswer,
        example="flat_living_room",
    ),
    _post(
        "exposure",
        "How loud for how long",
        "The listening periods of one day against the NIOSH recommendation, the OSHA rules, the European directive and "
        "the weekly allowance of WHO and ITU.",
        compute=exposure,
        schema=ExposureRequestSchema,
        answer=ExposureAnswer,
        example="show_day",
    ),
    _post(
        "field-coil",
        "Field coil and its supply",
        "Resistance, voltage, current and power of a field coil, cold and warm, on a constant voltage and on a "
        "constant current; what each does to the flux, and how long the coil takes to warm.",
        compute=field_coil,
        schema=FieldCoilRequestSchema,
        answer=FieldCoilAnswer,
        example="bench_supply",
    ),
    _post(
        "open-baffle",
        "Open baffle",
        "Where the bass of a driver on a flat open baffle is 3, 6 and 10 dB down, the equalisation and travel that "
        "flat bass takes, and the sizes that reach a wanted frequency.",
        compute=open_baffle,
        schema=OpenBaffleRequestSchema,
        answer=OpenBaffleAnswer,
        example="workshop_plate",
    ),
    _post(
        "run-in",
        "Running in a new driver",
        "Voltage, level and amplifier power for noise at a share of the rated long-term power, for a day before a new "
        "driver is fitted.",
        compute=run_in,
        schema=RunInRequestSchema,
        answer=RunInAnswer,
        example="new_driver",
    ),
    _get(
        "materials",
        "Table of materials",
        "Absorption by octave of surfaces, furniture and people, with the source of every row. Rooms name them by id.",
        compute=catalogue.materials,
        answer=MaterialsAnswer,
    ),
    _get(
        "room-kinds",
        "Table of kinds of room",
        "What is usual for how a room is built and furnished: reverberation times by octave with their range, ceiling, "
        "background; each with its reason. Rooms name them by id.",
        compute=catalogue.room_kinds,
        answer=RoomKindsAnswer,
    ),
    _get(
        "speaker-kinds",
        "Table of kinds of speaker",
        "What is usual for each kind of loudspeaker: low limit, directivity, impedance, power, sensitivity, each with "
        "its range. Speakers name them by id; facts that are told replace them.",
        compute=catalogue.speaker_kinds,
        answer=SpeakerKindsAnswer,
    ),
    _get(
        "amplifier-kinds",
        "Table of kinds of amplifier",
        "What is usual for each kind of amplifier: output impedance, gain, noise, hum, tolerance of its rating, each "
        "with its range. Amplifiers name them by id; facts that are told replace them.",
        compute=catalogue.amplifier_kinds,
        answer=AmplifierKindsAnswer,
    ),
    _get(
        "programmes",
        "Table of programmes",
        "Average level, crest factor, peak target and spectrum of each kind of music, with source or reason.",
        compute=catalogue.programmes,
        answer=ProgrammesAnswer,
    ),
    _get(
        "demo-rooms",
        "Invented scenes",
        "Valid bodies for the operations, to try them with. Rooms, people and equipment are invented.",
        compute=catalogue.demo_rooms,
        answer=DemoRoomsAnswer,
    ),
    _get(
        "fields",
        "Fields for a form",
        "Every field of a body of POST /v1/advice with its label, where a layman finds it, unit, range, step, default "
        "and choices, and the rules between fields: all that a form needs.",
        compute=form_fields,
        answer=FormFieldsAnswer,
        query_schema=LanguageQuerySchema,
    ),
    _get(
        "visit-form",
        "Blank visit form",
        "One page to print and take to a customer's home: what to write down, where to find it, room for a sketch.",
        compute=visit_form.visit_form,
        answer=str,
        query_schema=LanguageQuerySchema,
        media_type="text/html",
        write=visit_form.to_html,
        security_policy=visit_form.SECURITY_POLICY,
    ),
)

ADVICE = OPERATIONS[0]
"""The whole job, which the command line answers too."""
