"""Coverage-guided fuzzing of one reader, seeded with the small files of the hostile set.

Run: ``python tests/fuzz/fuzz_readers.py READER [--seconds N] [--seed N]``, READER one of
those of ``READERS``. A crash, a hang over 30 s or more than 2 GB ends it with an error;
the input is kept as ``crash-*`` in the working folder and belongs in the hostile set.
"""

from __future__ import annotations

import argparse
import struct
import subprocess
import sys
import tempfile
import warnings
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "hostile"))

READERS = ("gpx", "geojson", "kml", "kmz", "gpkg", "shp", "csv", "toml", "log")
#: Files of a shapefile, in the order in which they are strung together.
PARTS = (".shp", ".shx", ".dbf", ".prj")
MOST_SEED_BYTES = 200_000


def joined(path: Path) -> bytes:
    """Return the files of a shapefile as one text of bytes, each after its length."""
    parts = [path.with_suffix(end) for end in PARTS]
    data = [part.read_bytes() if part.is_file() else b"" for part in parts]
    return b"".join(struct.pack("<H", len(part)) + part for part in data)


def written(data: bytes, reader: str, folder: Path) -> Path:
    """Write fuzzed bytes as the file, or files, that the reader takes."""
    if reader in ("toml", "log"):
        if reader == "toml":
            (folder / "property.toml").write_bytes(data)
        else:
            (folder / "log.csv").write_bytes(data)
        return folder
    path = folder / f"fuzzed.{reader}"
    if reader != "shp":
        path.write_bytes(data)
        return path
    at = 0
    for end in PARTS:
        size = int.from_bytes(data[at : at + 2], "little")
        path.with_suffix(end).write_bytes(data[at + 2 : at + 2 + size])
        at += 2 + size
    return path


def read(data: bytes, reader: str, folder: Path) -> bool:
    """Read fuzzed bytes; whether they were taken. Anything but BadInput comes through."""
    from quietacre.errors import BadInput, SettingsProblem
    from quietacre.intake.log import read_log
    from quietacre.intake.property import read_property
    from quietacre.intake.vector import read_layer

    path = written(data, reader, folder)
    run = {"toml": read_property, "log": lambda p: read_log(p / "log.csv")}
    try:
        run.get(reader, read_layer)(path)
    except SettingsProblem:
        return False
    except BadInput as problem:
        if len(str(problem).splitlines()) != 1:
            raise AssertionError(str(problem)) from problem
        return False
    return True


def seeds(reader: str, folder: Path) -> list[bytes]:
    """Return the small files of the hostile set that this reader takes."""
    from hostile_files import cases

    found = []
    for number, case in enumerate(cases()):
        kind = case.name.startswith("property-") if reader in ("toml", "log") else False
        if case.heavy or not (kind or case.name.lower().endswith("." + reader)):
            continue
        place = folder / str(number)
        place.mkdir()
        path = place / case.name.encode("ascii", "replace").decode()
        try:
            case.make(path)
            path.stat()
        except OSError:  # a name or a link that leads nowhere
            continue
        if kind:
            path = path / ("property.toml" if reader == "toml" else "log.csv")
        if path.is_file() and path.stat().st_size < MOST_SEED_BYTES:
            found.append(joined(path) if reader == "shp" else path.read_bytes())
    if reader == "log":
        found.append(b"date,area,task\n2026-11-20,Field,mow\n")
    return found


def main() -> None:
    """Fuzz one reader for a time."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("reader", choices=READERS)
    parser.add_argument("--seconds", type=int, default=3600)
    parser.add_argument("--runs", type=int, default=-1, help="inputs, the same every time")
    parser.add_argument("--seed", type=int, default=20261125)
    parser.add_argument("--home", type=Path, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.home is None:  # the fuzzer leaves by the back door: its parent tidies up
        memory = "/dev/shm" if Path("/dev/shm").is_dir() else None
        with tempfile.TemporaryDirectory(prefix="fuzz-", dir=memory) as place:
            done = subprocess.run([sys.executable, *sys.argv, "--home", place], check=False)
        sys.exit(done.returncode)
    import atheris

    with atheris.instrument_imports(include=["quietacre.intake", "defusedxml"]):
        import quietacre.intake.collect
        import quietacre.intake.gdal
        import quietacre.intake.geojson
        import quietacre.intake.geopackage
        import quietacre.intake.gpx
        import quietacre.intake.kml
        import quietacre.intake.log
        import quietacre.intake.property
        import quietacre.intake.table
        import quietacre.intake.vector  # noqa: F401

    warnings.simplefilter("ignore")
    home = asked.home
    corpus, place, making = home / "corpus", home / "place", home / "making"
    for folder in (corpus, place, making):
        folder.mkdir()
    for number, data in enumerate(seeds(asked.reader, making)):
        (corpus / str(number)).write_bytes(data)
    words = [
        sys.argv[0], str(corpus), f"-max_total_time={asked.seconds}", f"-seed={asked.seed}",
        f"-runs={asked.runs}",
        "-timeout=30", "-rss_limit_mb=2000", f"-max_len={MOST_SEED_BYTES}", "-verbosity=0",
        "-print_final_stats=1",
    ]  # fmt: skip
    atheris.Setup(words, lambda data: read(data, asked.reader, place) and None)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
