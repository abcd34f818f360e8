"""Names of files that every system can keep."""

from __future__ import annotations

import unicodedata

#: Names that Windows keeps for devices, with any ending.
RESERVED = {"CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$"} | {
    f"{device}{number}" for device in ("COM", "LPT") for number in "0123456789¹²³"
}
#: The shortest limit of a file system in use, with room for a temporary name. [bytes]
LONGEST_BYTES = 200


def safe_name(name: str) -> str:
    """Return a file's name that every system keeps: Windows, macOS, Linux, a memory card.

    Signs that one of them reserves become "-", dots and spaces at the ends go, a name
    kept for a device gets a "_", and what is too long is cut before its ending.
    """
    stem, dot, ending = unicodedata.normalize("NFC", name).rpartition(".")
    if not dot:
        stem, ending = ending, ""
    plain = ["".join(_plain(ch) for ch in part).strip(" .") for part in (stem, ending)]
    stem, ending = plain[0] or "file", plain[1]
    if stem.partition(".")[0].rstrip().upper() in RESERVED:
        stem = f"_{stem}"
    room = LONGEST_BYTES - len(ending.encode()) - 1
    stem = stem.encode()[:room].decode("utf-8", "ignore").rstrip(" .")
    return f"{stem}.{ending}" if ending else stem


def _plain(ch: str) -> str:
    """Return a sign that may stand in a file's name, or what stands for it."""
    bad = ch in '<>:"/\\|?*' or unicodedata.category(ch) in ("Cc", "Cf", "Cs", "Zl", "Zp")
    return "-" if bad else ch
