"""The journal against a plain model: any order of changes, undos, kills and hand edits."""

import contextlib
import os
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from quietacre.edit import moves
from quietacre.edit.again import redo
from quietacre.edit.files import put_in_place
from quietacre.edit.journal import FileChange, apply, read, recover, steps, undo
from quietacre.errors import Clash, FileProblem

NAMES = ["property.toml", "log.csv", "drawn/a.geojson", "drawn/deep/b.geojson"]
contents = st.one_of(st.none(), st.binary(max_size=6))
batches = st.dictionaries(st.sampled_from(NAMES), contents, min_size=1)


class Killed(BaseException):
    """Stands for a process that is gone: nothing after it may run."""


@contextlib.contextmanager
def killed_at(place):
    """Let the process end at the file of a place, running nothing that would put back."""
    count = iter(range(100))

    def gone(stage, path):
        if next(count) == place:
            raise Killed
        put_in_place(stage, path)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(moves, "put_in_place", gone)
        patch.setattr(moves, "put_all_back", lambda _moved: (_ for _ in ()).throw(Killed))
        patch.setattr("quietacre.edit.book.Book.forget", lambda *_: None)
        patch.setattr("quietacre.edit.book.Book.turn_to", _only_forward)
        yield


def _only_forward(book, entry, state, *, sync=False):
    """Change a step's state, but not back: a process that is gone does not."""
    if (entry.step.state, state) in {("undoing", "done"), ("begun", "undone")}:
        return entry
    return REAL_TURN(book, entry, state, sync=sync)


from quietacre.edit.book import Book  # noqa: E402 - beside what replaces it

REAL_TURN = Book.turn_to


class Journal(RuleBasedStateMachine):
    """``files`` is what must lie there, ``undoable`` what each standing step would give back.

    ``again`` is what was taken back since the last change.
    """

    @initialize()
    def begin(self):
        self.room = tempfile.TemporaryDirectory()
        home = Path(self.room.name)
        self.folder, self.state = home / "land", home / "state"
        self.folder.mkdir()
        self.files: dict[str, bytes] = {}
        self.undoable: list[tuple[dict, dict]] = []
        self.again: list[tuple[dict, dict]] = []

    def teardown(self):
        if hasattr(self, "room"):
            self.room.cleanup()

    def changes(self, batch):
        return [
            FileChange(name, self.files.get(name), data) for name, data in batch.items()
        ]

    def after(self, batch):
        wanted = {**self.files, **batch}
        return {name: data for name, data in wanted.items() if data is not None}

    def effective(self, batch):
        return {n: d for n, d in batch.items() if self.files.get(n) != d}

    @rule(batch=batches)
    def change(self, batch):
        if not self.effective(batch):
            return
        apply(self.folder, self.changes(batch), "x", state=self.state)
        self.note(batch)

    def note(self, batch):
        names = self.effective(batch)
        before = {name: self.files.get(name) for name in names}
        self.undoable.append((before, names))
        self.files = self.after(batch)
        self.again = []

    @rule(batch=batches, place=st.integers(0, 3))
    def change_killed(self, batch, place):
        if not self.effective(batch):
            return
        done = False
        with killed_at(place), contextlib.suppress(Killed):
            apply(self.folder, self.changes(batch), "x", state=self.state)
            done = True
        found = recover(self.folder, state=self.state)
        assert [one.end for one in found] == ([] if done else ["finished"])
        self.note(batch)

    @rule()
    def take_back(self):
        if not self.undoable:
            with pytest.raises(FileProblem, match="no change to take back"):
                undo(self.folder, state=self.state)
            return
        before, after = self.undoable[-1]
        if any(self.files.get(name) != data for name, data in after.items()):
            with pytest.raises(Clash):
                undo(self.folder, state=self.state)
            return
        undo(self.folder, state=self.state)
        self.gone_back(before)

    def gone_back(self, before):
        self.again.append(self.undoable.pop())
        self.files = self.after(before)

    @rule()
    def make_again(self):
        if not self.again:
            with pytest.raises(FileProblem, match="no change to make again"):
                redo(self.folder, state=self.state)
            return
        before, after = self.again[-1]
        if any(self.files.get(name) != data for name, data in before.items()):
            with pytest.raises(Clash):
                redo(self.folder, state=self.state)
            return
        redo(self.folder, state=self.state)
        self.come_again(after)

    def come_again(self, after):
        self.undoable.append(self.again.pop())
        self.files = self.after(after)

    @rule(place=st.integers(0, 3))
    def make_again_killed(self, place):
        if not self.again:
            return
        before, after = self.again[-1]
        if any(self.files.get(name) != data for name, data in before.items()):
            return
        done = False
        with killed_at(place), contextlib.suppress(Killed):
            redo(self.folder, state=self.state)
            done = True
        found = recover(self.folder, state=self.state)
        assert [one.end for one in found] == ([] if done else ["finished"])
        self.come_again(after)

    @rule(place=st.integers(0, 3))
    def take_back_killed(self, place):
        if not self.undoable:
            return
        before, after = self.undoable[-1]
        if any(self.files.get(name) != data for name, data in after.items()):
            return
        done = False
        with killed_at(place), contextlib.suppress(Killed):
            undo(self.folder, state=self.state)
            done = True
        found = recover(self.folder, state=self.state)
        assert [one.end for one in found] == ([] if done else ["taken back"])
        self.gone_back(before)

    @rule(name=st.sampled_from(NAMES[:2]), data=contents)
    def by_hand(self, name, data):
        if data is None:
            (self.folder / name).unlink(missing_ok=True)
            self.files.pop(name, None)
        else:
            (self.folder / name).write_bytes(data)
            self.files[name] = data

    @rule(batch=batches)
    def too_late(self, batch):
        """Ask for a change of files as they are not."""
        stale = [
            FileChange(n, b"never there", d)
            for n, d in batch.items()
            if d != b"never there"
        ]
        with pytest.raises(Clash):
            apply(self.folder, stale, "x", state=self.state)

    @invariant()
    def all_is_there(self):
        if not hasattr(self, "folder"):
            return
        there = {
            path.relative_to(self.folder).as_posix(): path.read_bytes()
            for path in self.folder.rglob("*")
            if path.is_file()
        }
        assert there == self.files
        standing = [
            step for step in steps(self.folder, state=self.state) if step.state == "done"
        ]
        assert len(standing) == len(self.undoable)
        for name in NAMES:
            assert read(self.folder, name) == self.files.get(name)


Journal.TestCase.settings = settings(
    max_examples=20, stateful_step_count=25, deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)  # fmt: skip
TestJournal = pytest.mark.skipif(os.name != "posix", reason="kills are raised in renames")(
    Journal.TestCase
)
