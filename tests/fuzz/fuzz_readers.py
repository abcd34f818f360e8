"""Coverage-guided fuzzing of one reader, seeded with the small files of the hostile set.

Run: ``python tests/fuzz/fuzz_readers.py READER [--seconds N] [--seed N]``, READER one of
those of ``READERS``. A crash, a hang over 30 s or more than 2 GB ends it with an error;
the input is kept as ``crash-*`` in the working folder and belongs in the hostile set.
"""

from __future__ import annotations

import argparse
import contextlib
import hashlib
import io
import shutil
import struct
import subprocess
import sys
import tempfile
import warnings
import zipfile
from pathlib import Path

from pyproj import CRS

sys.path.insert(0, str(Path(__file__).parents[1] / "hostile"))

READERS = ("gpx", "geojson", "kml", "kmz", "gpkg", "shp", "zip", "csv", "toml", "log",
           "rain", "tapes", "picture", "photo", "lines",
           "copy")  # fmt: skip
#: Files that belong together, in the order in which they are strung.
PARTS = {"shp": (".shp", ".shx", ".dbf", ".prj"), "picture": ("", ".wld", ".prj")}
#: The file that a reader of no drawing takes.
NAMES = {
    "toml": "property.toml",
    "log": "log.csv",
    "rain": "rain.csv",
    "tapes": "tapes.csv",
    "lines": "log.csv",
    "copy": "copy.zip",
}
#: First bytes of a picture, and its ending; a PNG is taken when nothing fits.
PICTURES = {b"II": ".tif", b"MM": ".tif", b"\xff\xd8": ".jpg"}
RAIN = (
    b"date,inches,low_f,high_f\n2026-01-01,0.25,31,55\n2026-01-02,T,30,\n",
    b"date,low_c,high_c\n2026-07-01,18.5,31\n",
    b"USC00381770,20260101,PRCP,64,,,0,0700\nUSC00381770,20260101,TMIN,-11,,,0,0700\n",
)
TAPES = (
    b"patch,transect,from,to,advance_ft,cut\nBank,T1,2026-05-01,2026-06-01,11.5,yes\n"
    b"Bank,T2,2026-05-01,2026-06-01,7,\n",
)
LOGS = (
    b"date,area,task\n2026-11-20,Field,mow\n",
    b'\xef\xbb\xbf"id","date","area","task","note"\r\n"b","2026-11-20","F","mow","a ""b"""\r\n',
    "date;area;task;id\r\n5/3/2026;Ä;mow;\r\n;;undo;b".encode(),
    "date\tarea\ttask\n2026-11-20\tF\t=1\n".encode("utf-16"),
    b"date,area,task\n" + b'2026-11-20,"Field, old",mow\n5/3/2026,,bought\n' * 30,
)
COPIED = b'[property]\nname = "Invented"\n'
MOST_HEAD = 80
MOST_SEED_BYTES = 200_000
SMALL_PX = 48


def joined(path: Path) -> bytes:
    """Return the files of a shapefile as one text of bytes, each after its length."""
    parts = [path.with_suffix(end) for end in PARTS["shp"]]
    return strung([part.read_bytes() if part.is_file() else b"" for part in parts])


def strung(parts: list[bytes]) -> bytes:
    """Return files as one text of bytes, each after its length."""
    return b"".join(struct.pack("<H", len(part)) + part for part in parts)


def written(data: bytes, reader: str, folder: Path) -> Path:
    """Write fuzzed bytes as the file, or files, that the reader takes."""
    path = folder / NAMES.get(reader, f"fuzzed.{reader}")
    if reader not in PARTS:
        path.write_bytes(data)
        return path
    if reader == "picture":
        path = path.with_suffix(PICTURES.get(data[2:4], ".png"))
    at = 0
    for end in PARTS[reader]:
        size = int.from_bytes(data[at : at + 2], "little")
        path.with_suffix(end or path.suffix).write_bytes(data[at + 2 : at + 2 + size])
        at += 2 + size
    return path


def read(data: bytes, reader: str, folder: Path) -> bool:
    """Read fuzzed bytes; whether they were taken. Anything but BadInput comes through."""
    from photographs import bare_faults

    from quietacre.edit.logtext import read_log_text, with_lines
    from quietacre.edit.merge import merge
    from quietacre.edit.restore import restore
    from quietacre.errors import BadInput, SettingsProblem
    from quietacre.export.photo import bare_jpeg
    from quietacre.intake.log import read_log
    from quietacre.intake.photo import read_photo, small_pixels
    from quietacre.intake.picture import read_picture
    from quietacre.intake.property import read_property
    from quietacre.intake.transects import read_transects
    from quietacre.intake.vector import read_layer
    from quietacre.intake.weather import read_weather

    def photo(path: Path) -> None:
        """Read a photograph and make a small one: it must hold pixels alone."""
        shared = bare_jpeg(small_pixels(read_photo(path).data, SMALL_PX, shown=path.name))
        if faults := bare_faults(shared):
            raise AssertionError(faults)

    def lines(path: Path) -> None:
        """Add a line to a log, merge it with itself, and hold every byte that was there."""
        log = read_log_text(path.read_bytes())
        after = with_lines(log, [{"date": "2027-07-04", "area": "a", "task": "b"}]).data
        if log.columns and not whole_but_for_two_pieces(log.data, after):
            raise AssertionError((log.data, after))
        if merge(log, [log]).lines:
            raise AssertionError(log.data)

    def copy(path: Path) -> None:
        """Bring a copy back; what is refused leaves nothing."""
        back = folder / "back"
        try:
            restore(path, back)
        except BadInput:
            if back.exists() or list(folder.glob(".quietacre-*")):
                raise AssertionError(list(folder.iterdir())) from None
            raise
        shutil.rmtree(back)

    path = written(data, reader, folder)
    run = {
        "lines": lines,
        "copy": copy,
        "photo": photo,
        "toml": lambda p: read_property(p.parent),
        "log": read_log,
        "rain": read_weather,
        "tapes": read_transects,
        "picture": lambda p: read_picture(p, shown=p.name),
    }
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

    found = [*{"rain": RAIN, "tapes": TAPES}.get(reader, ())]
    if reader == "picture":
        return pictures()
    if reader == "photo":
        return photographs()
    if reader == "copy":
        return copies()
    if reader == "lines":
        return [*LOGS]
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


def whole_but_for_two_pieces(before: bytes, after: bytes) -> bool:
    """Return whether bytes stand in others whole, cut once at most."""
    same = next(
        (n for n, (a, b) in enumerate(zip(before, after, strict=False)) if a != b),
        len(before),
    )
    # what was put in may begin as what stood there does: look a little before, too
    return any(
        before[cut:] in after[cut:] for cut in range(max(0, same - MOST_HEAD), same + 1)
    )


def copies() -> list[bytes]:
    """Return small copies of a place, with a list of sums and without, and Windows paths."""
    sums = hashlib.sha256(COPIED).hexdigest().encode() + b"  property.toml\n"
    found = []
    for files in (
        {"land/property.toml": COPIED, "land/manifest-sha256.txt": sums},
        {"property.toml": COPIED, "walks/a.gpx": b"<gpx/>", "walks/": b""},
        {"Land\\property.toml": COPIED, "Land\\drawn\\a.csv": b"x" * 900},
    ):
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
            for name, data in files.items():
                archive.writestr(name, data)
        found.append(out.getvalue())
    return found


def photographs() -> list[bytes]:
    """Return small photographs that tell their day and place in every way there is."""
    from photographs import jpeg

    return [
        jpeg(-87.6, 34.2, error=3), jpeg(151.2, -33.5, orientation=8), jpeg(taken=None),
        jpeg(-87.6, 34.2, gps={29: "2026:05:04"}, told=False),
    ]  # fmt: skip


def pictures() -> list[bytes]:
    """Return small pictures with their places, strung together."""
    from PIL import Image, TiffImagePlugin

    found = []
    place, system = (
        b"1\n0\n0\n-1\n500000\n3700000\n",
        CRS.from_epsg(26916).to_wkt().encode(),
    )
    tags = TiffImagePlugin.ImageFileDirectory_v2()
    for tag, kind, values in (
        (33550, 12, (1.0, 1.0, 0.0)), (33922, 12, (0.0, 0.0, 0.0, 5e5, 3.7e6, 0.0)),
        (34735, 3, (1, 1, 0, 2, 1025, 0, 1, 1, 3072, 0, 1, 26916)),
    ):  # fmt: skip
        tags.tagtype[tag] = kind
        tags[tag] = values
    for mode in ("RGB", "RGBA", "P", "L", "1", "I;16"):
        image = Image.new(mode, (9, 7))
        for kind in ("png", "tiff", "jpeg"):
            with contextlib.suppress(OSError), io.BytesIO() as file:  # no JPEG of that mode
                more = (
                    {"tiffinfo": tags, "compression": "tiff_lzw"} if kind == "tiff" else {}
                )
                image.save(file, kind, **more)
                found.append(strung([file.getvalue(), place, system]))
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

    with atheris.instrument_imports(
        include=["quietacre.intake", "quietacre.edit", "defusedxml"]
    ):
        import quietacre.edit.merge
        import quietacre.edit.restore
        import quietacre.intake.collect
        import quietacre.intake.gdal
        import quietacre.intake.geojson
        import quietacre.intake.geopackage
        import quietacre.intake.gpx
        import quietacre.intake.kml
        import quietacre.intake.log
        import quietacre.intake.photo
        import quietacre.intake.picture
        import quietacre.intake.property
        import quietacre.intake.table
        import quietacre.intake.transects
        import quietacre.intake.vector
        import quietacre.intake.weather  # noqa: F401

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
