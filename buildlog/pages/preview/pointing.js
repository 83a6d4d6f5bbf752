// Pointing, while the site is previewed: a place shown on a picture becomes ready lines for its record. A click gives a
// point, a drag a region; callouts that are there can be moved by mouse and arrow keys and give their new line.

const STEP = 0.002, STRIDE = 0.01; // shares of the picture that an arrow key moves, and with Shift
const REACH = 14; // px from a mark within which it is the mark that is meant
const DRAG = 6; // px after which a press is a drag
const KEPT = "buildlog pointing"; // pictures pointed at, so that they stay so when the page is made anew

const style = document.createElement("link");
style.rel = "stylesheet";
style.href = new URL("pointing.css", import.meta.url);
document.head.append(style);

const clamp = (value, low, high) => Math.min(high, Math.max(low, value));
const show = (value) => value.toFixed(3);
const written = (place) => `${place.length === 2 ? "at" : "box"}: [${place.map(show).join(", ")}]`;

/** Keep a place within its picture: the point itself, or the whole of a region. */
function within(place) {
  if (place.length === 2) return place.map((value) => clamp(value, 0, 1));
  const [left, top, width, height] = place;
  return [clamp(left, 0, 1 - width), clamp(top, 0, 1 - height), width, height];
}

const NAMES = { 2: ["--across", "--down"], 4: ["--left", "--top", "--width", "--height"] };
const put = (mark, place) => NAMES[place.length].forEach((name, k) => mark.style.setProperty(name, `${(place[k] * 100).toFixed(2)}%`));
const placeOf = (mark) => NAMES[mark.matches(".region") ? 4 : 2].map((name) => parseFloat(mark.style.getPropertyValue(name)) / 100);

function make(name, classes, text = "") {
  const made = document.createElement(name);
  made.className = classes;
  made.textContent = text;
  return made;
}

class Pointer {
  constructor(plate, number) {
    this.plate = plate;
    this.key = `${location.pathname} ${number}`;
    this.shot = plate.querySelector(".shot");
    this.button = make("button", "pointing-switch", "Point");
    this.button.type = "button";
    this.pad = make("div", "pointing-pad");
    this.pad.tabIndex = 0;
    this.pad.setAttribute("role", "application");
    this.pad.setAttribute("aria-label", "Point: click for a point, drag for a region, or arrow keys and Enter");
    this.said = make("p", "pointing-said");
    this.said.setAttribute("role", "status");
    this.lines = make("pre", "pointing-lines");
    this.lines.tabIndex = 0;
    this.note = make("div", "pointing-note");
    this.note.append(this.said, this.lines);
    this.bar = make("div", "pointing-bar");
    this.bar.append(this.button);
    this.shot.after(this.bar);
    this.button.addEventListener("click", () => this.turn(!this.isOn));
    for (const kind of ["pointerdown", "pointermove", "pointerup", "pointercancel"]) this.pad.addEventListener(kind, (event) => this[kind](event));
    this.pad.addEventListener("click", (event) => event.stopPropagation());
    this.shot.addEventListener("keydown", (event) => this.keydown(event));
    this.turn(sessionStorage.getItem(KEPT)?.split("\n").includes(this.key) ?? false);
  }

  turn(on) {
    this.isOn = on;
    this.button.setAttribute("aria-pressed", on);
    this.plate.toggleAttribute("data-pointing", on);
    const kept = new Set((sessionStorage.getItem(KEPT) ?? "").split("\n").filter(Boolean));
    if (on) kept.add(this.key);
    else kept.delete(this.key);
    sessionStorage.setItem(KEPT, [...kept].join("\n"));
    if (!on) {
      for (const each of [this.pad, this.note, this.fresh]) each?.remove();
      return;
    }
    this.shot.append(this.pad);
    this.bar.append(this.note);
    this.lines.hidden = true;
    this.said.textContent = "Click for a point, drag for a region. Marks that are there can be dragged, or moved with the arrow keys.";
  }

  /** Where on the picture a pointer is, as shares. */
  at(event) {
    const box = this.shot.getBoundingClientRect();
    return [clamp((event.clientX - box.left) / box.width, 0, 1), clamp((event.clientY - box.top) / box.height, 0, 1)];
  }

  /** The mark that a pointer means: a ring, or the outline of a region. */
  meant(event) {
    return [...this.shot.querySelectorAll("[data-callout]")].find((mark) => {
      const box = mark.getBoundingClientRect(), { clientX: x, clientY: y } = event;
      if (!mark.matches(".region")) return Math.hypot(x - box.left - box.width / 2, y - box.top - box.height / 2) <= REACH;
      const edge = Math.min(Math.abs(x - box.left), Math.abs(x - box.right), Math.abs(y - box.top), Math.abs(y - box.bottom));
      return edge <= REACH / 2 && x > box.left - REACH && x < box.right + REACH && y > box.top - REACH && y < box.bottom + REACH;
    });
  }

  pointerdown(event) {
    if (event.button) return;
    event.preventDefault();
    this.pad.focus({ preventScroll: true });
    this.pad.setPointerCapture(event.pointerId);
    const mark = this.meant(event), at = this.at(event);
    this.drag = { x: event.clientX, y: event.clientY, at, mark, from: mark && placeOf(mark), moved: false };
  }

  pointermove(event) {
    if (!this.drag) return;
    const { x, y, at, mark, from } = this.drag, now = this.at(event);
    this.drag.moved ||= Math.hypot(event.clientX - x, event.clientY - y) > DRAG;
    if (!this.drag.moved) return;
    if (mark) put(mark, (this.drag.place = within([from[0] + now[0] - at[0], from[1] + now[1] - at[1], ...from.slice(2)])));
    else this.draft([Math.min(at[0], now[0]), Math.min(at[1], now[1]), Math.abs(now[0] - at[0]), Math.abs(now[1] - at[1])]);
  }

  pointerup(event) {
    if (!this.drag) return;
    const { at, mark, moved, place } = this.drag;
    this.drag = null;
    if (mark && moved) this.moved(mark, place);
    else if (mark) mark.focus();
    else {
      if (!moved) this.draft(at);
      this.offer();
    }
  }

  pointercancel() {
    this.drag = null;
  }

  keydown(event) {
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    const mark = event.target.closest("a[data-callout]");
    if (!this.isOn || event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === "Enter" && !mark && this.place) this.offer();
    if (!way) return;
    event.preventDefault();
    event.stopPropagation();
    const by = event.shiftKey ? STRIDE : STEP;
    const place = mark ? placeOf(mark) : (this.place ?? [0.5, 0.5]);
    const next = within([place[0] + way[0] * by, place[1] + way[1] * by, ...place.slice(2)]);
    if (mark) {
      put(mark, next);
      this.moved(mark, next);
    } else this.draft(next);
  }

  /** Show a place that no record has yet. */
  draft(place) {
    this.place = place;
    this.fresh?.remove();
    this.fresh = make("div", place.length === 2 ? "pointing-new point" : "pointing-new region");
    this.fresh.append(make("span", "number", "+"));
    put(this.fresh, place);
    this.shot.append(this.fresh);
    this.said.textContent = written(place);
  }

  /** A further callout: its lines, and where they go. */
  offer() {
    const { record, after, begin, indent } = this.plate.dataset;
    const lines = [...(begin ? begin.split("\n") : []), `${indent}- ${written(this.place)}`, `${indent}  text: >-`, `${indent}    `];
    this.copy(lines.join("\n") + "\n", `${record}, after line ${after}`);
  }

  /** A callout that is there, at its new place: its line again. */
  moved(mark, place) {
    const { first, last, before, behind } = this.plate.querySelector(`.callout[data-callout="${mark.dataset.callout}"]`).dataset;
    const where = first === last ? `line ${first}` : `lines ${first} to ${last}`;
    clearTimeout(this.later);
    const text = `${before}${written(place)}${behind}\n`;
    this.later = setTimeout(() => this.copy(text, `${this.plate.dataset.record}, in place of ${where}`), 250);
  }

  async copy(text, where) {
    this.lines.hidden = false;
    this.lines.textContent = text;
    const copied = await (navigator.clipboard?.writeText(text).then(() => true, () => false) ?? false);
    this.said.textContent = `${copied ? "Copied, for" : "To copy, for"} ${where}:`;
  }
}

document.querySelectorAll(".plate[data-record]").forEach((plate, number) => new Pointer(plate, number));
