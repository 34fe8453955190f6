"""Short names for the types of arrays."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Bools = npt.NDArray[np.bool_]
U8 = npt.NDArray[np.uint8]
U16 = npt.NDArray[np.uint16]
U32 = npt.NDArray[np.uint32]
U64 = npt.NDArray[np.uint64]
I32 = npt.NDArray[np.int32]
I64 = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
