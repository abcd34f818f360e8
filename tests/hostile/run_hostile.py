"""The whole hostile set, each case in a process of its own, watched from outside.

Run: ``python tests/hostile/run_hostile.py [WORD …]`` (only cases whose name has a WORD).
Watched: exit code, one line that names the file, no traceback, 30 s, 2 GB, nothing
written but ``out/``, nothing left in the temporary folder, no byte asked of a listener
that the files point at, right acres. Ends with 1 when there is a defect.
"""

from __future__ import annotations

import hashlib
import json
import os
import socket
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

from hostile_files import URL, Case, cases

SECONDS = 30.0
MOST_BYTES = 2_000_000_000
CLOSE = 1e-4


def judge(case: Case, code: int, out: str, err: str) -> list[str]:
    """Return what is wrong with how a case was answered."""
    wrong = []
    if "Traceback (most" in err.replace("\\nTraceback", ""):
        wrong.append("a traceback")
    if case.refused or (case.acres is None and code == 2):  # noqa: PLR2004 - bad input
        if case.refused and code != 2:  # noqa: PLR2004
            wrong.append(f"exit {code}, not 2")
        lines = err.strip().splitlines()
        if len(lines) != 1 and not (len(lines) > 1 and case.command[0] == "build"):
            wrong.append(f"{len(lines)} lines, not one")
        named = case.names or case.name
        if not any(named[:200] in line for line in lines):
            wrong.append("the file is not named")
        if case.says not in err:
            wrong.append(f"“{case.says}” is not said")
        return wrong
    if code != 0:
        return [*wrong, f"exit {code}, not 0: {err[:300]}"]
    said = json.loads(out)
    total = said["totals"]["total_acres"] if "totals" in said else said["total_acres"]
    if case.acres is not None and abs(total / case.acres - 1) > CLOSE:
        wrong.append(f"{total} ac, not {case.acres}")
    if case.says not in out:
        wrong.append(f"“{case.says}” is not said")
    return wrong


def tree(folder: Path) -> dict[str, str]:
    """Return a fingerprint of everything in a folder but a property's out/."""
    found = {}
    for place, folders, files in os.walk(folder):
        if "property.toml" in files and "out" in folders:
            folders.remove("out")
        for name in files:
            path = Path(place) / name
            key = os.fsencode(path).decode("latin-1")
            plain = path.is_file() and not path.is_symlink()
            small = plain and path.stat().st_size < 5_000_000
            found[key] = (
                hashlib.sha256(path.read_bytes()).hexdigest()
                if small
                else str(path.lstat().st_size)
            )
    return found


class Listener:
    """A port that counts who asks it for anything."""

    def __init__(self) -> None:
        self.asked = 0
        self.socket = socket.socket()
        self.socket.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        self.socket.bind(("127.0.0.1", int(URL.split(":")[2].split("/")[0])))
        self.socket.listen()
        threading.Thread(target=self._count, daemon=True).start()

    def _count(self) -> None:
        while True:
            self.socket.accept()[0].close()
            self.asked += 1


def run(case: Case, place: Path, listener: Listener) -> tuple[list[str], float, float]:
    """Return what is wrong, the seconds and the peak megabytes of one case."""
    home, temp = place / "home", place / "temp"
    home.mkdir(parents=True)
    temp.mkdir()
    work = place / "work"
    work.mkdir()
    case.make(work / case.name)
    before, asked = (tree(place), listener.asked)
    words = [sys.executable, "-m", "quietacre", *case.command, "--", case.name]
    environment = {**os.environ, "HOME": str(home), "TMPDIR": str(temp)}
    out, err = (place / "stdout").open("wb+"), (place / "stderr").open("wb+")
    start = time.perf_counter()
    process = subprocess.Popen(
        words, cwd=work, stdout=out, stderr=err, stdin=subprocess.DEVNULL, env=environment
    )
    timer = threading.Timer(SECONDS, process.kill)
    timer.start()
    _, status, usage = os.wait4(process.pid, 0)
    timer.cancel()
    took = time.perf_counter() - start
    process.returncode = os.waitstatus_to_exitcode(status)
    texts = []
    for handle in (out, err):
        handle.seek(0)
        texts.append(handle.read().decode("utf-8", "replace"))
        handle.close()
    (place / "stdout").unlink()
    (place / "stderr").unlink()
    peak = usage.ru_maxrss * 1024
    wrong = judge(case, process.returncode, *texts)
    if took > SECONDS:
        wrong.append(f"{took:.0f} s")
    if peak > MOST_BYTES:
        wrong.append(f"{peak / 1e6:,.0f} MB")
    after = tree(place)
    if after != before:
        changed = sorted(set(after.items()) ^ set(before.items()))
        wrong.append(f"changed outside out/: {changed[:2]}")
    if any(temp.iterdir()):
        wrong.append("left something in the temporary folder")
    if listener.asked != asked:
        wrong.append("asked the network for something")
    return wrong, took, peak / 1e6


def main() -> int:
    """Run the set; print each defect and a closing line."""
    words = sys.argv[1:] or [""]
    listener = Listener()
    chosen = [case for case in cases() if any(word in case.name for word in words)]
    defects, slowest, largest = 0, (0.0, ""), (0.0, "")
    for case in chosen:
        with tempfile.TemporaryDirectory(prefix="hostile-") as place:
            wrong, took, peak = run(case, Path(place) / "x", listener)
        slowest, largest = max(slowest, (took, case.name)), max(largest, (peak, case.name))
        if wrong:
            defects += 1
            print(f"{case.name[:60]!r}: {'; '.join(wrong)}", flush=True)
    print(
        f"{len(chosen)} cases, {defects} defects; slowest {slowest[0]:.1f} s "
        f"({slowest[1][:40]!r}), largest {largest[0]:,.0f} MB ({largest[1][:40]!r}), "
        f"{listener.asked} network requests"
    )
    return int(defects > 0)


if __name__ == "__main__":
    sys.exit(main())
