// A viewpoint through all stages: one large picture, and the strip below it to scrub through.
// Without this script, and in print, every viewpoint's strip stands by itself.

import { choose, wide } from "./modules/choice.js";
import { make } from "./modules/elements.js";

function begin(viewpoint) {
  if (viewpoint.querySelector("input")) return;
  const strip = viewpoint.querySelector(".strip"), links = [...strip.querySelectorAll("a")], last = links.length - 1;
  const input = make("input", { type: "range", min: 0, max: last, step: 1, value: last, ariaLabel: `Stage of work: ${viewpoint.dataset.choice}` });
  const shot = make("div", { className: "scrub-shot" }), said = make("span", { className: "scrub-said" });
  const way = make("a", { className: "scrub-way" }, "To this update"), room = make("div", { className: "strip-room" }), large = [];
  const newest = links[last].querySelector("img"), ratio = newest.getAttribute("width") / newest.getAttribute("height");

  /** The large picture of a stage; the thumbnail's file stands in until its own has come. */
  const picture = (index) => {
    if (large[index]) return large[index];
    const copy = links[index].querySelector("picture").cloneNode(true), img = copy.querySelector("img");
    for (const source of copy.querySelectorAll("source")) source.sizes = wide(ratio, 60);
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
    input.ariaValueText = `${words}, ${now + 1} of ${links.length}`;
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

  shot.style.setProperty("--ratio", ratio);
  strip.before(make("div", { className: "scrub" }, shot, make("p", { className: "scrub-words" }, said, way)), room);
  room.append(strip, input);
  strip.inert = true;
  viewpoint.classList.add("is-scrubbed");
  show();
}

const viewpoints = [...document.querySelectorAll(".viewpoint")];
if (viewpoints.length) choose(viewpoints, "Viewpoint", begin);
