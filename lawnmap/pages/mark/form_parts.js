/* The few ways the forms make elements. Words enter as text only, never as markup. */

const SVG = "http://www.w3.org/2000/svg";
let made = 0;

/* An element with attributes and children; a child that is text stays text. */
export function make(name, attributes = {}, ...children) {
  return filled(document.createElement(name), attributes, children);
}

/* The same for a drawing. */
export function draw(name, attributes = {}, ...children) {
  return filled(document.createElementNS(SVG, name), attributes, children);
}

function filled(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === true) {
      element.setAttribute(name, "");
    } else if (value !== false && value !== null && value !== undefined) {
      element.setAttribute(name, String(value));
    }
  }
  element.append(...children.filter((child) => child !== null && child !== undefined));
  return element;
}

/* A person's words, set apart so that their reading direction stays their own. */
export function typed(text) {
  return make("bdi", {}, String(text));
}

export function button(label, action, attributes = {}) {
  const element = make("button", { type: "button", ...attributes }, label);
  element.addEventListener("click", action);
  return element;
}

/* A name for an element that another points to. */
export function fresh(stem) {
  made += 1;
  return `${stem}_${made}`;
}

/* Radio buttons tied to labels in a named group: the browser gives arrow keys and touch.

   options: [{value, body}], where body is what the label shows and value is compared as it is.
   Gives {node, show(value), focus()}; show(undefined) leaves every button off. */
export function radios(legend, options, pick, attributes = {}) {
  const name = fresh("choice");
  const boxes = options.map((option) => {
    const input = make("input", { type: "radio", name });
    input.addEventListener("change", () => input.checked && pick(option.value));
    const node = make("label", { class: "option" }, input, option.body);
    return { input, value: option.value, node };
  });
  const title = make("legend", { id: fresh("legend") }, legend);
  const node = make(
    "fieldset",
    {
      role: "radiogroup",
      "aria-labelledby": title.id,
      ...attributes,
      class: `choice ${attributes.class || ""}`.trim(),
    },
    title,
    make("div", { class: "options" }, ...boxes.map((box) => box.node)),
  );
  return {
    node,
    title,
    show(value) {
      boxes.forEach((box) => {
        box.input.checked = value !== undefined && box.value === value;
      });
    },
    focus() {
      (boxes.find((box) => box.input.checked) || boxes[0]).input.focus();
    },
  };
}
