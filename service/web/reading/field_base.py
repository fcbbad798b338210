"""What every field of a request schema has in common: how it is left out, refused and described."""

import marshmallow

from service.domain.words import words
from service.web.reading.faults import Fault, as_text


class Strict:
    """What all fields have in common; mixed in before a marshmallow field.

    `description`, `unit` and `default` go into the specification only. A default is shown, not filled in:
    whoever takes it says so in the answer.
    """

    allowed = None
    """What is allowed, as `Words`."""

    choices = None
    """The allowed values as a list of texts, where they can be listed."""

    item_of = None
    """The name of the list that the field describes the items of."""

    called = None
    """What a refusal calls the field, as `Words`, where its name alone would not do."""

    def __init__(self, *args, description=None, unit=None, default=marshmallow.missing, metadata=None, **options):
        shown = {"description": description, "x-unit": unit}
        metadata = {**{key: value for key, value in shown.items() if value is not None}, **(metadata or {})}
        if default is not marshmallow.missing:
            metadata["default"] = default
        super().__init__(*args, metadata=metadata, **options)

    @property
    def key(self):
        """Name of the field in JSON."""
        return self.data_key or self.name

    @property
    def label(self):
        """What a refusal calls the field."""
        if self.item_of:
            return words("refusals_fields.label.each", name=self.item_of)
        return self.called or self.key or words("refusals_fields.label.value")

    def deserialize(self, value, attr=None, data=None, **_):
        if value is marshmallow.missing:
            if self.required:
                detail = words("refusals_fields.missing", label=self.label, allowed=self.allowed)
                raise self.refusal("missing", None, detail)
            return self.load_default
        if value is None:
            leave_out = words("refusals_fields.leave_out.item" if self.item_of else "refusals_fields.leave_out.field")
            raise self.refusal("null_not_allowed", None, remedy=None if self.required else leave_out)
        value = self.read(value)
        for validator in self.validators:
            validator(value)
        return value

    def refusal(self, code, given, detail=None, *, remedy=None, did_you_mean=None):
        """Return the error that refuses `given` here; `detail` and `remedy` are `Words`."""
        detail = detail or not_allowed(self.label, self.allowed, given, remedy=remedy)
        allowed = self.choices or self.allowed
        return marshmallow.ValidationError(
            [Fault(code=code, detail=detail, given=given, allowed=allowed, did_you_mean=did_you_mean)]
        )


def not_allowed(label, allowed, given, *, remedy=None):
    """Return the sentence that something must be what is allowed, and is not; `remedy` is a sentence behind it."""
    values = {"label": label, "allowed": allowed, "given": as_text(given)}
    if remedy is None:
        return words("refusals_fields.refused", **values)
    return words("refusals_fields.refused.with_remedy", **values, remedy=remedy)


class StrictField(Strict, marshmallow.fields.Field):
    """A field of one JSON value; a subclass gives `read`, `allowed` and `json_schema`."""

    def read(self, value):
        """Return the value to use, or raise."""
        raise NotImplementedError

    def json_schema(self):
        """Return the JSON Schema of the field, its metadata left out."""
        raise NotImplementedError
