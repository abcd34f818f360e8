"""Every kind of ground is in each table that must know it, and no table has another."""

import re
from typing import get_args

import pytest

from quietacre import kinds
from quietacre.model import AREA_KINDS, MADE_KINDS
from quietacre.settings import AreaKind
from quietacre.words import settings_words
from quietacre.words.columns import column_words

KINDS = {*AREA_KINDS, *MADE_KINDS}


def test_a_person_can_write_each_kind():
    assert get_args(AreaKind) == AREA_KINDS


@pytest.mark.parametrize("kind", AREA_KINDS)
def test_the_words_on_kind_name_it(kind):
    assert re.search(rf"\b{kind}\b", settings_words()["area"].keys["kind"].meaning)
    assert re.search(rf"\b{kind}\b", column_words()["areas"].columns["kind"].meaning)


def test_the_table_of_looks_has_each_kind_and_the_page_takes_it():
    assert set(kinds.KINDS) == KINDS
    assert set(kinds.for_page()) == KINDS
    assert set(re.findall(r'id="pat-(\w+)"', kinds.svg_patterns())) == KINDS | {"quiet"}
