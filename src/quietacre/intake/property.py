"""property.toml to settings: strict, and every fault at once."""

from __future__ import annotations

import copy
import functools
import tomllib
from typing import TYPE_CHECKING, Any

from pydantic import TypeAdapter, ValidationError

from quietacre import settings
from quietacre.errors import SettingsProblem
from quietacre.intake.cross_check import cross_check
from quietacre.intake.deadline import in_time
from quietacre.intake.faults import UNKNOWN_KEY, fault_line
from quietacre.intake.file_faults import Place
from quietacre.intake.key_names import key_path
from quietacre.intake.limits import MAX_TOML_BYTES, check_inside, read_text
from quietacre.intake.loose_values import loose_types, unfit_values
from quietacre.intake.newer import format_in, format_of, newer_words
from quietacre.intake.sown import with_table_names
from quietacre.model import AREA_KINDS, FORMAT, SETTINGS_FILE, Note

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence
    from pathlib import Path


def read_property(folder: Path) -> settings.Property:
    """Return the settings of a property folder, as ``read_property_and_notes`` does."""
    return read_property_and_notes(folder)[0]


def read_property_and_notes(folder: Path) -> tuple[settings.Property, tuple[Note, ...]]:
    """Return the settings of a property folder, and what to say of how they were read.

    Raises
    ------
    FileProblem
        There is no property.toml, or it is not text.
    SettingsProblem
        Its faults, all at once: each with its key path, and the nearest word that
        would have been right.
    """
    with in_time(folder / SETTINGS_FILE, SETTINGS_FILE):
        return _settings(folder)


def _settings(folder: Path) -> tuple[settings.Property, tuple[Note, ...]]:
    if (folder / SETTINGS_FILE).is_symlink():
        check_inside(folder, folder / SETTINGS_FILE, SETTINGS_FILE)
    return _parsed(read_text(folder / SETTINGS_FILE, SETTINGS_FILE, MAX_TOML_BYTES), folder)


@functools.cache
def _reader() -> TypeAdapter[settings.Property]:
    """Return what checks types and ranges; it takes longer to make than to use."""
    return TypeAdapter(settings.Property)


def parse_property(
    text: str, folder: Path, *, coming: Collection[str] = ()
) -> settings.Property:
    """Return the settings in the text of a property.toml.

    Parameters
    ----------
    text : the whole file.
    folder : the property folder, where the files lie that it names.
    coming : files that are about to be put there, by their paths in the folder.

    Raises
    ------
    SettingsProblem
        Its faults, as `read_property`.
    """
    return _parsed(text, folder, coming)[0]


def _parsed(
    text: str, folder: Path, coming: Collection[str] = ()
) -> tuple[settings.Property, tuple[Note, ...]]:
    """Return the settings in a text, and what to say of how they were read."""
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as problem:
        raise SettingsProblem(
            [f"is not TOML: {problem}"], source=SETTINGS_FILE
        ) from problem
    except RecursionError as problem:
        raise SettingsProblem(["nests too deep"], source=SETTINGS_FILE) from problem
    except ValueError as problem:  # a number of thousands of digits
        raise SettingsProblem(
            ["holds a number too long to read"], source=SETTINGS_FILE
        ) from problem
    return checked(document, Place(folder, frozenset(coming)))


def checked(
    document: Mapping[str, object], place: Place, source: str = SETTINGS_FILE
) -> tuple[settings.Property, tuple[Note, ...]]:
    """Return the settings in a document as TOML gives it, and what to say of them.

    Raises
    ------
    SettingsProblem
        Its faults, as `read_property`.
    """
    faults = list(unfit_values(document))
    if faults:
        raise SettingsProblem(faults, source=source)
    loose = list(loose_types(document, settings.Property, ""))
    try:
        prop = _reader().validate_python(document)
    except ValidationError as problem:
        errors = [
            error for error in problem.errors(include_url=False) if not _long_enough(error)
        ]
        rest = _without(document, [error["loc"] for error in errors])
        newer = format_in(document)
        if newer <= FORMAT or rest is None or any(e["type"] != UNKNOWN_KEY for e in errors):
            faults = list(dict.fromkeys(fault_line(error) for error in errors))
            if newer > FORMAT:
                faults.insert(
                    0, f"property.format: {newer_words(newer)}; get the newer one"
                )
            # a wrong type found by both is said once
            seen = {fault.split(":")[0] for fault in faults}
            faults += [fault for fault in loose if fault.split(":")[0] not in seen]
            if rest is not None:  # what is left may hold names that lead nowhere
                faults += cross_check(rest, place)
            raise SettingsProblem(faults, source=source) from problem
        prop = rest  # ``newer_notes`` says what was left out
    prop, notes = with_table_names(prop, source)
    faults = loose + list(cross_check(prop, place))
    if faults:
        raise SettingsProblem(faults, source=source)
    return prop, notes


def newer_notes(folder: Path) -> tuple[Note, ...]:
    """Return what a folder of a newer version has that this one leaves out; mostly nothing."""
    number = format_of(folder)
    if number <= FORMAT:
        return ()
    text = read_text(folder / SETTINGS_FILE, SETTINGS_FILE, MAX_TOML_BYTES)
    left_out: list[str] = []
    try:
        _reader().validate_python(tomllib.loads(text))
    except ValidationError as problem:
        left_out = [
            key_path(e["loc"]) for e in problem.errors() if e["type"] == UNKNOWN_KEY
        ]
    without = f", without what it does not know: {', '.join(left_out)}" if left_out else ""
    words = f"{SETTINGS_FILE}: {newer_words(number)}; here it is only read{without}."
    return (Note("newer-format", words, source=SETTINGS_FILE),)


def _long_enough(error: Any) -> bool:  # noqa: ANN401 - pydantic's error record
    """Return whether a list is called too short for entries that have faults of their own."""
    given = error["input"]
    short = error["type"] == "too_short" and isinstance(given, (list, tuple))
    return short and len(given) >= error["ctx"]["min_length"]


def _without(
    document: Mapping[str, object], places: Sequence[Sequence[int | str]]
) -> settings.Property | None:
    """Return the settings with the faulty keys left out, None when that is not enough."""
    left = copy.deepcopy(document)
    for place in places:
        here: Any = left
        for part in place[:-1]:
            inside = isinstance(here, dict) and part in here
            if inside or (isinstance(here, list) and isinstance(part, int)):
                here = here[part]
        if isinstance(here, dict):
            here.pop(place[-1], None)
            if place[-1] == "kind" and place[0] == "area":
                here["kind"] = AREA_KINDS[0]  # it must have one; any will do to look on
    try:
        return _reader().validate_python(left)
    except ValidationError:
        return None
