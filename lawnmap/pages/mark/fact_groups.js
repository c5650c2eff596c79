/* Which facts a feature of each kind has, and under which headings they stand. */

/* In what order and under which headings the facts of a zone stand; the first are open. */
const ZONE_GROUPS = [
  ["moss", ["moss_rating", "moss_cover_pct", "moss_depth_mm", "moss_form"], true],
  ["thatch", ["thatch_rating", "thatch_mm", "tug_test"], true],
  ["place", ["sun_hours_seen", "slope_seen_deg", "drainage"], true],
  [
    "sward",
    ["bare_pct", "grass", "turf_type", "cut_height_mm", "wear", "compaction", "soil_ph", "fed_last",
      "sown_last"],
    false,
  ],
  ["notes", ["public_note", "private_note"], true],
  ["care", ["iron", "looked_after_by", "client_number", "lot", "beat"], false],
  ["outline", ["outline_source", "outline_sigma_m"], false],
];
/* Which facts each other kind has; name and notes go with all. */
const KIND_FACTS = {
  tree: ["height_m", "crown_base_m", "crown_radius_m", "stem_m", "leaf"],
  building: ["height_m"],
  hedge: ["height_m", "leaf"],
  fence: ["height_m"],
  paving: [],
  water: ["water_kind"],
  drain: ["drain_kind"],
  hidden: ["hidden_kind", "depth_mm"],
  supply: ["supply_kind", "flow_l_min"],
  bed: [],
  access: ["width_m", "steps"],
  core: ["zone_id", "date", "thatch_mm", "moss_hits", "moss_points"],
};
const FIXED = ["zone_id", "came_from", "feature"]; // shown, but not by a field
const NOTES = ["public_note", "private_note"];

/* The groups of a zone: {key, names, open}. A fact that is in none stands under "care". */
export function zoneGroups(columns) {
  const listed = ["name", ...FIXED, ...ZONE_GROUPS.flatMap(([, names]) => names)];
  const rest = columns.map((column) => column.name).filter((name) => !listed.includes(name));
  return ZONE_GROUPS.map(([key, names, open]) => ({
    key,
    names: key === "care" ? [...names, ...rest] : names,
    open,
  }));
}

/* The groups of another kind: its facts, and whatever else such a feature has, so that nothing is
   hidden. `all` are the properties of those that are chosen; without one kind only notes stay. */
export function groupsOf(kind, all, columns) {
  const notes = { key: "notes", names: NOTES, open: true };
  const ofKinds = Object.values(KIND_FACTS).flat();
  const names = columns.map((column) => column.name).filter(function (name) {
    const has = all.some((facts) => (facts[name] ?? undefined) !== undefined);
    const shared = ["name", "feature", ...NOTES].includes(name);
    return !shared && (KIND_FACTS[kind]?.includes(name) || has || !ofKinds.includes(name));
  });
  return kind && names.length ? [{ key: "facts", names, open: true }, notes] : [notes];
}
