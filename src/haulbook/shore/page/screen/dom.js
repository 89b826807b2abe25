/** Nodes built by hand: what somebody typed goes in as text, never as markup. */

const SVG = "http://www.w3.org/2000/svg";

/**
 * Make an element.
 * @param {string} tag
 * @param {Object} [props] attributes; `on` {event: listener}, `text`, `class`; null, undefined and false leave one out
 * @param {...(Node|string|null|false)} children
 * @returns {HTMLElement}
 */
export function el(tag, props = {}, ...children) {
  return fill(document.createElement(tag), props, children);
}

/** Make an SVG element; props as in `el`. */
export function svg(tag, props = {}, ...children) {
  return fill(document.createElementNS(SVG, tag), props, children);
}

function fill(node, props, children) {
  for (const [name, value] of Object.entries(props)) {
    if (value === null || value === undefined || value === false) continue;
    if (name === "on") {
      for (const [event, listener] of Object.entries(value)) node.addEventListener(event, listener);
    } else if (name === "text") {
      node.textContent = value;
    } else {
      node.setAttribute(name, value === true ? "" : String(value));
    }
  }
  append(node, children);
  return node;
}

/** Put children behind what a node holds; null and false are passed over. */
export function append(node, children) {
  for (const child of children.flat()) {
    if (child !== null && child !== undefined && child !== false) node.append(child);
  }
  return node;
}

/**
 * Replace what a node holds, unless it would look the same: then what is there stays, with its focus, and a press that
 * has begun on it still counts.
 */
export function put(node, ...children) {
  const next = append(node.cloneNode(false), children);
  if (!next.isEqualNode(node)) node.replaceChildren(...next.childNodes);
  return node;
}

/** Change text only where it differs: an untouched node is not painted again. */
export function say(node, text) {
  if (node.textContent !== text) node.textContent = text;
}

/** Change an attribute only where it differs; null takes it away. */
export function mark(node, name, value) {
  if (value === null || value === false) {
    if (node.hasAttribute(name)) node.removeAttribute(name);
  } else if (node.getAttribute(name) !== String(value === true ? "" : value)) {
    node.setAttribute(name, value === true ? "" : String(value));
  }
}

/**
 * Keep a list of nodes in step with a list of things, touching only what changed.
 * @param {Element} parent
 * @param {Array} things
 * @param {function(*): string} keyOf
 * @param {function(*): Element} make
 * @param {function(Element, *): void} update
 */
export function keyed(parent, things, keyOf, make, update) {
  const known = parent.keyed || (parent.keyed = new Map());
  const wanted = new Set(things.map(keyOf));
  for (const [key, node] of known) {
    if (!wanted.has(key)) {
      node.remove();
      known.delete(key);
    }
  }
  let before = null;
  for (const thing of things) {
    const key = keyOf(thing);
    let node = known.get(key);
    if (!node) {
      node = make(thing);
      known.set(key, node);
    }
    update(node, thing);
    const next = before ? before.nextSibling : parent.firstChild;
    if (next !== node) parent.insertBefore(node, next);
    before = node;
  }
}

/** A button with words on it. */
export function button(words, press, props = {}) {
  const { class: kind = "", ...others } = props;
  return el("button", { type: "button", class: `button ${kind}`.trim(), on: { click: press }, ...others }, words);
}

/** Say "6 cunner" parts with the number heavy: strong text. */
export const strong = (text) => el("strong", { text });
export const quiet = (text) => el("span", { class: "quiet", text });
