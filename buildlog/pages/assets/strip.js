// A viewpoint through all stages: one large picture, and the strip below it to scrub through.
// Without this script, and in print, every viewpoint's strip stands by itself.

import { choose } from "./modules/choice.js";

const WHOLE = "(min-width: 1760px) 1600px, calc(100vw - 32px)";

function begin(viewpoint) {
  if (viewpoint.querySelector("input")) return;
  const strip = viewpoint.querySelector(".strip"), links = [...strip.querySelectorAll("a")], last = links.length - 1;
  const make = (tag, classes, ...inside) => {
    const element = document.createElement(tag);
    element.className = classes;
    element.append(...inside);
    return element;
  };
  const input = make("input", "scrub-at"), shot = make("div", "scrub-shot"), said = make("span", "scrub-said"), way = make("a", "scrub-way", "To this update");
  const room = make("div", "strip-room"), large = [];
  Object.assign(input, { type: "range", min: 0, max: last, step: 1, value: last });
  input.setAttribute("aria-label", `Stage of work: ${viewpoint.dataset.choice}`);

  /** The large picture of a stage; the thumbnail's file stands in until its own has come. */
  const picture = (index) => {
    if (large[index]) return large[index];
    const copy = links[index].querySelector("picture").cloneNode(true), img = copy.querySelector("img");
    for (const source of copy.querySelectorAll("source")) source.sizes = WHOLE;
    img.loading = "eager";
    img.removeAttribute("fetchpriority");
    const small = links[index].querySelector("img").currentSrc;
    if (small) img.style.setProperty("--placeholder", `url("${small}")`);
    shot.append(copy);
    return (large[index] = copy);
  };
  const show = () => {
    const now = Number(input.value);
    picture(now);
    for (const [index, copy] of large.entries()) if (copy) copy.hidden = index !== now;
    for (const [index, link] of links.entries()) link.parentElement.toggleAttribute("data-now", index === now);
    const words = links[now].querySelector("span").textContent.trim();
    said.replaceChildren(...links[now].querySelector("span").cloneNode(true).childNodes);
    way.href = links[now].href;
    input.setAttribute("aria-valuetext", `${words}, ${now + 1} of ${links.length}`);
  };
  /** Every stage is wanted soon once the first has been scrubbed to. */
  const fetchAll = () => links.forEach((_, index) => (picture(index).hidden = index !== Number(input.value)));
  input.addEventListener("input", () => {
    fetchAll();
    show();
  });

  const scrub = (event) => {
    const box = strip.getBoundingClientRect();
    const index = Math.max(0, Math.min(last, Math.floor(((event.clientX - box.left) / box.width) * links.length)));
    if (index === Number(input.value)) return;
    input.value = index;
    input.dispatchEvent(new Event("input"));
  };
  room.addEventListener("pointerdown", (event) => {
    if (event.button) return;
    room.setPointerCapture(event.pointerId);
    input.focus({ preventScroll: true });
    event.preventDefault();
    scrub(event);
  });
  room.addEventListener("pointermove", (event) => room.hasPointerCapture(event.pointerId) && scrub(event));

  const newest = links[last].querySelector("img");
  shot.style.setProperty("--ratio", newest.getAttribute("width") / newest.getAttribute("height"));
  strip.before(make("div", "scrub", shot, make("p", "scrub-words", said, way)), room);
  room.append(strip, input);
  strip.inert = true;
  viewpoint.classList.add("is-scrubbed");
  show();
}

const viewpoints = [...document.querySelectorAll(".viewpoint")];
if (viewpoints.length) choose(viewpoints, "Viewpoint", begin);
