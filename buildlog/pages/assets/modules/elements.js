/** An element with properties, and what it holds. */
export function make(tag, properties = {}, ...inside) {
  const element = Object.assign(document.createElement(tag), properties);
  element.append(...inside);
  return element;
}

export const button = (textContent, onclick, className = "") => make("button", { type: "button", textContent, onclick, className });
