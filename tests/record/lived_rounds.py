"""Jobs that come round in a lived year: rules drawn for a place, old lines, and what must hold.

What must hold is counted in days from the lines that were written; nothing of it is the
program's own reckoning.
"""

import datetime as dt
from dataclasses import dataclass, field

DAY = dt.timedelta(days=1)
YEAR = 365.25
#: What may come round: the word, the machine, and whether it may fall into any months.
WORK = (("walk the fence", "on foot"), ("clean nest boxes", "on foot"),
        ("mow the lanes", "mower"), ("check the stands", "by hand"))  # fmt: skip
EVERY = {"6 months": 0.5, "1 year": 1, "2 years": 2, "3 years": 3, "5 years": 5}
MONTHS = (("01-15", "02-28"), ("02-01", "03-15"), ("04-01", "05-10"), ("06-01", "06-25"),
          ("07-10", "08-20"), ("11-15", "01-20"))  # fmt: skip
#: Now and then a yearly job has a time before the quiet and one after it, a rule for each.
BEFORE, AFTER = ("04-01", "05-10"), ("08-01", "09-15")
#: A job done so much of its time early counts for the coming one, and a month is no more exact.
EARLY, MONTH = 0.25, 31
#: A line so near to a time, or so long after it, is of that time.
NEAR, LATE = 7, 40
#: What was done stays in the list as done for so long at least. [days]
TOLD, HALF_YEAR = 60, 183


@dataclass
class Rule:
    """One ``[[round]]``, the areas it is for by their first names, and the days it was done."""

    task: str
    kind: str
    every: str
    months: tuple[str, str]
    machine: str
    offset: int
    after_quiet: bool
    grounds: list[str]
    done: dict[str, list[dt.date]] = field(default_factory=dict)
    ticked: dict[dt.date, dt.date] = field(
        default_factory=dict
    )  # days in the time that is meant

    @property
    def years(self):
        """Return how many years lie between two times."""
        return EVERY[self.every]

    def text(self):
        """Return the rule as property.toml has it."""
        opens, shuts = self.months
        after = "after_quiet = true\n" if self.after_quiet else ""
        return (
            f'[[round]]\ntask = "{self.task}"\nkind = "{self.kind}"\nevery = "{self.every}"\n'
            f'months = ["{opens}", "{shuts}"]\nmachine = "{self.machine}"\n'
            f"minutes = 40\noffset = {self.offset}\n{after}"
        )

    def times(self, first, last):
        """Yield the times of year that begin between two days."""
        opens, shuts = (tuple(map(int, text.split("-"))) for text in self.months)
        for year in range(first.year - 1, last.year + 1):
            begin = dt.date(year, *opens)
            if first <= begin <= last:
                yield begin, dt.date(year + (shuts < opens), *shuts)

    def off(self, day):
        """Return how many days a day lies off its nearest time of year."""
        first, last = self.meant(day)
        return max((first - day).days, (day - last).days, 0)

    def meant(self, day):
        """Return the time of year that a job of a day was done for: the nearest, or the tick's."""
        day = self.ticked.get(day, day)
        near = self.times(day - 800 * DAY, day + 400 * DAY)
        return min(
            near, key=lambda time: max((time[0] - day).days, (day - time[1]).days, 0)
        )


def rule_of(rules, task, day):
    """Return the rule that a job of a day is of: of several with its word the nearest in time."""
    alike = [rule for rule in rules if rule.task == task]
    return min(alike, key=lambda rule: rule.off(day), default=None)


def draw_rules(dice, areas):
    """Return some rules for the kinds of ground of a place, and old lines of half of them."""
    kinds = {}
    for name, kind, *_ in areas:
        kinds.setdefault(kind, []).append(name)
    rules, lines = [], []
    for task, machine in dice.sample(WORK, dice.randint(1, 3)):
        kind = dice.choice(sorted(kinds))
        rule = Rule(
            task, kind, dice.choice(list(EVERY)), dice.choice(MONTHS), machine,
            dice.randint(0, 3), dice.random() < 0.3, kinds[kind],  # noqa: PLR2004
        )  # fmt: skip
        rules.append(rule)
    if dice.random() < 0.5:  # noqa: PLR2004 - before the quiet and after it
        kind = dice.choice(sorted(kinds))
        rules += [Rule("drag the road", kind, "1 year", months, "drag", 0, False, kinds[kind])
                  for months in (BEFORE, AFTER)]  # fmt: skip
    if "burn" in kinds:
        rules.append(
            Rule("burn window", "burn", dice.choice(["1 year", "2 years", "3 years"]),
                 ("02-01", "03-31"), "by hand", dice.randint(0, 2), False, kinds["burn"])
        )  # fmt: skip
    for rule in rules:
        lines += [
            (back, name, rule.task) for name in rule.grounds if dice.random() < 0.5  # noqa: PLR2004
            for back in [dice.randint(30, 1800)]
        ]  # fmt: skip
    return rules, lines


def rounds_wrong(rules, tasks, first_names, today):
    """Yield what is wrong with the jobs in turn of a day.

    ``first_names`` are those of the areas by what they are called now.
    """
    until = today + 365 * DAY
    for rule in rules:
        here = {name: [] for name in rule.grounds}
        for task in tasks:
            if task.task != rule.task or rule_of(rules, task.task, task.ideal) is not rule:
                continue
            if (name := first_names.get(task.area)) in here:
                here[name].append(task)
        for name, mine in here.items():
            days = sorted(day for day in rule.done.get(name, ()) if day <= today)
            where = f"{today}: {name}: {rule.task}, every {rule.every}"
            still = [task for task in mine if task.status != "done"]
            if days:
                yield from _too_soon(rule, where, still, days)
            if (
                days
                and (today - days[-1]).days <= TOLD
                and not any(
                    # of two lines on one time that with its letters tells the day
                    task.status == "done"
                    and abs((task.scheduled - days[-1]).days) <= HALF_YEAR
                    for task in mine
                    if task.scheduled
                )
            ):
                yield f"{where}: done on {days[-1]}, and the list has no such job as done"
            # a tick may be of a turn that is far ahead
            done_for = {rule.meant(task.ideal)[0] for task in mine if task.status == "done"}
            if not still and set(_comes(rule, days, today, until)) - done_for:
                yield f"{where} (last {days[-1:]}): its next time is not in the list"
        if not rule.done and rule.years > 1 and rule.task != "burn window":
            yield from _too_many(rule, here, today)


def _too_soon(rule, where, still, days):
    """Yield turns still to do that begin soon after one that was done."""
    least = rule.years * YEAR * (1 - EARLY) - MONTH
    for task in still:
        # a quiet season may have moved it: its own time is the nearest
        beside = rule.times(task.ideal - 366 * DAY, task.ideal + 366 * DAY)
        last = min(beside, key=lambda time: abs(time[0] - task.ideal))[1]
        before = [day for day in days if day <= last]
        if before and rule.years >= 1 and (last - rule.meant(before[-1])[1]).days < least:
            yield f"{where}: asked again by {task.latest}, done {before[-1]}"


def _comes(rule, days, today, until):
    """Yield times in the year ahead that begin when the whole of its years has passed."""
    if not days:
        return
    meant, _ = rule.meant(days[-1])
    for first, last in rule.times(today - 30 * DAY, until):
        if (
            last >= today
            and first > meant
            and (first - meant).days >= rule.years * YEAR - MONTH
            and not any(first - NEAR * DAY <= day <= last + LATE * DAY for day in days)
        ):
            yield first


def _too_many(rule, here, today):
    """Yield years in which more of the ground has its turn than its share."""
    years = {}
    for name, mine in here.items():
        for task in mine:
            if task.status != "done" and task.latest >= today:
                years.setdefault(task.ideal.year, set()).add(name)
    most = -(-len(here) // rule.years)
    for year, names in years.items():
        if len(names) > most and rule.months[0] < rule.months[1]:
            yield (
                f"{today}: {rule.task}, every {rule.every}: {len(names)} of {len(here)} "
                f"pieces have their turn in {year}"
            )
