"""Crops in property.toml under the names that people use, read as the table's."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING

from quietacre.crop_names import hint, table_name
from quietacre.errors import SettingsProblem
from quietacre.model import Note

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from quietacre.settings import CropRule, Mix, Property, Stock, TaskRule


def crop_fault(at: str, crop: str) -> str:
    """Return what to say of a crop without a rate that the table does not hold."""
    return (
        f"{at}.crop: “{crop}” is not in the crop table"
        f"{hint(crop) or '; give its rate_lb_ac and basis.'} quietacre crops lists them"
    )


def with_table_names(prop: Property, source: str) -> tuple[Property, tuple[Note, ...]]:
    """Return the settings with every crop under the table's name, and what was read as what.

    Raises
    ------
    SettingsProblem
        Two ``[crop.NAME]`` tables are of one crop.
    """
    read_as: dict[str, str] = {}

    def named(word: str) -> str:
        table_word = table_name(word)
        if table_word is None or table_word == word:
            return word
        read_as[word] = table_word
        return table_word

    def rules(tasks: Sequence[TaskRule]) -> tuple[TaskRule, ...]:
        return tuple(
            dataclasses.replace(rule, crop=named(rule.crop)) if rule.crop else rule
            for rule in tasks
        )

    mixes = tuple(_mix(mix, [named(seed.crop) for seed in mix.seed]) for mix in prop.mix)
    changed = dataclasses.replace(
        prop,
        mix=mixes,
        task=rules(prop.task),
        area=tuple(dataclasses.replace(a, tasks=rules(a.tasks)) for a in prop.area),
        crop=dict(_rules(prop.crop, {name: named(name) for name in prop.crop}, source)),
        stock=tuple(_stock(prop, {s.crop for mix in mixes for s in mix.seed})),
    )
    notes = tuple(
        Note(
            "crop-read-as",
            f"“{word}” is read as “{crop}” of the crop table.",
            "info",
            source,
        )
        for word, crop in read_as.items()
    )
    return changed, notes


def _mix(mix: Mix, names: Sequence[str]) -> Mix:
    seeds = tuple(
        dataclasses.replace(seed, crop=name)
        for seed, name in zip(mix.seed, names, strict=True)
    )
    return dataclasses.replace(mix, seed=seeds)


def _rules(
    own: dict[str, CropRule], names: dict[str, str], source: str
) -> Iterator[tuple[str, CropRule]]:
    seen: dict[str, str] = {}
    for name, rule in own.items():
        crop = names[name]
        if crop in seen:
            raise SettingsProblem(
                [f"crop.{name}: is the same crop as crop.{seen[crop]}; keep one table"],
                source=source,
            )
        seen[crop] = name
        yield crop, rule


def _stock(prop: Property, sown: set[str]) -> Iterator[Stock]:
    """Yield the shed's items, seed of what is sown under the table's name."""
    others = {p.grade for p in prop.product} | {spray.name for spray in prop.spray}
    for item in prop.stock:
        name = table_name(item.item)
        if item.item not in others and name in sown and name is not None:
            yield dataclasses.replace(item, item=name)
        else:
            yield item
