"""A few hundred damaged files a reader; ``fuzz_readers.py`` beside this goes on for hours."""

import random

import pytest
from fuzz_readers import READERS, read, seeds

SEED = 20261125
ROUNDS = 150


def damaged(data, other, rng):
    """Return bytes cut, overwritten, doubled or spliced with another file's."""
    data = bytearray(data)
    for _ in range(rng.randint(1, 4)):
        at = rng.randrange(len(data) + 1)
        size = rng.choice((1, 1, 2, 4, 8, 40))
        what = rng.randrange(5)
        if what == 0:
            data[at : at + size] = rng.randbytes(size)
        elif what == 1:
            del data[at : at + size]
        elif what == 2:
            data[at:at] = data[at : at + size] * rng.randint(1, 40)
        elif what == 3:
            start = rng.randrange(len(other) + 1)
            data[at:at] = other[start : start + 60]
        else:
            data[at : at + 1] = rng.choice(
                (b"\x00", b"\xff", b"-", b"9", b"[", b'"', b"\n")
            )
    return bytes(data)


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("reader", READERS)
def test_damaged_files_are_read_or_refused(reader, tmp_path):
    place, making = tmp_path / "place", tmp_path / "making"
    place.mkdir()
    making.mkdir()
    rng = random.Random(f"{SEED}-{reader}")
    corpus = sorted(seeds(reader, making))
    small = [data for data in corpus if len(data) < 120_000]
    assert small
    taken = refused = 0
    for _ in range(ROUNDS):
        if read(damaged(rng.choice(small), rng.choice(small), rng), reader, place):
            taken += 1
        else:
            refused += 1
    assert refused > 0
    assert taken + refused == ROUNDS
