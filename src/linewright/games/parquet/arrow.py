"""Arrow, which the optional extra ``linewright[cluster]`` brings, asked for only when it is needed."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
import numpy.typing as npt

from linewright.games.ingest.columns import NULLS, TableColumns
from linewright.support.extras import extra

#: TableColumns of texts; the other columns of objects are bytes.
_TEXTS: Final = ("white", "black", "date", "event", "site", "round", "eco", "time_control", "others")


def arrow() -> tuple[Any, Any]:
    """The modules ``pyarrow`` and ``pyarrow.parquet``.

    :raises UnusableInput: where they are not installed.
    """
    return extra("pyarrow", "cluster"), extra("pyarrow.parquet", "cluster")


def table_of(columns: TableColumns) -> Any:
    """TableColumns as an Arrow table, the unknown as null."""
    pa, _ = arrow()
    return pa.table({name: _array(pa, name, column) for name, column in columns.arrays.items()})


def columns_of(table: Any) -> TableColumns:
    """The reverse of :func:`table_of`."""
    return TableColumns.of({name: table[name].to_pylist() for name in table.column_names})


def _array(pa: Any, name: str, column: npt.NDArray[Any]) -> Any:
    if name in _TEXTS:
        return pa.array(column, pa.string())
    if column.dtype == object:
        return pa.array(column, pa.binary())
    mask = column == NULLS[name] if name in NULLS else np.zeros(len(column), dtype=np.bool_)
    return pa.array(column, mask=mask)
