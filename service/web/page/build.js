// Elements without markup in strings: whatever stands in a request or an answer stays text.

const SVG = "http://www.w3.org/2000/svg";

/** Return an element with attributes and children; a function under on... becomes a listener. */
export function el(tag, attributes = {}, ...children) {
  return dressed(document.createElement(tag), attributes, children);
}

/** Return an element of a drawing. */
export function draw(tag, attributes = {}, ...children) {
  return dressed(document.createElementNS(SVG, tag), attributes, children);
}

function dressed(node, attributes, children) {
  dress(node, attributes);
  node.append(...children.flat(Infinity).filter((child) => child !== null && child !== undefined && child !== false));
  return node;
}

/** Set attributes; null, undefined and false take one away. */
export function dress(node, attributes) {
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === "function") node.addEventListener(name.slice(2), value);
    else if (value === null || value === undefined || value === false) node.removeAttribute(name);
    else node.setAttribute(name, value === true ? "" : value);
  }
}

export const byId = (id) => document.getElementById(id);

/** Put these children in place of what is there. */
export function fill(node, ...children) {
  node.replaceChildren(
    ...children.flat(Infinity).filter((child) => child !== null && child !== undefined && child !== false),
  );
}

let lastNumber = 0;

/** Return an id that no other element has. */
export const freshId = (stem) => `${stem}-${++lastNumber}`;
