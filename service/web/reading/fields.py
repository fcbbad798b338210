"""Fields of request schemas: JSON taken at its word.

A number is a number, never a text that looks like one; true is not 1; null stands for nothing and is refused.
Each field says what it allows in words (`allowed`) and in JSON Schema (`json_schema`), from the same facts.
"""

import marshmallow
import numpy as np

from service.domain import limits
from service.domain.words import words
from service.web.reading.faults import MOST_FAULTS_PER_LIST, Fault, nearest
from service.web.reading.field_base import Strict, StrictField, not_allowed
from service.web.reading.place import below

_MOST_FIELDS_NAMED = 6
"""An object of more fields is described by its first ones; the specification has them all."""

_QUOTED_NUMBER = words("refusals_fields.without_quotes")


def _limit_of(name_or_limit):
    return limits.LIMITS[name_or_limit] if isinstance(name_or_limit, str) else name_or_limit


def _limit_schema(limit):
    return {"exclusiveMinimum" if limit.above else "minimum": limit.minimum, "maximum": limit.maximum}


def _list_of(key, field, **each):
    """Return the words for a list of so many items, `each` of which is as told."""
    if field.min_length == field.max_length:
        return words(f"refusals_fields.{key}.exactly", most=field.max_length, **each)
    return words(f"refusals_fields.{key}", least=field.min_length, most=field.max_length, **each)


def _is_number(value):
    return type(value) is float or type(value) is int


class Number(StrictField):
    """A number inside a Limit, or inside the limit of that name; read as float."""

    def __init__(self, name_or_limit, **options):
        super().__init__(**options)
        self.limit = _limit_of(name_or_limit)
        self.allowed = words("refusals_fields.number", range=self.limit.words)

    def read(self, value):
        if not _is_number(value):
            raise self.refusal("not_a_number", value, remedy=_QUOTED_NUMBER if isinstance(value, str) else None)
        if not self.limit.allows(value):
            raise self.refusal("out_of_range", value, remedy=self.limit.remedy)
        return float(value)

    def json_schema(self):
        return {"type": "number", **_limit_schema(self.limit)}


class Whole(StrictField):
    """A whole number inside a Limit, written 6 or 6.0; read as int."""

    def __init__(self, name_or_limit, **options):
        super().__init__(**options)
        self.limit = _limit_of(name_or_limit)
        self.allowed = words("refusals_fields.whole_number", range=self.limit.words)

    def read(self, value):
        if not _is_number(value):
            raise self.refusal("not_a_number", value, remedy=_QUOTED_NUMBER if isinstance(value, str) else None)
        if type(value) is float and not value.is_integer():
            raise self.refusal("not_whole", value)
        if not self.limit.allows(value):
            raise self.refusal("out_of_range", value, remedy=self.limit.remedy)
        return int(value)

    def json_schema(self):
        return {"type": "integer", **_limit_schema(self.limit)}


class Text(StrictField):
    """A text of a bounded number of characters."""

    def __init__(self, *, max_length, min_length=1, **options):
        super().__init__(**options)
        self.max_length = max_length
        self.min_length = min_length
        self.allowed = words("refusals_fields.text", least=min_length, most=max_length)

    def read(self, value):
        if not isinstance(value, str):
            raise self.refusal("not_text", value)
        if len(value) > self.max_length:
            raise self._wrong_length("too_long", value)
        if len(value) < self.min_length:
            raise self._wrong_length("too_short", value)
        return value

    def _wrong_length(self, code, value):
        detail = words("refusals_fields.count", label=self.label, allowed=self.allowed, count=len(value))
        return self.refusal(code, value, detail)

    def json_schema(self):
        return {"type": "string", "minLength": self.min_length, "maxLength": self.max_length}


class Choice(StrictField):
    """One of a few texts, or one of a few whole numbers."""

    def __init__(self, values, **options):
        super().__init__(**options)
        self.values = {value: value for value in values}
        self.choices = [str(value) for value in values]
        self.allowed = words("refusals_fields.one_of", choices=", ".join(self.choices))

    def read(self, value):
        if isinstance(value, str | int | float) and not isinstance(value, bool) and value in self.values:
            return self.values[value]
        near = nearest(value, self.choices) if isinstance(value, str) else None
        remedy = words("refusals_fields.did_you_mean", near=near) if near else None
        raise self.refusal("not_a_choice", value, remedy=remedy, did_you_mean=near)

    def json_schema(self):
        texts = all(isinstance(value, str) for value in self.values)
        return {"type": "string" if texts else "integer", "enum": list(self.values)}


class Flag(StrictField):
    """true or false, and nothing that merely means it."""

    allowed = words("refusals_fields.true_or_false")

    def read(self, value):
        if value is not True and value is not False:
            raise self.refusal("not_true_or_false", value)
        return value

    def json_schema(self):
        return {"type": "boolean"}


class _Counted(Strict):
    """A list whose number of items is bounded, and looked at before the items are."""

    def check_count(self, value):
        if not isinstance(value, list):
            raise self.refusal("not_a_list", value)
        count = len(value)
        if self.min_length <= count <= self.max_length:
            return
        code = "too_long" if count > self.max_length else "too_short"
        detail = words("refusals_fields.count", label=self.label, allowed=self.allowed, count=count)
        raise self.refusal(code, value, detail)

    def count_schema(self):
        return {"type": "array", "minItems": self.min_length, "maxItems": self.max_length}


class NumberArray(_Counted, StrictField):
    """A flat list of numbers inside the same Limit; checked as a whole and read as an array of float."""

    def __init__(self, name_or_limit, *, max_length, min_length=1, **options):
        super().__init__(**options)
        self.limit = _limit_of(name_or_limit)
        self.max_length = max_length
        self.min_length = min_length
        self.allowed = _list_of("numbers", self, range=self.limit.words)

    def read(self, value):
        self.check_count(value)
        if set(map(type, value)) <= {int, float}:
            try:
                array = np.array(value, dtype=float)
            except OverflowError:
                raise self._bad_items(value) from None
            low, high = self.limit.minimum, self.limit.maximum
            above_low = array > low if self.limit.above else array >= low
            if (above_low & (array <= high)).all():
                return array
        raise self._bad_items(value)

    def _bad_items(self, value):
        item_allowed = words("refusals_fields.number", range=self.limit.words)
        faults = []
        for index, item in enumerate(value):
            if _is_number(item) and self.limit.allows(item):
                continue
            code = "null_not_allowed" if item is None else "out_of_range" if _is_number(item) else "not_a_number"
            remedy = _QUOTED_NUMBER if isinstance(item, str) else None
            label = words("refusals_fields.label.at", name=self.label, index=index)
            detail = not_allowed(label, item_allowed, item, remedy=remedy)
            faults.append(Fault(code=code, detail=detail, given=item, allowed=item_allowed, pointer=f"/{index}"))
            if len(faults) == MOST_FAULTS_PER_LIST:
                break
        return marshmallow.ValidationError(faults)

    def json_schema(self):
        return {**self.count_schema(), "items": {"type": "number", **_limit_schema(self.limit)}}


class ListOf(_Counted, marshmallow.fields.List):
    """A list of a bounded number of items, each read by the field given."""

    def __init__(self, item, *, max_length, min_length=1, **options):
        super().__init__(item, **options)
        self.max_length = max_length
        self.min_length = min_length

    def _bind_to_schema(self, field_name, parent):
        super()._bind_to_schema(field_name, parent)
        self.inner.item_of = self.label

    @property
    def allowed(self):
        return _list_of("items", self, item=self.inner.allowed)

    def read(self, value):
        self.check_count(value)
        items, faults = [], {}
        with below(self.key):
            for index, item in enumerate(value):
                try:
                    with below(index):
                        items.append(self.inner.deserialize(item))
                except marshmallow.ValidationError as error:
                    faults[index] = error.messages
                    if len(faults) == MOST_FAULTS_PER_LIST:
                        break
        if faults:
            raise marshmallow.ValidationError(faults)
        return items

    def json_schema(self):
        return self.count_schema()


class Block(Strict, marshmallow.fields.Nested):
    """An object with a schema of its own."""

    @property
    def allowed(self):
        keys = self.schema.known_keys
        if len(keys) <= _MOST_FIELDS_NAMED:
            return words("refusals_fields.object", names=", ".join(keys))
        return words("refusals_fields.object.such_as", names=", ".join(keys[:3]))

    def read(self, value):
        if not isinstance(value, dict):
            raise self.refusal("not_an_object", value)
        if self.item_of:  # the list has said where its items are
            return self.schema.load(value)
        with below(self.key):
            return self.schema.load(value)

    def json_schema(self):
        return {}


class ListOrBlock(StrictField):
    """Either a list, read by `array`, or an object, read by `block`: two ways to state the same fact."""

    def __init__(self, array, block, **options):
        super().__init__(**options)
        self.array = array
        self.block = block

    def _bind_to_schema(self, field_name, parent):
        super()._bind_to_schema(field_name, parent)
        for inner in (self.array, self.block):
            inner._bind_to_schema(self.key, self)

    @property
    def allowed(self):
        return words("refusals_fields.list_or_object", list=self.array.allowed, object=self.block.allowed)

    def read(self, value):
        if isinstance(value, list):
            return self.array.read(value)
        if isinstance(value, dict):
            return self.block.read(value)
        raise self.refusal("not_a_list_or_object", value)
