/* Light, dark or high contrast: chosen here, kept by the browser, set before anything is painted. */

const LOOK_KEPT = "lawnmap look";

function setLook(look) {
  if (look) {
    document.documentElement.dataset.look = look;
  } else {
    delete document.documentElement.dataset.look; // as the device asks
  }
}

/* A page from disk may not be let keep anything; the choice then holds while it is open. */
function keptLook() {
  try {
    return localStorage.getItem(LOOK_KEPT) || "";
  } catch {
    return "";
  }
}

function keepLook(look) {
  try {
    localStorage.setItem(LOOK_KEPT, look);
  } catch {
    // it is chosen anew next time
  }
}

setLook(keptLook());
document.addEventListener("DOMContentLoaded", function () {
  const choice = document.querySelector(".looks select");
  choice.value = keptLook();
  choice.addEventListener("change", function () {
    setLook(choice.value);
    keepLook(choice.value);
  });
});
