"""What is said of the account: amounts taken from the plan, split, doubted; shed and money."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.days import say_day
from quietacre.errors import NeedProblem
from quietacre.figures import figure
from quietacre.in_parts import InParts, ended, led_by
from quietacre.logbook import LOG
from quietacre.model import SETTINGS_FILE, Note
from quietacre.need.grade import CRUMB_SHARE, parse_grade
from quietacre.need.records import OnHand, Spent
from quietacre.need.too_much import say_too_much
from quietacre.record.moved import KINDS
from quietacre.record.paid import paid_for_work
from quietacre.record.uses import by_ground
from quietacre.record.words import FEED, LIME
from quietacre.words import box_and_line

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from quietacre.model import Level
    from quietacre.need.account import Account
    from quietacre.need.job import Job
    from quietacre.need.shopping import ShoppingLine
    from quietacre.record.book import Book
    from quietacre.record.on_hand import Bought, Held
    from quietacre.record.uses import Use
    from quietacre.settings import Property

#: So many lines of the log are told of by number in one sentence.
NAMED = 3
#: Less than this is not worth a word. [lb or fl oz]
LEAST = 0.5


def account_notes(jobs: Sequence[Job], account: Account, prop: Property) -> list[Note]:
    """Return what is said of the log's amounts and of the shed; of ground, its jobs say it."""
    here = by_ground(account.uses)
    for job in jobs:
        _say_undated(job, here.get(job.name, ()), account)
        _say_crumbs(job, account)
        say_too_much(job, here.get(job.name, ()), account, prop.buying)
    asked = {job.name for job in jobs}
    return [
        *_amount_notes(account, jobs), *_purchase_notes(account.bought), *_item_notes(account),
        *_elsewhere(account.uses, asked), *_stock_notes(account, prop),
    ]  # fmt: skip


def _note(code: str, text: str, level: Level = "caution") -> Note:
    return Note(code, ended(led_by(f"{LOG}: ", text)), level, LOG)


def _several(texts: Sequence[str]) -> str:
    """Return the first of some lines, and how many there are besides."""
    more = len(texts) - NAMED
    return "; ".join(texts[:NAMED]) + (f"; and {more} more" if more > 0 else "")


def _counts(use: Use, account: Account, jobs: Sequence[Job]) -> bool:
    """Return whether anything of the plan goes by a use: a need it is taken off, or the shed."""
    kind = KINDS[use.task]
    stays = kind in (LIME, "fertilizer")
    held = account.shed.get(use.item)
    return (held is not None and held.changes_on(use.on)) or any(
        job.season.holds(use.on) or (stays and job.since_test(kind).holds(use.on))
        for job in jobs
        if job.name == use.ground and not job.finished
    )


def _amount_notes(account: Account, jobs: Sequence[Job]) -> Iterator[Note]:
    """Yield what is said of lines whose amount is the plan's, or is split.

    Of a season that is over only what changes the shed is said.
    """
    taken: dict[str, list[Use]] = {"plan": [], "kept": [], "split": []}
    for use in account.uses:
        if use.how in taken and _counts(use, account, jobs):
            taken[use.how].append(use)
    unit = {item: held.unit for item, held in account.shed.items()}
    for how, code, words in (
        (
            "plan",
            "log-amount",
            "without an amount that can be read: the plan's is taken, as it is made today",
        ),
        (
            "kept",
            "log-amount-kept",
            "without an amount: what was taken when their year was closed stands",
        ),
        (
            "split",
            "log-split",
            "for several pieces of ground: split by what the plan asks of each",
        ),
    ):
        lines: dict[int, list[Use]] = {}
        for use in taken[how]:
            lines.setdefault(use.line, []).append(use)
        texts = [_told(number, some, unit) for number, some in lines.items()]
        if texts:
            count = "1 line" if len(texts) == 1 else f"{len(texts)} lines"
            yield _note(code, f"{count} {words} ({_several(texts)})")
    doubt = [f"line {one.number}: {one.trouble}" for one in account.lines if one.trouble]
    if doubt:
        count = "1 amount" if len(doubt) == 1 else f"{len(doubt)} amounts"
        yield _note("log-unit", f"{count} cannot be read ({_several(doubt)})")


def _told(number: int, uses: Sequence[Use], unit: Mapping[str, str]) -> str:
    """Return a line in words: what it was taken for, piece by piece."""
    parts = [
        f"{_amount(use.amount, unit.get(use.item, 'lb'))} of {use.item or KINDS[use.task]} on "
        f"{use.ground}"
        for use in uses
        if use.amount > 0
    ]
    return f"line {number}: {', '.join(parts) or 'none, for the plan asks no more there'}"


def _amount(amount: float, unit: str) -> str:
    return figure(amount, unit, 0 if amount >= 10 else 1)  # noqa: PLR2004 - tenths below ten


def _purchase_notes(bought: Sequence[Bought]) -> Iterator[Note]:
    """Yield what is said of purchases without an amount, a price or an item."""
    for code, words, mine in (
        ("log-bought", "of no amount that anybody can tell, so nothing is added to the shed",
         [b for b in bought if not b.counts]),
        ("log-bought", "without an amount, taken by what was paid or what the plan takes",
         [b for b in bought if b.counts and not b.how.startswith("written")]),
        ("log-price", "without a price, which is taken from what you gave as prices",
         [b for b in bought if b.how.endswith("unpriced")]),
    ):  # fmt: skip
        if mine:
            texts = [f"line {b.line}: {b.item or 'no item'}" for b in mine]
            count = "1 purchase" if len(texts) == 1 else f"{len(texts)} purchases"
            yield _note(code, f"{count} {words} ({_several(texts)})")


def _item_notes(account: Account) -> Iterator[Note]:
    """Yield what is said of fertilizers in the log that are no grade."""
    wrong: dict[str, int] = {}
    for use in account.uses:
        if use.task in FEED and not _is_grade(use.item):
            wrong.setdefault(use.item or "no item", use.line)
    if wrong:
        texts = [f"“{item}”, line {line}" for item, line in wrong.items()]
        yield _note(
            "log-item",
            f"what was fertilized with is no grade such as 13-13-13, so no nutrient is taken off "
            f"({_several(texts)})",
        )


def _is_grade(item: str) -> bool:
    try:
        parse_grade(item)
    except NeedProblem:
        return False
    return True


def _elsewhere(uses: Iterable[Use], asked: set[str]) -> Iterator[Note]:
    """Yield what is said of things that went onto ground which the plan asks nothing of."""
    names = list(dict.fromkeys(u.ground for u in uses if u.ground not in asked))
    if names:
        yield _note(
            "log-elsewhere",
            "something was spread, sown or sprayed on ground that the plan does not feed or sow; it "
            f"only leaves the shed ({_several([name or 'no area' for name in names])})",
            "info",
        )


def _stock_notes(account: Account, prop: Property) -> Iterator[Note]:
    """Yield what is said of stock without a day, and of more used than there was."""
    yield from _undated_said([held for held in account.shed.values() if not held.dated])
    short = [
        f"{held.item}: {_amount(held.used, held.unit)} used"
        + (f" since {say_day(held.counted_on, year=True)}" if held.counted_on else "")
        + f", {_amount(held.counted + held.bought, held.unit)} counted and bought"
        for held in account.shed.values()
        if held.balance < -LEAST
    ]
    if short:
        yield _note(
            "shed-short",
            InParts(
                f"more used than there was ({_several(short)})",
                "A purchase is missing, or a count; nothing of it is taken to be on hand",
            ),
        )
    untold = dict.fromkeys(u.item for u in account.uses if u.item not in account.shed)
    names = [name for name in untold if name]
    if names:
        yield _note(
            "shed-unknown",
            f"what is left of {_several(names)} is not known, for the log has no purchase of it "
            "and no [[stock]] counts it; nothing is taken to be on hand",
            "info",
        )
    for stock in prop.stock:
        good = (
            account.goods.known.get(account.goods.item(stock.item))
            if account.goods
            else None
        )
        if stock.bags and good is not None and good.pack is None:
            yield Note(
                "stock-bag",
                f"stock of {stock.item}: nobody wrote what a bag of it holds, so its bags count for "
                "nothing; write bag_lb, or amount_lb here.",
                "caution", SETTINGS_FILE,
            )  # fmt: skip


def _undated_said(undated: Sequence[Held]) -> Iterator[Note]:
    """Yield, once, that stock has no day, and what of the log therefore does not change it."""
    if not undated:
        return
    moved = [
        f"{held.item}: {_amount(held.bought, held.unit)} bought and "
        f"{_amount(held.used, held.unit)} used"
        for held in undated
        if held.bought or held.used
    ]
    so_far = f" (so far {'; '.join(moved)})" if moved else ""
    names = ", ".join(held.item for held in undated)
    yield Note(
        "stock-undated",
        f"stock of {names} has no day: fill in {box_and_line('stock', 'on', 'on under its [[stock]]')}",
        "caution", SETTINGS_FILE,
        more=f"Until then nothing that the log says was bought or used changes it{so_far}.",
    )  # fmt: skip


def _say_undated(job: Job, uses: Sequence[Use], account: Account) -> None:
    """Say what a soil test without a day would save, had it one."""
    if job.test is None or job.test.on is not None:
        return
    spread: dict[str, list[Use]] = {}
    for use in uses:
        kind = KINDS[use.task]
        if (kind == LIME and job.lime) or (kind == "fertilizer" and job.by_test):
            spread.setdefault(use.item, []).append(use)
    if not spread:
        return
    texts, dollars = [], 0.0
    for item, some in spread.items():
        pounds = sum(use.amount for use in some)
        good = account.goods.known.get(item) if account.goods else None
        if good is not None and good.price_usd is not None and good.pack:
            dollars += pounds / good.pack * good.price_usd
        texts.append(f"{figure(pounds, 'lb', 0)} of {item}")
    first = min(use.on for some in spread.values() for use in some)
    job.say(
        "soil-test-undated",
        f"the soil test “{job.test.name}” has no day, so nothing is taken off but nitrogen of the "
        "season",
        "warning",
        more=f"The log has {', '.join(texts)} on it since {say_day(first, year=True)}"
        + (f", ${dollars:,.0f} worth" if dollars else "")
        + f": fill in {box_and_line('soil_test', 'on', 'on under its [[soil_test]]')}, and what came "
        "after it is not spread again.",
    )


def _say_crumbs(job: Job, account: Account) -> None:
    """Say what little is left of a need and counts as met."""
    texts = [
        f"{figure(one.needed - one.amount, 'lb', 0)} of {one.item}"
        for one in account.done.get(job.key, ())
        if one.what == LIME
        and one.needed
        and one.left == 0
        and one.needed - one.amount > LEAST
    ]
    for plot in account.plots:
        if plot.key.split("+")[0] != job.key:
            continue
        for nutrient, given in plot.given_lb_ac.items():
            short = (plot.need_lb_ac.get(nutrient, 0.0) - given) * plot.acres
            if short > LEAST and plot.left_lb_ac(nutrient) == 0:
                texts.append(f"{figure(short, 'lb', 0)} of {nutrient.upper()}")
    if texts:
        job.say(
            "nearly-done",
            f"{', '.join(texts)} short of what was asked, under {100 * CRUMB_SHARE:.0f} % of it",
            "info",
            more="that counts as done, and nothing is bought for it.",
        )


def on_hand_of(account: Account) -> tuple[OnHand, ...]:
    """Return what the shed holds: counted, bought, used, on hand."""
    return tuple(
        OnHand(
            item=held.item, unit=held.unit, counted=held.counted,
            counted_on=held.counted_on, bought=held.bought, used=held.used,
            on_hand=held.on_hand, more_used=max(-held.balance, 0.0), dated=held.dated,
        )
        for held in account.shed.values()
    )  # fmt: skip


def spent_of_year(
    account: Account,
    lines: Sequence[ShoppingLine],
    book: Book | None,
    today: dt.date | None,
) -> Spent:
    """Return dollars spent this year: on what the plan takes, on the rest, on work; and still to spend."""
    mine = {line.item for line in lines}
    planned = sum(usd for item, usd in account.spent.items() if item in mine)
    other = sum(usd for item, usd in account.spent.items() if item not in mine)
    work = paid_for_work(book, today.replace(month=1, day=1), today) if today else 0.0
    costs = [line.cost_usd for line in lines if line.cost_usd is not None]
    return Spent(
        year=today.year if today else None,
        planned=round(planned, 2),
        other=round(other, 2),
        work=work,
        total=round(planned + other + work, 2),
        still=round(sum(costs), 2) if costs else None,
    )
