"""What a starter of the desk holds, for each system."""

from __future__ import annotations

import shlex
import sys
from dataclasses import dataclass

SYSTEMS = {"win32": "windows", "darwin": "macos"}


@dataclass(frozen=True)
class Starter:
    """A file to be double-clicked: its name, its text, and whether it must be made to run."""

    name: str
    text: str
    runs: bool


def this_system() -> str:
    """Return which of linux, macos and windows this computer is most like."""
    return SYSTEMS.get(sys.platform, "linux")


def starter(system: str, python: str) -> Starter:
    """Return the starter of a system.

    Parameters
    ----------
    system : linux, macos or windows.
    python : the interpreter that the program is installed for.
    """
    if system == "windows":
        window = python.replace("python.exe", "pythonw.exe")
        text = f'@echo off\r\nstart "" "{window}" -m quietacre open\r\n'
        return Starter("quietacre.bat", text, runs=False)
    if system == "macos":
        text = f"#!/bin/sh\nexec {shlex.quote(python)} -m quietacre open\n"
        return Starter("quietacre.command", text, runs=True)
    # the form of a program's words there: quoted, with these signs escaped
    word = python
    for sign in ("\\", '"', "`", "$"):
        word = word.replace(sign, f"\\{sign}")
    word = word.replace("%", "%%").replace("\\", "\\\\")
    text = (
        "[Desktop Entry]\nType=Application\nVersion=1.0\nName=quietacre\n"
        "Comment=True acres, amounts and the year of your land\n"
        f'Exec="{word}" -m quietacre open\nTerminal=false\nCategories=Office;\n'
    )
    return Starter("quietacre.desktop", text, runs=True)
