"""Arrays that several threads or callers share: nobody may write into them."""

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
