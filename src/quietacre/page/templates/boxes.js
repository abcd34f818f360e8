// The boxes that ticks are made with, what is said of them, and the file they are kept in.
/** What the page gives the boxes: its jobs, what else a tick changes, and how it is drawn again. */
const onPage = {
  /** @type {() => any[]} */ jobs: () => [],
  /** @type {() => any} */ after: () => {},
  /** @type {() => any} */ redraw: () => {},
};
/** What is said before the first tick: who keeps it, and for how long. */
function keptWhere() {
  if (tickMode === "desk")
    return "A box you tick is written into the log at once; “Work it out” plans from there.";
  if (tickMode === "newer")
    return (
      "The ticks that this browser keeps were written by a newer version of this page, so " +
      "they are left alone: what you tick here is gone when the page is closed."
    );
  if (tickMode === "page")
    return (
      tickTrouble +
      "This browser keeps nothing for this page: what you tick is gone when the page is " +
      "closed. Keep it as a file before you leave."
    );
  return (
    tickTrouble +
    "What you tick is kept in this browser, on this device alone" +
    (keptBefore ? ", as it has been since " + sayDate(held.since) : "") +
    ". A private window, or a phone that shows the page without opening it in a browser, " +
    "forgets it: keep it as a file, which goes into the log."
  );
}
/** The line above a list of boxes, with the button that keeps them. */
function tickPanel() {
  const panel = el("div", { class: "ticks-panel" });
  fillPanel(panel);
  return panel;
}
/** @param {HTMLElement} panel */
function fillPanel(panel) {
  const loses = tickMode === "page" || tickMode === "newer",
    ticks = held.ticks,
    open = unsaved(ticks).length,
    known = new Set(onPage.jobs().map((t) => t.job)),
    gone = ticks.filter((t) => !t.back && !known.has(t.job));
  panel.replaceChildren(
    el("p", { class: loses ? "said caution" : "soft" }, keptWhere()),
    ...(TICKS.own_id || tickMode !== "kept"
      ? []
      : [
          el(
            "p",
            { class: "soft" },
            "It is kept under the name “" +
              R.property.name +
              "”. A second place of that name would share it: give each an id of its own " +
              "under [property] in property.toml.",
          ),
        ]),
    ...(gone.length
      ? [
          el(
            "p",
            { class: "said info" },
            "Ticked, and not on this page; the file has them all the same: " +
              gone.map((t) => t.area + ": " + t.task + ", " + sayDate(t.day)).join("; ") +
              ".",
          ),
        ]
      : []),
    ...(tickMode === "desk" || !ticks.length
      ? []
      : [
          el(
            "button",
            { type: "button", class: "keep-ticks", on: () => keepTicks(panel) },
            "Keep what I ticked",
            el("i", {}, open ? open + " not kept yet" : "kept before"),
          ),
        ]),
    el("p", { class: "soft", role: "status" }),
  );
}
function refreshTicks() {
  for (const panel of document.querySelectorAll(".ticks-panel"))
    fillPanel(/** @type {HTMLElement} */ (panel));
  onPage.after();
}
/** Hand over the file of what was ticked. @param {HTMLElement} panel */
function keepTicks(panel) {
  const text = tickFile(tickStore().ticks),
    plain = R.property.name.toLowerCase().replace(/[^a-z0-9]+/g, "-"),
    name = "ticks-" + (plain.replace(/^-|-$/g, "") || "place") + "-" + TODAY + ".csv",
    address = URL.createObjectURL(new Blob([text], { type: "text/csv" })),
    link = el("a", { href: address, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 60000);
  retick((ticks) => ticks.map((t) => ({ ...t, saved: true, backSaved: t.back })));
  fillPanel(panel);
  /** @type {HTMLElement | null} */ (panel.querySelector(".keep-ticks"))?.focus();
  const area = el("textarea", { readonly: "", rows: "4", "aria-label": "The same as text" });
  area.value = text;
  panel
    .querySelector("[role=status]")
    ?.replaceChildren(
      name +
        " was handed to the browser. At the computer: quietacre done FOLDER --from " +
        name +
        ", or drop it at the desk under What is due.",
      el(
        "details",
        {},
        el("summary", {}, "No file came? Send this text instead"),
        el("p", {}, "Save it at the computer as " + name + "."),
        area,
      ),
    );
}
/**
 * The box of a job, and once it is ticked the day and who.
 * @param {any} t a job of the year
 * @param {() => void} changed called when the box is ticked or cleared
 */
function tickBox(t, changed) {
  const box = el("input", { type: "checkbox", id: "tick-" + t.job }),
    tick = tickOf(t),
    desk = tickMode === "desk",
    more = el("span", { class: "ticked-more" });
  box.checked = Boolean(tick);
  const day = el("input", { type: "date", max: TODAY, id: "day-" + t.job }),
    who = el("input", { type: "text", maxlength: "60", autocomplete: "off", id: "who-" + t.job });
  const job = t.area + ": " + t.label;
  box.setAttribute("aria-label", "Done: " + job);
  day.setAttribute("aria-label", "done on, " + job);
  who.setAttribute("aria-label", "by, " + job);
  day.value = tick ? tick.day : TODAY;
  who.value = tick ? tick.who : TICKS.who || held.who || t.who || "";
  const tell = () => {
    if (day.value && day.value <= TODAY) tickJob(t, box.checked, day.value, who.value.trim());
    else {
      day.setCustomValidity("That day is still to come: tick a job once it is done.");
      day.reportValidity();
      day.setCustomValidity("");
      day.value = tickOf(t)?.day || TODAY;
    }
    more.hidden = !box.checked;
    changed();
  };
  // the desk writes when it is told to, so that day and name are right before
  box.addEventListener("change", () => {
    more.hidden = !box.checked;
    if (!desk || tickOf(t)) tell();
  });
  if (!desk) for (const part of [day, who]) part.addEventListener("change", tell);
  day.disabled = who.disabled = desk && Boolean(tick);
  more.hidden = !tick;
  more.append(
    el("label", {}, "done on ", day),
    el("label", {}, "by ", who),
    desk && !tick
      ? el("button", { type: "button", on: tell }, "Write it into the log")
      : el("span", { class: "soft" }, desk ? "written into the log" : "not in the log yet"),
  );
  return el("span", { class: "tick" }, el("label", { class: "tick-box" }, box), more);
}
/**
 * @param {any} t a job of the year
 * @param {boolean} done
 * @param {string} day
 * @param {string} who
 */
function tickJob(t, done, day, who) {
  const old = standing(tickStore().ticks, t.job);
  if (tickMode === "desk") {
    tellDesk(t, done, day, who, old);
    return;
  }
  if (old && done && old.day === day && old.who === who) return;
  retick(
    (ticks) => {
      const left = old ? without(ticks, old.id) : ticks;
      if (!done) return left;
      // what no file has yet may change as it is
      const id = old && !old.saved ? old.id : newTickId(t.job);
      const made = { id, job: t.job, area: t.area, task: t.log_word, day, who };
      return [...left, { ...made, saved: false, back: false, backSaved: false }];
    },
    done ? who : undefined,
  );
  refreshTicks();
}
addEventListener("storage", (e) => {
  if (e.key !== STORE || tickMode !== "kept") return;
  tickStore();
  onPage.redraw();
});
addEventListener("beforeunload", (e) => {
  if (tickMode !== "kept" && tickMode !== "desk" && unsaved(held.ticks).length) e.preventDefault();
});
// The desk shows this page in a frame of its own and writes the ticks itself.
const DESK = /^http:\/\/127\.0\.0\.1:\d{1,5}$/;
let deskAt = "";
/** @type {Map<number, {settle: (answer: any) => void}>} */
const asked = new Map();
let askedLast = 0;
/**
 * Have the desk write a tick into the log, or take it back; the box goes by what became of it.
 * @param {any} t
 * @param {boolean} done
 * @param {string} day
 * @param {string} who
 * @param {Tick | undefined} old
 */
async function tellDesk(t, done, day, who, old) {
  if (Boolean(old) === done) return;
  const answer = await new Promise((settle) => {
    askedLast += 1;
    asked.set(askedLast, { settle });
    parent.postMessage(
      { quietacre: "tick", number: askedLast, job: t.job, done, day, who, id: old?.id || "" },
      deskAt,
    );
  });
  retick(
    (ticks) => {
      const left = answer.back ? ticks.filter((one) => one.id !== old?.id) : ticks;
      if (!answer.id) return left;
      const made = { id: answer.id, job: t.job, area: t.area, task: t.log_word, day, who };
      return [...left, { ...made, saved: true, back: false, backSaved: false }];
    },
    done ? who : undefined,
  );
  onPage.redraw();
  if (answer.why)
    for (const panel of document.querySelectorAll(".ticks-panel"))
      panel
        .querySelector("[role=status]")
        ?.replaceChildren("The desk could not write it: " + answer.why);
}
/** What the log has by now of jobs on this page. @param {any} lines @returns {Tick[]} */
function deskTicks(lines) {
  const jobs = new Map(onPage.jobs().map((t) => [t.job, t]));
  return (Array.isArray(lines) ? lines : [])
    .filter((line) => jobs.has(line.job))
    .map((line) => {
      const t = jobs.get(line.job);
      const made = { id: line.id, job: t.job, area: t.area, task: t.log_word };
      return { ...made, day: line.day, who: line.who, saved: true, back: false, backSaved: false };
    });
}
if (parent !== window) {
  addEventListener("message", (e) => {
    if (e.source !== parent || !DESK.test(e.origin) || typeof e.data !== "object") return;
    if (e.data?.quietacre === "desk" && !deskAt) {
      deskAt = e.origin;
      tickMode = "desk";
      held = { ...held, ticks: deskTicks(e.data.ticks) };
      onPage.redraw();
    } else if (e.data?.quietacre === "written" && e.origin === deskAt) {
      asked.get(e.data.number)?.settle(e.data);
      asked.delete(e.data.number);
    }
  });
  // nothing in it is secret; whoever shows the page learns that it has boxes
  parent.postMessage({ quietacre: "boxes" }, "*");
}
