"""What is said of settings, as tests of several files ask it."""

from quietacre.errors import SettingsProblem
from quietacre.intake.values import settings_from


def faults(**tables):
    """Return what is wrong with settings of a property, "" for nothing."""
    values = {"property": {"name": "x", **tables.pop("property", {})}, **tables}
    try:
        settings_from(values)
    except SettingsProblem as problem:
        return str(problem)
    return ""


def plot(**more):
    """Return the settings of a plot."""
    return {"name": "P", "kind": "plot", **more}
