// Small helpers for building a page without markup in strings.

/**
 * The first element that matches, or null.
 * @param {string} selector
 * @param {ParentNode} [root]
 * @returns {HTMLElement | null}
 */
export function one(selector, root = document) {
  return root.querySelector(selector);
}

/**
 * An element with attributes and children. `on…` attributes that are functions become listeners; null and false are left out.
 * @param {string} name
 * @param {Record<string, unknown>} [attributes]
 * @param {...(Node | string | null | undefined | false)} children
 * @returns {HTMLElement}
 */
export function el(name, attributes = {}, ...children) {
  const element = document.createElement(name);
  setAttributes(element, attributes);
  element.append(...children.filter((child) => child !== null && child !== undefined && child !== false));
  return element;
}

/**
 * Like `el`, for SVG.
 * @param {string} name
 * @param {Record<string, unknown>} [attributes]
 * @param {...(Node | string)} children
 * @returns {SVGElement}
 */
export function svg(name, attributes = {}, ...children) {
  const element = document.createElementNS("http://www.w3.org/2000/svg", name);
  setAttributes(element, attributes);
  element.append(...children);
  return element;
}

/**
 * A copy of the first element inside `<template id=…>`: the server draws it with the same macros as its own pages.
 * @param {string} id
 * @returns {HTMLElement}
 */
export function copyOf(id) {
  const template = /** @type {HTMLTemplateElement} */ (document.getElementById(id));
  return /** @type {HTMLElement} */ (template.content.firstElementChild?.cloneNode(true));
}

/**
 * The words inside `<template id=…>`.
 * @param {string} id
 * @returns {string}
 */
export const wordsOf = (id) => (copyOf(id).textContent ?? "").trim();

/**
 * A drawing that came as SVG text, as an element; null where the text is not one.
 * @param {string} text
 * @returns {Element | null}
 */
export function drawingFrom(text) {
  const root = pieceFrom(text);
  return root && root.localName === "svg" ? root : null;
}

/**
 * A piece of a page as the laptop drew it for the snapshot; null where there is none.
 * @param {string | undefined} text
 * @returns {Element | null}
 */
export function pieceFrom(text) {
  const root = text ? new DOMParser().parseFromString(text, "text/html").body.firstElementChild : null;
  return root && document.importNode(root, true);
}

/**
 * The pieces of a page as the laptop drew them for the snapshot; none where it drew none.
 * @param {string | undefined} text
 * @returns {Element[]}
 */
export function piecesFrom(text) {
  return text ? [...document.importNode(new DOMParser().parseFromString(text, "text/html").body, true).children] : [];
}

/**
 * An element with texts in the places that `data-fill` names.
 * @template {Element} T
 * @param {T} root
 * @param {Record<string, string>} texts
 * @returns {T}
 */
export function filled(root, texts) {
  for (const [name, text] of Object.entries(texts)) root.querySelector(`[data-fill="${name}"]`).textContent = text;
  return root;
}

/**
 * The JSON of `<script type="application/json" id=…>`.
 * @param {string} id
 * @returns {any}
 */
export function embedded(id) {
  const element = document.getElementById(id);
  return element ? JSON.parse(element.textContent ?? "null") : null;
}

function setAttributes(element, attributes) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (typeof value === "function") element.addEventListener(name.slice(2), value);
    else element.setAttribute(name, value === true ? "" : String(value));
  }
}
