// Which boxes stand together, by hand.
// @ts-check

/** What belongs together, grouped by hand; every table of property.toml stands in one group. */
export const GROUPS = [
  ["The place", ["property", "map", "calendar", "weather"]],
  [
    "Days: quiet seasons, work days, jobs that come round",
    ["quiet", "work", "round", "task", "lags", "crop", "log_words"],
  ],
  ["What is sown", ["mix"]],
  ["Soil tests", ["soil_test"]],
  ["What you buy and have", ["product", "stock", "buying"]],
  ["Sprays, from your own label", ["spray"]],
  ["Machines", ["equipment"]],
  ["Deer to feed", ["forage"]],
  ["Parts of other packages", ["use"]],
];

/** One of a list of tables, as it is added. */
export const ONE_OF = /** @type {Record<string, string>} */ ({
  mix: "a mix",
  soil_test: "a soil test",
  quiet: "a quiet season",
  product: "a fertilizer or lime",
  stock: "something in the shed",
  spray: "a spray",
  round: "a job that comes round",
  task: "a change to a job",
  use: "a part",
});

/** The boxes of a piece of ground, grouped by hand. Others follow. */
export const PIECE_GROUPS = {
  what: ["What it is", ["name", "kind", "who", "note"]],
  sown: ["What is sown on it", ["mix", "plant", "soil_test", "fertilizer"]],
  strip: ["The vine and its strip", ["strip", "vine", "surveyed", "surveys", "previous"]],
  more: [
    "More on planting and feeding",
    [
      "plantings",
      "topdress_n_lb_ac",
      "topdress_on",
      "nitrogen_on_legumes",
      "max_products",
      "harvest",
      "feed",
      "residue",
      "tasks",
    ],
  ],
  edge: [
    "Its edge",
    [
      "from",
      "feature",
      "over",
      "walked_inside_ft",
      "walked_outside_ft",
      "sky",
      "edge_pm_ft",
      "map_scale",
    ],
  ],
  known: [
    "Pins, tape and deed",
    ["corners", "order", "placed", "declination_deg", "pace_ft", "vara_ft"],
  ],
  next: ["For the next person", ["history", "was"]],
};

/** A key that holds one more row of another key's list; it stands among those. */
export const ROW_OF = /** @type {Record<string, string>} */ ({ previous: "surveys" });

/** In which order the groups of a kind stand, and how many of them are open at first. */
const SOWN = { order: ["what", "sown", "more", "edge", "known", "next", "strip"], open: 2 };
const KEPT = { order: ["strip", "what", "more", "edge", "known", "sown", "next"], open: 2 };
const OTHER = { order: ["what", "edge", "known", "more", "sown", "next", "strip"], open: 1 };
const BY_KIND = /** @type {Record<string, typeof SOWN>} */ ({
  plot: SOWN,
  native: SOWN,
  patch: KEPT,
  burn: KEPT,
});

/**
 * The groups of a piece of a kind, in order, and whether each is open.
 * @param {string} kind
 * @returns {{title: string, keys: string[], open: boolean}[]}
 */
export function groupsOf(kind) {
  const { order, open } = BY_KIND[kind] || OTHER;
  return order.map((name, n) => {
    const [title, keys] = PIECE_GROUPS[/** @type {keyof typeof PIECE_GROUPS} */ (name)];
    return {
      title: name === "strip" && kind === "burn" ? "Its firebreak" : /** @type {string} */ (title),
      keys: /** @type {string[]} */ (keys),
      open: n < open,
    };
  });
}

/** Kinds of ground that are sown. */
export const GROWS = Object.keys(BY_KIND).filter((kind) => BY_KIND[kind] === SOWN);

/**
 * A soil test as a laboratory's sheet has it: what stands on top, the lines under their headings
 * (each a figure, then the keys that say how it was found), and the tables of nutrients, of which
 * a test has one.
 */
export const SOIL_SHEET = {
  top: ["name", "on", "soil_class", "lime_state"],
  rows: [
    { title: "How sour it is", lines: [["ph"], ["buffer_ph", "buffer"], ["target_ph"]] },
    {
      title: "Lime asked for",
      lines: [
        ["lime_lb_ac"],
        ["lime_ton_ac", "lime_basis", "lime_basis_pct", "lime_basis_ecce_pct"],
        ["lime_basis_depth_in"],
        ["lime_depth_in"],
      ],
    },
    { title: "Lime spread before", lines: [["last_lime_ton_ac"], ["last_lime_months"]] },
  ],
  needs: ["need_lb_ac", "need_ppm"],
};
