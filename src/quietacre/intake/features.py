"""The features of a GeoJSON file that is the program's own, or made for it."""

from __future__ import annotations

import json
from typing import Any

from quietacre.errors import FileProblem

EXPORT = "export it as GeoJSON"


def json_in(text: str, shown: str, fix: str = EXPORT) -> Any:  # noqa: ANN401 - any JSON
    """Return what a JSON text holds.

    Raises
    ------
    FileProblem
        It is not JSON; ``fix`` says what to do.
    """
    try:
        return json.loads(text)
    except (ValueError, RecursionError) as problem:
        raise FileProblem("is not JSON", fix=fix, source=shown) from problem


def features_of(whole: object, shown: str) -> list[Any]:
    """Return the list of features of a collection; each may be anything.

    Raises
    ------
    FileProblem
        It has none.
    """
    features = whole.get("features") if isinstance(whole, dict) else None
    if not isinstance(features, list):
        raise no_features(shown)
    return features


def no_features(shown: str) -> FileProblem:
    """Return the error of a file without a list of features."""
    return FileProblem("has no list of features", fix=EXPORT, source=shown)
