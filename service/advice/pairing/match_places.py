"""Where the facts of a list stand: assumptions and refusals of one item of it under its own pointer."""

import contextlib

from service.advice.assumptions import Assumptions
from service.domain.errors import DomainError


def moved(pointer, places):
    """Return the pointer under which a fact really stands."""
    for usual, real in places.items():
        if pointer == usual or (pointer or "").startswith(f"{usual}/"):
            return real + pointer[len(usual) :]
    return pointer


class AssumptionsAt(Assumptions):
    """Passes what is assumed on to another list; the pointers of one speaker and one amplifier become those given.

    Parameters
    ----------
    into : Assumptions
        Receives everything. [-]
    places : dict
        Usual pointer, such as /amplifier, to the real one, such as /amplifiers/2. [-]
    """

    def __init__(self, into, places):
        super().__init__()
        self._into, self._places = into, places

    def add(self, pointer, value, *, why, source, spread=None):
        """List a value under the pointer where it stands."""
        self._into.add(moved(pointer, self._places), value, why=why, source=source, spread=spread)

    def extend(self, assumptions):
        """List assumptions that were made before."""
        for each in assumptions:
            self.add(each.pointer, each.value, why=each.why, source=each.source, spread=each.spread)

    def listed(self):
        """Return the assumptions of the list that everything is passed on to."""
        return self._into.listed()


@contextlib.contextmanager
def refusals_at(places):
    """Let a refusal name the place in the list, not the usual one."""
    try:
        yield
    except DomainError as error:
        error.pointer = moved(error.pointer, places)
        raise
