"""What every field of a request schema has in common: how it is left out, refused and described."""

import marshmallow

from service.web.reading.faults import Fault, as_text


class Strict:
    """What all fields have in common; mixed in before a marshmallow field.

    `description`, `unit` and `default` go into the specification only. A default is shown, not filled in:
    whoever takes it says so in the answer.
    """

    allowed = ""
    choices = None
    """The allowed values as a list of texts, where they can be listed."""

    item_of = None
    """The name of the list that the field describes the items of."""

    called = None
    """What a refusal calls the field, where its name alone would not do."""

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
        return f"each of {self.item_of}" if self.item_of else self.called or self.data_key or self.name or "the value"

    def deserialize(self, value, attr=None, data=None, **_):
        if value is marshmallow.missing:
            if self.required:
                raise self.refusal("missing", None, f"{self.label} is missing; it must be {self.allowed}.")
            return self.load_default
        if value is None:
            thing = "item" if self.item_of else "field"
            remedy = "" if self.required else f" Leave the {thing} out instead."
            raise self.refusal("null_not_allowed", None, remedy=remedy)
        value = self.read(value)
        for validator in self.validators:
            validator(value)
        return value

    def refusal(self, code, given, detail=None, *, remedy="", did_you_mean=None):
        """Return the error that refuses `given` here."""
        detail = detail or f"{self.label} must be {self.allowed}; got {as_text(given)}.{remedy}"
        allowed = self.choices or self.allowed
        return marshmallow.ValidationError(
            [Fault(code=code, detail=detail, given=given, allowed=allowed, did_you_mean=did_you_mean)]
        )


class StrictField(Strict, marshmallow.fields.Field):
    """A field of one JSON value; a subclass gives `read`, `allowed` and `json_schema`."""

    def read(self, value):
        """Return the value to use, or raise."""
        raise NotImplementedError

    def json_schema(self):
        """Return the JSON Schema of the field, its metadata left out."""
        raise NotImplementedError
