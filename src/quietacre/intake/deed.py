"""A deed's metes and bounds, call by call.

Every number of a call must be understood, or the call is refused: what is left unread once made
a figure that closed and was wrong. The calls come out as a table that can be mended.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from quietacre.bearings import (
    CARDINAL_DEG,
    QUADRANT,
    Bearing,
    bearing_from,
    land_units,
    step_of,
)
from quietacre.errors import FileProblem
from quietacre.figures import AS_IT_IS
from quietacre.figures import acres as acres_words
from quietacre.intake.deed_words import (
    NumbersDisagreeError,
    plain_text,
    without_what_stands_beside,
)
from quietacre.model import Arc, Call, Deed, Leg, Note
from quietacre.units import reckonable

THENCE = re.compile(r"\b(?:thence|running|then)\b\s*(?:running\b)?[,:]?", re.IGNORECASE)
THENCE_WORD = re.compile(r"\bthence\b", re.IGNORECASE)
EXCEPT = re.compile(r"\b(?:less\s+and\s+except|save\s+and\s+except|excepting(?:\s+therefrom)?|"
                    r"(?:there\s+is\s+)?excepted(?:\s+therefrom)?|except)\b", re.IGNORECASE)  # fmt: skip
BEGINNING = re.compile(r"\b(?:point|place)\s+(?:and\s+place\s+)?of\s+(?:the\s+)?beginning\b|"
                       r"\bto\s+the\s+beginning\b", re.IGNORECASE)  # fmt: skip
COMMENCING = re.compile(r"\bcommenc(?:e|ing)\b", re.IGNORECASE)
BEGINS = re.compile(r"\bbeginning\s+(?:at|on|for)\b", re.IGNORECASE)
ACRES = re.compile(r"(?P<number>\d+(?:\.\d+)?)\s*(?:acres?|ac\.)(?!\w)", re.IGNORECASE)
#: A statement of acres, to its semicolon; calls that follow in the same sentence are no part of it.
_OF_IT = r"(?:(?!\b(?:thence|beginning|commenc))[^;])*"
CONTAINING = re.compile(rf"\b(?:containing|comprising|being|and\s+contains|contains)\b{_OF_IT}?\d{_OF_IT}?"
                        rf"(?:acres?|ac\.|square\s+feet)\b{_OF_IT}", re.IGNORECASE)  # fmt: skip
CURVE = re.compile(r"\b(?:curve|arc|radius|chord)\b", re.IGNORECASE)
#: A cardinal way counts only as "due north", or straight before its distance.
WAY = re.compile(r"\bdue\s+(?P<due>north|south|east|west)\b|"
                 r"(?<!the )\b(?P<way>north|south|east|west|[nsew]\.)[,\s]+(?=(?:a distance of\s+)?\d)",
                 re.IGNORECASE)  # fmt: skip
UNIT_WORDS = "|".join(sorted(map(re.escape, land_units()), key=len, reverse=True))
COUNT = r"(?:\d+\s*[\s-]\s*\d+/\d+|\d+/\d+|\d+(?:\.\d+)?)"
LENGTH = re.compile(rf"(?P<count>{COUNT})\s*-?\s*(?P<unit>varas?|paces?|{UNIT_WORDS})(?![\w])",
                    re.IGNORECASE)  # fmt: skip
JOINED = re.compile(r"\s*(?:,|and|,\s*and)?\s*")
VAGUE = re.compile(r"\b(?:meander\w*|at\s+right\s+angles?|same\s+(?:course|bearing|direction|line)|"
                   r"parallel|deflect\w*)\b", re.IGNORECASE)  # fmt: skip
RADIUS = re.compile(rf"\bradius\s*(?:of|is|=|:)?\s*(?P<r>{COUNT})\s*(?P<u>{UNIT_WORDS})?"
                    rf"|(?P<r2>{COUNT})\s*-?\s*(?P<u2>feet|foot|ft\.?)\s+radius", re.IGNORECASE)  # fmt: skip
CENTRAL = re.compile(r"\b(?:central\s+angle|delta(?:\s+angle)?|interior\s+angle)\s*(?:of|is|=|:)?\s*"
                     r"\d+(?:\.\d+)?\s*(?:°|degrees?)?\s*(?:\d+\s*(?:'|minutes?)?\s*)?(?:\d+(?:\.\d+)?\s*(?:\"|seconds?)?)?",
                     re.IGNORECASE)  # fmt: skip
ARC_LENGTH = re.compile(rf"\b(?:an?\s+)?arc\s*(?:length|distance)?\s*(?:of|is|=|:)?\s*{COUNT}\s*(?:{UNIT_WORDS})"
                        rf"|{COUNT}\s*(?:feet|foot|ft\.?)\s*(?:along|on|,?\s*arc)", re.IGNORECASE)  # fmt: skip
LEFT_OR_RIGHT = re.compile(r"\b(?:to\s+the|curve)\s+(left|right)\b", re.IGNORECASE)
DIGIT = re.compile(r"\d")
MAGNETIC = re.compile(r"\bmagnetic\b", re.IGNORECASE)
#: Words by which a deed says that its bearings are from true north; a grid's north is another.
TRUE_NORTH = re.compile(r"\b(?:true|astronomic(?:al)?|geodetic)\s+(?:north|meridian|bearings?)\b|"
                        r"\bbearings\s+(?:\w+\s+)?(?:are|being)\s+true\b", re.IGNORECASE)  # fmt: skip


class _Length(NamedTuple):
    feet: float
    step_ft: float
    span: tuple[int, int]


class _NotUnderstoodError(ValueError):
    """A call cannot be taken; its message says why in words."""


def is_deed(text: str) -> bool:
    """Return whether a text is one of calls: it runs "thence" by a bearing or a distance."""
    return THENCE_WORD.search(text) is not None and DIGIT.search(text) is not None


def deed_in(text: str, source: str, *, vara_ft: float | None = None) -> Deed:
    """Return the calls of a deed's text.

    Parameters
    ----------
    text : plain text, one tract.
    source : how to name it in messages.
    vara_ft : length of a vara where the text counts in them; never guessed. [ft]

    Raises
    ------
    FileProblem
        It holds no calls, or more than one tract. A call that is not understood raises
        nothing here: it stands in the table with its problem.
    """
    try:
        body = plain_text(text)
    except NumbersDisagreeError as problem:
        raise FileProblem(
            f"“{problem}”: the number in words is not the one in digits",
            fix="look at the paper, and write it once", source=source,
        ) from problem  # fmt: skip
    main, *others = EXCEPT.split(body)
    deed = _figure(main, source, vara_ft)
    exceptions, notes = [], list(deed.notes)
    for other in others:
        if THENCE.search(other):
            exceptions.append(_figure(other, source, vara_ft))
            continue
        acres = ACRES.search(other)
        if DIGIT.search(without_what_stands_beside(other)) is None:
            continue  # rights and easements: no ground is taken
        acreage = (
            acres_words(float(acres["number"]), AS_IT_IS) if acres else "an unknown acreage"
        )
        notes.append(
            Note(
                "exception-without-calls",
                f"an exception of {acreage} has no calls, so it is not taken off: “{other.strip()[:120]}”.",
                source=source,
            )
        )
    return Deed(
        source, deed.calls, deed.ties, deed.stated_ac, tuple(exceptions), tuple(notes),
        deed.true_north,
    )  # fmt: skip


def _figure(text: str, source: str, vara_ft: float | None) -> Deed:
    """Return the calls of one figure."""
    if len(BEGINS.findall(text)) > 1:
        raise FileProblem(
            "begins more than once: it holds more than one tract",
            fix="put each tract into a file of its own", source=source,
        )  # fmt: skip
    acres = ACRES.search(text)
    magnetic = MAGNETIC.search(text) is not None
    true_north = TRUE_NORTH.search(text) is not None
    text = CONTAINING.sub(" ", text)
    start, *pieces = THENCE.split(text)
    pieces = [part for piece in pieces for part in _parted(piece.strip(" ,;.:")) if part]
    if not pieces:
        raise FileProblem(
            "holds no calls", fix="give the part that begins with “thence”, or a table of bearings "
            "and distances", source=source,
        )  # fmt: skip
    ties: list[str] = []
    if COMMENCING.search(start):
        ends = [row for row, piece in enumerate(pieces) if BEGINNING.search(piece)]
        if ends and ends[0] < len(pieces) - 1:
            ties, pieces = pieces[: ends[0] + 1], pieces[ends[0] + 1 :]
    calls = [
        _call(number, piece, vara_ft, last=number == len(pieces))
        for number, piece in enumerate(pieces, 1)
    ]
    notes = []
    if magnetic:
        notes.append(
            Note(
                "bearings-magnetic",
                "its bearings are from magnetic north of its own day; the figure is turned by the "
                "declination of that day, the acres are not changed by it.",
                "info", source,
            )
        )  # fmt: skip
    return Deed(
        source,
        tuple(calls),
        tuple(
            _call(number, piece, vara_ft, last=False)
            for number, piece in enumerate(ties, 1)
        ),
        float(acres["number"]) if acres else None,
        notes=tuple(notes),
        # where it speaks of both, which one its bearings are from stays open
        true_north=not magnetic and true_north,
    )


def _parted(piece: str) -> list[str]:
    """Return a piece in parts where it lists several calls without "thence" between them."""
    starts = [match.start() for match in QUADRANT.finditer(piece)]
    if len(starts) < 2 or CURVE.search(piece):  # noqa: PLR2004 - one bearing is one call
        return [piece]
    cuts = [
        start
        for start in starts[1:]
        if re.search(r"[;.]\s*(?:and\s+)?$", piece[:start])
        or ";" in piece[starts[0] : start]
    ]
    if len(cuts) != len(starts) - 1:
        return [piece]  # two bearings in one breath: refused as one call
    return [
        piece[one:two].strip(" ,;.:")
        for one, two in zip([0, *cuts], [*cuts, len(piece)], strict=True)
    ]


def _call(number: int, text: str, vara_ft: float | None, *, last: bool) -> Call:
    """Return one call as understood, or with the reason why it is not."""
    try:
        plain = without_what_stands_beside(text)
        if VAGUE.search(plain):
            raise _NotUnderstoodError("its way is told in words only")  # noqa: TRY301
        if CURVE.search(plain):
            return Call(number, text, _curve(plain, text, vara_ft))
        bearings = _bearings(plain)
        if not bearings and last and BEGINNING.search(plain) and not DIGIT.search(plain):
            return Call(number, text, None, closes=True)
        bearing, rest = _one(bearings, plain, "bearing")
        lengths = _lengths(rest, vara_ft)
        if len(lengths) != 1:
            what = "no distance with a unit" if not lengths else f"{len(lengths)} distances"
            raise _NotUnderstoodError(f"has {what}")  # noqa: TRY301
        (length,) = lengths
        rest = rest[: length.span[0]] + " " + rest[length.span[1] :]
        _nothing_left(rest)
    except _NotUnderstoodError as problem:
        return Call(number, text, None, str(problem))
    leg = Leg(
        bearing.azimuth_deg, length.feet, bearing.step_deg, length.step_ft, None, text
    )
    return Call(number, text, leg)


def _bearings(text: str) -> list[tuple[Bearing, tuple[int, int]]]:
    """Return every bearing of a text, and where it stands."""
    some = []
    for match in QUADRANT.finditer(text):
        bearing = bearing_from(match)
        if bearing is None:
            raise _NotUnderstoodError(f"“{match[0]}” is no bearing that can be")
        some.append((bearing, match.span()))
    if some:
        return some
    for match in WAY.finditer(text):
        way = (match["due"] or match["way"])[0].lower()
        some.append((Bearing(CARDINAL_DEG[way], 0.0), match.span()))
    return some


def _one(
    some: list[tuple[Bearing, tuple[int, int]]], text: str, what: str
) -> tuple[Bearing, str]:
    """Return the only bearing of a text, and the text without it."""
    if len(some) != 1:
        raise _NotUnderstoodError(
            f"has {'no' if not some else len(some)} {what}{'s' * (len(some) > 1)}"
        )
    (bearing, (start, end)) = some[0]
    return bearing, text[:start] + " ~ " + text[end:]


def _lengths(text: str, vara_ft: float | None) -> list[_Length]:
    """Return the distances of a text; "12 chains and 50 links" is one."""
    groups: list[_Length] = []
    units: list[float] = []
    for match in LENGTH.finditer(text):
        unit_ft = _unit_ft(match["unit"], vara_ft)
        feet, step = _number(match["count"]) * unit_ft, _step(match["count"]) * unit_ft
        if groups and unit_ft < units[-1]:
            between = text[groups[-1].span[1] : match.start()]
            if JOINED.fullmatch(between):
                start = groups[-1].span[0]
                groups[-1] = _Length(groups[-1].feet + feet, step, (start, match.end()))
                units[-1] = unit_ft
                continue
        groups.append(_Length(feet, step, match.span()))
        units.append(unit_ft)
    return groups


def _unit_ft(word: str, vara_ft: float | None) -> float:
    word = word.casefold()
    if word.startswith("vara"):
        if vara_ft is None:
            raise _NotUnderstoodError(
                "counts in varas, whose length differs by state and day; give --vara-ft"
            )
        return vara_ft
    if word.startswith("pace"):
        raise _NotUnderstoodError("counts in paces")
    return land_units()[word].feet


def _number(text: str) -> float:
    """Return a number that may end in a fraction: "12 1/2"."""
    parts = re.split(r"[\s-]+", text.strip())
    total = 0.0
    for part in parts:
        above, _, below = part.partition("/")
        if below and float(below) == 0:
            raise _NotUnderstoodError(f"has a fraction that is none: “{text}”")
        total += float(above) / float(below) if below else float(above)
    if total <= 0 or not reckonable(total):
        raise _NotUnderstoodError(f"has a length that goes nowhere: “{text[:24]}”")
    return total


def _step(text: str) -> float:
    below = text.rpartition("/")[2] if "/" in text else ""
    return 1.0 / float(below) if below else step_of(text.strip())


def _nothing_left(rest: str) -> None:
    """Raise when a number of a call was not understood."""
    rest = re.sub(r"\ba distance of\b", " ", rest, flags=re.IGNORECASE)
    if match := DIGIT.search(rest):
        around = rest[max(match.start() - 12, 0) : match.end() + 12].replace("~", " ")
        around = " ".join(around.split())
        raise _NotUnderstoodError(f"has a number that is not understood: “…{around}…”")


def _curve(plain: str, text: str, vara_ft: float | None) -> Leg:
    """Return a curve's chord and arc; its radius, turn, chord bearing and chord are needed."""
    turn = LEFT_OR_RIGHT.search(plain)
    radius = RADIUS.search(plain)
    if turn is None or radius is None:
        raise _NotUnderstoodError("is a curve without its radius or without left or right")
    radius_ft = _number(radius["r"] or radius["r2"]) * _unit_ft(
        radius["u"] or "ft", vara_ft
    )
    rest = plain[: radius.start()] + " " + plain[radius.end() :]
    bearing, rest = _one(_bearings(rest), rest, "chord bearing")
    rest = ARC_LENGTH.sub(" ", CENTRAL.sub(" ", rest))
    lengths = _lengths(rest, vara_ft)
    if len(lengths) != 1:
        raise _NotUnderstoodError("is a curve without the length of its chord")
    (chord,) = lengths
    _nothing_left(rest[: chord.span[0]] + " " + rest[chord.span[1] :])
    arc = Arc(radius_ft, "left" if turn[1].lower() == "left" else "right")
    return Leg(bearing.azimuth_deg, chord.feet, bearing.step_deg, chord.step_ft, arc, text)
