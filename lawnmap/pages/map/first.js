/* Before anything is laid out: the still page gives way, and comes back should starting fail. */

function stayStill() {
  document.documentElement.classList.remove("scripted");
}

document.documentElement.classList.add("scripted");
window.addEventListener("error", stayStill);
