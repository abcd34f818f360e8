"""property.toml changed in place: checked as a build checks it, then through the journal."""

from __future__ import annotations

import codecs
import dataclasses
import tomllib
from typing import TYPE_CHECKING

from quietacre.edit import journal
from quietacre.edit.journal import FileChange, Step
from quietacre.edit.toml_change import changed
from quietacre.edit.toml_scan import Unplaced
from quietacre.edit.toml_table import areas_in
from quietacre.errors import FileProblem, SettingsProblem
from quietacre.intake.limits import MAX_TOML_BYTES, decode, megabytes
from quietacre.intake.property import parse_property
from quietacre.model import SETTINGS_FILE, folded

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping, Sequence
    from pathlib import Path

    from quietacre.edit.toml_plain import Change
    from quietacre.edit.toml_table import TomlTable

MARKS = {
    codecs.BOM_UTF8: "utf-8",
    codecs.BOM_UTF16_LE: "utf-16-le",
    codecs.BOM_UTF16_BE: "utf-16-be",
}


@dataclasses.dataclass(frozen=True)
class Text:
    """A settings file: its text without the mark at its beginning, and how it is written."""

    text: str
    mark: bytes
    encoding: str

    @classmethod
    def of(cls, data: bytes) -> Text:
        """Return the text of a file's bytes.

        Raises
        ------
        FileProblem
            They are not text, or too many.
        """
        if len(data) > MAX_TOML_BYTES:
            raise FileProblem(
                f"is {megabytes(len(data))}; the limit is {megabytes(MAX_TOML_BYTES)}",
                fix="split it into smaller files",
                source=SETTINGS_FILE,
            )
        text = decode(data, SETTINGS_FILE)
        for mark, encoding in MARKS.items():
            if data.startswith(mark):
                return cls(text, mark, encoding)
        return cls(text, b"", "utf-8")

    def bytes(self, text: str) -> bytes:
        """Return another text as this file writes it."""
        return self.mark + text.encode(self.encoding)


@dataclasses.dataclass(frozen=True)
class Outcome:
    """What became of a change to the settings.

    ``step`` is None when the settings were so already. ``faults`` are those the file had
    before, and still has.
    """

    step: Step | None
    before: TomlTable
    after: TomlTable
    faults: tuple[str, ...] = ()


def read_settings(folder: Path) -> TomlTable:
    """Return the plain settings of a property folder, unchecked.

    Raises
    ------
    FileProblem
        There is no property.toml, or it is not text.
    SettingsProblem
        It is not TOML.
    """
    return _loaded(_text(folder).text)


def change_settings(
    folder: Path,
    make: Callable[[TomlTable], Sequence[Change]],
    label: str,
    *,
    files: Mapping[str, bytes] | None = None,
    state: Path | None = None,
) -> Outcome:
    """Change property.toml, and put new files beside it, in one step of the journal.

    Parameters
    ----------
    folder : the property folder.
    make : given the plain settings, returns the changes; called with no other change to the
        folder between its reading and the writing.
    label : what is done, for ``undo --list``.
    files : files to write in the same step, by their paths in the folder.
    state : as in `journal.apply`.

    Raises
    ------
    SettingsProblem
        The file would have faults that it has not now; nothing is changed.
    FileProblem
        There is no property.toml, or it cannot be changed without touching more.
    Clash, OSError
        As `journal.apply`.
    """
    made: list[Outcome] = []

    def changes(real: Path) -> list[FileChange]:
        text = _text(real)
        before = _loaded(text.text)
        try:
            after_text = changed(text.text, make(before))
        except Unplaced as problem:
            raise FileProblem(
                f"is left as it is: {problem}",
                fix="change it by hand",
                source=SETTINGS_FILE,
            ) from problem
        new = [
            FileChange(path, journal.read(real, path), data)
            for path, data in (files or {}).items()
        ]
        faults = _faults_left(real, text.text, after_text, [item.path for item in new])
        made.append(Outcome(None, before, tomllib.loads(after_text), faults))
        return [
            FileChange(SETTINGS_FILE, text.bytes(text.text), text.bytes(after_text)),
            *new,
        ]

    step = journal.change(folder, changes, label, state=state)
    return dataclasses.replace(made[0], step=step)


def area_of(document: TomlTable, name: str) -> tuple[int, TomlTable]:
    """Return the place and the plain table of an area by its name.

    Raises
    ------
    FileProblem
        There is no such area; those there are are named.
    """
    rows = document.get("area")
    for place, area in enumerate(rows if isinstance(rows, list) else ()):
        if isinstance(area, dict) and folded(str(area.get("name", ""))) == folded(name):
            return place, area
    known = ", ".join(f"“{area.get('name')}”" for area in areas_in(document)[:12])
    raise FileProblem(
        f"there is no area “{name}”", fix=f"name one of {known or 'your areas'}",
        source=SETTINGS_FILE,
    )  # fmt: skip


def _text(folder: Path) -> Text:
    data = journal.read(folder, SETTINGS_FILE)
    if data is None:
        raise FileProblem(
            "there is no property.toml",
            fix="start one with: quietacre new DIR",
            source=str(folder),
        )
    return Text.of(data)


def _loaded(text: str) -> TomlTable:
    try:
        return tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError, ValueError) as problem:
        raise SettingsProblem(
            [f"is not TOML, so nothing is changed in it: {problem}"], source=SETTINGS_FILE
        ) from problem


def _faults_left(
    folder: Path, before: str, after: str, coming: Collection[str]
) -> tuple[str, ...]:
    """Return the faults that a file has after a change, all of which it had before.

    Raises
    ------
    SettingsProblem
        There are new ones; these alone are named.
    """
    try:
        parse_property(after, folder, coming=coming)
    except SettingsProblem as problem:
        had: tuple[str, ...] = ()
        try:
            parse_property(before, folder)
        except SettingsProblem as earlier:
            had = earlier.faults
        new = [fault for fault in problem.faults if fault not in had]
        if new or before == after:
            raise SettingsProblem(new or list(had), source=SETTINGS_FILE) from problem
        return problem.faults
    return ()
