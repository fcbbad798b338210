"""The request completed: what was posted, with what had to be assumed written in."""

import copy
import dataclasses

from service.advice.assumptions import CopyOf


def with_inputs(answer, posted):
    """Return an answer whose `inputs` is the request as it was posted, completed.

    Parameters
    ----------
    answer : AdviceAnswer
        Its `inputs` says what completes the request, by pointer, or is None. [-]
    posted : dict
        The request as JSON. [-]
    """
    if answer.inputs is None:
        return answer
    return dataclasses.replace(answer, inputs=completed(posted, answer.inputs))


def completed(posted, completing):
    """Return the request with the fields of `completing` written in; blocks on the way are made.

    Parameters
    ----------
    posted : dict
        The request as JSON; left as it is. [-]
    completing : dict
        JSON pointer to value, or to a `CopyOf` another place. [-]
    """
    result = copy.deepcopy(posted)
    for pointer, value in completing.items():
        target, name = _below(result, pointer)
        if isinstance(value, CopyOf):
            source, source_name = _below(result, value.pointer)
            value = source[_step(source, source_name)]  # the same object: completed here and there alike
        target[name] = value
    return result


def _below(body, pointer):
    """The object or list that holds what a pointer names, and the last step."""
    *blocks, name = pointer.split("/")[1:]
    for block in blocks:
        body = body[int(block)] if isinstance(body, list) else body.setdefault(block, {})
    return body, name


def _step(body, name):
    return int(name) if isinstance(body, list) else name
