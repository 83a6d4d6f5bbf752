// One of several at a time, with a choice of them by name. What is put by is still printed, and shown when it is led to.

import { make } from "./elements.js";

let groups = 0;

/** How wide a picture stands that is as high as a share of the window, in percent, where its width allows. */
export const wide = (ratio, share) => `min(100vw - 32px, ${ratio} * max(${share}vh, 28em))`;

/** @param onShow Called with each item when it is shown. */
export function choose(items, legend, onShow) {
  const name = `choice-${++groups}`;
  const show = (chosen) => {
    for (const item of items) item.toggleAttribute("data-put-by", item !== chosen);
    const input = inputs[items.indexOf(chosen)];
    if (input) input.checked = true;
    onShow(chosen);
  };
  const inputs = items.length < 2 ? [] : items.map((item, index) =>
    make("input", { type: "radio", name, value: index, onchange: () => show(item) }));
  if (inputs.length) {
    for (const item of items) item.querySelector("h3").classList.add("unseen");
    const labels = items.map((item, index) => make("label", {}, inputs[index], make("span", {}, item.dataset.choice)));
    const field = make("fieldset", { className: "choice" }, make("legend", { className: "unseen" }, legend), ...labels);
    field.dataset.searchExclude = "";
    items[0].before(field);
  }
  const led = () => {
    const target = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    return target && items.find((item) => item.contains(target));
  };
  show(led() ?? items[0]);
  addEventListener("hashchange", () => {
    const item = led();
    if (!item) return;
    show(item);
    item.scrollIntoView();
  });
}
