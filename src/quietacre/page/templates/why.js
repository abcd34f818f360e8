// Why a figure is what it is, behind one word on each card; what is published of a vine, and
// what keeping it takes.
function whyBehind(...told) {
  return el("details", { class: "why" }, el("summary", {}, "Why these figures?"), ...told);
}
function why(p) {
  if (!p.why?.length) return [];
  return [
    whyBehind(
      ...p.why.flatMap((w) => [
        el("h4", {}, w.about),
        ...w.lines.map((line) => el("p", { class: "soft" }, line + ".")),
      ]),
    ),
  ];
}
function published(p) {
  const out = [];
  if (p.guidance?.length)
    out.push(
      el("h3", {}, p.kind === "firebreak" ? "What job sheets print" : "What is published of it"),
      ...p.guidance.map((g) => el("p", {}, g.text[0].toUpperCase() + g.text.slice(1) + ".")),
    );
  if (p.keeping)
    out.push(
      el("h3", {}, "What keeping it takes"),
      ...p.keeping.text.map((line) => el("p", {}, line)),
    );
  return out;
}
