// The ledger beside the map: ground, year, sums, what to look into.
const LEAVES = { ground: "Ground", year: "Year", sums: "Sums", look: "Look into" };
function masthead() {
  $("place").textContent = R.property.name;
  document.title = [...R.property.name].slice(0, 100).join("") + " · ground and ledger";
  const t = R.totals,
    half = (t.total_acres_high - t.total_acres_low) / 2;
  $("gist").textContent = [
    acres(t.total_acres) +
      (half > 0.005 ? " ± " + acres(half).split(" ")[0] : "") +
      " in " +
      R.areas.length +
      " pieces of ground",
    R.property.acres ? acres(R.property.acres) + " inside the line" : null,
    t.cost ? money(t.cost) + " to buy" : null,
    "made " + sayDate(R.made_on),
  ]
    .filter(Boolean)
    .join(" · ");
  $("units").textContent = metric ? "Acres, feet" : "Hectares, meters";
  $("units").setAttribute(
    "aria-label",
    metric ? "Show acres and feet" : "Show hectares and meters",
  );
}
function draw() {
  masthead();
  const bar = $("leaves"),
    counts = {
      ground: R.areas.length,
      year: Y.trips,
      sums: R.shopping.length,
      look: doubts.length,
    };
  bar.replaceChildren(
    ...Object.keys(LEAVES).map((k) =>
      el(
        "button",
        {
          type: "button",
          role: "tab",
          id: "tab-" + k,
          "aria-selected": String(leaf === k),
          "aria-controls": "leaf",
          tabindex: leaf === k ? "0" : "-1",
          on: () => turn(k),
        },
        LEAVES[k],
        el("i", {}, counts[k]),
      ),
    ),
  );
  $("leaf").setAttribute("aria-labelledby", "tab-" + leaf);
  $("leaf").replaceChildren(
    ...(leaf === "sums"
      ? sums()
      : leaf === "year"
        ? yearly()
        : leaf === "look"
          ? looking()
          : chosen
            ? card(byId.get(chosen))
            : listing()),
  );
  for (const t of tags)
    if (t.id && t.mark) t.box.lastChild.textContent = acres(byId.get(t.id).acres);
}
function turn(k) {
  if (chosen) choose(null, true);
  leaf = k;
  draw();
  $("leaf").scrollTop = 0;
  $("tab-" + k).focus({ preventScroll: true });
}
$("leaves").addEventListener("keydown", (e) => {
  const keys = Object.keys(LEAVES),
    step = { ArrowRight: 1, ArrowLeft: -1 }[e.key];
  if (step) {
    e.preventDefault();
    turn(keys[(keys.indexOf(leaf) + step + keys.length) % keys.length]);
  }
});
// the first rows at once, the others bit by bit while nobody waits for them
function inTurn(list, rows, row, from = 0) {
  const to = from + (from ? 50 : 30);
  list.append(...rows.slice(from, to).map(row));
  list.turn =
    to < rows.length
      ? setTimeout(() => {
          if (list.isConnected) inTurn(list, rows, row, to);
        }, 30)
      : 0;
  if (rows.length > 200) list.classList.add("many");
  else list.classList.remove("many");
  return list;
}
// paper has them all at once
const filled = (list, rows, row, paper) => {
  if (paper) list.append(...rows.map(row));
  else inTurn(list, rows, row);
  return list;
};
// ground without a job to come stands last
const due = new Map(),
  dueOn = (p) => due.get(p.id);
function countDue() {
  for (const p of pieces) due.set(p.id, nextJob(p.id)?.scheduled || "9");
}
countDue();
function listing() {
  const list = el("ul", { class: "rows" });
  const words = new Map(
    pieces.map((p) => [
      p.id,
      [p.name, KINDS[p.kind][0], p.mix, p.vine, p.note].filter(Boolean).join(" ").toLowerCase(),
    ]),
  );
  const fill = () => {
    const want = query.toLowerCase().split(/\s+/);
    const rows = pieces.filter((p) => want.every((w) => words.get(p.id).includes(w)));
    if (dueFirst) rows.sort((a, b) => (dueOn(a) < dueOn(b) ? -1 : dueOn(a) > dueOn(b) ? 1 : 0));
    const row = (p) => {
      const next = nextJob(p.id),
        late = next && next.scheduled.slice(0, 4) !== firstDue.slice(0, 4);
      return el(
        "li",
        {},
        el(
          "button",
          { type: "button", on: () => choose(p.id) },
          swatch(p.kind),
          el("span", { class: "name" }, p.name),
          el("span", { class: "num" }, acres(p.acres)),
          el(
            "span",
            { class: "sub" },
            KINDS[p.kind][0] +
              (p.width_ft ? ", " + feet(p.width_ft) + " wide" : "") +
              (p.mix ? ", " + p.mix : ""),
            next
              ? el(
                  "b",
                  {},
                  "next: " + next.label + ", " + (late ? sayDate : sayDay)(next.scheduled),
                )
              : null,
          ),
        ),
      );
    };
    clearTimeout(list.turn);
    list.replaceChildren();
    inTurn(list, rows, row);
    if (!rows.length) list.replaceChildren(el("li", {}, "Nothing by that name."));
  };
  const find = el("input", {
    class: "find",
    type: "search",
    "aria-label": "Find a piece of ground",
    placeholder: "Find by name, kind or crop",
  });
  find.value = query;
  find.addEventListener("input", () => {
    query = find.value;
    fill();
  });
  fill();
  const order = el(
    "button",
    {
      type: "button",
      id: "due-first",
      "aria-pressed": String(dueFirst),
      on: () => {
        dueFirst = !dueFirst;
        order.setAttribute("aria-pressed", String(dueFirst));
        fill();
      },
    },
    "What is due first",
  );
  return [
    find,
    firstDue < "9" ? order : null,
    list,
    R.property.note ? el("p", { class: "soft" }, R.property.note) : null,
    ...seenHere("", false),
    el("h2", {}, "Before you act on it"),
    ...cautionList(),
  ].filter(Boolean);
}
const firstDue = pieces.reduce((m, p) => (dueOn(p) < m ? dueOn(p) : m), "9");
