"""The journal on disk: one file a step, its state in its name, written before anything else.

A step's file holds one line of JSON and then the old and the new bytes of each file. It is
written under another name, synced and renamed, so it is whole or not there. What has
become of the step is the ending of its name, which changes by one rename.
"""

from __future__ import annotations

import contextlib
import dataclasses
import datetime as dt
import hashlib
import json
import os
import time
from typing import TYPE_CHECKING, Any, Literal

from quietacre.errors import FileProblem
from quietacre.export.atomic import sync_folder

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

State = Literal["begun", "done", "undoing", "undone", "clash"]
STATES: tuple[State, ...] = ("begun", "done", "undoing", "undone", "clash")
#: States that another start of the program carries to their end.
UNDER_WAY: tuple[State, ...] = ("begun", "undoing")
FORM = 1
#: How far back changes can be taken back. Ours.
KEEP_STEPS = 500
KEEP_BYTES = 500_000_000
#: So many files that could not be put in place are kept beside the journal. Ours.
KEEP_ASIDE = 200
NEW = ".new"
KEPT = "kept"
#: Which steps were taken back since the last change was made, the last one last.
TAKEN_BACK = "taken-back"


@dataclasses.dataclass(frozen=True)
class FileChange:
    """What one file was, and what it is to be; None where there is no file.

    ``path`` lies in the property folder, with "/" between its parts.
    """

    path: str
    before: bytes | None
    after: bytes | None


@dataclasses.dataclass(frozen=True)
class Step:
    """One change to a property folder, of one or more files, as the journal has it.

    ``number`` is its place in the order of changes, whatever the clock said; ``at`` is what
    the clock said.
    """

    number: int
    label: str
    at: dt.datetime
    paths: tuple[str, ...]
    state: State
    recovered: tuple[Recovered, ...] = ()


@dataclasses.dataclass(frozen=True)
class Recovered:
    """A step that was cut short, and what became of it at the next start.

    ``end`` says what became of it: carried out, taken back, or left because a file was
    neither what it was nor what it was to be. ``kept`` are files in the person's state folder with what could not be put in place.
    """

    step: Step
    end: Literal["finished", "taken back", "clash"]
    kept: tuple[Path, ...] = ()


@dataclasses.dataclass(frozen=True)
class Entry:
    """A step with the bytes and permissions of its files, and the folders that it made."""

    step: Step
    changes: tuple[FileChange, ...]
    modes: tuple[int | None, ...]
    folders: tuple[str, ...] = ()


class Book:
    """The steps of one property folder; whoever writes to it holds the folder's turn."""

    def __init__(self, home: Path) -> None:
        self.home = home

    def numbers(self) -> dict[int, State]:
        """Return the state of each step by its number, oldest first."""
        states: dict[int, State] = {}
        for name in os.listdir(self.home):  # noqa: PTH208 - names alone, the quick way
            number, _, state = name.partition(".")
            if number.isascii() and number.isdigit():
                states.update((int(number), s) for s in STATES if s == state)
        return dict(sorted(states.items()))

    def path(self, number: int, state: State) -> Path:
        """Return the file of a step in a state."""
        return self.home / f"{number:08d}.{state}"

    def begin(self, label: str, changes: Sequence[FileChange], modes: Sequence[int | None],
              folders: Sequence[str]) -> Entry:  # fmt: skip
        """Write a step ahead of what it does, synced; what it holds can then be carried out.

        Raises
        ------
        OSError
            The file system refused; there is no such step then.
        """
        number = max(self.numbers(), default=0) + 1
        at = dt.datetime.fromtimestamp(int(time.time()), tz=dt.UTC)
        step = Step(number, label, at, tuple(c.path for c in changes), "begun")
        entry = Entry(step, tuple(changes), tuple(modes), tuple(folders))
        stage = self.home / f"{number:08d}{NEW}"
        try:
            _write_synced(stage, _spelled(entry), "wb")
            stage.rename(self.path(number, "begun"))
        except OSError:
            with contextlib.suppress(OSError):
                stage.unlink(missing_ok=True)
            raise
        sync_folder(self.home)
        return entry

    def turn_to(self, entry: Entry, state: State, *, sync: bool = False) -> Entry:
        """Give a step another state.

        Parameters
        ----------
        sync : whether what follows relies on it. A finish need not be synced: where it is
            lost, the files are found as they should be, and it is said again.
        """
        number = entry.step.number
        self.path(number, entry.step.state).rename(self.path(number, state))
        if sync:
            sync_folder(self.home)
        return dataclasses.replace(entry, step=dataclasses.replace(entry.step, state=state))

    def taken_back(self) -> list[int]:
        """Return the steps taken back since the last change was made, the last one last.

        None are known where an older version of the program took them back, or where the
        note of them is lost.
        """
        try:
            note = json.loads((self.home / TAKEN_BACK).read_bytes())
            since, numbers = int(note["since"]), [int(number) for number in note["steps"]]
        except (FileNotFoundError, KeyError, TypeError, ValueError):
            return []
        states = self.numbers()
        if since != _last_made(states):  # a change was made since
            return []
        return [number for number in numbers if states.get(number) == "undone"]

    def note_taken_back(self, number: int) -> None:
        """Note that a step is about to be taken back; where it is not, the note says nothing.

        Raises
        ------
        OSError
            The file system refused; the note is as it was.
        """
        steps = [*(one for one in self.taken_back() if one != number), number]
        note = {"since": _last_made(self.numbers()), "steps": steps}
        stage = self.home / f"{TAKEN_BACK}{NEW}"
        _write_synced(stage, json.dumps(note).encode("ascii"), "wb")
        stage.replace(self.home / TAKEN_BACK)

    def forget(self, entry: Entry) -> None:
        """Take out a step that changed nothing."""
        self.path(entry.step.number, entry.step.state).unlink(missing_ok=True)
        sync_folder(self.home)

    def head(self, number: int, state: State) -> Step:
        """Return a step without its bytes; of a damaged one, what is still known of it."""
        path = self.path(number, state)
        with path.open("rb") as file:
            try:
                return _head(path, file.readline(), number, state)
            except FileProblem as problem:
                at = dt.datetime.fromtimestamp(int(path.stat().st_mtime), tz=dt.UTC)
                return Step(number, f"its record {problem.what}", at, (), state)

    def sums_before(self, number: int, state: State) -> dict[str, str | None]:
        """Return the SHA-256 of each file before a step, None where there was no file.

        Raises
        ------
        FileProblem
            Its file is damaged.
        """
        path = self.path(number, state)
        with path.open("rb") as file:
            line = file.readline()
        try:
            return {
                item["path"]: item["before"] and str(item["before"]["sha256"])
                for item in json.loads(line)["changes"]
            }
        except (KeyError, TypeError, ValueError) as problem:
            raise _damaged(path) from problem

    def entry(self, number: int, state: State) -> Entry:
        """Return a step with all of its bytes, checked.

        Raises
        ------
        FileProblem
            Its file is damaged.
        """
        path = self.path(number, state)
        data = path.read_bytes()
        line, _, rest = data.partition(b"\n")
        step = _head(path, line, number, state)
        try:
            record = json.loads(line)
            changes, modes = [], []
            for item in record["changes"]:
                sides: list[bytes | None] = []
                for side in ("before", "after"):
                    kept = item[side]
                    if kept is None:
                        sides.append(None)
                        continue
                    part, rest = rest[: kept["bytes"]], rest[kept["bytes"] :]
                    if hashlib.sha256(part).hexdigest() != kept["sha256"]:
                        raise _damaged(path)
                    sides.append(part)
                changes.append(FileChange(item["path"], *sides))
                modes.append(item["mode"])
            return Entry(step, tuple(changes), tuple(modes), tuple(record["rooms"]))
        except (KeyError, TypeError, ValueError) as problem:
            raise _damaged(path) from problem

    def keep(self, number: int, name: str, data: bytes) -> Path:
        """Keep bytes that could not be put in place as a file of their own; return it."""
        room = self.home / KEPT
        room.mkdir(mode=0o700, exist_ok=True)
        plain = "".join(ch if ch.isalnum() or ch in "._-" else "-" for ch in name)
        plain = plain.encode("ascii", "replace").decode().replace("?", "-")[-80:]
        for again in range(1_000_000):
            path = room / f"{number:08d}-{again}-{plain}"
            try:
                _write_synced(path, data, "xb")
            except FileExistsError:
                continue
            sync_folder(room)
            return path
        raise AssertionError  # pragma: no cover

    def sweep(self) -> None:
        """Take out what a step left that never began, and steps too old to keep."""
        for left in self.home.glob(f"*{NEW}"):
            left.unlink(missing_ok=True)
        settled = [(n, s) for n, s in self.numbers().items() if s not in UNDER_WAY]
        total = 0
        for held, (number, state) in enumerate(reversed(settled)):  # the last one stays
            path = self.path(number, state)
            total += path.stat().st_size
            if held and (held >= KEEP_STEPS or total > KEEP_BYTES):
                path.unlink(missing_ok=True)
        aside = sorted((self.home / KEPT).glob("*"), key=lambda path: path.stat().st_mtime)
        for path in aside[:-KEEP_ASIDE]:
            path.unlink(missing_ok=True)


def _write_synced(path: Path, data: bytes, mode: Literal["wb", "xb"]) -> None:
    with open(path, mode, opener=_own) as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _last_made(states: Mapping[int, State]) -> int:
    """Return the last step that changed anything, whether it stands or was taken back."""
    return max((number for number, state in states.items() if state != "clash"), default=0)


def _own(path: str, flags: int) -> int:
    """Open a file that nobody but its owner reads: old settings are the owner's own."""
    return os.open(path, flags, 0o600)


def _spelled(entry: Entry) -> bytes:
    parts: list[bytes] = []

    def side(data: bytes | None) -> dict[str, Any] | None:
        if data is None:
            return None
        parts.append(data)
        return {"bytes": len(data), "sha256": hashlib.sha256(data).hexdigest()}

    record = {
        "form": FORM,
        "label": entry.step.label,
        "at": entry.step.at.isoformat(),
        "rooms": list(entry.folders),
        "changes": [
            {"path": c.path, "mode": mode, "before": side(c.before), "after": side(c.after)}
            for c, mode in zip(entry.changes, entry.modes, strict=True)
        ],
    }
    return b"\n".join([json.dumps(record).encode("ascii"), b"".join(parts)])


def _head(path: Path, line: bytes, number: int, state: State) -> Step:
    try:
        record = json.loads(line)
        if record["form"] != FORM:
            raise FileProblem(
                "was written by a newer version", fix="use that version", source=str(path)
            )
        at = dt.datetime.fromisoformat(record["at"])
        paths = tuple(item["path"] for item in record["changes"])
        return Step(number, str(record["label"]), at, paths, state)
    except (KeyError, TypeError, ValueError) as problem:
        raise _damaged(path) from problem


def _damaged(path: Path) -> FileProblem:
    return FileProblem(
        "is damaged, so this change cannot be taken back",
        fix="leave it, or take that file away",
        source=str(path),
    )
