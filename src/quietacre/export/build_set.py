"""The outputs of one build belong together: written as a set, and known when they are not.

While the files are put in place, ``build.json`` says so and names what each may be, and
the page carries a banner. Both go at the end: ``build.json`` is written last, with the
SHA-256 of each file. A build that is killed in between so leaves a set that says what it is.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import secrets
import shutil
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from quietacre.export import atomic
from quietacre.export.outputs import BUILD_FILE, PAGE

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

FORM = 1
#: A larger build.json is none of ours.
MOST_BYTES = 1_000_000
#: The page's banner is hidden until the set is being replaced.
BANNER = b'<p id="unfinished" role="alert" hidden>'
BANNER_SHOWN = BANNER.replace(b" hidden", b"")

State = Literal["none", "whole", "unfinished", "changed", "unread"]


@dataclass(frozen=True)
class BuildSet:
    """What stands in an ``out`` folder.

    ``state`` is ``"none"`` (no build.json), ``"whole"``, ``"unfinished"`` (a build was cut
    short and its files stand beside older ones), ``"changed"`` (``changed`` and ``missing``
    name files that are not as the build wrote them) or ``"unread"`` (build.json is no
    record of a build).
    """

    state: State
    build: str | None = None
    changed: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    # every digest that each file may have by build.json
    known: Mapping[str, frozenset[str | None]] = field(default_factory=dict)

    @property
    def text(self) -> str | None:
        """Return what a person should know of it, None when nothing is wrong."""
        if self.state == "unfinished":
            return (
                "its files are of two builds, because the last one was cut short: figures in "
                "one may not agree with another; build again"
            )
        if self.state == "unread":
            return f"{BUILD_FILE} is no record of a build; build again"
        if self.state == "changed":
            parts = [
                f"{', '.join(names)} {'was' if len(names) == 1 else 'were'} {what}"
                for names, what in (
                    (self.changed, "changed since the build"),
                    (self.missing, "taken away since the build"),
                )
                if names
            ]
            return f"{' and '.join(parts)}: they may not agree with the other files"
        return None


def look_at(folder: Path) -> BuildSet:
    """Return what stands in an ``out`` folder, by its build.json."""
    path = folder / BUILD_FILE
    try:
        if path.stat().st_size > MOST_BYTES:
            return BuildSet("unread")
        record = json.loads(path.read_bytes())
    except FileNotFoundError:
        return BuildSet("none")
    except (OSError, ValueError, RecursionError):
        return BuildSet("unread")
    try:
        files = {
            str(name): tuple([digests] if isinstance(digests, str) else digests)
            for name, digests in record["files"].items()
        }
        build, writing = str(record["build"]), bool(record.get("writing"))
    except (AttributeError, KeyError, TypeError):
        return BuildSet("unread")
    readable = all(isinstance(d, str | None) for digests in files.values() for d in digests)
    if not readable or any(
        "/" in name or "\\" in name or not files[name] for name in files
    ):
        return BuildSet("unread")
    standing = {name: _digest_of(folder / name) for name in files}
    known = {name: frozenset(digests) for name, digests in files.items()}
    if writing:
        # the last digest of each is that of the build that was cut short, the first what
        # stood before it; None where nothing stood
        ends = (0, -1) if record.get("before") in ("whole", "none") else (-1,)
        sets = [{name: digests[n] for name, digests in files.items()} for n in ends]
        state: State = "whole" if standing in sets else "unfinished"
        return BuildSet(state, build, known=known)
    changed = tuple(
        n for n in files if standing[n] is not None and standing[n] not in known[n]
    )
    missing = tuple(n for n in files if standing[n] is None)
    state = "changed" if changed or missing else "whole"
    return BuildSet(state, build, changed, missing, known)


def write_build(folder: Path, files: Mapping[str, bytes]) -> tuple[str, ...]:
    """Write the outputs of a build as one set, and ``build.json`` last.

    All files are staged and synced first, then renamed. Two builds at once take turns at
    the renaming, so that the files that stand in the end come from one of them. A file
    that a person changed since its build is kept under another name beside it.

    Parameters
    ----------
    folder : the ``out`` folder; made when missing. What no build wrote there stays.
    files : the outputs by name, ``build.json`` not among them.

    Returns
    -------
    tuple of str
        New names of files that a person had changed.

    Raises
    ------
    OSError
        The file system refused. While staging, the old files stand untouched.
    """
    folder.mkdir(parents=True, exist_ok=True)
    for name in (*files, BUILD_FILE):  # before the first is renamed: all of them, or none
        atomic.check_target(folder / name)
    atomic.sweep(folder)
    digests = {name: _digest(data) for name, data in files.items()}
    build = _digest(json.dumps(digests, sort_keys=True).encode())[:16]
    banner = files.get(PAGE, b"").replace(BANNER, BANNER_SHOWN)
    stage = folder / f"{atomic.STAGE_PREFIX}{secrets.token_hex(6)}"
    with atomic.named(stage, folder):
        stage.mkdir()
    try:
        with atomic.named(stage, folder):
            for name, data in files.items():
                atomic.write_synced(stage / name, data)
            atomic.write_synced(stage / BUILD_FILE, _record(build, digests))
            (stage / "first").mkdir()
            if PAGE in files:
                atomic.write_synced(stage / "first" / PAGE, banner)
            with atomic.turn(folder):
                kept = _put_in_place(folder, stage, build, digests)
    finally:
        shutil.rmtree(stage, ignore_errors=True)
    atomic.sync_folder(folder)
    return kept


def _put_in_place(
    folder: Path, stage: Path, build: str, digests: Mapping[str, str]
) -> tuple[str, ...]:
    """Rename the staged files into the folder, saying meanwhile that it is being done."""
    first = stage / "first"
    standing = look_at(folder)
    kept = _keep_changed(folder, standing, digests)
    may_be = {
        name: [
            _digest_of(folder / name),
            *([d] if (d := _digest_of(first / name)) else []),
            new,
        ]
        for name, new in digests.items()
    }
    atomic.write_synced(
        first / BUILD_FILE, _record(build, may_be, writing=True, before=standing.state)
    )
    for name in (BUILD_FILE, PAGE):
        if (first / name).exists():
            (first / name).replace(folder / name)
    atomic.sync_folder(folder)
    for name in sorted(digests, key=lambda name: name == PAGE):  # the page last of all
        atomic.drop_beside(folder / name)
        (stage / name).replace(folder / name)
    for name in set(standing.known) - set(digests):  # what no build writes any more
        if (digest := _digest_of(folder / name)) and digest in standing.known[name]:
            (folder / name).unlink()
    atomic.sync_folder(folder)
    (stage / BUILD_FILE).replace(folder / BUILD_FILE)
    return kept


def _keep_changed(
    folder: Path, standing: BuildSet, digests: Mapping[str, str]
) -> tuple[str, ...]:
    """Move aside each file that is about to be replaced and that no build wrote so."""
    kept = []
    for name, known in standing.known.items():
        digest = _digest_of(folder / name)
        if name not in digests or digest is None or digest in known | {digests[name]}:
            continue
        stem, dot, ending = name.partition(".")
        number = 1
        while (to := folder / f"{stem} (changed {number}){dot}{ending}").exists():
            number += 1
        (folder / name).rename(to)
        kept.append(to.name)
    return tuple(kept)


def _record(build: str, files: Mapping[str, object], **more: object) -> bytes:
    record = {"form": FORM, "build": build, **more, "files": files}
    return json.dumps(record, indent=1).encode() + b"\n"


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _digest_of(path: Path) -> str | None:
    """Return the SHA-256 of a file, None where no plain file stands."""
    with contextlib.suppress(OSError):
        if path.is_file():
            with path.open("rb") as handle:
                return hashlib.file_digest(handle, "sha256").hexdigest()
    return None
