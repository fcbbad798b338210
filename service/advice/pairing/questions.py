"""What asking a fact is worth: by how much the uncertainty of the headroom would shrink if it were told."""

import math
from collections.abc import Sequence

from service.advice import policy
from service.advice.answers.common import Question
from service.advice.pairing.inverse import Inverse
from service.advice.pairing.uncertainty import Contribution, standard_db
from service.domain.words import words


def questions(parts: Sequence[Contribution], inverse: Inverse | None) -> list[Question]:
    """Return the questions that would narrow the uncertainty of the headroom most.

    A question narrows everything that the fields which answer it narrow: length and width settle both the size of the
    room and the bass at the chair.

    Parameters
    ----------
    parts : sequence of Contribution
        The budget. [-]
    inverse : Inverse or None
        What is looked for; only its kind can be asked, nobody has its data sheet. [-]
    """
    now_db = standard_db(parts)
    asked: dict[tuple[str, ...], Question] = {}
    for part in parts:
        if not part.pointers or part.pointers in asked or _is_of(part, inverse):
            continue
        after_db = math.sqrt(sum(_left_db(each, set(part.pointers)) ** 2 for each in parts))
        asked[part.pointers] = Question(
            about=part.about,
            pointers=list(part.pointers),
            text=words(f"questions.{part.question}"),
            where=words(f"questions.{part.question}.where"),
            narrows_db=now_db - after_db,
        )
    worth = [question for question in asked.values() if question.narrows_db >= policy.WORTH_ASKING_DB]
    return _distinct(sorted(worth, key=lambda question: -question.narrows_db))[: policy.MOST_QUESTIONS]


def _left_db(part: Contribution, told: set[str]) -> float:
    """What a contribution leaves once some fields are told. [dB]"""
    if part.told_standard_db is None or not part.pointers or not set(part.pointers) <= told:
        return part.standard_db
    return part.told_standard_db


def _is_of(part: Contribution, inverse: Inverse | None) -> bool:
    """Whether only the data sheet of what is looked for could answer."""
    if inverse is None:
        return False
    block = f"/{inverse.looked_for}/"
    return any(pointer.startswith(block) and pointer != f"{block}kind" for pointer in part.pointers)


def _distinct(asked: Sequence[Question]) -> list[Question]:
    """Questions that do not ask for a field that an earlier one asked for."""
    found: list[Question] = []
    fields: set[str] = set()
    for question in asked:
        if fields.isdisjoint(question.pointers):
            found.append(question)
            fields.update(question.pointers)
    return found
