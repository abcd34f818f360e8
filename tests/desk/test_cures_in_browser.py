"""What a message tells a person to do can be done where it is read: at the desk, by its box."""

import ast
import re
import tomllib
import urllib.request
from pathlib import Path

import pytest
from desk_tab import LOOKED_AT, tab

from quietacre.words import settings_words

SOURCE = Path(__file__).parents[2] / "src" / "quietacre"
PACKAGES = ("strip", "need", "year", "record", "measure", "boundary", "acreage")
#: How the file spells a setting; a message says it beside the name of its box.
SPELLED = re.compile(r"under \[|\b[a-z]+(_[a-z0-9]+)+ = |property file")
BESIDE = ("box_and_line",)


def spelled_alone(path):
    """Strings of a module that name a key of property.toml, and no box of the desk."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    beside = {
        id(inner)
        for call in ast.walk(tree)
        if isinstance(call, ast.Call) and getattr(call.func, "id", "") in BESIDE
        for inner in ast.walk(call)
    }
    docs = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, (ast.Module, ast.FunctionDef, ast.ClassDef))
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        text = node.value if isinstance(node, ast.Constant) else None
        if not isinstance(text, str) or id(node) in beside | docs or "“" in text:
            continue
        if SPELLED.search(text) and "at the desk" not in text:
            yield text


@pytest.mark.parametrize("package", PACKAGES)
def test_no_message_names_a_key_without_its_box(package):
    told = {
        f"{path.name}: {text}"
        for path in (SOURCE / package).rglob("*.py")
        for text in spelled_alone(path)
    }
    assert told == set()


def patch_page(browser, desk, sample, size="laptop"):
    """The sample's vine patch, with nobody having looked for rooted vine outside it."""
    path = sample / "property.toml"
    text = path.read_text()
    assert ", live_node_ft = 0.0" in text
    path.write_text(text.replace(", live_node_ft = 0.0", ""))
    page, said = tab(browser, desk, size, has_touch=size == "phone")
    page.click("button[aria-label='Look at Vine hollow']")
    page.wait_for_selector("summary:has-text('Its strip')")
    return page, said


@pytest.mark.browser
@pytest.mark.parametrize("size", LOOKED_AT)
def test_a_note_opens_the_box_that_it_names(browser, desk, sample, size):
    page, said = patch_page(browser, desk, sample, size)
    page.get_by_text("Its strip", exact=True).click()
    label = settings_words()["strip"].keys["live_node_ft"].label
    button = page.get_by_role("button", name=f"Open “{label}”", exact=True).first
    button.wait_for(timeout=60_000)
    assert "property file" not in page.inner_text("#main")
    button.click()
    page.wait_for_selector('[data-box="strip.live_node_ft"]:focus-within')
    assert page.locator(":focus").is_visible()
    page.keyboard.type("0")
    page.keyboard.press("Tab")
    page.wait_for_selector("#said:has-text('Kept')")
    areas = tomllib.loads((sample / "property.toml").read_text())["area"]
    vine = next(area for area in areas if area["name"] == "Vine hollow")
    assert vine["strip"]["live_node_ft"] == 0
    assert said == []


@pytest.mark.browser
def test_a_box_of_the_place_is_opened_from_what_a_build_says(browser, desk, sample):
    page, said = tab(browser, desk)
    page.evaluate(
        """async () => {
        const { told } = await import('/told.js');
        const text = 'so: “Tractors”.';
        document.getElementById('main').replaceChildren(told(text, 'doubt')); }"""
    )
    page.click("text=Open “Tractors”")
    page.wait_for_selector('[data-box="work.tractors"]:focus-within')
    assert said == []


@pytest.mark.browser
@pytest.mark.parametrize(
    ("name", "first"),
    [
        ("Vine hollow", ["The vine and its strip", "What it is"]),
        ("South burn block", ["Its firebreak", "What it is"]),
        ("North bottom", ["What it is", "What is sown on it"]),
    ],
)
def test_the_boxes_of_a_piece_begin_with_what_its_kind_is_for(
    browser, desk, sample, name, first
):
    page, said = tab(browser, desk)
    page.click(f"button[aria-label='Look at {name}']")
    page.wait_for_selector("summary:has-text('Its edge')")
    groups = page.locator("#main > details:not(.strip):not(.again):not(.record)")
    shown = [
        (row.locator("summary").first.inner_text(), row.get_attribute("open") is not None)
        for row in groups.all()
    ]
    shown = [
        row for row in shown if row[0] not in ("It was walked again", "What was done here")
    ]
    assert [title for title, _ in shown[:2]] == first
    assert [is_open for _, is_open in shown] == [True, True] + [False] * (len(shown) - 2)
    assert {"What is sown on it", "Its edge", "Pins, tape and deed"} <= {
        t for t, _ in shown
    }
    assert said == []


@pytest.mark.browser
def test_a_strip_is_printed_by_itself_and_a_road_offers_no_sheet(browser, desk, sample):
    page, said = patch_page(browser, desk, sample)
    page.get_by_text("Its strip", exact=True).click()
    page.click("button[aria-label='Print the sheet of Vine hollow strip']", timeout=60_000)
    link = page.locator("details.strip a:has-text('Open it to print')")
    link.wait_for(timeout=60_000)
    assert "the sheet of Vine hollow strip" in page.inner_text("details.strip")
    with urllib.request.urlopen(desk.base + link.get_attribute("href")) as answer:  # noqa: S310
        assert answer.read(5) == b"%PDF-"
    code, ground = desk.call("/api/ground")
    assert code == 200
    road = next(area["name"] for area in ground["areas"] if area["kind"] == "road")
    page.click("text=Back to all the ground")
    page.click(f"button[aria-label='Look at {road}']")
    page.wait_for_selector("summary:has-text('Its edge')")
    assert page.locator("text=Print this one").count() == 0
    assert said == []
