"""Exceptions: what a person did that cannot be used, said in one line.

::

    QuietacreError
    ├── BadInput            exit 2: a file, feature or setting to mend
    │   ├── FileProblem     a file cannot be read or trusted
    │   ├── Clash           a file was changed by another program meanwhile
    │   ├── SettingsProblem faults in property.toml, all of them at once
    │   ├── WalkRefused     no boundary in this walk can be trusted
    │   ├── NeedProblem     an amount that cannot be worked out
    │   ├── StripProblem    a strip that cannot be laid out
    │   ├── YearProblem     a year that cannot be planned
    │   ├── PluginProblem   a reader, step or output of another package that fails
    │   └── FrameProblem    a frame that cannot be joined with the settings
    │       └── CRSMismatchError  a frame in another reference system than asked for
"""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING

from quietacre.figures import printed

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence


class QuietacreError(Exception):
    """Base of every exception this package raises on purpose."""


def one_line(text: str) -> str:
    """Return ``text`` on one line with control characters made visible."""
    return "".join(ch if ch.isprintable() else repr(ch)[1:-1] for ch in text)


class BadInput(QuietacreError):
    """Something the person gave us cannot be used.

    Parameters
    ----------
    what : what is wrong, and why.
    fix : what to do about it, as an instruction.
    source : file it came from, or None.
    where : feature, line or key inside that file, or None.
    """

    def __init__(
        self, what: str, *, fix: str, source: str | None = None, where: str | None = None
    ) -> None:
        self.what = what
        self.fix = fix
        self.source = source
        self.where = where
        super().__init__(what)

    def __str__(self) -> str:
        return printed(self.marked)

    @property
    def marked(self) -> str:
        """Return the problem as one line, its figures still values."""
        head = ": ".join(part for part in (self.source, self.where, self.what) if part)
        return one_line(f"{head}; {self.fix}")


@contextlib.contextmanager
def placed(source: str, where: str) -> Iterator[None]:
    """Give a problem that does not know where its figures came from a file and a place."""
    try:
        yield
    except BadInput as problem:
        problem.source = problem.source or source
        problem.where = problem.where or where
        raise


class FileProblem(BadInput):
    """A file cannot be read, or cannot be trusted."""


class Clash(BadInput):
    """A file of the property folder is not as it was when a change to it was asked for."""


class WalkRefused(BadInput):
    """No boundary in this walk can be trusted."""


class NeedProblem(BadInput):
    """An amount cannot be worked out from what was given."""


class StripProblem(BadInput):
    """A strip cannot be laid out from what was given."""


class YearProblem(BadInput):
    """A year cannot be planned from what was given."""


class SettingsProblem(BadInput):
    """One or more faults in property.toml; ``faults`` holds a line for each."""

    def __init__(self, faults: Sequence[str], *, source: str) -> None:
        self.faults = tuple(one_line(fault) for fault in faults)
        super().__init__(
            f"{len(self.faults)} fault(s)", fix="mend the keys named", source=source
        )

    @property
    def marked(self) -> str:
        """Return a line for each fault, its figures still values."""
        return "\n".join(f"{self.source}: {fault}" for fault in self.faults)


class PluginProblem(BadInput):
    """A reader, step or output of another package cannot be used."""


class FrameProblem(BadInput):
    """A frame given to a step cannot be joined with the settings."""


class CRSMismatchError(FrameProblem):
    """A frame is in another reference system than the step asks for."""
