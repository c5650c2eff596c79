/* Whatever is wider than the page moves by itself: with the keyboard too. */
function reachable() {
  for (const each of document.querySelectorAll("pre, .table-wrapper, .cell_output")) {
    if (each.scrollWidth > each.clientWidth) each.tabIndex = 0;
    else each.removeAttribute("tabindex");
  }
}
addEventListener("load", reachable);
addEventListener("resize", reachable);
