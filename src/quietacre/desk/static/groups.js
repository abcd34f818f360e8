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
/** The boxes of a piece of ground, grouped by hand; the first group is open. Others follow. */
export const PIECE_GROUPS = [
  [
    "What it is and what is meant for it",
    ["name", "kind", "mix", "plant", "soil_test", "fertilizer", "who", "note"],
    () => true,
  ],
  [
    "The vine and its strip",
    ["vine", "surveyed", "surveys", "previous", "strip"],
    (/** @type {string} */ kind) => kind === "patch" || kind === "burn",
  ],
  [
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
    () => true,
  ],
  [
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
    () => true,
  ],
  [
    "Pins, tape and deed",
    ["corners", "order", "placed", "declination_deg", "pace_ft", "vara_ft"],
    () => true,
  ],
  ["For the next person", ["history", "was"], () => true],
];
