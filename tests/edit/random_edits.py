"""Random changes to random settings files: read as asked for, and not a byte else.

Run: ``python tests/edit/random_edits.py [--edits 10000] [--seed 1]``. Each file is made of
pieces that know what they belong to: comments inside arrays, CRLF, inline and interleaved
tables, dotted and quoted keys, names beyond ASCII, dates, strings that look like headers.
After each change the standard reader must find what was asked for (worked out here, not by
the package), and every piece that does not belong to the change must stand as it stood.
Ends with 1 when one does not; the seed of each file is printed with it.
"""

from __future__ import annotations

import argparse
import copy
import datetime as dt
import random
import sys
import time
import tomllib

from quietacre.edit.toml_change import changed
from quietacre.edit.toml_plain import Insert, Move, Remove, Rename, Set

NAMES = ["name", "kind", "plant", "köder", "share", "n", "Ⅷ", "a-b", "2027"]
ODD = [
    "ladino / white clover",
    "näh. 1",
    'quo"te',
    "back\\slash",
    "#no remark",
    "[[area]]",
    "",
]
WORDS = [
    "plot",
    "näher am Bach",
    "# no remark",
    "[[area]]",
    "a = 1",
    'say "so"',
    "C:\\x",
    "",
]
TABLES = ["area", "mix", "soil_test", "equipment", "crop", "Überlauf", "quiet two"]


class Made:
    """A random file: pieces of text with the path each belongs to, and its settings."""

    def __init__(self, seed: int) -> None:
        self.dice = random.Random(seed)
        self.nl = self.dice.choice(["\n", "\n", "\r\n"])
        self.pieces: list[tuple[str, tuple | None]] = []
        self.settings: dict = {}
        self.arrays: set[tuple] = set()  # arrays of tables
        self.heads: set[tuple] = set()  # tables with a header of their own
        self.last: tuple[int, tuple | None] = (-1, None)
        self.write()

    @property
    def text(self) -> str:
        return "".join(text for text, _ in self.pieces)

    def put(self, text: str, owner: tuple | None = None) -> None:
        self.pieces.append((text, owner))

    def remark(self) -> str:
        return f"# remark {self.dice.randrange(10**6)} {self.dice.choice(WORDS)}"

    def key(self, taken) -> str:
        while True:
            key = self.dice.choice(NAMES if self.dice.random() < 0.8 else ODD)
            if key not in taken:
                return key

    def spelled_key(self, key: str) -> str:
        plain = key.replace("-", "").replace("_", "")
        if plain.isascii() and plain.isalnum() and self.dice.random() < 0.9:
            return key
        if "'" not in key and self.dice.random() < 0.3:
            return f"'{key}'"
        return '"' + key.replace("\\", "\\\\").replace('"', '\\"') + '"'

    def plain(self) -> tuple[str, object]:
        """Return a spelling and what it means."""
        word = self.dice.choice(WORDS)
        quoted = word.replace("\\", "\\\\").replace('"', '\\"')
        day = dt.date(2027, self.dice.randint(1, 12), self.dice.randint(1, 28))
        number = self.dice.randint(0, 9999)
        return self.dice.choice([
            (f'"{quoted}"', word),
            (f"'{word}'", word),
            (f'"""{self.nl}{quoted}{self.nl}# in it{self.nl}[x]"""', f"{word}\n# in it\n[x]"),
            (f"'''{self.nl}{word} = 1{self.nl}'''", f"{word} = 1\n"),
            ('"""a""b"""', 'a""b'),
            (str(number), number), (f"{number}.0", float(number)), (f"+{number}", number),
            ("1_000", 1000), ("0x1F", 31), ("1e3", 1000.0), ("-0.125", -0.125),
            ("true", True), ("false", False), (str(day), day),
            (f"{day}T07:08:09Z", dt.datetime(day.year, day.month, day.day, 7, 8, 9, tzinfo=dt.UTC)),
            (f"{day} 07:08:09", dt.datetime(day.year, day.month, day.day, 7, 8, 9)),  # noqa: DTZ001
            ("07:32:00", dt.time(7, 32)),
        ])  # fmt: skip

    def value(self, path: tuple, depth: int = 0) -> object:
        """Write a value's pieces and return what it means."""
        what = self.dice.random()
        if depth > 2 or what < 0.6:
            text, meaning = self.plain()
            if depth and "\n" in text:
                text, meaning = '"flat"', "flat"
            self.put(text, path)
            return meaning
        if what < 0.75:
            return self.inline(path, depth)
        return self.array(path, depth)

    def inline(self, path: tuple, depth: int) -> dict:
        made: dict = {}
        self.put("{" + self.dice.choice(["", " "]), path)
        for place in range(self.dice.randint(0, 3)):
            if place:
                self.put(self.dice.choice([", ", ","]), path)
            key = self.key(made)
            self.put(
                f"{self.spelled_key(key)}{self.dice.choice([' = ', '='])}", (*path, key)
            )
            made[key] = None
            made[key] = self.value_flat((*path, key), depth + 1)
        self.put(self.dice.choice(["", " "]) + "}", path)
        return made

    def value_flat(self, path: tuple, depth: int) -> object:
        """Write a value on one line: a table inside a line has no other."""
        text, meaning = self.plain()
        while "\n" in text:
            text, meaning = self.plain()
        if depth < 3 and self.dice.random() < 0.2:
            self.put("[", path)
            items = []
            for place in range(self.dice.randint(0, 3)):
                if place:
                    self.put(", ", path)
                items.append(self.value_flat((*path, place), depth + 1))
            self.put("]", path)
            return items
        self.put(text, path)
        return meaning

    def array(self, path: tuple, depth: int) -> list:
        if self.dice.random() < 0.5:
            return self.value_flat_array(path, depth)
        blanks = self.dice.choice(["  ", "\t", "    "])
        self.put("[" + self.dice.choice(["", " " + self.remark()]) + self.nl, path)
        items = []
        for place in range(self.dice.randint(0, 4)):
            if self.dice.random() < 0.2:
                self.put(f"{blanks}{self.remark()}{self.nl}", (*path, MISSED))
            self.put(blanks, (*path, place))
            items.append(self.value((*path, place), depth + 1))
            self.put(",", (*path, place))
            if self.dice.random() < 0.3:
                self.put(f"  {self.remark()}", (*path, place))
            self.put(self.nl, (*path, place))
        if items and self.dice.random() < 0.3:  # no comma behind the last
            at = max(n for n, (text, owner) in enumerate(self.pieces)
                     if text == "," and owner == (*path, len(items) - 1))  # fmt: skip
            self.pieces[at] = ("", self.pieces[at][1])
        if self.dice.random() < 0.2:
            self.put(f"{blanks}{self.remark()}{self.nl}", (*path, MISSED))
        self.put("]", path)
        return items

    def value_flat_array(self, path: tuple, depth: int) -> list:
        self.put("[", path)
        items = []
        for place in range(self.dice.randint(0, 3)):
            if place:
                self.put(", ", path)
            items.append(self.value_flat((*path, place), depth + 1))
        self.put("]", path)
        return items

    def lines(self, path: tuple, table: dict) -> None:
        """Write the key lines of a table."""
        blanks = self.dice.choice(["", "", "", "  "])
        for _ in range(self.dice.randint(0, 4)):
            if self.dice.random() < 0.15:
                # between lines of a table: goes with the table
                self.put(f"{blanks}{self.remark()}{self.nl}", (*path, MISSED))
            key = self.key(table)
            here = (*path, key)
            if self.dice.random() < 0.1:
                inner = self.key({})
                self.put(
                    f"{blanks}{self.spelled_key(key)} . {self.spelled_key(inner)} = ",
                    (*here, inner),
                )
                table[key] = {inner: self.value((*here, inner))}
                here = (*here, inner)
            else:
                self.put(blanks + self.spelled_key(key), here)
                self.put(self.dice.choice([" = ", "=", "   = "]), here)
                table[key] = self.value(here)
            if self.dice.random() < 0.2:
                self.put(f"   {self.remark()}", here)
            self.put(self.nl, here)

    def header(self, path: tuple, *, array: bool) -> None:
        name = self.dice.choice([".", ".", " . "]).join(
            self.spelled_key(part) for part in path if isinstance(part, str)
        )
        gap = self.dice.choice(["", "", "", " "])
        text = f"[[{gap}{name}{gap}]]" if array else f"[{gap}{name}{gap}]"
        tail = f"  {self.remark()}" if self.dice.random() < 0.2 else ""
        self.put(f"{text}{tail}{self.nl}", path)

    def gap(self, path: tuple | None = None) -> None:
        """Write what lies between tables; a remark right under one is that one's own."""
        blank = self.dice.choice([0, 1, 1, 1, 2])
        self.put(self.nl * blank)
        if self.dice.random() < 0.3:
            apart = self.dice.random() < 0.5
            self.put(self.remark() + self.nl, path if apart and not blank else None)
            self.put(self.nl if apart else "")
            self.last = (len(self.pieces) - 2, None if blank else path)

    def write(self) -> None:
        if self.dice.random() < 0.4:
            self.put(self.remark() + self.nl + self.nl)
        if self.dice.random() < 0.2:
            self.lines((), self.settings)
        self.gap()
        for _ in range(self.dice.randint(1, 9)):
            name = self.dice.choice(TABLES)
            if TABLES.index(name) < 3:
                self.gap(self.one_of_many(name))
            elif name not in self.settings:
                self.gap(self.single(name))
        if self.last[0] == len(self.pieces) - 2:  # no table follows it
            self.pieces[-2] = (self.pieces[-2][0], self.last[1])
        if self.pieces and self.dice.random() < 0.2:
            text, owner = self.pieces[-1]
            self.pieces[-1] = (text.removesuffix(self.nl), owner)

    def one_of_many(self, name: str) -> tuple:
        items = self.settings.setdefault(name, [])
        path = (name, len(items))
        self.arrays.add((name,))
        self.heads.add(path)
        items.append({})
        self.header(path, array=True)
        self.lines(path, items[-1])
        if self.dice.random() < 0.3 and "strip" not in items[-1]:
            if self.dice.random() < 0.5:
                self.put(self.nl, (*path, MISSED))
            items[-1]["strip"] = {}
            self.heads.add((*path, "strip"))
            self.header((*path, "strip"), array=False)
            path = (*path, "strip")
            self.lines(path, items[-1]["strip"])
        return (*path, MISSED)

    def single(self, name: str) -> tuple:
        path: tuple = (name,)
        table = self.settings[name] = {}
        if self.dice.random() < 0.4:
            inner = self.key({})
            path, table[inner] = (name, inner), {}
            table = table[inner]
        self.heads.add(path)
        self.header(path, array=False)
        self.lines(path, table)
        return (*path, MISSED)


MISSED = object()  # belongs to its table and to nothing inside it


def at(settings, path):
    for part in path:
        settings = settings[part]
    return settings


def paths(settings, path=()):
    """Yield the path of everything in settings."""
    inside = settings.items() if isinstance(settings, dict) else enumerate(settings)
    for part, value in inside:
        yield (*path, part)
        if isinstance(value, (dict, list)):
            yield from paths(value, (*path, part))


def new_value(dice: random.Random) -> object:
    return dice.choice([
        dice.randint(-5, 500), 0.1 + 0.2, 7.0, 1e-7, 2.5e9, "new", "n\"e'w # ü\\", True,
        dt.date(2028, 2, 29), ["x", "y"], [1, 2, 3], {"a": 1, "b c": "d"}, [], {}, "zwei\nZeilen",
        [{"crop": "oats", "share": 0.5}, {"crop": "rye"}], ["long " * 9] * 4,
    ])  # fmt: skip


def random_change(made: Made, dice: random.Random):
    """Return a change, and the settings that it is to lead to."""
    wanted = copy.deepcopy(made.settings)
    known = list(paths(wanted))
    what = dice.random()
    lists = [p for p in known if isinstance(at(wanted, p), list)]
    items = [p for p in known if isinstance(p[-1], int)]
    if what < 0.35 and known:
        path, value = dice.choice(known), new_value(dice)
        if made.arrays & {path, path[:-1]} or any(
            h[: len(path)] == path for h in made.heads
        ):
            value = copy.deepcopy(at(wanted, path))
            if isinstance(value, list):
                value[dice.randrange(len(value))] = {"name": "other"}
            else:
                value["new key"] = new_value(dice)
        at(wanted, path[:-1])[path[-1]] = value
        return Set(path, value), wanted
    if what < 0.55:
        tables = [(), *(p for p in known if isinstance(at(wanted, p), dict))]
        path = (*dice.choice(tables), dice.choice(["fresh", "näh 2", "fresh.er"]))
        if dice.random() < 0.3:
            path = (*path, "deep")
        value = new_value(dice)
        here = wanted
        for part in path[:-1]:
            here = here.setdefault(part, {}) if isinstance(part, str) else here[part]
        here[path[-1]] = value
        return Set(path, value), wanted
    if what < 0.7 and lists:
        path = dice.choice(lists)
        there = at(wanted, path)
        value = {"name": "new", "n": 1} if path in made.arrays else new_value(dice)
        place = dice.choice([None, *range(len(there) + 1)])
        there.insert(len(there) if place is None else place, value)
        return Insert(path, value, place), wanted
    if what < 0.88 and known:
        path = dice.choice(known)
        del at(wanted, path[:-1])[path[-1]]
        path_up = path[:-1]
        while path_up and not at(wanted, path_up) and gone_with_its_last(made, path_up):
            del at(wanted, path_up[:-1])[path_up[-1]]
            path_up = path_up[:-1]
        return Remove(path), wanted
    if what < 0.94 and items:
        path = dice.choice(items)
        there = at(wanted, path[:-1])
        place = dice.randrange(len(there))
        there.insert(place, there.pop(path[-1]))
        return Move(path, place), wanted
    keys = [
        p for p in known if isinstance(p[-1], str) and "anders" not in at(wanted, p[:-1])
    ]
    if keys:
        path = dice.choice(keys)
        parent = at(wanted, path[:-1])
        parent["anders"] = parent.pop(path[-1])
        return Rename(path, "anders"), wanted
    return Set(("x",), 1), {**wanted, "x": 1}


def gone_with_its_last(made: Made, path: tuple) -> bool:
    """Return whether a table or list has no place of its own in the file."""
    if path in made.arrays:
        return True
    if path in made.heads:
        return False
    owned = [text for text, owner in made.pieces if owner == path]
    return not any("{" in text or "[" in text for text in owned)


def dust(value):
    """Return a value as a person writes it: no dust of binary sums."""
    if isinstance(value, dict):
        return {key: dust(item) for key, item in value.items()}
    if isinstance(value, list):
        return [dust(item) for item in value]
    return float(f"{value:.12g}") if isinstance(value, float) else value


def faults(made: Made, change, wanted, result: str):
    """Yield what is wrong with the outcome of a change."""
    found = tomllib.loads(result)
    if repr_of(found) != repr_of(dust(wanted)):
        yield "settings are not as asked for"
    text, path = made.text, change.path
    mine = [owner is not None and owner[: len(path)] == path for _, owner in made.pieces]
    if (
        isinstance(change, Set)
        and any(mine)
        and not isinstance(at(made.settings, path), (dict, list))
    ):
        yield from faults_of_set(made, path, result)
    elif isinstance(change, Insert) or (isinstance(change, Set) and not any(mine)):
        if not grown(text, result):
            yield "more than an addition"
    elif isinstance(change, Remove):
        kept = "".join(t for (t, _), m in zip(made.pieces, mine, strict=True) if not m)
        if bare(kept) != bare(result):
            yield "a removal took or left something else"
    elif isinstance(change, Move):
        if sorted("".join(bare(text))) != sorted("".join(bare(result))):
            yield "a move lost or made something"
    elif isinstance(change, Rename):
        lines = list(zip(text.split("\n"), result.split("\n"), strict=True))
        if any(old != new and "anders" not in new for old, new in lines):
            yield "a renaming changed another line"
    if made.nl == "\r\n" and result.replace("\r\n", "").count("\n"):
        yield "line ends are mixed"


def faults_of_set(made: Made, path: tuple, result: str):
    """Yield a fault unless all but the value's own pieces stand, to the byte."""
    own = [n for n, (_, owner) in enumerate(made.pieces) if owner == path]
    value = own_value(made, own)
    head = "".join(t for t, _ in made.pieces[:value])
    tail = "".join(t for t, _ in made.pieces[value + 1 :])
    if not (result.startswith(head) and result.endswith(tail)):
        yield "bytes outside the value changed"
    if len(result) < len(head) + len(tail):
        yield "bytes outside the value went"


def own_value(made: Made, own: list[int]) -> int:
    """Return which of the pieces of a key is its value."""
    plain = [n for n in own if made.pieces[n][0].strip() not in {"", ",", "="}]
    for n in plain:
        text = made.pieces[n][0]
        if n and made.pieces[n - 1][0].rstrip().endswith("=") and not text.endswith("= "):
            return n
    return plain[0]


def grown(text: str, result: str) -> bool:
    """Return whether a text is another with something put in, at one place and a comma."""
    head = 0
    while head < min(len(text), len(result)) and text[head] == result[head]:
        head += 1
    tail = 0
    while tail < len(text) - head and text[-1 - tail] == result[-1 - tail]:
        tail += 1
    left = text[head : len(text) - tail]
    if not left:
        return True
    added = result[head : len(result) - tail]
    return added.startswith(",") and (left in added or left.strip() in {"", "}"})


def bare(text: str) -> list[str]:
    """Return the lines that say something, without what joins and spaces them."""
    lines = (
        line.replace(",", "").replace(" ", "").replace("\t", "")
        for line in text.split("\n")
    )
    return [line.rstrip("\r") for line in lines if line.strip()]


def repr_of(value) -> str:
    """Return a value's spelling for comparison: whole numbers are equal to their floats."""
    if isinstance(value, dict):
        return "{" + ",".join(sorted(f"{k!r}:{repr_of(v)}" for k, v in value.items())) + "}"
    if isinstance(value, list):
        return "[" + ",".join(map(repr_of, value)) + "]"
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return repr(float(value))
    return repr(value)


def run(edits: int, seed: int) -> dict[str, int]:
    """Return how many changes were made and how many went wrong, saying which."""
    counts = {"edits": 0, "refused": 0, "defects": 0}
    for number in range(edits):
        made = Made(seed * 1_000_003 + number)
        dice = random.Random(number)
        assert tomllib.loads(made.text) == made.settings, (seed, number)
        change, wanted = random_change(made, dice)
        counts["edits"] += 1
        try:
            result = changed(made.text, [change])
        except Exception as problem:  # noqa: BLE001 - every one is a defect to be shown
            counts["refused"] += 1
            print(
                f"seed {seed} file {number}: {change}: {type(problem).__name__} {problem}"
            )
            continue
        wrong = list(faults(made, change, wanted, result))
        if wrong:
            counts["defects"] += 1
            print(f"seed {seed} file {number}: {change}: {'; '.join(wrong)}")
    return counts


def show(seed: int, number: int) -> None:
    """Print one file, its change and what came of it."""
    made, dice = Made(seed * 1_000_003 + number), random.Random(number)
    change, _ = random_change(made, dice)
    print(made.text, change, sep="=====\n")
    try:
        print("=====", changed(made.text, [change]), sep="\n")
    except Exception as problem:  # noqa: BLE001 - shown
        print("=====", repr(problem))


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--edits", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--show", type=int, help="print the file of this number")
    given = parser.parse_args()
    if given.show is not None:
        show(given.seed, given.show)
        return 0
    began = time.perf_counter()
    counts = run(given.edits, given.seed)
    print(f"{counts}, {time.perf_counter() - began:.0f} s")
    return 1 if counts["refused"] or counts["defects"] else 0


if __name__ == "__main__":
    sys.exit(main())
