/* The only way words reach the page: as text of an element, never as markup. */

export function element(name, className, ...children) {
  const made = document.createElement(name);
  if (className) {
    made.className = className;
  }
  made.append(...children);
  return made;
}

/* A person's words, set apart so that their reading direction stays their own. */
export function said(text) {
  return element("bdi", "", text);
}

export function button(className, label, action) {
  const made = element("button", className, label);
  made.type = "button";
  made.addEventListener("click", action);
  return made;
}

/* A labelled number field. */
export function number(label, unit, name) {
  const field = element("input", "");
  Object.assign(field, { type: "text", inputMode: "decimal", autocomplete: "off", name: name });
  return element("label", "field", `${label} `, element("span", "unit", unit), field);
}

/* What a number field holds, or null; a comma is taken as a point. */
export function numberOf(field) {
  const text = field.value.trim().replace(",", ".");
  const found = Number(text);
  return text !== "" && Number.isFinite(found) ? found : null;
}
