// The page's elements: found by id, changed only where they differ, made from parts.

export const $ = (id) => document.getElementById(id);

const elementOf = (target) => (typeof target === "string" ? $(target) : target);

/// Leaves an element alone that says it already: nothing flickers, and a screen reader is not told twice.
export function set(target, text) {
  const element = elementOf(target);
  if (element.textContent !== text) element.textContent = text;
}

export function show(target, isShown) {
  const element = elementOf(target);
  if (element.hidden === isShown) element.hidden = !isShown;
}

export function mark(target, name, value) {
  const element = elementOf(target);
  if (element.getAttribute(name) !== value) element.setAttribute(name, value);
}

/// Replaces what stands in an element, only when `key` differs from the last one.
export function fill(target, key, nodes) {
  const element = elementOf(target);
  if (element.dataset.key === key) return;
  element.dataset.key = key;
  element.replaceChildren(...nodes());
}

const SVG = "http://www.w3.org/2000/svg";

function attributes(element, given, text) {
  for (const name in given) element.setAttribute(name, given[name]);
  if (text !== undefined) element.textContent = text;
  return element;
}

/// An element of the page.
export const make = (name, given = {}, text = undefined) => attributes(document.createElement(name), given, text);

/// An element of a drawing.
export const draw = (name, given = {}, text = undefined) =>
  attributes(document.createElementNS(SVG, name), given, text);
