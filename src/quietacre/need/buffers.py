"""Which buffer a state's laboratory reads lime by; one's reading is no other's."""

from __future__ import annotations

import functools

from quietacre.shipped import cite, rows
from quietacre.windows import states

#: Whose reading of the Mehlich buffer is worked out.
MEHLICH_STATE = "NC"


@functools.cache
def buffer_methods() -> dict[str, tuple[str, str]]:
    """Return the buffer that each state's laboratory uses, as far as read, and its source."""
    return {row["state"]: (row["method"], row["source"]) for row in rows("buffer_methods")}


def its_method(state: str | None) -> str:
    """Return "; the laboratory of Minnesota uses Sikora (…)", blank without a state."""
    if state is None:
        return ""
    known = states().get(state)
    whose = known.name if known else state
    if state not in buffer_methods():
        return (
            f"; which buffer the laboratory of {whose} uses was not read: its report says"
        )
    method, source = buffer_methods()[state]
    return f"; the laboratory of {whose} uses {method} ({cite(source)})"
