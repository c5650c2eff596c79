/* Every word of the forms, so that another language is another file. {…} are blanks. */

const WORDS = {
  facts: "Facts",
  nothing_chosen: "Nothing is chosen. Tap a zone or another feature on the map.",
  nothing_drawn:
    "Nothing is drawn yet. Press Draw, tap each corner of a lawn on the map, then Finish; or press " +
    "Rectangle and type two measured sides. A plan that you have comes in with lawnmap read.",
  coloured_by_moss: "Moss, measured or by eye",
  coloured_by_thatch: "Thatch, measured or by eye",
  several: "What you change here is changed in all {count} of them.",
  several_kinds: "Different kinds are chosen: only what they share is shown.",
  differs: "differs: {values}",
  empty: "empty",
  empty_all: "Empty it in all {count}",
  not_said: "not said",
  not_rated: "not rated",
  never_changes: "never changes",
  not_a_number: "“{text}” is not a number. Nothing was changed.",
  not_whole: "“{text}” is not a whole number. Nothing was changed.",
  out_of_range: "{text} is outside {range}. Nothing was changed.",
  not_a_day: "“{text}” is not a day like 2026-05-31. Nothing was changed.",
  range: "{low} to {high}",
  at_least: "{low} or more",
  at_most: "{high} or less",
  measured_first: "There is a measured value too. It counts before the rating.",
  private: "stays with you",
  private_hint: "Only in your own site file; left out of every map and sheet for others.",
  public_hint: "Everybody who gets the map or the sheet can read it.",
  set: "{what} of {who}: {value}",
  emptied: "{what} of {who} is empty now",
  features: "{count} features",
  zones: "{count} zones",
  digits: "A digit key sets the rating, Delete takes it away.",
  tick: "One tick beside the core is 10 mm.",

  paint: "Paint a rating",
  paint_hint: "Choose a rating below ({what}: {value}), start, then tap each zone that has it.",
  paint_what: "What to paint",
  start_painting: "Start painting",
  stop_painting: "Stop painting",
  painting: "Painting {what}: {value}. Tap zones on the map, or press them in the list.",
  painted: "{who}: {what} {value}",
  already: "{who} has that already: {what} {value}",
  stopped: "Painting is off.",
  only_zones: "Only zones can be painted.",
  zones_set: "Zones and what is set",
  find_zone: "Find a zone",
  no_zones: "There is no zone yet. Draw one first.",
  more_zones: "{count} more: type a part of the name.",

  plan: "What the plan would say",
  plan_wait: "Working it out …",
  plan_old: "Something was changed since. Ask again.",
  plan_none: "No step is needed in this zone.",
  plan_why: "Why",
  plan_warnings: "Take care",

  photos: "Photos",
  add_photos: "Add photos",
  photos_hint: "Kept without place, time or camera: those are taken out.",
  photo: "Photo {number}",
  take_photo_out: "Take photo {number} out",
  photo_added: "Photo added to {who}",
  photo_gone: "Photo taken out of {who}",
  photo_unread: "{name} is not a picture this browser can read, and too large to hand on.",
  photo_wait: "Adding {name} …",

  clash: "Somebody else changed the same things",
  clash_lead:
    "While you worked, the site was saved from elsewhere. What only one side changed is kept by " +
    "itself. Here both sides changed the same; choose which stands.",
  before: "Before",
  mine: "Mine",
  theirs: "Theirs",
  all_mine: "All mine",
  all_theirs: "All theirs",
  settle: "Save as chosen",
  not_now: "Not now",
  not_now_hint:
    "“Not now” saves nothing and loses nothing: your changes stay here, theirs in the file.",
  choose_first: "{count} still to choose.",
  nothing_lost: "Nothing was saved. Your changes are still here.",
  gone: "taken away",
  there: "kept, as drawn and written here",
  was_there: "it was on the site",
  was_not: "it was not on the site",
  corners: "{count} corners",
  corners_area: "{count} corners, {area} m²",
  outline: "Outline",
  whole: "The feature itself",
  outline_of: "{side}: outline with {corners}",
  outline_key: "Dashed line: before.",

  yes: "yes",
  no: "no",
};

/* Names of the groups in which the facts of a zone stand. */
const GROUPS = {
  moss: "Moss",
  thatch: "Thatch",
  place: "Sun, slope and water",
  sward: "Sward and soil",
  care: "Who and how",
  outline: "Outline",
  facts: "What is known of it",
  notes: "Notes",
};

/* What is painted, in the middle of a sentence. */
const PAINTED = { moss_rating: "moss", thatch_rating: "thatch" };

/* Columns in words. One that is missing here is shown by its own name as plain words. */
const COLUMNS = {
  zone_id: "Short name",
  name: "Name",
  moss_rating: "Moss by eye",
  moss_cover_pct: "Moss cover, measured",
  moss_depth_mm: "Depth of the moss",
  moss_form: "How the moss grows",
  thatch_rating: "Thatch by eye",
  thatch_mm: "Thatch, measured",
  tug_test: "Grass pulled by hand",
  compaction: "A screwdriver goes in",
  wear: "Wear",
  cut_height_mm: "Height of cut",
  fed_last: "Last fed",
  sown_last: "Last sown",
  sun_hours_seen: "Sun a day, as seen",
  slope_seen_deg: "Slope, as seen",
  bare_pct: "Bare soil",
  grass: "Grasses",
  drainage: "Water leaves",
  soil_ph: "Soil pH",
  turf_type: "Use of the turf",
  iron: "Iron here",
  outline_source: "Outline from",
  outline_sigma_m: "Standard error of a corner",
  looked_after_by: "Looked after by",
  client_number: "Client’s number",
  lot: "Lot",
  beat: "Beat",
  came_from: "Came from",
  public_note: "Note for everybody",
  private_note: "Note for yourself",
  height_m: "Height",
  crown_base_m: "Lowest leaves at",
  crown_radius_m: "Radius of the crown",
  stem_m: "Diameter of the stem",
  leaf: "Leaves",
  width_m: "Clear width",
  steps: "Steps",
  water_kind: "What water",
  drain_kind: "What drain",
  hidden_kind: "What lies hidden",
  depth_mm: "How deep",
  supply_kind: "What is supplied",
  flow_l_min: "Flow",
  date: "Day",
  moss_hits: "Points that touched moss",
  moss_points: "Points in all",
  feature: "Kind",
  photos: "Photos",
};

/* One wording with its blanks filled; what fills a blank is not looked at for further blanks. */
export function word(key, blanks = {}) {
  return WORDS[key].replace(/\{(\w+)\}/g, (_, name) => String(blanks[name]));
}

export function groupName(key) {
  return Object.hasOwn(GROUPS, key) ? GROUPS[key] : key;
}

export function paintedName(name) {
  return PAINTED[name];
}

export function columnName(name) {
  return Object.hasOwn(COLUMNS, name) ? COLUMNS[name] : name.replaceAll("_", " ");
}

/* What a feature is called: as people call it, else its short name, else its kind. */
export function called(feature, key) {
  const facts = feature.properties;
  return facts.name || facts.zone_id || `${facts.feature} ${key}`;
}
