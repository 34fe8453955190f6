"""TableColumns of games on their way into the base."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from linewright.games.index.arrays import I64, Bools

#: Stands for an unknown result.
UNKNOWN: Final = 3

#: What stands for the unknown in the columns that may have it.
NULLS: Final[Mapping[str, int]] = {"white_rating": 0, "black_rating": 0, "year": 0, "result": UNKNOWN}

#: Types of the columns that aren't texts.
_TYPES: Final = {"white_rating": np.uint16, "black_rating": np.uint16, "year": np.uint16, "result": np.uint8}


@dataclass(frozen=True, slots=True)
class TableColumns:
    """TableColumns of the base's table ``games``, by name, shape (games,) each: texts as objects, and numbers, with
    :data:`NULLS` where unknown."""

    arrays: dict[str, npt.NDArray[Any]]

    @classmethod
    def of(cls, lists: Mapping[str, Sequence[Any]]) -> TableColumns:
        """From lists, with None for the unknown."""
        return cls({name: _column(name, values) for name, values in lists.items()})

    @classmethod
    def joined(cls, parts: Sequence[TableColumns]) -> TableColumns:
        """One behind the other; all have the same columns."""
        names = parts[0].arrays
        return cls({name: np.concatenate([part.arrays[name] for part in parts]) for name in names})

    def __len__(self) -> int:
        return len(next(iter(self.arrays.values())))

    def __getitem__(self, name: str) -> npt.NDArray[Any]:
        return self.arrays[name]

    def take(self, places: I64 | Bools) -> TableColumns:
        """Some of the games."""
        return TableColumns({name: column[places] for name, column in self.arrays.items()})

    def select(self, names: Sequence[str]) -> TableColumns:
        """Some of the columns."""
        return TableColumns({name: self.arrays[name] for name in names})

    def added(self, **columns: npt.NDArray[Any]) -> TableColumns:
        """With more columns."""
        return TableColumns({**self.arrays, **columns})

    def rows(self, names: Sequence[str] | None = None) -> list[dict[str, Any]]:
        """The games as dictionaries, with None for the unknown.

        :param names: of the columns wanted; None: all.
        """
        wanted = list(self.arrays) if names is None else list(names)
        lists = [self._values(name) for name in wanted]
        return [dict(zip(wanted, row, strict=True)) for row in zip(*lists, strict=True)]

    def _values(self, name: str) -> list[Any]:
        values: list[Any] = self.arrays[name].tolist()
        if name not in NULLS:
            return values
        null = NULLS[name]
        return [None if value == null else value for value in values]


def selected(names: Sequence[str]) -> str:
    """The columns in SQL, what stands for the unknown made NULL."""
    return ", ".join(f"nullif({name}, {NULLS[name]}) AS {name}" if name in NULLS else name for name in names)


def objects(values: Sequence[Any]) -> npt.NDArray[Any]:
    """Texts or bytes as a column, which DuckDB takes as it is."""
    return np.array(values, dtype=object)


def _column(name: str, values: Sequence[Any]) -> npt.NDArray[Any]:
    if name not in _TYPES:
        return objects(values)
    null = NULLS[name]
    return np.array([null if value is None else value for value in values], dtype=_TYPES[name])
