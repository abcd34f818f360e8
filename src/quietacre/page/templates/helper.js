// A list of its own: the jobs of one person or machine, of one piece of ground, or of some days.
function helperPage() {
  const days = new Map();
  for (const t of Y.tasks) {
    const day = t.scheduled || t.earliest;
    if (!days.has(day)) days.set(day, []);
    days.get(day).push(t);
  }
  const list = D.list;
  document.title = [...(list.title + " · " + R.property.name)].slice(0, 100).join("");
  $("leaf").replaceChildren(
    el("h1", {}, list.title),
    el("p", { class: "soft" }, R.property.name + " · made " + sayDate(R.made_on)),
    ...list.about.map((text) => el("p", { class: "said info" }, text)),
    Y.tasks.length ? tickPanel() : el("p", {}, "No job is planned for these days."),
    ...[...days].flatMap(([day, some]) => {
      const total = some.reduce((sum, t) => sum + t.minutes, 0);
      return [
        el("h2", {}, sayDate(day), total ? el("i", {}, minutes(total)) : null),
        el(
          "ul",
          { class: "tasks" },
          some.map((t) => taskLine(t, true)),
        ),
      ];
    }),
    ...(R.property.note ? [el("p", { class: "soft" }, R.property.note)] : []),
    el("h2", {}, "Before you act on it"),
    ...cautionList(),
  );
}
Object.assign(onPage, {
  jobs: () => Y.tasks,
  redraw: () => {
    const id = document.activeElement?.id;
    helperPage();
    if (id) $(id)?.focus();
  },
});
helperPage();
document.documentElement.dataset.ready = "yes";
