"""Schemas of requests: every field known, every unknown one refused, and a domain object as the result."""

import functools

import marshmallow
from marshmallow import EXCLUDE, Schema, post_load, validates_schema

from service.advice.language.localise import LANGUAGES
from service.domain.block import Block
from service.domain.errors import DomainError
from service.domain.words import words
from service.web.reading import fields
from service.web.reading.faults import MOST_FAULTS_PER_LIST, Fault, as_text, escape, fault_from, nearest
from service.web.reading.place import here


class StrictSchema(Schema):
    """A block of a request: the checked fields become an object of `makes`. It may name fields that exclude another."""

    makes = None
    """Type of the domain that the fields stand for; without one they stay a dict."""

    exactly_one_of = ()
    """Groups of field names, of each of which exactly one is given."""

    at_most_one_of = ()
    """Groups of field names, of each of which one is given or none."""

    one_set_of = ()
    """Sets of field names, of which at least one is given whole. For the specification: the domain object refuses."""

    together = ()
    """Groups of field names that are given together or not at all. For the specification, as above."""

    class Meta:
        """`title` names the block in the specification."""

    def __init__(self, **options):
        super().__init__(**options)
        # marshmallow itself leaves unknown fields alone: they are refused below, each with its nearest name
        self.unknown = EXCLUDE
        self._name_to_key = {name: field.data_key or name for name, field in self.load_fields.items()}
        self.known_keys = tuple(self._name_to_key.values())
        self._known = frozenset(self.known_keys)
        declared = {name for group in self._groups() for name in group}
        if not declared <= self._known:
            raise TypeError(f"{type(self).__name__}: no such fields: {sorted(declared - self._known)}")

    def _groups(self):
        return (*self.exactly_one_of, *self.at_most_one_of, *self.one_set_of, *self.together)

    def pointer(self, name, *below):
        """Return the JSON pointer, relative to the block, of a declared field or of something below it."""
        return "".join(f"/{escape(step)}" for step in (self._name_to_key[name], *below))

    def make(self, data):
        """Return the object that the checked fields stand for, lists of the request as tuples."""
        data = {name: tuple(value) if isinstance(value, list) else value for name, value in data.items()}
        if self.makes is None:
            return data
        return self.makes(**data, at=here()) if issubclass(self.makes, Block) else self.makes(**data)

    @validates_schema(pass_original=True, skip_on_field_errors=False)
    def _check_names(self, data, original, **_):
        if not isinstance(original, dict):
            return
        faults = []
        if not original.keys() <= self._known:
            faults.extend(self._unknown_fields(original))
        for group in self.exactly_one_of:
            faults.extend(_one_of_faults(original, group, needed=True))
        for group in self.at_most_one_of:
            faults.extend(_one_of_faults(original, group, needed=False))
        if faults:
            raise marshmallow.ValidationError(faults)

    def _unknown_fields(self, original):
        unknown = [key for key in original if key not in self._known]
        for key in unknown[:MOST_FAULTS_PER_LIST]:
            near = nearest(key, self.known_keys)
            name = as_text(key)
            if near:
                detail = words("refusals_fields.unknown_field.near", name=name, near=near)
            else:
                detail = words("refusals_fields.unknown_field", name=name, known=", ".join(self.known_keys))
            yield Fault(
                code="unknown_field",
                detail=detail,
                given=original[key],
                allowed=self.known_keys,
                did_you_mean=near,
                pointer=f"/{escape(key)}" if len(key) <= _LONGEST_POINTED_NAME else "",
            )

    @post_load
    def _build(self, data, **_):
        try:
            return self.make(data)
        except DomainError as error:
            raise marshmallow.ValidationError([fault_from(error)]) from error


_LONGEST_POINTED_NAME = 200


def _language():
    return fields.Choice(LANGUAGES, default=LANGUAGES[0], description="language of all sentences of the answer")


class RequestSchema(StrictSchema):
    """The whole body of a request. Its language is the view's: what a request stands for has none."""

    note = fields.Text(max_length=2000, min_length=0, description="Who asks and what, for the reader. It is ignored.")
    language = _language()

    @post_load
    def _build(self, data, **options):
        for name in ("note", "language"):
            data.pop(name, None)
        return super()._build(data, **options)


class LanguageQuerySchema(StrictSchema):
    """The query of an operation that takes no body and speaks."""

    language = _language()


def _one_of_faults(original, group, *, needed):
    given = [key for key in group if key in original]
    if len(given) > 1:
        both = functools.reduce(
            lambda first, last: words("refusals_fields.give_only_one.and", first=first, last=last), given
        )
        detail = words("refusals_fields.give_only_one", names=", ".join(group), given=both)
        yield Fault(code="give_only_one", detail=detail, given=", ".join(given), allowed=group)
    if needed and not given:
        yield Fault(code="missing", detail=words("refusals_fields.give_one", names=", ".join(group)), allowed=group)
