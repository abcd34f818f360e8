"""What a hand does at the desk's drawing: open a piece, point, drag, keep; and what is shown."""

import re


def acres_of(desk, name):
    _, ground = desk.call("/api/ground")
    return next((one["acres"] for one in ground["areas"] if one["name"] == name), None)


def mend(page, name):
    """Open the drawing of a piece."""
    page.locator(f"button[aria-label='Look at {name}']").click()
    page.click("text=Draw or mend its edge")
    page.wait_for_selector("[data-tool=move]")
    page.wait_for_timeout(200)


def spot(page, x, y):
    """A place on the map by shares of its sides."""
    box = page.locator("#chart").bounding_box()
    return box["x"] + box["width"] * x, box["y"] + box["height"] * y


def click(page, *places):
    for place in places:
        page.mouse.click(*spot(page, *place))


def keep(page, name=None, kind=None):
    if name:
        page.fill("#piece-name", name)
    if kind:
        page.select_option("#piece-name-kind", kind)
    page.locator(".keeping button.first").click()
    page.wait_for_selector("#said:has-text('Kept')", timeout=60_000)


def corner(page, n):
    """The middle of a corner's target, and its size."""
    box = page.locator(f".corners button[aria-label^='corner {n} of']").bounding_box()
    assert min(box["width"], box["height"]) >= 44
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def drag(page, start, by, steps=6, *, up=True):
    page.mouse.move(*start)
    page.mouse.down()
    for n in range(1, steps + 1):
        page.mouse.move(start[0] + by[0] * n / steps, start[1] + by[1] * n / steps)
    page.wait_for_timeout(60)
    if up:
        page.mouse.up()


def shown_acres(page):
    return float(re.match(r"[0-9.]+", page.inner_text(".figures .acres"))[0])


def corners_now(page):
    """The corners as they are drawn, by the draft that the desk was told of, or as kept."""
    return page.evaluate("""async () => {
      const { shownShape } = await import('/drawing.js');
      return shownShape()[0][0];
    }""")
