"""What is said of one file as it is read: notes, and the error that ends the reading."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.errors import FileProblem
from quietacre.model import Note

if TYPE_CHECKING:
    from quietacre.model import Level


class FileNotes:
    """What the person should know about one file."""

    def __init__(self, source: str) -> None:
        self.source = source
        self._notes: list[Note] = []

    def note(
        self,
        code: str,
        head: str,
        feature: str | None = None,
        level: Level = "warning",
        more: str = "",
    ) -> None:
        """Add something the person should know about the file."""
        self._notes.append(Note(code, head, level, self.source, feature, more=more))

    def problem(self, what: str, fix: str, feature: str | None = None) -> FileProblem:
        """Return the error that names this file and feature."""
        return FileProblem(what, fix=fix, source=self.source, where=feature)
