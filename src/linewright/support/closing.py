"""What is opened, used and closed: ``with`` closes it."""

from __future__ import annotations

from abc import ABC, abstractmethod
from types import TracebackType
from typing import Self


class Closing(ABC):
    """Something that holds a file, a process or memory until :meth:`close` lets go of it."""

    @abstractmethod
    def close(self) -> None:
        """Let go."""

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()
