"""Arrays that several threads or callers share: nobody may write into them."""

import dataclasses
from typing import Any, TypeVar

import numpy as np

ArrayT = TypeVar("ArrayT", bound=np.ndarray[Any, Any])


def frozen(array: ArrayT) -> ArrayT:
    """Return the array, from now on read-only.

    Notes
    -----
    For arrays of a module and for those that a cache hands to several callers. The array itself is frozen and not
    copied; a view of it that was taken before stays as it was.

    Examples
    --------
    >>> import numpy as np
    >>> frozen(np.arange(3)).flags.writeable
    False
    """
    array.setflags(write=False)
    return array


Record = TypeVar("Record")


def frozen_record(record: Record) -> Record:
    """Return a record, every array that it holds from now on read-only: in dataclasses, tuples, lists and dicts.

    Examples
    --------
    >>> import numpy as np
    >>> times, areas = frozen_record((np.arange(3), [np.ones(2)]))
    >>> times.flags.writeable or areas[0].flags.writeable
    False
    """
    if isinstance(record, np.ndarray):
        frozen(record)
    elif isinstance(record, dict):
        frozen_record(list(record.values()))
    elif isinstance(record, tuple | list):
        for item in record:
            frozen_record(item)
    elif dataclasses.is_dataclass(record):
        frozen_record([getattr(record, field.name) for field in dataclasses.fields(record)])
    return record
