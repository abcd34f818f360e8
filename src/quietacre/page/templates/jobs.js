// A job as a line with its box.
function taskLine(t, where, paper) {
  const state = el("span", {}),
    line = el("li", { class: "task " + t.status });
  const show = () => {
    const tick = paper ? null : tickOf(t);
    line.classList.toggle("ticked", Boolean(tick));
    state.textContent = tick
      ? " (done " + monthDay(tick.day.slice(5)) + (tick.who ? ", " + tick.who : "") + ")"
      : ["done", "due", "late"].includes(t.state)
        ? " (" + t.state + ")"
        : "";
  };
  show();
  line.append(
    el(
      "span",
      { class: "day" },
      t.scheduled
        ? [
            weekDay(t.scheduled) + ", ",
            el("span", { class: "num" }, monthDay(t.scheduled.slice(5))),
          ]
        : t.status === "window"
          ? "window"
          : "no day",
    ),
    el(
      "span",
      {},
      el("b", {}, where ? el("bdi", {}, t.area) : null, (where ? ": " : "") + t.label),
      state,
      el("br"),
      el(
        "span",
        { class: "soft" },
        t.machine +
          (t.who ? ", " + t.who : "") +
          (t.minutes ? ", " + minutes(t.minutes) : "") +
          (t.amounts.length ? "; " + t.amounts.join("; ") : "") +
          "; " +
          (t.earliest === t.latest
            ? "only " + monthDay(t.latest.slice(5))
            : "any day " + monthDay(t.earliest.slice(5)) + " to " + monthDay(t.latest.slice(5))),
      ),
      t.notes.map((x) => el("p", { class: "said warning" }, x)),
    ),
    ...(paper || t.status === "done" ? [] : [tickBox(t, show)]),
  );
  return line;
}
const cautionList = () =>
  R.cautions.map((c) =>
    el(
      "p",
      { class: "said caution" },
      el("b", {}, c.topic + ": "),
      c.text + " Who decides: " + c.defer_to + ".",
    ),
  );
