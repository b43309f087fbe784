// The page's elements: found by id, changed only where they differ, made from parts.

export const $ = (id) => document.getElementById(id);

/// Leaves an element alone that says it already: nothing flickers, and a screen reader is not told twice.
export function set(target, text) {
  const element = typeof target === "string" ? $(target) : target;
  if (element.textContent !== text) element.textContent = text;
}

const SVG = "http://www.w3.org/2000/svg";

function fill(element, attributes, text) {
  for (const name in attributes) element.setAttribute(name, attributes[name]);
  if (text !== undefined) element.textContent = text;
  return element;
}

/// An element of the page.
export const make = (name, attributes = {}, text = undefined) => fill(document.createElement(name), attributes, text);

/// An element of a drawing.
export const draw = (name, attributes = {}, text = undefined) =>
  fill(document.createElementNS(SVG, name), attributes, text);
