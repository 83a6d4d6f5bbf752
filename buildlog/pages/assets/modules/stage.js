// A stage: one picture seen from near or far, with its callouts on it. The tour and the large picture share it.
//
// A view is {x, y, k}: the place in the middle, in widths of the picture, and how many pixels wide the whole would be.

import { files, fetched, fitting, still } from "./pictures.js";

const NEAR = 2.4; // how many times nearer a callout is seen than the whole
const ASIDE = 0.17; // shares of the stage by which a callout stands beside its middle, to show more of the model
const SHARPEST = 1.25; // CSS pixels that one pixel of the largest file may fill
const FASTEST = 1200, SLOWEST = 3400; // milliseconds of a move
const PACE = 2100; // milliseconds for each unit of a path's length

/**
 * The path between two views that feels shortest: it draws back where they lie far apart.
 *
 * Source: J. J. van Wijk and W. A. A. Nuij, "Smooth and efficient zooming and panning", IEEE InfoVis 2003; rho below their
 * 1.42 draws back less far.
 */
function path(a, b, width) {
  const rho = 1.25, dx = b.x - a.x, dy = b.y - a.y, d = Math.max(1e-5, Math.hypot(dx, dy)), w0 = width / a.k, w1 = width / b.k;
  const angle = (w, sign) => -Math.asinh((w1 * w1 - w0 * w0 + sign * rho ** 4 * d * d) / (2 * w * rho * rho * d));
  const r0 = angle(w0, 1), length = (angle(w1, -1) - r0) / rho;
  const at = (t) => {
    const r = rho * length * t + r0, part = (w0 / (rho * rho * d)) * (Math.cosh(r0) * Math.tanh(r) - Math.sinh(r0));
    return { x: a.x + dx * part, y: a.y + dy * part, k: (a.k * Math.cosh(r)) / Math.cosh(r0) };
  };
  return { length, at };
}

export class Stage {
  /** @param onDraw Called after each drawing with the stage. */
  constructor(element, onDraw = () => {}) {
    this.element = element;
    this.onDraw = onDraw;
    this.marks = document.createElement("div");
    this.marks.className = "stage-marks";
    element.append(this.marks);
    new ResizeObserver(() => this.layer && this.width && this.size !== this.fitted && this.#fit()).observe(element);
  }

  get width() { return this.element.clientWidth; }
  get height() { return this.element.clientHeight; }
  get size() { return `${this.width} ${this.height}`; }
  /** Pixels of the picture's width when all of it is just seen. */
  get far() { return Math.min(this.width, this.height / this.ratio); }
  /** Pixels of its width at the nearest that still looks sharp enough. */
  get nearest() { return Math.max(this.far, files(this.shot.img).at(-1).width * SHARPEST, this.far * 1.5); }

  /** Put another picture on the stage, seen as a whole. `mark(callout)` makes the mark of each of its callouts. */
  show(shot, mark) {
    const old = this.layer;
    this.shot = shot;
    this.ratio = shot.height / shot.width;
    this.layer = document.createElement("img");
    this.layer.alt = shot.img.alt;
    this.layer.draggable = false;
    this.layer.style.cssText = shot.img.style.cssText;
    this.have = 0;
    const { layer } = this;
    fetched(shot.img).then((address) => {
      if (layer.src) return;
      layer.src = address;
      this.have = files(shot.img).find((file) => file.address === address)?.width ?? 0;
      if (this.layer === layer) this.#sharpen(this.want ?? this.view.k);
    });
    this.element.insertBefore(layer, this.marks);
    if (old && !still()) {
      layer.classList.add("is-coming");
      layer.addEventListener("animationend", () => old.remove(), { once: true });
      setTimeout(() => old.remove(), 1500);
    } else old?.remove();
    this.marks.replaceChildren(...shot.callouts.map((callout) => {
      const element = mark(callout);
      element.classList.add(callout.w ? "stage-region" : "stage-point");
      return element;
    }));
    this.want = undefined;
    this.aim = () => this.whole();
    this.moving = null;
    this.#fit();
  }

  whole() { return { x: 0.5, y: this.ratio / 2, k: this.far }; }

  /** A callout with its surroundings: near enough for the point to be seen well, far enough to know where it is. */
  near({ x, y, w, h }) {
    const { width, height, ratio } = this, room = Math.min(w ? width / w : Infinity, h ? height / (h * ratio) : Infinity) / 2;
    const k = Math.max(this.far, Math.min(this.far * NEAR, room, this.nearest));
    const inwards = (at, middle, size) => at + Math.max(-ASIDE * size, Math.min(middle - at, ASIDE * size));
    return this.clamped({ x: inwards(x, 0.5, width / k), y: inwards(y * ratio, ratio / 2, height / k), k });
  }

  /** The view nearest to one which shows nothing beside the picture that need not be shown. */
  clamped({ x, y, k }) {
    k = Math.max(this.far, Math.min(k, this.nearest));
    const within = (at, size, room) => (size <= room ? size / 2 : Math.max(room / 2, Math.min(at, size - room / 2)));
    return { x: within(x * k, k, this.width) / k, y: within(y * k, k * this.ratio, this.height) / k, k };
  }

  /** Where a place of the picture, in widths, lies on the stage, in pixels. */
  spot(x, y) {
    return { x: (x - this.view.x) * this.view.k + this.width / 2, y: (y - this.view.y) * this.view.k + this.height / 2 };
  }

  /** Go to a view: `aim` gives it, and gives it again when the stage has changed its size. Move unless told to cut. */
  go(aim, cut = false) {
    this.aim = aim;
    const to = this.clamped(aim());
    this.#sharpen(to.k);
    if (cut || still()) {
      this.moving = null;
      return this.#draw(to);
    }
    const way = path(this.view, to, this.width);
    this.moving = { way, time: way.length < 0.01 ? 1 : Math.max(FASTEST, Math.min(SLOWEST, way.length * PACE)), began: performance.now() };
    this.#step(this.moving);
  }

  /** Set a view at once, as a finger or a wheel does. */
  set(view) {
    this.moving = null;
    const own = this.clamped(view), part = own.k / this.far;
    this.aim = () => ({ ...own, k: part * this.far });
    this.#draw(own);
    this.#sharpen(own.k);
  }

  #step(moving) {
    if (this.moving !== moving) return;
    const t = Math.min(1, (performance.now() - moving.began) / moving.time);
    if (t === 1) this.moving = null;
    const eased = t * t * t * (t * (6 * t - 15) + 10); // slow at both ends, and never a jerk
    this.#draw(this.clamped(this.moving ? moving.way.at(eased) : this.aim()));
    if (this.moving) requestAnimationFrame(() => this.#step(moving));
  }

  #fit() {
    this.moving = null;
    this.fitted = this.size;
    this.base = this.far; // what is nearer is scaled, so that a move costs no layout
    this.layer.style.width = `${this.base}px`;
    this.layer.style.height = `${this.base * this.ratio}px`;
    this.#draw(this.clamped(this.aim()));
    this.#sharpen(this.view.k);
  }

  #draw(view) {
    this.view = view;
    this.element.classList.toggle("is-moving", Boolean(this.moving));
    const { x, y } = this.spot(0, 0);
    this.layer.style.transform = `translate(${x}px, ${y}px) scale(${view.k / this.base})`;
    for (const [index, callout] of this.shot.callouts.entries()) {
      const at = this.spot(callout.x - callout.w / 2, (callout.y - callout.h / 2) * this.ratio), { style } = this.marks.children[index];
      style.transform = `translate(${at.x}px, ${at.y}px)`;
      if (callout.w) {
        style.width = `${callout.w * view.k}px`;
        style.height = `${callout.h * this.ratio * view.k}px`;
      }
    }
    this.onDraw(this);
  }

  /** Fetch a larger file of the picture when it is to be seen nearer than the one at hand allows. */
  async #sharpen(k) {
    const pixels = k * Math.min(devicePixelRatio, 2), { layer, shot } = this;
    this.want = k;
    if (!this.have || this.have >= pixels || navigator.connection?.saveData) return;
    const file = fitting(shot.img, pixels);
    if (file.width <= this.have) return;
    this.have = file.width;
    const larger = new Image();
    larger.src = file.address;
    await larger.decode().catch(() => {});
    if (larger.naturalWidth && this.have === file.width) layer.src = file.address;
  }
}
