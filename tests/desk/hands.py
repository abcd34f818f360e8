"""Three hands at the desk: a mouse, a finger, keys; each does the same things in its own way."""

import re

from desk_tab import tab

#: One press of an arrow moves the map so far. Leaflet's own. [px]
PAN_PX = 80
#: Maps that do not glide, so that a test need not wait for them.
STILL = """() => {
  L.Map.mergeOptions({ zoomAnimation: false, fadeAnimation: false, inertia: false });
  const pan = L.Map.prototype.panBy;
  L.Map.prototype.panBy = function (by, how) { return pan.call(this, by, { ...how, animate: false }); };
}"""


class Hand:
    """A tab, and the hand that is at it; what differs from hand to hand is in the classes below."""

    touch = False

    def __init__(self, browser, desk, size):
        self.desk, self.size = desk, size
        self.page, self.said = tab(browser, desk, size, has_touch=self.touch)

    def begin(self):
        """Read the place that is open now."""
        self.page.reload()
        self.page.wait_for_selector("text=Draw a new piece")
        self.page.evaluate(STILL)
        self.off = [0, 0]

    def press(self, text, within=""):
        found = self.page.locator(f"{within} button", has_text=text).first
        found.wait_for()
        box = found.bounding_box()
        assert min(box["width"], box["height"]) >= 44, f"{text}: {box}"
        self.click(found)

    def type(self, box, text):
        self.page.fill(box, text)

    def wait(self, selector):
        return self.page.wait_for_selector(selector, timeout=20_000)

    def open(self, name):
        self.click(self.page.locator(f"button[aria-label='Look at {name}']"))
        self.press("Draw or mend its edge")
        self.wait("[data-tool=move]")
        self.off = [0, 0]

    def spots(self):
        """The middle of the map, and pixels a foot and middle of what is drawn, in the window."""
        self.page.locator("#chart").scroll_into_view_if_needed()
        chart = self.page.locator("#chart").bounding_box()
        box = self.page.locator("path.drawn").bounding_box()
        return chart, box

    def at(self, x, y):
        """Put a point at shares of the drawn piece's box, 0 to 1 from its upper left."""
        if not hasattr(self, "frame") or self.frame is None:
            self.frame = self.spots()
        chart, box = self.frame
        self.point(
            box["x"] + box["width"] * x - chart["x"] - chart["width"] / 2,
            box["y"] + box["height"] * y - chart["y"] - chart["height"] / 2,
        )

    def tool(self, sentence):
        self.press(sentence, ".sentences")
        self.frame, self.off = None, [0, 0]

    def farther(self):
        """See more of the ground round it."""
        self.click(self.page.locator(".leaflet-control-zoom-out"))
        self.page.wait_for_timeout(100)
        self.frame = None

    def keep(self, name=None):
        if name:
            self.type("#piece-name", name)
        self.press("Keep", ".keeping")
        self.wait("#said:has-text('Kept')")

    def shape(self):
        return self.page.evaluate("async () => (await import('/drawing.js')).shownShape()")

    def line(self):
        return self.page.inner_text(".corner-line")

    def act(self, text):
        """One of the acts of the bar."""
        self.press(text, ".loupe")


class Mouse(Hand):
    def click(self, found):
        found.click()

    def point(self, dx, dy):
        chart = self.page.locator("#chart").bounding_box()
        self.page.mouse.click(
            chart["x"] + chart["width"] / 2 + dx, chart["y"] + chart["height"] / 2 + dy
        )

    def choose(self, n):
        x, y = middle_of(self.page, n)
        self.page.mouse.click(x, y)
        assert self.line().startswith(f"corner {n} of")

    def drag(self, n, dx, dy):
        self.choose(n)
        x, y = middle_of(self.page, n)
        self.page.mouse.move(x, y)
        self.page.mouse.down()
        for part in (0.5, 1):
            self.page.mouse.move(x + dx * part, y + dy * part)
        self.page.mouse.up()

    def nudge(self):
        self.act_on("Move the corner north")

    def act_on(self, label):
        self.click(self.page.locator(f".loupe [aria-label='{label}']"))

    def insert(self):
        self.act("Put one in after it")

    def delete(self):
        self.act("Take it out")

    def undo(self):
        self.press("Take back:", ".steps-row")

    def redo(self):
        self.press("Bring again:", ".steps-row")

    def on_picture(self, x, y):
        self.page.locator(".picture-inner").scroll_into_view_if_needed()
        box = self.page.locator(".picture-inner").bounding_box()
        self.page.mouse.click(box["x"] + box["width"] * x, box["y"] + box["height"] * y)

    def escape(self):
        self.press("Leave it", ".sentences")


class Finger(Mouse):
    touch = True

    def click(self, found):
        found.scroll_into_view_if_needed()
        found.tap()

    def point(self, dx, dy):
        self.page.locator("#chart").scroll_into_view_if_needed()
        chart = self.page.locator("#chart").bounding_box()
        self.page.touchscreen.tap(
            chart["x"] + chart["width"] / 2 + dx, chart["y"] + chart["height"] / 2 + dy
        )
        self.page.wait_for_timeout(350)  # two taps nearer in time are one double tap

    def choose(self, n):
        if self.size != "phone":
            self.page.touchscreen.tap(*middle_of(self.page, n))
        while not self.line().startswith(f"corner {n} of"):
            self.act("Next corner")

    def drag(self, n, dx, dy):
        self.choose(n)
        self.page.locator("#chart").scroll_into_view_if_needed()
        x, y = middle_of(self.page, n)
        hand = self.page.context.new_cdp_session(self.page)
        for what, part in (("touchStart", 0), ("touchMove", 0.5), ("touchMove", 1)):
            spot = {"x": x + dx * part, "y": y + dy * part}
            hand.send("Input.dispatchTouchEvent", {"type": what, "touchPoints": [spot]})
        hand.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})

    def on_picture(self, x, y):
        self.page.locator(".picture-inner").scroll_into_view_if_needed()
        box = self.page.locator(".picture-inner").bounding_box()
        self.page.touchscreen.tap(box["x"] + box["width"] * x, box["y"] + box["height"] * y)


class Keys(Hand):
    def click(self, found):
        assert found.evaluate("one => one.tabIndex >= 0")
        found.focus()
        self.page.keyboard.press("Enter")

    def point(self, dx, dy):
        """Bring the place under the cross as near as arrows do, and put it."""
        self.page.locator("#chart").focus()
        for axis, (far, ways) in enumerate(
            ((dx, ("ArrowLeft", "ArrowRight")), (dy, ("ArrowUp", "ArrowDown")))
        ):
            steps = round((far - self.off[axis]) / PAN_PX)
            for _ in range(abs(steps)):
                self.page.keyboard.press(ways[steps > 0])
            self.off[axis] += steps * PAN_PX
        self.page.keyboard.press("Enter")

    def choose(self, n):
        self.page.locator("#chart").focus()
        for _ in range(30):
            self.page.keyboard.press("Tab")
            if self.line().startswith(f"corner {n} of"):
                return
        raise AssertionError(f"Tab does not come to corner {n}")

    def drag(self, n, dx, dy):
        self.choose(n)
        for far, ways in (
            (dx, ("ArrowLeft", "ArrowRight")), (dy, ("ArrowUp", "ArrowDown")),
        ):  # fmt: skip
            for _ in range(round(abs(far) / 10)):
                self.page.keyboard.press(f"Shift+{ways[far > 0]}")

    def nudge(self):
        self.page.keyboard.press("ArrowUp")

    def insert(self):
        self.page.keyboard.press("Insert")

    def delete(self):
        self.page.keyboard.press("Delete")

    def undo(self):
        self.page.keyboard.press("Control+z")

    def redo(self):
        self.page.keyboard.press("Control+y")

    def on_picture(self, x, y):
        """Bring a place of the picture under its cross; it scrolls by its own arrows."""
        self.page.locator(".picture-box").focus()
        self.page.evaluate(
            """([x, y]) => {
              const box = document.querySelector('.picture-box');
              const inner = box.querySelector('.picture-inner');
              box.scrollTo(inner.offsetWidth * x - box.clientWidth / 2, inner.offsetHeight * y - box.clientHeight / 2);
            }""",
            [x, y],
        )
        self.page.keyboard.press("Enter")

    def farther(self):
        self.page.locator("#chart").focus()
        self.page.keyboard.press("-")
        self.page.wait_for_timeout(100)
        self.frame = None

    def escape(self):
        self.page.keyboard.press("Escape")


HANDS = {"mouse": Mouse, "touch": Finger, "keys": Keys}


def middle_of(page, n):
    """The middle of a corner's target."""
    box = page.locator(f".corners button[aria-label^='corner {n} of']").bounding_box()
    assert min(box["width"], box["height"]) >= 44
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def feet_moved(before, after):
    """How far one corner moved, in feet east and north; all others stay."""
    moved = [(a, b) for a, b in zip(before, after, strict=True) if a != b]
    ((a, b),) = moved
    return (b[0] - a[0]) * 305_600, (b[1] - a[1]) * 364_000


def acres_in(text):
    return float(re.search(r"([0-9.]+) ac", text)[1])
