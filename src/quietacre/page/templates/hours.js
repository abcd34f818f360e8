// Hours of the plan by machine and by day: only jobs that have a day count.
function hours() {
  const planned = Y.tasks.filter((t) => t.scheduled && t.minutes);
  if (!planned.length) return [];
  const by = new Map();
  for (const t of planned) {
    const row = by.get(t.machine) || { jobs: 0, minutes: 0, days: new Set() };
    row.jobs += 1;
    row.minutes += t.minutes;
    row.days.add(t.scheduled);
    by.set(t.machine, row);
  }
  const rows = [...by].sort((a, b) => b[1].minutes - a[1].minutes),
    days = new Map();
  for (const t of planned) days.set(t.scheduled, (days.get(t.scheduled) || 0) + t.minutes);
  return [
    el("h2", {}, "Hours"),
    table(
      ["machine", "#jobs", "#days", "#hours"],
      rows.map(([machine, r]) => [machine, n(r.jobs, 0), n(r.days.size, 0), n(r.minutes / 60, 1)]),
    ),
    el(
      "details",
      {},
      el("summary", {}, "Hours by day"),
      table(
        ["day", "#jobs", "#hours"],
        [...days]
          .sort()
          .map(([day, m]) => [
            sayDate(day),
            n(planned.filter((t) => t.scheduled === day).length, 0),
            n(m / 60, 1),
          ]),
      ),
    ),
    whyBehind(el("p", { class: "soft" }, R.why_hours)),
  ];
}
function whySums() {
  return whyBehind(el("p", { class: "soft" }, R.why_sums));
}
