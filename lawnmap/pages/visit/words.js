/* What the page was made with, and its words. */

const data = JSON.parse(document.getElementById("lawnmap-data").textContent);
const visit = data.visit;
const say = visit.words;

/* Fill the blanks of a wording; what fills one is not looked at again. */
function filled(text, blanks) {
  return text.replace(/\{(\w+)\}/g, (whole, name) =>
    Object.hasOwn(blanks, name) ? String(blanks[name]) : whole,
  );
}

/* A figure with at most so many decimals, as people write it. */
function figure(value, decimals) {
  return String(Number(value.toFixed(decimals)));
}

/* What was typed as a number: null when empty, NaN when it is none. A comma is a point. */
function numberOf(typed) {
  const text = typed.trim().replace(/^[−–]/, "-");
  if (!text) {
    return null;
  }
  return /^[-+]?\d{1,7}([.,]\d{1,6})?$/.test(text) ? Number(text.replace(",", ".")) : NaN;
}

/* Today where the phone is, YYYY-MM-DD. */
function today() {
  const now = new Date();
  const two = (part) => String(part).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}
