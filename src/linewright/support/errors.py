"""Errors that a user can act on: what is wrong, where, and what to do next."""

from __future__ import annotations


class UnusableInput(Exception):
    """Input that cannot be used at all; commands print it in one line and exit with code 2.

    :param what: what is wrong, quoting the input and its place (``file:line:column`` where there is one).
    :param todo: what the user can do next, as a sentence.
    """

    def __init__(self, what: str, todo: str) -> None:
        super().__init__(what)
        self.what = what
        self.todo = todo

    def __reduce__(self) -> tuple[type[UnusableInput], tuple[str, str]]:
        """Passes between processes whole."""
        return type(self), (self.what, self.todo)

    def __str__(self) -> str:
        return f"{self.what}. {self.todo}"
