"""Which language a body asks for."""

from service.advice.language.localise import LANGUAGES


def asked_language(posted):
    """Return the language that a body, or the parameters of a query, ask for; the first where they name none that is
    spoken.

    Parameters
    ----------
    posted : dict
        As it was read; its fields need not have been checked. [-]
    """
    language = posted.get("language")
    return language if language in LANGUAGES else LANGUAGES[0]
