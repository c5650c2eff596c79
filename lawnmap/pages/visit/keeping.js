/* What was done on this page, kept on the phone until it is handed back. */

const KEPT_AS = ["lawnmap visit", visit.site.id, visit.site.title, visit.site.revision, visit.issued]
  .map(String)
  .join("|");
const STILL_MS = 4000; // that a message stays in sight

const state = loaded();

function blank() {
  return {
    by: "",
    zones: {},
    sketches: [],
    places: [],
    cores: [],
    work: [],
    answers: {},
    draft: newDraft(),
  };
}

function newDraft() {
  return { name: "", shape: "four", how: "tape", pace: null, sizes: {}, corners: [], at: null };
}

function loaded() {
  try {
    const text = window.localStorage.getItem(KEPT_AS);
    return text ? { ...blank(), ...JSON.parse(text) } : blank();
  } catch {
    return blank();
  }
}

/* Keep everything; say so for good when this phone cannot. */
function keep() {
  try {
    window.localStorage.setItem(KEPT_AS, JSON.stringify(state));
  } catch {
    tell(say.cannot_keep, true);
  }
}

function forget() {
  const { by } = state;
  Object.assign(state, blank(), { by: by });
  keep();
}

/* Say something at the foot of the page; what is not for good goes away by itself. */
function tell(text, forGood = false) {
  const told = document.querySelector(".told");
  if (told.classList.contains("fixed") && !forGood) {
    return;
  }
  told.textContent = text;
  told.classList.toggle("fixed", forGood);
  clearTimeout(tell.waiting);
  if (!forGood) {
    tell.waiting = setTimeout(() => {
      told.textContent = "";
    }, STILL_MS);
  }
}
