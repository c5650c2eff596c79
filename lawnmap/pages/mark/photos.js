/* Photos of one feature. The page makes them smaller; the server draws them anew and keeps them. */

import { button, fresh, make } from "./form_parts.js";
import { called, word } from "./form_words.js";
import { ask } from "./api.js";
import { change, on, say, state } from "./state.js";

const LONGEST = 1600; // px
const QUALITY = 0.85;
const seen = new Map(); // data addresses of pictures, by the name the server gave
const open = { keyOf: () => undefined, list: undefined };
let listening = false;

/* keyOf() tells the feature: its key may change with a save. */
export function photos(keyOf) {
  if (!listening) {
    on("changed", (keys) => keys.includes(open.keyOf()) && showPhotos());
    listening = true;
  }
  const input = make("input", {
    type: "file",
    accept: "image/*",
    multiple: true,
    id: fresh("photo"),
    class: "file",
  });
  const hint = make("p", { class: "hint", id: fresh("hint") }, word("photos_hint"));
  input.setAttribute("aria-describedby", hint.id);
  input.addEventListener("change", async () => {
    for (const file of [...input.files]) {
      await add(keyOf, file);
    }
    input.value = "";
  });
  open.keyOf = keyOf;
  open.list = make("ul", { class: "photos" });
  showPhotos();
  return make(
    "section",
    { class: "group" },
    make("h3", {}, word("photos")),
    open.list,
    make("label", { for: input.id, class: "add" }, word("add_photos")),
    input,
    hint,
  );
}

function listed(key) {
  const found = state.features.get(key)?.properties.photos;
  return Array.isArray(found) ? found.filter((name) => typeof name === "string") : [];
}

function showPhotos() {
  const key = open.keyOf();
  const items = listed(key).map((name, index) => {
    const number = index + 1;
    const image = make("img", { alt: word("photo", { number }) });
    show(image, name);
    const rest = () => listed(open.keyOf()).filter((each) => each !== name);
    const take = button("×", () => keep(open.keyOf(), rest(), "photo_gone"), {
      "aria-label": word("take_photo_out", { number }),
    });
    return make("li", {}, image, take);
  });
  open.list.replaceChildren(...items);
}

/* The site's own photos come from the server; one that is not there shows its number. */
async function show(image, name) {
  try {
    if (!seen.has(name)) {
      seen.set(name, (await ask("/api/picture", { name })).src);
    }
    image.src = seen.get(name);
  } catch {
    image.replaceWith(make("span", {}, image.alt));
  }
}

async function add(keyOf, file) {
  say(word("photo_wait", { name: file.name }));
  try {
    const data = await small(file);
    const bytes = data.slice(data.indexOf(",") + 1);
    const { name } = await ask("/api/photo", { key: keyOf(), data: bytes });
    seen.set(name, data);
    if (state.features.has(keyOf())) {
      keep(keyOf(), [...new Set([...listed(keyOf()), name])], "photo_added");
    }
  } catch (problem) {
    say([problem.message, problem.error?.remedy].filter(Boolean).join(" "), "bad");
  }
}

function keep(key, names, told) {
  const feature = state.features.get(key);
  const facts = { ...feature.properties, photos: names };
  if (!names.length) {
    delete facts.photos;
  }
  const label = word(told, { who: called(feature, key) });
  change(label, { [key]: { ...feature, properties: facts } });
  say(label, "good");
}

/* The picture as a data address, drawn smaller; what the browser cannot draw goes as it is. */
async function small(file) {
  let image;
  try {
    image = await createImageBitmap(file);
  } catch {
    if (file.size > state.limits.photo_bytes) {
      throw new Error(word("photo_unread", { name: file.name }));
    }
    return asAddress(file);
  }
  const part = Math.min(1, LONGEST / Math.max(image.width, image.height));
  const [width, height] = [image.width, image.height].map((side) => Math.round(side * part));
  const canvas = make("canvas", { width, height });
  canvas.getContext("2d").drawImage(image, 0, 0, width, height);
  image.close();
  return canvas.toDataURL("image/jpeg", QUALITY);
}

function asAddress(file) {
  return new Promise((resolve, reject) => {
    const reader = new FileReader();
    reader.onload = () => resolve(reader.result);
    reader.onerror = () => reject(reader.error);
    reader.readAsDataURL(file);
  });
}
