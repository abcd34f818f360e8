"""Finds and loads what ``[use]`` of property.toml names, and nothing else."""

from __future__ import annotations

import contextlib
import sys
from collections import Counter
from contextlib import contextmanager
from importlib.metadata import entry_points
from typing import TYPE_CHECKING, TypeVar

from quietacre.errors import BadInput, PluginProblem
from quietacre.model import SETTINGS_FILE
from quietacre.plugins import CONTRACT, Named, Output, Plugins, Reader, Step

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from importlib.metadata import EntryPoint

    from quietacre.settings import Use

T = TypeVar("T", Reader, Step, Output)


def load_plugins(use: Use) -> Plugins:
    """Return the readers, steps and outputs that a property names.

    Raises
    ------
    PluginProblem
        One is not installed, cannot be loaded, or is made for another contract.
    """
    return Plugins(
        readers=tuple(
            _found("readers", name, Reader) for name in _once("readers", use.readers)
        ),
        steps=tuple(_found("steps", name, Step) for name in _once("steps", use.steps)),
        outputs=tuple(
            _found("outputs", name, Output) for name in _once("outputs", use.outputs)
        ),
    )


@contextmanager
def in_its_name(group: str, name: str, package: str) -> Iterator[None]:
    """Run code of another package: a fault in it becomes one line that names the package.

    What it prints goes to standard error, because standard output holds data only.

    Raises
    ------
    PluginProblem
        It failed, in whatever way.
    """
    where = f"{group[:-1]} “{name}” of {package}"
    try:
        with contextlib.redirect_stdout(sys.stderr):
            yield
    except PluginProblem:
        raise
    except BadInput as problem:
        reason = f"{problem.where}: {problem.what}" if problem.where else problem.what
        raise PluginProblem(
            reason, fix=problem.fix, source=problem.source, where=where
        ) from problem
    except (Exception, SystemExit) as problem:
        reason = f": {problem}" if str(problem) else ""
        raise PluginProblem(
            f"failed with {type(problem).__name__}{reason}",
            fix="ask its makers, or take it out of [use] in property.toml",
            where=where,
        ) from problem


def refused(group: str, named: Named[T], what: str) -> PluginProblem:
    """Return the error of a reader, step or output that does not keep the contract."""
    return PluginProblem(
        what,
        fix="ask its makers, or take it out of [use] in property.toml",
        where=f"{group[:-1]} “{named.name}” of {named.package}",
    )


def _once(group: str, names: Sequence[str]) -> Sequence[str]:
    for name, count in Counter(names).items():
        if count > 1:
            raise PluginProblem(
                f"“{name}” stands there twice",
                fix="name it once",
                source=SETTINGS_FILE,
                where=f"use.{group}",
            )
    return names


def _found(group: str, name: str, kind: type[T]) -> Named[T]:
    point, package = _entry(group, name)
    with in_its_name(group, name, package):
        made = point.load()
    named = Named(name, package, made)
    if not isinstance(made, kind):
        raise refused(group, named, f"is no {kind.__name__} of quietacre.plugins")
    if made.contract != CONTRACT:
        raise PluginProblem(
            f"is made for contract {made.contract}, and this quietacre keeps {CONTRACT}",
            fix="get the version of it, or of quietacre, that fits",
            where=f"{group[:-1]} “{name}” of {package}",
        )
    return named


def _entry(group: str, name: str) -> tuple[EntryPoint, str]:
    """Return the one entry point of a name, and its package with the version."""
    known: dict[str, dict[str, EntryPoint]] = {}
    for point in entry_points(group=f"quietacre.{group}"):
        package = f"{point.dist.name} {point.dist.version}" if point.dist else point.module
        # one package may be found twice, by two entries of the path
        known.setdefault(point.name, {})[package] = point
    if name not in known:
        some = f" (installed: {', '.join(sorted(known))})" if known else ""
        raise PluginProblem(
            f"no installed package has “{name}”{some}",
            fix="install the package that has it, or take it out",
            source=SETTINGS_FILE,
            where=f"use.{group}",
        )
    if len(known[name]) > 1:
        raise PluginProblem(
            f"“{name}” is in {' and in '.join(sorted(known[name]))}",
            fix="keep one of the packages",
            source=SETTINGS_FILE,
            where=f"use.{group}",
        )
    ((package, point),) = known[name].items()
    return point, package
