"""Every kind of ground is in each table that must know it, and no table has another."""

import re
from importlib.resources import files
from typing import get_args

import pytest

from quietacre.export.kml import COLORS
from quietacre.export.platting import LOOKS
from quietacre.model import AREA_KINDS, MADE_KINDS
from quietacre.settings import AreaKind
from quietacre.words import settings_words
from quietacre.words.columns import column_words

KINDS = {*AREA_KINDS, *MADE_KINDS}
PAGE = files("quietacre").joinpath("page/templates")


def test_a_person_can_write_each_kind():
    assert get_args(AreaKind) == AREA_KINDS


@pytest.mark.parametrize("kind", AREA_KINDS)
def test_the_words_on_kind_name_it(kind):
    assert re.search(rf"\b{kind}\b", settings_words()["area"].keys["kind"].meaning)
    assert re.search(rf"\b{kind}\b", column_words()["areas"].columns["kind"].meaning)


def test_paper_and_phone_know_each_kind():
    assert set(LOOKS) == KINDS
    assert set(COLORS) >= KINDS


def test_the_page_has_a_name_a_color_and_a_pattern_of_each_kind():
    script = PAGE.joinpath("words.js").read_text(encoding="utf-8")
    table = script.partition("const KINDS = {")[2].partition("};")[0]
    colors = dict(re.findall(r'(\w+): \["[^"]+", "(#[0-9a-f]{6})"\]', table))
    assert set(colors) == KINDS
    patterns = PAGE.joinpath("page.html").read_text(encoding="utf-8")
    assert set(re.findall(r'id="pat-(\w+)"', patterns)) >= KINDS
    assert colors == {
        kind: "#{:02x}{:02x}{:02x}".format(*LOOKS[kind].line) for kind in KINDS
    }
