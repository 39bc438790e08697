"""The array types that the rest of the package is annotated with."""

from typing import Any, TypeAlias

import numpy as np
import numpy.typing as npt

FloatArray: TypeAlias = npt.NDArray[np.float64]
IntArray: TypeAlias = npt.NDArray[np.int_]
BoolArray: TypeAlias = npt.NDArray[np.bool_]
Array: TypeAlias = npt.NDArray[Any]
"""Real, or complex where a derivative is taken along the imaginary axis (see fretting.py)."""
