"""Every box of the sample's forms is written, read and cleared through the page."""

import tomllib

import pytest
from desk_tab import tab

from quietacre.schema import key_paths

pytestmark = pytest.mark.browser
#: Fills each box that is not part of a form, and empties it; what stood there comes back.
EVERY_BOX = """async (known) => {
  const { ask } = await import('/desk.js');
  const said = document.getElementById('said');
  const results = [];
  const other = (box, old) => {
    if (box.tagName === 'SELECT') {
      const words = [...box.options].map((one) => one.value).filter((one) => one && one !== old);
      return words[0] ?? old;
    }
    if (box.type === 'date') return old === '2027-09-25' ? '2027-09-26' : '2027-09-25';
    if (box.inputMode === 'decimal') return old === '' ? '1' : String(Number(old) + 1);
    return old === '' ? 'some words' : old;
  };
  const tell = async (box, field, value) => {
    const fault = field.querySelector('.fault');
    said.textContent = '';
    box.value = value;
    box.dispatchEvent(new Event('change', { bubbles: true }));
    for (let n = 0; n < 4000; n += 1) {
      if (said.textContent.startsWith('Kept')) return '';
      if (fault.textContent) return fault.textContent;
      if (said.className === 'doubts' && said.textContent) return said.textContent;
      await new Promise((done) => setTimeout(done, 5));
    }
    return 'no answer';
  };
  const count = async (key) =>
    JSON.stringify((await ask('place')).settings).split(`"${key}":`).length - 1;
  for (const field of document.querySelectorAll('#main [data-box]')) {
    if (field.closest('form')) continue;
    const box = field.querySelector(':scope > input, :scope > select, :scope > textarea');
    const name = field.dataset.box;
    if (!box || known.includes(name)) continue;
    known.push(name);
    const key = name.split('.')[1], old = box.value, now = other(box, old);
    const before = await count(key);
    const one = { name, old, now, wrote: await tell(box, field, now), seen: box.value };
    if (!one.wrote) {
      one.there = (await count(key)) - before;
      one.cleared = await tell(box, field, '');
      one.gone = (await count(key)) - before;
      await tell(box, field, old);
    }
    results.push(one);
  }
  return results;
}"""


def test_every_box_is_written_read_and_cleared(browser, desk, sample):
    page, _ = tab(browser, desk)
    before = tomllib.loads((sample / "property.toml").read_text())
    known, results = [], []
    page.locator("nav button", has_text="Everything about it").click()
    page.wait_for_selector("summary:has-text('Machines')")
    page.set_default_timeout(600_000)
    results += page.evaluate(EVERY_BOX, known)
    known = [one["name"] for one in results]
    for piece in ("North bottom", "Vine hollow", "South burn block"):
        page.locator("nav button", has_text="Ground").click()
        page.click(f"button[aria-label='Look at {piece}']")
        page.wait_for_selector("summary:has-text('Its edge')")
        results += page.evaluate(EVERY_BOX, known)
        known = [one["name"] for one in results]
    # a box whose value is no part of the sample, or that cannot stand alone, says so in words
    for one in results:
        for text in (one["wrote"], one.get("cleared") or ""):
            assert "Error" not in text, one
            assert "no answer" not in text, one
            assert "another hand" not in text, one
            assert not text or text.startswith("“"), one
            assert "property.toml" not in text, one
    wrote = [one for one in results if not one["wrote"]]
    assert len(wrote) > 150
    for one in wrote:
        assert one["seen"] == one["now"], one
        if not one["cleared"]:
            assert one["gone"] in (0, -1), one
            assert one["there"] - one["gone"] == 1, one
    seen = {one["name"] for one in results}
    assert len({".".join(pair) for pair in key_paths()} - seen) < 60
    after = tomllib.loads((sample / "property.toml").read_text())
    named = {area["name"]: area for area in after["area"]}
    for area in before["area"]:
        for key, value in area.items():
            assert named[area["name"]].get(key) == value, (area["name"], key)


def test_a_comma_in_a_line_of_the_history_parts_nothing(browser, desk, sample):
    page, said = tab(browser, desk)
    page.click("button[aria-label='Look at North bottom']")
    page.click("summary:has-text('For the next person')")
    box = page.locator("[data-box='area.history'] textarea")
    lines = tomllib.loads((sample / "property.toml").read_text())["area"][0]["history"]
    assert any("," in line for line in lines)
    assert box.input_value().split("\n") == lines
    box.fill("\n".join([*lines, "2027: rye, late"]))
    box.blur()
    page.wait_for_selector("#said:has-text('Kept')")
    now = tomllib.loads((sample / "property.toml").read_text())["area"][0]["history"]
    assert now == [*lines, "2027: rye, late"]
    assert said == []


def test_deer_to_feed_are_filled_in_as_one_form(browser, desk, sample):
    page, said = tab(browser, desk)
    page.locator("nav button", has_text="Everything about it").click()
    page.click("summary:has-text('Deer to feed')")
    group = page.locator("details:has(> summary:has-text('Deer to feed'))")
    group.locator("summary:has-text('Fill it in')").click()
    form = group.locator("form")
    for key, value in (("deer", "30"), ("intake_lb_day", "6"), ("days", "60"),
                       ("utilisation", "0.5"), ("yield_lb_ac", "3000")):  # fmt: skip
        form.locator(f"[data-box='forage.{key}'] input").fill(value)
    form.locator("button.first").click()
    page.wait_for_selector("#said:has-text('Kept')")
    forage = tomllib.loads((sample / "property.toml").read_text())["forage"]
    assert (forage["deer"], forage["days"]) == (30, 60)
    assert said == []


def test_a_list_of_days_is_answered_twice_and_said_where_it_is_none(browser, desk, sample):
    page, _ = tab(browser, desk)
    page.locator("nav button", has_text="Everything about it").click()
    page.click("summary:has-text('Days: quiet')")
    box = page.locator("[data-box='work.extra_days'] input")
    for text in ("2027-09-24", "9/24/2027, 2027-10-01"):
        page.evaluate("document.getElementById('said').textContent = ''")
        box.fill(text)
        box.blur()
        page.wait_for_selector("#said:has-text('Kept')")
    days = tomllib.loads((sample / "property.toml").read_text())["work"]["extra_days"]
    assert [str(day) for day in days] == ["2027-09-24", "2027-10-01"]
    box.fill("next week")
    box.blur()
    page.wait_for_selector("[data-box='work.extra_days'] .fault:has-text('next week')")
