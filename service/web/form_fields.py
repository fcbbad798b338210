"""GET /v1/fields: every field of the advice request as a form needs it, walked from the schema that checks it."""

import functools
from dataclasses import dataclass
from typing import Annotated, Literal

from service.domain.words import Words, words
from service.web.reading import fields
from service.web.reading.faults import escape
from service.web.reading.schema_base import StrictSchema
from service.web.requests.advice import AdviceRequestSchema

Control = Literal["number", "whole_number", "choice", "yes_or_no", "text", "list", "group"]
Rule = Literal["exactly_one", "at_most_one", "at_least_one", "together"]

FEW_FACTS = frozenset(
    (
        "/speaker/sensitivity_db_1m",
        "/speaker/kind",
        "/amplifier/power_w",
        "/amplifier/kind",
        "/room/floor_area_m2",
        "/room/construction",
        "/room/furnishing",
        "/listening_distance_m",
        "/programme",
        "/listening",
    )
)
"""What a form at the counter asks: facts that people know and that move the answer most."""

_CONTROLS = {
    fields.Number: "number",
    fields.Whole: "whole_number",
    fields.Choice: "choice",
    fields.Flag: "yes_or_no",
    fields.Text: "text",
    fields.ListOf: "list",
    fields.NumberArray: "list",
    fields.Block: "group",
}

_TERMS = {
    ("Speaker", "kind"): "speaker_kind",
    ("Amplifier", "kind"): "amplifier_kind",
    ("Background", "kind"): "background",
    ("AsFound", "speakers_on"): "stands_on",
    ("Search", "front_walls"): "room_wall",
}
"""Block and field -> the group of terms that names its choices, where it is not the field's own name."""


@dataclass(frozen=True, kw_only=True)
class FormChoice:
    """One value of a choice."""

    value: Annotated[object, "what the request carries"]
    label: Words


@dataclass(frozen=True, kw_only=True)
class FormField:
    """One field of the request. What does not apply to its control is null."""

    pointer: Annotated[str, "JSON pointer into the request; * stands for any item of a list"]
    label: Words
    help: Annotated[Words, "where a layman finds it, or what it means"]
    rank: Annotated[Literal["few_facts", "more"], "few_facts: the handful that a short form asks"]
    control: Control
    item_control: Annotated[Control | None, "what each item of a list is; the limits and choices are then the item's"]
    required: Annotated[bool, "whether its group needs it; see the rules also"]
    unit: str | None
    minimum: Annotated[float | None, "in the unit of the field"]
    maximum: Annotated[float | None, "in the unit of the field"]
    minimum_is_excluded: bool
    step: Annotated[float | None, "what the arrows of a form move by; any number in the range is taken, step or not"]
    default: Annotated[object, "what is taken when the field is left out, where that is one value"]
    choices: list[FormChoice] | None
    least_items: Annotated[int | None, "fewest items of a list"]
    most_items: Annotated[int | None, "most items of a list"]
    least_characters: Annotated[int | None, "shortest text"]
    most_characters: Annotated[int | None, "longest text"]


@dataclass(frozen=True, kw_only=True)
class FormRule:
    """A rule about fields of one group: of the sets, exactly one, at most one or at least one is given."""

    pointer: Annotated[str, "of the group; empty for the request itself"]
    rule: Annotated[Rule, "together: the fields of the one set are given all or none"]
    sets: Annotated[list[list[str]], "pointers of the fields of each set"]


@dataclass(frozen=True, kw_only=True)
class FormFieldsAnswer:
    """The fields of a body of POST /v1/advice and the rules between them."""

    fields: list[FormField]
    rules: list[FormRule]


@functools.cache
def form_fields():
    """Answer GET /v1/fields."""
    found = FormFieldsAnswer(fields=[], rules=[])
    _walk(AdviceRequestSchema(), "", found)
    return found


def _walk(schema, at, found):
    """Add the fields of a schema that stands at a pointer, and those below them."""
    found.rules.extend(_rules(schema, at))
    for name, field in schema.load_fields.items():
        pointer = f"{at}/{escape(field.data_key or name)}"
        found.fields.append(_form_field(schema, name, field, pointer))
        item = _item(field)
        if isinstance(item, fields.Block):
            _walk(item.schema, pointer if item is field else f"{pointer}/*", found)


def _item(field):
    """What each item of a list is, or the field itself; the numbers of an array have no field of their own."""
    return field.inner if isinstance(field, fields.ListOf) else field


def _limit(item):
    return item.limit if isinstance(item, fields.Number | fields.Whole | fields.NumberArray) else None


def _form_field(schema, name, field, pointer):
    is_list = isinstance(field, fields.ListOf | fields.NumberArray)
    item = _item(field)
    limit = _limit(item)
    block = _block(schema, name)
    return FormField(
        pointer=pointer,
        label=_sentence(block, field, name, "label"),
        help=_sentence(block, field, name, "help"),
        rank="few_facts" if pointer in FEW_FACTS else "more",
        control=_CONTROLS[type(field)],
        item_control=_item_control(field) if is_list else None,
        required=field.required,
        unit=field.metadata.get("x-unit"),
        minimum=limit and limit.minimum,
        maximum=limit and limit.maximum,
        minimum_is_excluded=bool(limit and limit.above),
        step=limit and limit.step,
        default=field.metadata.get("default"),
        choices=_choices(_TERMS.get((block, name), name), item),
        least_items=field.min_length if is_list else None,
        most_items=field.max_length if is_list else None,
        least_characters=item.min_length if isinstance(item, fields.Text) else None,
        most_characters=item.max_length if isinstance(item, fields.Text) else None,
    )


def _item_control(field):
    return "number" if isinstance(field, fields.NumberArray) else _CONTROLS[type(field.inner)]


def _block(schema, name):
    """Name of the block that first declares a field; blocks made from it say the same of it."""
    declaring = [
        kind for kind in type(schema).__mro__ if issubclass(kind, StrictSchema) and name in kind._declared_fields
    ]
    return declaring[-1].__name__.removesuffix("Schema")


def _sentence(block, field, name, part):
    octave = field.data_key
    if octave:  # of the blocks by octave, whose fields differ in the octave alone
        return words(f"fields.octave.{part}", octave_hz=int(octave))
    return Words(f"fields.{block}.{name}.{part}")


def _choices(group, field):
    if not isinstance(field, fields.Choice):
        return None
    return [FormChoice(value=value, label=Words(f"terms.{group}.{value}")) for value in field.values]


def _rules(schema, at):
    def rule(name, sets):
        return FormRule(pointer=at, rule=name, sets=[[f"{at}/{escape(key)}" for key in keys] for keys in sets])

    yield from (rule("exactly_one", [[key] for key in group]) for group in schema.exactly_one_of)
    yield from (rule("at_most_one", [[key] for key in group]) for group in schema.at_most_one_of)
    if schema.one_set_of:
        yield rule("at_least_one", schema.one_set_of)
    yield from (rule("together", [group]) for group in schema.together)
