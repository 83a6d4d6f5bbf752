// The walkaround as a film: to each picture and each callout on it in turn, near enough to see, long enough to read.

import { button, make } from "./modules/elements.js";
import { fetched, plates, read } from "./modules/pictures.js";
import { Stage } from "./modules/stage.js";

const PACES = [["slower", 140], ["normal", 200], ["faster", 300]]; // words a minute
const BREATH = 1000; // milliseconds before the reading begins
const LEAST = 3000; // milliseconds that any stop is looked at
const MOVE = 2000; // milliseconds of a usual move, to say how long all of it takes
const KEYS = [
  ["Space", "pause, go on"], ["← →", "back, next"], ["Page up, down", "picture before, after"], ["Home, End", "first, last"], ["− +", "slower, faster"],
  ["F", "full screen"], ["?", "these keys"], ["Escape", "leave"],
];

/** How many words a stop's caption has, its title among them. */
function counted(shot, callout) {
  const said = [callout?.title || shot.name, ...(callout ?? shot).said.map((node) => node.textContent)];
  return said.join(" ").split(/\s+/).filter((word) => /[\p{L}\p{N}]/u.test(word)).length;
}

/** Milliseconds that so many words take to read at a pace, and never less than the picture needs. */
const reading = (words, pace) => Math.max(LEAST, BREATH + (words * 60000) / pace);

class Film {
  constructor(home) {
    this.home = home;
    this.shots = plates().map(read);
    this.stops = this.shots.flatMap((shot) => [{ shot }, ...shot.callouts.map((callout) => ({ shot, callout }))]);
    for (const stop of this.stops) stop.words = counted(stop.shot, stop.callout);
    this.at = 0;
    this.pace = PACES[1][1];
    this.#build();
  }

  #build() {
    this.play = button("Pause", () => this.toggle(), "film-play");
    this.play.autofocus = true;
    this.back = button("Back", () => this.step(-1));
    this.next = button("Next", () => this.step(1));
    this.count = make("p", { className: "film-count" });
    this.line = make("div", { className: "film-line", ariaHidden: "true" });
    this.speed = make("select", { onchange: () => this.setPace(Number(this.speed.value)) });
    for (const [name, words] of PACES) this.speed.append(new Option(`${name}, ${words} words a minute`, words, false, words === this.pace));
    this.loop = make("input", { type: "checkbox", onchange: () => this.#state() });
    this.keys = make("dl", { className: "film-keys", id: "~film-keys", hidden: true });
    for (const [key, does] of KEYS) this.keys.append(make("div", {}, make("dt", {}, key), make("dd", {}, does)));
    this.askKeys = button("Keys", () => this.showKeys(), "film-ask-keys");
    this.askKeys.ariaExpanded = "false";
    this.askKeys.setAttribute("aria-controls", this.keys.id);
    this.full = button("Full screen", () => this.fill(), "film-full");
    this.full.hidden = !document.fullscreenEnabled;
    this.live = make("div", { className: "film-live", ariaLive: "polite", ariaAtomic: "true" });
    this.words = make("div", { className: "film-words", tabIndex: 0, role: "region", ariaLabel: "Caption" }, this.live);
    this.picture = make("div", { className: "stage film-stage" });
    this.leader = document.createElementNS("http://www.w3.org/2000/svg", "svg");
    this.leader.setAttribute("class", "film-leader");
    this.leader.ariaHidden = "true";
    this.leader.innerHTML = '<path class="halo"/><path class="lead"/>';
    const title = make("h2", { id: "~film" }, "Walkaround");
    this.room = make("div", { className: "film-room" },
      make("header", { className: "film-head" }, title, this.count, this.full, button("Leave", () => this.dialog.close(), "film-leave")),
      this.picture, this.words, this.leader,
      make("footer", { className: "film-foot" }, this.line,
        make("div", { className: "film-steps" }, this.back, this.play, this.next),
        make("label", { className: "film-pace" }, make("span", {}, "Pace"), this.speed),
        make("label", { className: "film-loop" }, this.loop, make("span", {}, "Begin again at the end")),
        this.askKeys),
      this.keys);
    this.dialog = make("dialog", { className: "film" }, this.room);
    this.dialog.dataset.searchExclude = "";
    this.dialog.setAttribute("aria-labelledby", title.id);
    document.querySelector(".sheet").append(this.dialog);
    this.stage = new Stage(this.picture, () => this.#lead());
    this.dialog.addEventListener("close", () => this.#left());
    this.dialog.addEventListener("keydown", (event) => this.#key(event));
    document.addEventListener("fullscreenchange", () => (this.full.textContent = document.fullscreenElement ? "Leave full screen" : "Full screen"));
    document.addEventListener("visibilitychange", () => document.hidden && this.dialog.open && this.pause());
    this.#touch();
  }

  /** Open the film and play it, or stand still to be stepped through. */
  open(playing) {
    this.dialog.showModal();
    document.documentElement.classList.add("has-film");
    this.playing = playing;
    if (this.done) this.at = 0;
    this.shown = null;
    this.goTo(this.at, true);
    this.last = performance.now();
    this.#tick();
  }

  get stop() { return this.stops[this.at]; }

  /** Show a stop: its words at once, its place when the picture has moved there. */
  goTo(index, cut = false) {
    this.at = Math.max(0, Math.min(this.stops.length - 1, index));
    this.spent = 0;
    this.done = false;
    const { shot, callout } = this.stop;
    if (this.shown !== shot) {
      this.stage.show(shot, (one) => make("span", {}, make("span", { className: "number" }, one.key)));
      this.shown = shot;
      cut ||= !callout;
      const after = this.shots[this.shots.indexOf(shot) + 1];
      if (after) fetched(after.img);
    }
    for (const [i, mark] of [...this.stage.marks.children].entries()) mark.toggleAttribute("data-lit", shot.callouts[i] === callout);
    this.stage.marks.toggleAttribute("data-one", Boolean(callout));
    this.stage.go(callout ? () => this.stage.near(callout) : () => this.stage.whole(), cut);
    this.#say(shot, callout);
    this.#state();
  }

  #say(shot, callout) {
    const number = callout ? [make("span", { className: "number" }, callout.key)] : [];
    this.live.replaceChildren(make("p", { className: "film-title" }, ...number, callout?.title || shot.name), ...(callout ?? shot).said.map((node) => node.cloneNode(true)));
    this.live.classList.remove("is-new");
    void this.live.offsetWidth; // the words come in anew
    this.live.classList.add("is-new");
    this.words.scrollTop = 0;
  }

  #state() {
    this.play.textContent = this.done ? "Play again" : this.playing ? "Pause" : "Play";
    this.back.ariaDisabled = String(this.at === 0);
    this.next.ariaDisabled = String(this.at === this.stops.length - 1 && !this.loop.checked);
    const left = this.stops.slice(this.at).reduce((sum, { words }) => sum + reading(words, this.pace) + MOVE, 0);
    this.count.textContent = `${this.at + 1} of ${this.stops.length}, ${left < 45000 ? "under a minute" : `about ${Math.round(left / 60000)} min`} left`;
  }

  #tick() {
    if (!this.dialog.open) return;
    const now = performance.now(), gone = now - this.last;
    this.last = now;
    const needed = reading(this.stop.words, this.pace);
    if (this.playing && !this.stage.moving) this.spent += gone;
    this.line.style.setProperty("--done", (this.at + Math.min(1, this.spent / needed)) / this.stops.length);
    if (this.spent >= needed && this.playing) {
      if (this.at < this.stops.length - 1) this.goTo(this.at + 1);
      else if (this.loop.checked) this.goTo(0);
      else {
        this.playing = false;
        this.done = true;
        this.#state();
      }
    }
    requestAnimationFrame(() => this.#tick());
  }

  toggle() {
    if (this.done) {
      this.playing = true;
      this.goTo(0);
    } else this.playing = !this.playing;
    this.#state();
  }

  pause() {
    this.playing = false;
    this.#state();
  }

  step(by) {
    const wanted = this.at + by, { length } = this.stops;
    if (this.loop.checked) this.goTo((wanted + length) % length);
    else if (wanted >= 0 && wanted < length) this.goTo(wanted);
  }

  setPace(words) {
    this.pace = words;
    this.speed.value = words;
    this.#state();
  }

  showKeys() {
    this.keys.hidden = !this.keys.hidden;
    this.askKeys.ariaExpanded = String(!this.keys.hidden);
  }

  fill() {
    if (!document.fullscreenEnabled) return;
    if (document.fullscreenElement) document.exitFullscreen();
    else this.room.requestFullscreen().catch(() => (this.full.hidden = true));
  }

  #key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.target.closest("select, input")) return;
    const { key } = event, paces = PACES.map(([, words]) => words);
    const pace = (by) => this.setPace(paces[Math.max(0, Math.min(paces.length - 1, paces.indexOf(this.pace) + by))]);
    const picture = (by) => {
      const wanted = this.shots[this.shots.indexOf(this.stop.shot) + by];
      if (wanted) this.goTo(this.stops.findIndex(({ shot }) => shot === wanted));
    };
    const does = {
      " ": () => this.toggle(), ArrowLeft: () => this.step(-1), ArrowRight: () => this.step(1),
      PageUp: () => picture(-1), PageDown: () => picture(1), Home: () => this.goTo(0), End: () => this.goTo(this.stops.length - 1),
      "-": () => pace(-1), "+": () => pace(1), "=": () => pace(1), f: () => this.fill(), F: () => this.fill(), "?": () => this.showKeys(),
    }[key];
    if (!does || (key === " " && event.target.closest("button"))) return; // a button does what it says
    event.preventDefault();
    does();
  }

  /** A tap on the picture pauses, a swipe steps. */
  #touch() {
    let from = null;
    this.picture.addEventListener("pointerdown", (event) => (from = event.button ? null : event));
    this.picture.addEventListener("pointerup", (event) => {
      if (!from) return;
      const dx = event.clientX - from.clientX, dy = event.clientY - from.clientY;
      from = null;
      if (Math.hypot(dx, dy) < 10) this.toggle();
      else if (Math.abs(dx) > 40 && Math.abs(dx) > Math.abs(dy)) this.step(dx < 0 ? 1 : -1);
    });
  }

  /** A line from the words to what they speak of, drawn once the picture stands still. */
  #lead() {
    const { stage, leader } = this, callout = this.stops[this.at]?.callout;
    leader.toggleAttribute("data-drawn", Boolean(callout) && stage.shot === this.stop.shot && !stage.moving);
    if (!callout || stage.shot !== this.stop.shot) return;
    const room = this.room.getBoundingClientRect(), frame = this.picture.getBoundingClientRect(), words = this.words.getBoundingClientRect();
    const spot = stage.spot(callout.x, callout.y * stage.ratio), half = { w: (callout.w * stage.view.k) / 2, h: (callout.h * stage.ratio * stage.view.k) / 2 };
    const to = { x: frame.left - room.left + spot.x, y: frame.top - room.top + spot.y };
    const beside = words.left >= frame.right - 1;
    const title = this.live.querySelector(".film-title")?.getBoundingClientRect();
    const from = beside && title ? { x: words.left - room.left, y: title.bottom - room.top - 0.5 } : { x: to.x, y: words.top - room.top };
    const length = Math.hypot(to.x - from.x, to.y - from.y) || 1, ux = (from.x - to.x) / length, uy = (from.y - to.y) / length;
    // the line ends at the ring, or at the region's edge
    const stop = callout.w ? Math.min(ux ? half.w / Math.abs(ux) : Infinity, uy ? half.h / Math.abs(uy) : Infinity) : 15;
    const tip = { x: to.x + ux * Math.min(stop, length), y: to.y + uy * Math.min(stop, length) };
    for (const one of leader.children) one.setAttribute("d", `M${from.x} ${from.y}L${tip.x} ${tip.y}`);
  }

  #left() {
    this.playing = false;
    if (document.fullscreenElement) document.exitFullscreen();
    document.documentElement.classList.remove("has-film");
    this.home.left(this);
  }
}

function begin(head) {
  let film = null;
  const open = (playing) => {
    film ??= new Film({ left });
    film.open(playing);
  };
  const play = button("Play the walkaround", () => open(true), "film-open"), step = button("Step through", () => open(false), "film-step");
  const left = ({ at, stops, done }) => (play.textContent = at && !done ? `Go on with the walkaround, ${at + 1} of ${stops.length}` : "Play the walkaround");
  const ways = make("p", { className: "film-ways" }, play, step);
  ways.dataset.searchExclude = "";
  head.append(ways);
}

const head = document.querySelector(".walk-head");
if (head && HTMLDialogElement.prototype.showModal) begin(head);
