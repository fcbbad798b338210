"""Defaults as the specification shows them, from the one registry that also takes them."""

from service.advice.assumptions import DEFAULTS


def shown_default(name):
    """Return the field option that shows a default of the registry; nothing where there is none."""
    return {} if name is None else {"default": DEFAULTS[name].value}
