"""The shipped tables, read once."""

from __future__ import annotations

import functools
from dataclasses import dataclass

from quietacre.figures import span_of
from quietacre.shipped import rows
from quietacre.windows import states, windows_here

#: The source id of a value that nobody read.
MEMORY = "memory"
#: Rates of the crop alone; where one is missing no publication that was read gives it.
RATES = ("broadcast_lb_ac", "drill_lb_ac")
#: Words of a figure's note that bind it to one way of sowing: it is shown, and used only
#: where a state, or the table, has no other.
ONE_WAY = ("frost seeded", "into pasture", "sod")
#: The note of a rate whose source, as far as it was read, does not tell how the seed is sown.
NO_WAY_TOLD = "no way of sowing told"


#: Who knows a rate that no publication read gives.
ASK_RATE = "ask your seed dealer or county extension office"


def no_rate(method: str) -> str:
    """Return what is told where no rate was read for a way of sowing."""
    return f"no publication that was read gives a {method} rate"


@dataclass(frozen=True)
class Figure:
    """One figure of a crop as a source prints it: a range, or one value twice."""

    name: str
    low: float
    high: float
    basis: str  # of a rate: "pls" when it counts live seed
    state: str  # printed for; blank when for no one state
    note: str
    source: str

    @property
    def middle(self) -> float:
        """The middle of the printed range."""
        return (self.low + self.high) / 2

    @property
    def from_memory(self) -> bool:
        """Whether nobody read it in a source."""
        return self.source == MEMORY

    @property
    def one_way(self) -> str:
        """The way of sowing that it is for alone, as its note says it; blank for none."""
        return self.note if any(word in self.note for word in ONE_WAY) else ""

    @property
    def no_way_told(self) -> bool:
        """Whether its source, as far as it was read, does not tell how the seed is sown."""
        return self.note == NO_WAY_TOLD

    def said(self, unit: str, *, bare: bool = False) -> str:
        """Return "5-8 lb/ac" for a text; ``unit``, ``bare`` as in ``figures.figure``."""
        return span_of(self.low, self.high, unit, bare=bare)

    def __str__(self) -> str:
        """Return "5-8", or "6"."""
        return f"{self.low:g}" if self.low == self.high else f"{self.low:g}-{self.high:g}"


@dataclass(frozen=True)
class Crop:
    """One crop as it holds for a place; rates are full rates of the crop alone. [lb/ac]"""

    name: str
    life_cycle: str
    legume: bool
    inoculant: str | None
    inoculant_source: str  # ids of who prints that group; blank without one
    from_memory: frozenset[str]  # names of figures, and "inoculant_group"
    source: str
    figures: dict[str, Figure]  # what is used here, by name
    spread: dict[str, tuple[Figure, ...]]  # all that were read, by name
    state: str | None
    region: str | None

    @property
    def depth_in(self) -> tuple[float, float]:
        """Least and greatest depth of seed."""
        deep = self.figures["depth_in"]
        return deep.low, deep.high

    @property
    def seeds_per_lb(self) -> float:
        """Seeds in a pound."""
        return self.figures["seeds_per_lb"].middle

    @property
    def maintenance_lb_ac(self) -> dict[str, float | None]:
        """N, P2O5 and K2O without a soil test, by nutrient; None where no figure was read."""
        return {
            nutrient: self._value(f"maint_{nutrient}_lb_ac")
            for nutrient in ("n", "p2o5", "k2o")
        }

    @property
    def range_lb_ac(self) -> dict[str, tuple[float, float] | None]:
        """The printed range of the full rate by method."""
        return {method: self._span(f"{method}_lb_ac") for method in ("broadcast", "drill")}

    @property
    def in_mix_lb_ac(self) -> tuple[float, float] | None:
        """The printed range of the rate in a mix."""
        return self._span("in_mix_lb_ac")

    @property
    def ph_min(self) -> float | None:
        """The least pH."""
        return self._value("ph_min")

    @property
    def ph_source(self) -> str:
        """Ids of what prints ph_min; blank when it is from memory or none is known."""
        figure = self.figures.get("ph_min")
        return figure.source if figure and not figure.from_memory else ""

    @property
    def ph_target(self) -> float | None:
        """The pH that suits it best."""
        return self._value("ph_target")

    @property
    def windows(self) -> dict[str, str]:
        """The planting windows that hold here, in words, by where."""
        out: dict[str, str] = {}
        for one in windows_here(self.name, self.state, self.region):
            out[one.place] = "; ".join(filter(None, (out.get(one.place), one.when)))
        return out

    def rate_lb_ac(self, method: str) -> float | None:
        """Return the full rate by method, None where none was read."""
        return self._value(f"{method}_lb_ac")

    def rate_basis(self, method: str) -> str:
        """Return whether the rate by method counts live seed, "pls", or all of the bag."""
        figure = self.figures.get(f"{method}_lb_ac")
        return figure.basis or "bulk" if figure else "bulk"

    def rate_source(self, method: str) -> str:
        """Return the ids of the sources of the rate by method."""
        figure = self.figures.get(f"{method}_lb_ac")
        return figure.source if figure else self.source

    def rate_from_memory(self, method: str) -> bool:
        """Return whether the rate was read in no source."""
        return f"{method}_lb_ac" in self.from_memory

    def _value(self, name: str) -> float | None:
        return self.figures[name].middle if name in self.figures else None

    def _span(self, name: str) -> tuple[float, float] | None:
        figure = self.figures.get(name)
        return (figure.low, figure.high) if figure else None


@functools.cache
def printed_figures() -> dict[str, dict[str, tuple[Figure, ...]]]:
    """Return every figure of every crop as read, in the order of the table."""
    out: dict[str, dict[str, tuple[Figure, ...]]] = {}
    for row in rows("crop_figures"):
        one = Figure(
            row["figure"], float(row["low"]), float(row["high"]), row["basis"], row["state"],
            row["note"], row["source"],
        )  # fmt: skip
        of = out.setdefault(row["crop"], {})
        of[one.name] = (*of.get(one.name, ()), one)
    return out


def figure_here(
    read: tuple[Figure, ...], state: str | None = None, region: str | None = None
) -> Figure:
    """Return the figure that holds for a place.

    That of its state; or else of a state in its region; or else the table's first. Figures
    of one way of sowing, such as frost seeding, stand back where there are others.
    """
    read = tuple(one for one in read if not one.one_way) or read
    for one in read:
        if state and one.state == state:
            return one
    known = states()
    for one in read:
        if region and one.state in known and region in known[one.state].regions:
            return one
    return read[0]


@functools.cache
def crops(state: str | None = None, region: str | None = None) -> dict[str, Crop]:
    """Return the crop table by crop, as it holds for a state and a planting region.

    A rate is the middle of its printed range.
    """
    return {row["crop"]: _crop(row, state, region) for row in rows("crops")}


def _crop(row: dict[str, str], state: str | None, region: str | None) -> Crop:
    read = printed_figures()[row["crop"]]
    used = {name: figure_here(some, state, region) for name, some in read.items()}
    marked = {name for name, figure in used.items() if figure.from_memory}
    if row["inoculant_source"] == MEMORY:
        marked.add("inoculant_group")
    cited = [*row["source"].split(";"), *(figure.source for figure in used.values())]
    ids = dict.fromkeys(key for some in cited for key in some.split(";") if key != MEMORY)
    return Crop(
        name=row["crop"],
        life_cycle=row["life_cycle"],
        legume=row["legume"] == "yes",
        inoculant=row["inoculant_group"] or None,
        inoculant_source=row["inoculant_source"],
        from_memory=frozenset(marked),
        source=";".join(ids) or MEMORY,
        figures=used,
        spread=read,
        state=state,
        region=region,
    )


def number(text: str) -> float | None:
    """Return the number of a table's cell, None where it is blank."""
    return float(text) if text else None


@functools.cache
def lime_fineness() -> dict[str, dict[int, float]]:
    """Return each state's weight of what passes a mesh and not the next finer one."""
    out: dict[str, dict[int, float]] = {}
    for row in rows("lime_fineness"):
        out.setdefault(row["state"], {})[int(row["mesh"])] = float(row["weight"])
    return out


@functools.cache
def bushels_lb() -> dict[str, tuple[float, bool]]:
    """Return pounds in a bushel by crop, and whether that is from memory."""
    return {
        row["crop"]: (float(row["lb"]), bool(row["from_memory"])) for row in rows("bushels")
    }


@dataclass(frozen=True)
class LimeBasis:
    """What a state's laboratories assume of lime, or its law asks of it."""

    measure: str
    assumed_pct: float | None
    depth_in: float | None
    note: str
    source: str
    least_pct: float | None
    least_measure: str  # blank where no least is asked
    least_source: str


@functools.cache
def lime_bases() -> dict[str, LimeBasis]:
    """Return what was read of each state's lime, by its two letters."""
    return {
        row["state"]: LimeBasis(
            row["measure"], number(row["assumed_pct"]), number(row["depth_in"]), row["note"],
            row["source"], number(row["least_pct"]), row["least_measure"], row["least_source"],
        )
        for row in rows("lime_bases")
    }  # fmt: skip
