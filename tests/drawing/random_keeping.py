"""Random scripts of drawing kept in a folder: what is kept is read so, undo gives the same bytes.

Run: ``python tests/drawing/random_keeping.py [--scripts 2000] [--seed 1]``. A script lays a
folder with three areas (two neighbors and a star),
then keeps what random operations made of them, takes some of it back and makes it again. After
each step every file must be, byte for byte, what it was at that place of the script; areas that
were split or joined hold the acres they had as a build reads them; refusals are one line and
change nothing. Ends with 1 when one does not; the seed is printed with it.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from collections import Counter
from pathlib import Path

import shapely
from random_drawings import KEPT_SHARE, Field, WrongError, kept
from random_scripts import play

from quietacre.drawing.cut import hole, split
from quietacre.drawing.follow import follow
from quietacre.drawing.join import join
from quietacre.drawing.sheet import acres_of, polygons_of, rings_of
from quietacre.drawing.stretch import straighten, strip_along
from quietacre.edit.again import redo
from quietacre.edit.journal import undo
from quietacre.edit.redraw import EdgeClash, NewEdge, edge_sum, keep_edges
from quietacre.edit.ring_file import ring_file
from quietacre.errors import BadInput
from quietacre.measure.one import Place

STEPS = 7
#: Where scripts are played: in memory where there is such a place, for a disk waits at each step.
SHM = Path("/dev/shm")  # noqa: S108 - a new room of our own in it


def lay_folder(folder: Path, field: Field) -> None:
    """Write a folder of three areas, each in its own file."""
    (folder / "drawn").mkdir(parents=True)
    (folder / "walks").mkdir()
    text = ['[property]\nname = "Random ground"\n']
    for number, shape in enumerate(field.neighbors()):
        name = f"Piece {number}"
        file = f"drawn/p{number}.geojson"
        (folder / file).write_bytes(ring_file(shape, name, (12,)))
        text.append(f'[[area]]\nname = "{name}"\nkind = "plot"  # ours\nfrom = "{file}"\n')
    (folder / "property.toml").write_text("\n".join(text))


def files_of(folder: Path) -> dict[str, bytes]:
    """Return every file of a folder, and the rooms that stand empty."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        if path.is_file()
        else b"room"
        for path in sorted(folder.rglob("*"))
        if path.is_file() or not any(path.iterdir())
    }


class Reads:
    """What a build reads of a folder: once for each state of its files, as the same bytes read the same."""

    def __init__(self) -> None:
        self._known: dict[int, dict[str, shapely.Geometry]] = {}

    def shapes(self, folder: Path) -> dict[str, shapely.Geometry]:
        """Return every area's ground, each valid and the same when it is told and read again."""
        state = hash(tuple(sorted(files_of(folder).items())))
        if state not in self._known:
            place = Place.of(folder)
            found = {area.name: place.ground(area.name).shape for area in place.prop.area}
            for name, shape in found.items():
                if not shape.is_valid or not polygons_of(rings_of(shape)).equals(shape):
                    raise WrongError(f"{name} is not valid")
            self._known[state] = found
        return self._known[state]


def keep_other(
    folder: Path, state: Path, field: Field, what: str, name: str, free: str,
    shapes: dict[str, shapely.Geometry],
) -> None:  # fmt: skip
    """Keep a hole, an edge led along others, a road or a straight stretch."""
    rng, before = field.rng, shapes[name]
    was = edge_sum(folder, name)
    names = list(shapes)
    if what == "hole":
        made = hole(before, field.star(*rng.uniform(-1, 1, 2), size=rng.uniform(0.02, 0.5)))
    elif what == "follow":
        made = follow(
            before, [shapes[n] for n in names if n != name], float(10 ** rng.uniform(0, 2))
        )
    elif what == "road":
        made = strip_along(field.line(), 16.0)
        name = free
    else:
        made = straighten(before, field.place_on(before), field.place_on(before))
    pm = float(rng.choice([0.0, 8.0])) or None
    edge = NewEdge(made.pieces[0], None if what == "road" else name, name, "plot",
                   was=None if what == "road" else was, edge_pm_ft=pm)  # fmt: skip
    (done,) = keep_edges(folder, [edge], label=what, state=state).areas
    if abs(done.acres / made.acres[0] - 1) > KEPT_SHARE or done.acres_low > done.acres:
        raise WrongError(f"{what}: kept {done.acres!r} ac of {made.acres[0]!r}")


def keep_something(folder: Path, state: Path, field: Field, reads: Reads) -> str:
    """Keep what one random operation makes of an area; raise when acres were not kept."""
    rng = field.rng
    shapes = reads.shapes(folder)
    names = list(rng.permutation(list(shapes)))
    name, before = str(names[0]), shapes[names[0]]
    what = str(rng.choice(["split", "join", "hole", "follow", "straighten", "road", "clash", "name taken"],
                          p=[0.3, 0.22, 0.1, 0.12, 0.1, 0.06, 0.05, 0.05]))  # fmt: skip
    free = next(f"Piece {n}" for n in range(100) if f"Piece {n}" not in shapes)
    was = edge_sum(folder, name)
    if what == "split":
        made = split(before, field.line())
        edges = [NewEdge(made.pieces[0], name, was=was)]
        edges += [NewEdge(p, None, f"{free}{'abcdefgh'[n % 8] * (n // 8 + 1)}", like=name)
                  for n, p in enumerate(made.pieces[1:])]  # fmt: skip
        done = keep_edges(folder, edges, label="split", state=state)
        now = reads.shapes(folder)
        pieces = [now[one.area] for one in done.areas]
        kept(
            "kept split",
            float(acres_of(pieces).sum()),
            float(acres_of([before])[0]),
            [before, *pieces],
        )
    elif what == "join" and len(names) > 1:
        other = str(names[1])
        made = join([before, shapes[other]])
        keep_edges(
            folder,
            [NewEdge(made.pieces[0], name, was=was)],
            out=[other],
            label="join",
            state=state,
        )
        now = reads.shapes(folder)[name]
        kept("kept join", float(acres_of([now])[0]), made.acres[0], [now])
    elif what == "clash":
        keep_edges(
            folder, [NewEdge(before, name, was="0" * 32)], label="clash", state=state
        )
        raise WrongError("a clash was kept")
    elif what == "name taken":
        keep_edges(folder, [NewEdge(before, None, name)], label="twice", state=state)
        raise WrongError("a name was given twice")
    else:
        keep_other(folder, state, field, what, name, free, shapes)
    return what


def run_script(seed: int, room: Path) -> Counter[str]:
    """Return how often each thing was kept, refused, taken back and made again in one script.

    Raises
    ------
    WrongError
        A file is not what it must be.
    """
    field = Field(seed)
    folder, state = room / f"f{seed}", room / f"s{seed}"
    lay_folder(folder, field)
    reads = Reads()
    line, here = [files_of(folder)], 0
    done: Counter[str] = Counter()
    for _ in range(STEPS):
        turn = field.rng.uniform()
        before = files_of(folder)
        try:
            if turn < 0.2 and here:
                undo(folder, state=state)
                here -= 1
                what = "undo"
            elif turn < 0.32 and here + 1 < len(line):
                redo(folder, state=state)
                here += 1
                what = "again"
            else:
                what = keep_something(folder, state, field, reads)
                if files_of(folder) != line[here]:
                    line = [*line[: here + 1], files_of(folder)]
                    here += 1
        except BadInput as problem:
            what = "clash" if isinstance(problem, EdgeClash) else "refused"
            if "\n" in str(problem) or len(str(problem)) > 500:
                raise WrongError(
                    f"refused in other than one line: {problem!s}"
                ) from problem
            if files_of(folder) != before:
                raise WrongError(f"a refusal changed a file: {problem!s}") from problem
        done[what] += 1
        if files_of(folder) != line[here]:
            raise WrongError(f"after {what} the files are not what they were there")
        reads.shapes(folder)
    while here:
        undo(folder, state=state)
        here -= 1
        if files_of(folder) != line[here]:
            raise WrongError(
                "taken back to the beginning, the files are not what they were"
            )
        done["undo"] += 1
    shutil.rmtree(folder)
    shutil.rmtree(state, ignore_errors=True)  # it is not there when nothing was kept
    return done


def main() -> int:
    """Run scripts, print what was done, return 1 when one went wrong."""
    with tempfile.TemporaryDirectory(dir=SHM if SHM.is_dir() else None) as room:
        return play(__doc__, lambda seed: run_script(seed, Path(room)), 2000)


if __name__ == "__main__":
    sys.exit(main())
