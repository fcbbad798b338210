"""Names for the numbers and arrays of the physics, as annotations."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.floating[Any]]
ComplexArray = NDArray[np.complexfloating[Any, Any]]
IntArray = NDArray[np.integer[Any]]
BoolArray = NDArray[np.bool_]

FloatLike = float | FloatArray
"""A number or an array of numbers: what a formula takes element by element."""

ComplexLike = complex | FloatArray | ComplexArray
"""The same of complex numbers."""

FloatOrArray = np.float64 | FloatArray
"""What a formula gives: a number where every argument is one, else an array."""

ComplexOrArray = np.complex128 | ComplexArray
"""The same of complex numbers."""
