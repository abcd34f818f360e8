"""A hand that writes settings through the forms of the desk, reads them back and clears them."""

import datetime as dt
import json
import tomllib

from quietacre.schema import TABLE_OF, property_schema

#: Fills one box or one form, and waits for what the page says of it.
TELL = """async (node, { texts, send }) => {
  const said = document.getElementById('said');
  said.textContent = '';
  const fault = send ? null : node.querySelector('.fault');
  for (const [name, text] of Object.entries(texts)) {
    const field = name ? node.querySelector(`[data-box="${name}"]`) : node;
    const box = field.querySelector('input, select, textarea');
    box.value = text;
    if (box.value !== text) return `the box holds “${box.value}”, not “${text}”`;
    for (const kind of send ? ['input'] : ['input', 'change'])
      box.dispatchEvent(new Event(kind, { bubbles: true }));
  }
  if (send) node.requestSubmit();
  for (let n = 0; n < 6000; n += 1) {
    if (/^(Kept|Added)/.test(said.textContent)) return '';
    if (fault?.textContent) return fault.textContent;
    if (said.classList.contains('doubts') && said.textContent) return said.textContent;
    await new Promise((done) => setTimeout(done, 5));
  }
  return 'no answer';
}"""
SHOWN = "node => node.querySelector('input, select, textarea').value"
NEEDS = ("need_lb_ac", "need_ppm")
SCHEMA = property_schema()


def _definition(part):
    """Return the name of the definition that a part of the schema is made of, None for none."""
    inside = (part, *part.get("allOf", ()), part.get("items") or {})
    more = part.get("additionalProperties")
    for one in (*inside, *([more] if isinstance(more, dict) else ())):
        if "$ref" in one:
            return one["$ref"].rpartition("/")[2]
    return None


TOP = {key: _definition(part) for key, part in SCHEMA["properties"].items()}
INSIDE = {
    (name, key): _definition(part)
    for name, definition in SCHEMA["$defs"].items()
    for key, part in definition["properties"].items()
}
#: Lists of sentences, one a line.
LINES = ("area.history",)


def typed(value, key=""):
    """Return a value of TOML as a person types it, and as the box shows it."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list):
        parts = [json.dumps(one, separators=(",", ":")) if isinstance(one, list) else typed(one)
                 for one in value]  # fmt: skip
        return ("\n" if key in LINES else ", ").join(parts)
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() else repr(value)
    return value.isoformat() if isinstance(value, dt.date) else str(value)


def at(settings, path):
    """Return the value at a path of keys and numbers, None when there is none."""
    for part in path:
        try:
            settings = settings[part]
        except (KeyError, IndexError):
            return None
    return settings


def simple(definition, row):
    """Return a row's own values as a form takes them, by (table.key); tables of one row too."""
    table = TABLE_OF[definition]
    texts = {}
    for key, value in row.items():
        inner = INSIDE[definition, key]
        if inner is None:
            texts[f"{table}.{key}"] = typed(value, f"{table}.{key}")
        elif isinstance(value, dict):
            texts |= simple(inner, value)
    return texts


class Hand:
    """Writes a whole property.toml through the page, and takes it out again.

    ``another`` has a second value for keys that cannot be cleared.
    """

    def __init__(self, page, folder, another):
        self.page, self.folder, self.another = page, folder, another
        self.reached, self.kept, self.boxes, self.back = set(), {}, [], []
        self.tables, self.piece = set(), ""

    def file(self):
        return tomllib.loads((self.folder / "property.toml").read_text())

    # ---- where things stand

    def go(self, piece):
        """Show the settings, or a piece of ground."""
        if piece == self.piece:
            return
        self.piece = piece
        if piece is None:
            self.page.locator("nav button", has_text="Everything about it").click()
            self.page.wait_for_selector("summary:has-text('Machines')")
            return
        self.page.locator("nav button", has_text="Ground").click()
        self.page.click(f"button[aria-label='Look at {piece}']")
        self.page.wait_for_selector("summary:has-text('Its edge')")

    def place(self, path):
        """Return where the boxes of a table stand on the page."""
        table, page = path[0], self.page
        if table == "area":
            scope, rest = page.locator("#main"), path[2:]
        elif TOP[table] is None or table == "crop":
            words = f"{table}: {path[1]}"
            part = page.locator("#main details").filter(
                has=page.locator(f":scope > summary:text-is('{words}')")
            )
            scope, rest = part.last, path[2:]
        elif len(path) > 1 and isinstance(path[1], int):
            scope, rest = page.locator(f"[data-item='{table}[{path[1]}]']"), path[2:]
        else:
            scope, rest = page.locator("#main > details"), path[1:]
        definition = TOP[table]
        for part in rest:
            if isinstance(part, int):
                scope = scope.locator(":scope > details").nth(part)
            elif part not in NEEDS:
                box = f"[data-box='{TABLE_OF[definition]}.{part}']"
                # an earlier survey of its own key stands in the list of them
                ways = (":scope >", ":scope > details >", ":scope > details > fieldset >")
                scope = scope.locator(", ".join(f"{way} {box}" for way in ways))
            if not isinstance(part, int):
                definition = INSIDE[definition, part]
        return scope

    def field(self, path):
        """Return the field of one key."""
        if path[0] == "log_words":
            return self.place(path).locator(".field")
        box = f"[data-box='{self.key(path)}']"
        if path[0] == "soil_test":
            return self.place(path[:-1]).locator(box)
        return self.place(path[:-1]).locator(f":scope > {box}, :scope > details > {box}")

    def key(self, path):
        """Return the table and key that a path ends in, as the page has it."""
        return f"{TABLE_OF[self.definition(path[:-1])]}.{path[-1]}"

    def definition(self, path):
        definition = TOP[path[0]]
        for part in path[1:]:
            definition = INSIDE.get((definition, part)) or definition
        return definition

    # ---- what is done there

    def tell(self, node, texts, *, send=False):
        """Answer a box or send a form; return why it was refused, blank when it was kept."""
        return node.evaluate(TELL, {"texts": texts, "send": send})

    def keep(self, node, texts, path, *, send=False):
        """Answer a box or send a form, which is kept."""
        refused = self.tell(node, texts, send=send)
        assert not refused, (path, texts, refused)

    def write_all(self, whole):
        """Write every table of a property.toml, the pieces of ground last."""
        self.go(None)
        for table, value in whole.items():
            if table == "log_words":
                for word, meaning in value.items():
                    self.add_word(table, word, meaning)
            elif table == "crop":
                for word, rule in value.items():
                    self.fill((table, word), rule)
            elif table != "area":
                self.fill((table,), value)
        for n, area in enumerate(whole.get("area", ())):
            self.go(area["name"])
            self.fill_keys(("area", n), area)

    def fill(self, path, value):
        """Write a table, a list of tables or a key, and whatever is in it."""
        definition = self.definition(path)
        inside = len(path) > 1 and definition != self.definition(path[:-1])
        if inside:
            self.tables.add(self.key(path))
        if isinstance(value, list) and (inside or len(path) == 1):
            for n, row in enumerate(value):
                if at(self.file(), (*path, n)) is None:
                    self.add(path, n, row, definition)
                else:  # the form of the row around it asks for the first
                    self.fill_keys((*path, n), row)
        elif isinstance(value, dict):
            if self.needs_form(path, definition):
                self.add(path, None, value, definition)
            else:
                self.fill_keys(path, value)
        else:
            self.write(path, value)

    def needs_form(self, path, definition):
        """Return whether a table is begun in a form that is sent as a whole."""
        inside = len(path) > 1 and path[-1] not in NEEDS
        required = SCHEMA["$defs"][definition].get("required")
        return at(self.file(), path) is None and (inside or bool(required))

    def fill_keys(self, path, row):
        if path[-1] in NEEDS:
            self.page.select_option(f"#needs-of-{path[1]}", path[-1])
        for key, value in row.items():
            self.fill((*path, key), value)

    def add(self, path, number, row, definition):
        """Send a new row or table in its form, then write each of its keys in its own box."""
        asked = row
        if path[0] in TOP and len(path) == 1 and number is not None:
            form = self.page.locator(f"[data-item='{path[0]}[+]'] form")
            asked = {key: row[key] for key in SCHEMA["$defs"][definition]["required"]}
            asked = {
                key: one[0] if INSIDE[definition, key] else one
                for key, one in asked.items()
            }
        elif len(path) == 1:
            form = self.page.locator("#main > details > details > form").filter(
                has=self.page.locator(f"[data-box^='{path[0]}.']")
            )
        elif path[0] == "crop" and len(path) == 2:
            form = self.page.locator("form:has(#word-crop)")
            form.locator("#word-crop").evaluate(
                "(box, word) => { box.value = word }", path[1]
            )
            asked = {key: one for key, one in row.items() if not INSIDE[definition, key]}
        else:
            form = self.place(path).locator(":scope > details > form")
        texts = simple(definition, asked)
        self.keep(form, texts, path, send=True)
        self.reached |= set(texts)
        there = path if number is None else (*path, number)
        self.back.append((self.piece, there))
        assert at(self.file(), there), there
        self.fill_keys(there, row)

    def add_word(self, table, word, meaning):
        """Add a word of the log, which is a key of its own."""
        form = self.page.locator(f"form:has(#word-{table})")
        form.locator(f"#word-{table}").evaluate("(box, word) => { box.value = word }", word)
        form.locator(".field input").last.evaluate(
            "(box, text) => { box.value = text }", meaning
        )
        self.keep(form, {}, (table, word), send=True)
        assert at(self.file(), (table, word)) == meaning
        self.back.append((self.piece, (table, word)))

    def write(self, path, value):
        """Write one key in its box; a key that a form wrote is cleared and written again."""
        key = self.key(path)
        before, text = at(self.file(), path), typed(value, key)
        node = self.field(path)
        if before is None:
            self.keep(node, {"": text}, path)
            self.back.append((self.piece, path))
        elif key not in self.kept:
            assert node.evaluate(SHOWN) == text, path
            self.kept[key] = self.clear_and_write(path, node, key, text)
        self.reached.add(key)
        self.boxes.append((self.piece, path, text))
        assert at(self.file(), path) == value, path
        assert node.evaluate(SHOWN) == text, path

    def clear_and_write(self, path, node, key, text):
        """Clear a key and write it again; return why it cannot be cleared, blank when it can.

        What cannot be cleared is given another value and its own again.
        """
        before = at(self.file(), path)
        refused = self.tell(node, {"": ""})
        if refused:
            assert at(self.file(), path) == before, path
            other = self.another.get(key)
            assert other is not None, (path, refused)
            self.keep(node, {"": typed(other, key)}, path)
            assert at(self.file(), path) == other, path
        else:
            assert at(self.file(), path) is None, path
        self.keep(node, {"": text}, path)
        return refused

    def read_all(self):
        """See that every box shows what was written, on a page that is made anew."""
        self.piece = ""
        for piece, path, text in self.boxes:
            self.go(piece)
            assert self.field(path).evaluate(SHOWN) == text, path

    def take_all_back(self):
        """Clear and take out all that was written, the last first."""
        for piece, path in reversed(self.back):
            self.take_back(piece, path)
        self.back, self.boxes = [], []

    def take_back(self, piece, path):
        """Clear a box, or take a row or a table out with its button."""
        self.go(piece)
        there = at(self.file(), path)
        if isinstance(there, dict) or path[0] == "log_words":
            node = self.place(path)
            inside = ":scope > button, :scope > details > button"
            button = node.locator(inside).filter(has_text="Take ").last
            if len(path) == 1:
                button = self.page.get_by_role("button", name=f"Take {path[0]} out", exact=True,
                                               include_hidden=True)  # fmt: skip
            said = button.evaluate("""async (node) => {
              const said = document.getElementById('said');
              said.textContent = '';
              node.click();
              for (let n = 0; n < 6000 && !said.textContent; n += 1)
                await new Promise((done) => setTimeout(done, 5));
              return said.textContent;
            }""")
            assert said.startswith("Kept"), (path, said)
        else:
            self.keep(self.field(path), {"": ""}, path)
        assert at(self.file(), path) is None, path
