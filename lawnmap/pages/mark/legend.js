/* What the colours of the zones say. */

import { element } from "./dom.js";
import { CLASSES, UNRATED } from "./looks.js";
import { word } from "./form_words.js";
import { inWords } from "./scale.js";
import { on, state } from "./state.js";

const TITLES = { moss_rating: "coloured_by_moss", thatch_rating: "coloured_by_thatch" };

export function startLegend() {
  const place = document.getElementById("legend");
  const show = (rating) => place.replaceChildren(...parts(rating));
  on("loaded", () => show("moss_rating"));
  on("rating", show);
}

function parts(rating) {
  const words = (value) => inWords(state.scales, rating, value);
  const classes = CLASSES[rating].map((fill, value) => entry(fill, String(value), words(value)));
  return [element("b", "", word(TITLES[rating])), ...classes, entry(UNRATED, "–", word("not_rated"))];
}

/* On a phone the number stands for its words. */
function entry(fill, short, words) {
  const colour = element("span", "colour");
  colour.style.backgroundColor = fill;
  return element("span", "entry", colour, element("span", "short", short), element("span", "words", words));
}
