"""What is told of a crop: each figure with its source, and "from memory" only where it is so."""

import re

import pytest

from quietacre.figures import printed
from quietacre.need.crop_said import crop_lines
from quietacre.need.tables import crops
from quietacre.shipped import cite

CELLS = {
    "in. deep": "depth_in", "broadcast": "broadcast_lb_ac", "drill": "drill_lb_ac",
    "inoculant": "inoculant_group", "seeds a pound": "seeds_per_lb",
}  # fmt: skip


@pytest.mark.parametrize("name", sorted(crops()))
def test_every_number_of_a_source_stands_below_and_none_besides(name):
    lines = crop_lines(crops()[name])
    listed = [line for line in lines if re.match(r"\[\d+\] ", line)]
    told = [line for line in lines if line not in listed]
    numbers = {int(n) for line in told for some in re.findall(r"\[([\d, ]+)\]", line)
               for n in some.split(",")}  # fmt: skip
    assert numbers == set(range(1, len(listed) + 1))
    assert [int(line[1:].partition("]")[0]) for line in listed] == sorted(numbers)


@pytest.mark.parametrize("name", sorted(crops()))
def test_from_memory_is_said_where_it_is_so_and_nowhere_else(name):
    crop = crops()[name]
    for line in crop_lines(crop):
        cell = next(
            (cell for words, cell in CELLS.items() if words in line.split("(")[0]), None
        )
        if cell is None or line.startswith("["):
            continue
        first = line.partition("[")[0]
        assert ("(from memory)" in first) is (cell in crop.from_memory), line


@pytest.mark.parametrize("name", sorted(crops()))
def test_a_rate_that_was_not_read_has_its_line_and_no_other_has(name):
    told = [
        line for line in crop_lines(crops()[name]) if "no publication that was read" in line
    ]
    missing = [
        way for way in ("broadcast", "drill") if crops()[name].rate_lb_ac(way) is None
    ]
    assert told == [
        f"{way}: no publication that was read gives a {way} rate; ask your seed dealer or "
        "county extension office"
        for way in missing
    ]


def test_the_first_figure_has_the_first_source_by_title():
    crop = crops()["oats"]
    lines = crop_lines(crop)
    source = crop.figures["depth_in"].source.split(";")[0]
    assert "[1" in lines[0]
    assert f"[1] {cite(source)}" in lines
    assert "no inoculant, it is no legume" in lines
    assert f"{crop.seeds_per_lb:,.0f} seeds a pound" in printed("\n".join(lines))
