// The large picture: zoomed and moved by mouse, touch and keys, its callouts on it, from one picture to the next.

import { button, make } from "./elements.js";
import { read } from "./pictures.js";
import { Stage } from "./stage.js";

const CLOSER = 1.5; // one press of "Larger"
const TWICE = 300; // milliseconds between the taps of a double one
const STEP = 0.15; // of the stage's width: one press of an arrow key

class Viewer {
  constructor(plates) {
    this.shots = plates.map(read);
    this.name = make("h2", { id: "~large", className: "large-name" });
    this.count = make("p", { className: "large-count" });
    const of = () => make("span", { className: "unseen" }, " picture");
    this.earlier = button("Previous", () => this.turn(-1));
    this.earlier.append(of());
    this.later = button("Next", () => this.turn(1));
    this.later.append(of());
    this.smaller = button("Smaller", () => this.zoom(1 / CLOSER));
    this.larger = button("Larger", () => this.zoom(CLOSER));
    this.whole = button("Whole", () => this.stage.go(() => this.stage.whole()));
    this.points = button("Hide points", () => this.showPoints(this.picture.hasAttribute("data-bare")));
    this.picture = make("div", { className: "stage large-stage" });
    this.words = make("div", { className: "large-words", hidden: true, id: "~large-words", role: "status" });
    this.dialog = make("dialog", { className: "large" },
      make("header", { className: "film-head" }, this.name, this.count, button("Close", () => this.dialog.close(), "film-leave")),
      make("div", { className: "large-room" }, this.picture, this.words),
      make("footer", { className: "film-foot" },
        make("div", { className: "film-steps" }, this.earlier, this.later),
        make("div", { className: "film-steps" }, this.smaller, this.larger, this.whole), this.points));
    this.dialog.setAttribute("aria-labelledby", this.name.id);
    this.dialog.dataset.searchExclude = "";
    document.querySelector(".sheet").append(this.dialog);
    this.stage = new Stage(this.picture, () => this.#state());
    this.dialog.addEventListener("keydown", (event) => this.#key(event));
    this.dialog.addEventListener("close", () => {
      document.documentElement.classList.remove("has-film");
      this.opener?.focus();
    });
    this.#pointers();
  }

  open(index, opener) {
    this.opener = opener;
    this.dialog.showModal();
    document.documentElement.classList.add("has-film");
    this.#show(index);
  }

  #show(index) {
    const shot = this.shots[index];
    this.at = index;
    this.name.textContent = shot.name;
    this.count.textContent = `Picture ${index + 1} of ${this.shots.length}`;
    this.say(null);
    this.stage.show(shot, (callout) => {
      const point = make("button", { type: "button", onclick: () => this.say(this.said === callout ? null : callout) }, make("span", { className: "number" }, callout.key));
      point.ariaLabel = [callout.key, callout.title].filter(Boolean).join(": ");
      point.ariaExpanded = "false";
      point.setAttribute("aria-controls", this.words.id);
      // a point that is reached by key but lies off the stage is brought to its middle
      point.addEventListener("focus", () => {
        const { x, y } = this.stage.spot(callout.x, callout.y * this.stage.ratio), { width, height } = this.stage;
        if (x < 0 || y < 0 || x > width || y > height) this.stage.go(() => ({ x: callout.x, y: callout.y * this.stage.ratio, k: this.stage.view.k }));
      });
      return point;
    });
    this.earlier.ariaDisabled = String(index === 0);
    this.later.ariaDisabled = String(index === this.shots.length - 1);
    this.points.hidden = !shot.callouts.length;
  }

  turn(by) {
    if (this.shots[this.at + by]) this.#show(this.at + by);
  }

  showPoints(shown) {
    this.picture.toggleAttribute("data-bare", !shown);
    this.points.textContent = shown ? "Hide points" : "Show points";
    if (!shown) this.say(null);
  }

  /** Show the words of a callout where they do not cover it; hide them for none. */
  say(callout) {
    this.said = callout;
    for (const [index, mark] of [...this.stage.marks.children].entries()) {
      const lit = Boolean(callout) && this.stage.shot.callouts[index] === callout;
      mark.toggleAttribute("data-lit", lit);
      mark.ariaExpanded = String(lit);
    }
    this.words.hidden = !callout;
    if (!callout) return;
    const { x, y } = this.stage.spot(callout.x, callout.y * this.stage.ratio);
    this.words.dataset.corner = `${y < this.stage.height / 2 ? "bottom" : "top"} ${x < this.stage.width / 2 ? "right" : "left"}`;
    const title = make("p", { className: "film-title" }, make("span", { className: "number" }, callout.key), callout.title || this.name.textContent);
    this.words.replaceChildren(title, ...callout.said.map((node) => node.cloneNode(true)), button("Hide words", () => {
      const point = this.stage.marks.children[this.stage.shot.callouts.indexOf(callout)];
      this.say(null);
      point.focus();
    }));
  }

  /** Zoom by a factor round a place of the stage, by default its middle. */
  zoom(factor, x = this.stage.width / 2, y = this.stage.height / 2, cut = false) {
    const { stage } = this, { view } = stage, dx = x - stage.width / 2, dy = y - stage.height / 2;
    const k = Math.max(stage.far, Math.min(view.k * factor, stage.nearest));
    const aim = { x: view.x + dx / view.k - dx / k, y: view.y + dy / view.k - dy / k, k };
    if (cut) stage.set(aim);
    else stage.go(() => aim);
  }

  move(dx, dy) {
    const { view } = this.stage;
    this.stage.set({ x: view.x + dx / view.k, y: view.y + dy / view.k, k: view.k });
  }

  get isWhole() { return this.stage.view.k < this.stage.far * 1.01; }

  #state() {
    const { view, far, nearest } = this.stage;
    const isWhole = view.k < far * 1.01;
    this.smaller.ariaDisabled = this.whole.ariaDisabled = String(isWhole);
    this.larger.ariaDisabled = String(view.k > nearest * 0.99);
    this.picture.toggleAttribute("data-near", !isWhole);
  }

  #key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const by = this.stage.width * STEP, { key } = event, sideways = { ArrowLeft: -1, ArrowRight: 1 }[key];
    const does = {
      "+": () => this.zoom(CLOSER), "=": () => this.zoom(CLOSER), "-": () => this.zoom(1 / CLOSER),
      0: () => this.stage.go(() => this.stage.whole()),
      ArrowUp: () => this.move(0, -by), ArrowDown: () => this.move(0, by),
      ArrowLeft: () => this.move(-by, 0), ArrowRight: () => this.move(by, 0),
      PageUp: () => this.turn(-1), PageDown: () => this.turn(1),
    }[key];
    if (!does) return;
    event.preventDefault();
    if (sideways && this.isWhole) this.turn(sideways);
    else does();
  }

  #pointers() {
    const held = new Map(), { picture } = this;
    let began = null, tap = null, span = 0;
    const place = (event) => {
      const box = picture.getBoundingClientRect();
      return { x: event.clientX - box.left, y: event.clientY - box.top };
    };
    const middle = () => {
      const [a, b] = [...held.values()];
      return { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2, span: Math.hypot(a.x - b.x, a.y - b.y) };
    };
    picture.addEventListener("pointerdown", (event) => {
      if (event.button || event.target.closest("button")) return;
      event.preventDefault();
      picture.setPointerCapture(event.pointerId);
      held.set(event.pointerId, place(event));
      if (held.size === 1) began = { ...place(event), moved: false };
      else {
        span = middle().span;
        began = null;
      }
    });
    picture.addEventListener("pointermove", (event) => {
      const from = held.get(event.pointerId);
      if (!from) return;
      const to = place(event);
      if (held.size === 2) {
        const before = middle();
        held.set(event.pointerId, to);
        const now = middle();
        this.move(before.x - now.x, before.y - now.y);
        this.zoom(now.span / (span || 1), now.x, now.y, true);
        span = now.span;
        return;
      }
      held.set(event.pointerId, to);
      if (began && Math.hypot(to.x - began.x, to.y - began.y) > 5) began.moved = true;
      if (began?.moved && !this.isWhole) this.move(from.x - to.x, from.y - to.y);
    });
    const up = (event) => {
      if (!held.delete(event.pointerId) || !began || held.size) return;
      const at = place(event), dx = at.x - began.x, dy = at.y - began.y;
      if (began.moved) {
        if (this.isWhole && Math.abs(dx) > 50 && Math.abs(dx) > Math.abs(dy)) this.turn(dx < 0 ? 1 : -1);
      } else if (tap) {
        clearTimeout(tap);
        tap = null;
        if (this.isWhole) this.zoom(2.5, at.x, at.y);
        else this.stage.go(() => this.stage.whole());
      } else {
        // a single tap brings its place to the middle, so that nothing need be dragged
        tap = setTimeout(() => {
          tap = null;
          const { view } = this.stage;
          if (!this.isWhole) this.stage.go(() => ({ x: view.x + (at.x - this.stage.width / 2) / view.k, y: view.y + (at.y - this.stage.height / 2) / view.k, k: view.k }));
        }, TWICE);
      }
      began = null;
    };
    picture.addEventListener("pointerup", up);
    picture.addEventListener("pointercancel", (event) => held.delete(event.pointerId));
    picture.addEventListener("wheel", (event) => {
      event.preventDefault();
      const lines = event.deltaMode === 1 ? 16 : 1, { x, y } = place(event);
      this.zoom(Math.exp(-event.deltaY * lines * (event.ctrlKey ? 0.01 : 0.0015)), x, y, true);
    }, { passive: false });
  }
}

let viewer = null;

/** Open the picture of a plate; `opener` gets the focus back. */
export function open(plates, index, opener) {
  viewer ??= new Viewer(plates);
  viewer.open(index, opener);
}
