"""What the page asks: JSON of any form, until what answers it has looked at each value."""

from __future__ import annotations

from collections.abc import Mapping

#: A question of the page by its keys; nothing of it is known before it is checked.
Asked = Mapping[str, object]


def listed(value: object) -> list[object]:
    """Return a list that the page sent; an empty one in place of anything else."""
    return value if isinstance(value, list) else []
