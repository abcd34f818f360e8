"""What of the settings for the log cannot be: words for no job, names that two pieces have."""

from __future__ import annotations

from difflib import get_close_matches
from typing import TYPE_CHECKING

from quietacre.model import folded
from quietacre.shipped import rows

if TYPE_CHECKING:
    from collections.abc import Iterator

    from quietacre.settings import Property


def log_faults(prop: Property) -> Iterator[str]:
    """Yield the faults of [log_words] and of the names that areas had before."""
    known = {
        word
        for row in rows("task_words")
        for word in (row["word"], *row["task"].split(";"))
    }
    rules = [*prop.task, *(rule for area in prop.area for rule in area.tasks)]
    rules += [rule for crop in prop.crop.values() for rule in crop.tasks]
    known |= {rule.task for rule in rules}
    by_folded = {folded(task) for task in known}
    for word, task in prop.log_words.items():
        if folded(task) not in by_folded:
            near = get_close_matches(task, sorted(known), n=1)
            cure = (
                f"; did you mean “{near[0]}”?"
                if near
                else "; write one such as “clip” or “remark”"
            )
            yield f'log_words."{word}": “{task}” is no job{cure}'
    owners = {folded(area.name): area.name for area in prop.area}
    for number, area in enumerate(prop.area, 1):
        for old in area.was:
            owner = owners.setdefault(folded(old), area.name)
            if owner != area.name:
                yield (
                    f"area[{number}].was: “{old}” is the name of “{owner}” too; the log cannot "
                    "tell which is meant"
                )
