// The walkaround: words in the margins, a leader from each to its point, and light on both when either is looked at.
// Margins and orders were chosen when the page was made; here the words are measured and settled by the same rules.
// Without this script points and words are numbered alike.

import { SIZES, aims, markers, settle } from "./modules/settle.js";

const GROWTH = 2; // how many times as tall as its figure a plate may stand, as in plate_layout.py
const TEXT = 16.48; // px of the text at which the lengths in SIZES hold; larger text makes larger rings
const RING = 9; // px from a point to where its leader ends
const SPREAD = 1.2; // how many times a number's width numbers stand apart, so that each can be touched
const TIED = 3; // px that a marker may lie off its place before a line ties it there
const SVG = "http://www.w3.org/2000/svg";

const share = (mark, name) => parseFloat(mark.style.getPropertyValue(name)) / 100;

/** A callout of the page: its words, its mark on the picture, and the place as shares of it. */
function callout(words, shot) {
  const key = words.dataset.callout, mark = shot.querySelector(`[data-callout="${key}"]`);
  const box = mark.matches(".region") ? ["--left", "--top", "--width", "--height"].map((name) => share(mark, name)) : null;
  return { key, words, mark, box, at: box ? [box[0] + box[2] / 2, box[1] + box[3] / 2] : [share(mark, "--across"), share(mark, "--down")] };
}

/** How tall a label is, and how far below its top its leader sets out: at the line under its title, or above its words. */
function measure({ words }) {
  const title = words.querySelector("h4"), box = words.getBoundingClientRect();
  return { height: box.height, port: title ? title.getBoundingClientRect().bottom - box.top - 0.5 : 0.5 };
}

function element(name, attributes, ...children) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.append(...children);
  return made;
}

const path = (kind, spots) => element("path", { class: kind, d: "M" + spots.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join("L") });

/** A line that stops short of its last spot. */
function short(line, by) {
  const [from, to] = line.slice(-2), length = Math.hypot(to[0] - from[0], to[1] - from[1]);
  if (length <= by) return line.slice(0, -1);
  const rest = 1 - by / length;
  return [...line.slice(0, -1), [from[0] + (to[0] - from[0]) * rest, from[1] + (to[1] - from[1]) * rest]];
}

/**
 * A plate's lines, in px from the picture's corner: in ink beside the picture, in two tones over it.
 * `lines` holds for each callout { key, outside, over }: where its line runs beside the picture too, and over it.
 */
function draw(plate, shot, lines) {
  const corner = plate.getBoundingClientRect(), frame = shot.getBoundingClientRect();
  const left = frame.left - corner.left, top = frame.top - corner.top;
  const group = (key, ...paths) => element("g", { "data-callout": key }, ...paths);
  const over = element("svg", { x: left, y: top, width: frame.width, height: frame.height });
  const all = element("svg", { class: "leaders", "aria-hidden": "true" });
  for (const { key, outside, tie } of lines) {
    const inner = group(key);
    if (outside?.length > 1) {
      all.append(group(key, path("stub", outside.map(([x, y]) => [x + left, y + top]))));
      inner.append(path("halo", outside), path("lead", outside));
    }
    if (tie) inner.append(path("halo", tie), path("lead tie", tie), element("circle", { class: "place", cx: tie[0][0], cy: tie[0][1], r: 2.5 }));
    if (inner.childNodes.length) over.append(inner);
  }
  all.append(over);
  plate.append(all);
}

/** Move a mark off its place on the picture. */
function move(mark, marker, aim) {
  mark.style.setProperty("--dx", `${(marker[0] - aim[0]).toFixed(1)}px`);
  mark.style.setProperty("--dy", `${(marker[1] - aim[1]).toFixed(1)}px`);
}

const far = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]);

/** Let the words stand in the margins; says whether they fit there. */
function inMargins(plate, figure, shot, list, callouts, margins) {
  plate.dataset.leaders = margins;
  const orders = (margins === 1 ? ["", plate.dataset.one] : [plate.dataset.left, plate.dataset.right]).map((numbers) =>
    numbers ? numbers.split(" ").map((number) => callouts.findIndex(({ key }) => key === number)) : [],
  );
  orders.forEach((order, side) => order.forEach((index) => callouts[index].words.classList.toggle("is-left", side === 0)));
  const whole = figure.getBoundingClientRect(), frame = shot.getBoundingClientRect(), corner = list.getBoundingClientRect();
  const width = callouts[0].words.getBoundingClientRect().width;
  const between = corner.right - width - frame.right;
  const times = parseFloat(getComputedStyle(plate).fontSize) / TEXT;
  const scaled = Object.fromEntries(["gap", "clearance", "badge", "finger"].map((name) => [name, SIZES[name] * times]));
  const sizes = { ...scaled, between, head: frame.top - whole.top, foot: whole.bottom - frame.bottom };
  const picture = { width: frame.width, height: frame.height };
  const settled = settle(picture, callouts.map((each) => ({ ...each, ...measure(each) })), ...orders, sizes);
  if (settled.height > GROWTH * whole.height) return false;
  list.style.setProperty("--room", `${settled.height.toFixed(2)}px`);
  const onPicture = ([x, y]) => [x, y - settled.pictureTop];
  const lines = settled.callouts.map(({ side, top, marker, aim, port, kind, leader }, index) => {
    const { key, words, mark, box } = callouts[index];
    words.style.setProperty("--y", `${top.toFixed(2)}px`);
    for (const each of [words, mark]) each.dataset.kind = kind;
    const end = onPicture(marker), place = onPicture(aim), setsOut = side === "left" ? -between : picture.width + between;
    if (!box) move(mark, end, place);
    const line = leader.length ? [[setsOut, onPicture(port)[1]], ...leader.map(onPicture)] : [];
    return {
      key,
      outside: line.length && !box ? short(line, RING * times) : line,
      tie: !box && far(end, place) > TIED ? short([place, end], RING * times) : null,
    };
  });
  draw(plate, shot, lines);
  return true;
}

/** Let the words stand in a list below, and numbers on the picture, told apart. */
function inList(plate, figure, shot, callouts) {
  plate.dataset.numbers = "";
  const { width, height } = shot.getBoundingClientRect();
  const size = SPREAD * callouts[0].mark.querySelector(".number").getBoundingClientRect().width;
  const places = callouts.map(({ at, box }) => (box ?? at).slice(0, 2)).map(([x, y]) => [x * width, y * height]);
  const found = markers(callouts, places, { width, height }, Math.max(SIZES.finger, size));
  const lines = callouts.map(({ key, mark }, index) => {
    move(mark, found[index], places[index]);
    return { key, tie: far(found[index], places[index]) > TIED ? short([places[index], found[index]], size / 2) : null };
  });
  draw(plate, shot, lines);
  const style = getComputedStyle(figure), stuck = style.position === "sticky" ? figure.offsetHeight + parseFloat(style.top) : 0;
  plate.style.setProperty("--stuck", `${stuck}px`);
}

function lay(plate) {
  const figure = plate.querySelector("figure"), shot = figure.querySelector(".shot"), list = plate.querySelector(".callouts");
  const callouts = [...list.children].map((words) => callout(words, shot));
  plate.querySelector(":scope > .leaders")?.remove();
  for (const name of ["leaders", "numbers", "listed"]) delete plate.dataset[name];
  for (const { mark } of callouts) for (const name of ["--dx", "--dy"]) mark.style.removeProperty(name);
  list.style.removeProperty("--room");
  const margins = Number(getComputedStyle(plate).getPropertyValue("--margins"));
  if (margins && inMargins(plate, figure, shot, list, callouts, margins)) return;
  delete plate.dataset.leaders;
  plate.dataset.listed = "";
  inList(plate, figure, shot, callouts);
}

// --- light on a callout's words, point and leader together -----------------------------------------

const plates = [...document.querySelectorAll(".plate")].filter((plate) => plate.querySelector(".callouts"));
let chosen = {}; // the plate and the callout that stay lit

function light(plate, key) {
  for (const each of plate.querySelectorAll("[data-callout]")) each.toggleAttribute("data-lit", each.dataset.callout === key);
}

const rest = () => plates.forEach((plate) => light(plate, plate === chosen.plate ? chosen.key : undefined));

/** Bring a callout's words and its point into view together, as far as the window is tall enough. */
function show({ plate, key }) {
  rest();
  const words = plate.querySelector(`.callout[data-callout="${key}"]`), mark = plate.querySelector(`.shot [data-callout="${key}"]`);
  const boxes = [words, mark].map((each) => each.getBoundingClientRect());
  const top = Math.min(...boxes.map((box) => box.top)), bottom = Math.max(...boxes.map((box) => box.bottom));
  const stuck = parseFloat(plate.style.getPropertyValue("--stuck")) || 0;
  const behavior = matchMedia("(prefers-reduced-motion: reduce)").matches ? "instant" : "smooth";
  if (stuck) {
    const down = boxes[0].top - stuck - 16;
    if (down < 0 || boxes[0].bottom > innerHeight) scrollBy({ top: down, behavior });
  } else if (top < 0 || bottom > innerHeight) {
    const fits = bottom - top <= innerHeight - 32;
    scrollBy({ top: fits ? (top + bottom - innerHeight) / 2 : boxes[0].bottom - innerHeight + 32, behavior });
  }
}

function choose(plate, key) {
  chosen = { plate, key };
  show(chosen);
}

/** Choose the callout that the address names. */
function chooseByAddress() {
  const target = document.getElementById(decodeURIComponent(location.hash.slice(1)));
  const plate = target?.closest(".plate"), key = target?.closest("[data-callout]")?.dataset.callout;
  if (plates.includes(plate) && key) choose(plate, key);
  else {
    chosen = {};
    rest();
  }
}

/** A point or an entry was clicked: choose it, and let the address say so. */
function click(event) {
  const plate = event.currentTarget, clicked = event.target.closest("[data-callout]");
  if (!clicked || event.defaultPrevented || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
  const { callout: key } = clicked.dataset, isPoint = clicked.matches("a");
  if (!isPoint && (event.target.closest("a, button") || getSelection().toString())) return;
  const mark = plate.querySelector(`.shot [data-callout="${key}"]`);
  if (isPoint) event.preventDefault();
  if (mark.href !== location.href) history[isPoint ? "pushState" : "replaceState"](history.state, "", mark.href);
  choose(plate, key);
  if (isPoint) {
    const words = plate.querySelector(`.callout[data-callout="${key}"]`);
    words.tabIndex = -1;
    words.focus({ preventScroll: true });
  }
}

// --- a callout's own address ------------------------------------------------------------------------

const said = document.createElement("p");

/** Give each callout a control that copies its address, where the browser lets a page copy. */
function offerLinks(plate) {
  for (const words of plate.querySelectorAll(".callout")) {
    const mark = plate.querySelector(`.shot [data-callout="${words.dataset.callout}"]`);
    const button = document.createElement("button"), about = document.createElement("span");
    button.type = "button";
    about.className = "unseen";
    about.textContent = `: ${mark.getAttribute("aria-label")}`;
    button.append("Copy link", about);
    let later;
    button.addEventListener("click", async () => {
      const done = await navigator.clipboard.writeText(mark.href).then(() => "Copied", () => "Not copied");
      said.textContent = button.firstChild.data = done;
      clearTimeout(later);
      later = setTimeout(() => (said.textContent = "", button.firstChild.data = "Copy link"), 2500);
    });
    let line = words.querySelector(".actions");
    if (!line) {
      line = document.createElement("p");
      line.className = "actions";
      words.append(line);
    }
    line.append(" ", button);
  }
}

if (navigator.clipboard?.writeText && plates.length) {
  said.className = "unseen";
  said.role = "status";
  plates[0].closest(".sheet").append(said);
  plates.forEach(offerLinks);
}
for (const plate of plates) {
  const find = (event) => event.target.closest?.("[data-callout]")?.dataset.callout;
  for (const kind of ["pointerover", "focusin"])
    plate.addEventListener(kind, (event) => (find(event) && event.pointerType !== "touch" ? light(plate, find(event)) : rest()));
  for (const kind of ["pointerleave", "focusout"]) plate.addEventListener(kind, rest);
  plate.addEventListener("click", click);
  const shot = plate.querySelector(".shot"), figure = plate.querySelector("figure");
  const now = () => `${plate.offsetWidth} ${shot.offsetWidth} ${figure.offsetHeight}`;
  let laid = "";
  const observer = new ResizeObserver(() => {
    if (now() === laid) return;
    lay(plate);
    laid = now();
    rest();
  });
  for (const each of [plate, shot, figure]) observer.observe(each);
}
const begin = () => {
  plates.forEach(lay);
  chooseByAddress();
};
document.fonts.ready.then(begin);
if (document.readyState !== "complete") addEventListener("load", () => location.hash && chooseByAddress(), { once: true });
for (const kind of ["hashchange", "popstate"]) addEventListener(kind, chooseByAddress);
