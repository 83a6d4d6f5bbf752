// The turntable: frames that turn with a finger, a mouse or the arrow keys, and once slowly by themselves.
// Without this script a still and all its frames are there. Frames are fetched when it comes near or is started.

import { button, make } from "./modules/elements.js";
import { fetched, fitting, still } from "./modules/pictures.js";

const ROUND = 14000; // milliseconds of one slow turn
const SWEEP = 0.8; // how much of the picture's width a hand sweeps for one turn

function begin(turntable) {
  const shot = turntable.querySelector(".shot"), stills = [...turntable.querySelectorAll(".frames img")], count = stills.length;
  if (count < 2) return;
  const img = shot.querySelector("img"), marks = [...shot.querySelectorAll("[data-frame]")], told = [...turntable.querySelectorAll(".frame-callout")];
  const frames = []; // pictures held here, so that none is fetched or decoded anew; none until all have come
  let now = 0, fetching = null, turning = null, touched = false;

  const play = button("Turn slowly", () => {
    const was = turning;
    take();
    if (!was) turn(Infinity);
  }, "turn-play");
  const input = make("input", { type: "range", min: 1, max: count, step: 1, value: 1, ariaLabel: "Turn the model" });
  const words = make("span", { className: "turn-count", ariaHidden: "true" });
  const bar = make("div", { className: "turn-bar" }, play, input, words);
  bar.dataset.searchExclude = "";
  shot.after(bar);
  turntable.classList.add("is-turning");

  const show = (frame) => {
    now = ((frame % count) + count) % count;
    if (frames.length && img.src !== frames[now].src) img.src = frames[now].src;
    input.value = now + 1;
    const here = told.filter((one) => Number(one.dataset.frame) === now + 1).map((one) => one.querySelector("h3, .prose")?.textContent.trim());
    input.ariaValueText = [`frame ${now + 1} of ${count}`, ...here].join(", ");
    words.textContent = `${now + 1} of ${count}`;
    for (const mark of marks) mark.toggleAttribute("data-away", Number(mark.dataset.frame) !== now + 1);
    for (const one of told) one.toggleAttribute("data-lit", Number(one.dataset.frame) === now + 1);
  };

  /** Fetch every frame at the width it stands in; resolves when all have come. */
  const fetchAll = () =>
    (fetching ??= (async () => {
      await fetched(img);
      const come = await Promise.all(stills.map(async (one) => {
        const frame = new Image();
        frame.src = fitting(one, shot.clientWidth, img).address;
        await frame.decode().catch(() => {});
        return frame;
      }));
      frames.push(...come);
      img.decoding = "sync";
      show(now);
      for (const source of shot.querySelectorAll("source")) source.remove();
    })());

  const stop = () => {
    turning = null;
    play.textContent = "Turn slowly";
  };
  const turn = async (rounds) => {
    const own = (turning = {});
    play.textContent = "Stop";
    await fetchAll();
    const from = now, began = performance.now();
    const step = () => {
      if (turning !== own) return;
      const gone = ((performance.now() - began) / ROUND) * count;
      if (gone >= rounds * count || still()) {
        show(from);
        return stop();
      }
      if (from + Math.floor(gone) !== now) show(from + Math.floor(gone));
      requestAnimationFrame(step);
    };
    step();
  };
  const take = () => {
    touched = true;
    stop();
    fetchAll();
  };

  input.addEventListener("input", () => {
    take();
    show(input.value - 1);
  });
  input.addEventListener("keydown", (event) => {
    const way = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 }[event.key];
    if (!way) return;
    event.preventDefault(); // round and round, where a slider would stop at its ends
    take();
    show(now + way);
  });
  shot.addEventListener("pointerdown", (event) => {
    if (event.button || event.target.closest("a")) return;
    take();
    event.preventDefault();
    shot.setPointerCapture(event.pointerId);
    const from = now, x = event.clientX;
    const move = (moved) => show(from + Math.round(((moved.clientX - x) / (shot.clientWidth * SWEEP)) * count));
    shot.addEventListener("pointermove", move);
    for (const kind of ["pointerup", "pointercancel"]) shot.addEventListener(kind, () => shot.removeEventListener("pointermove", move), { once: true });
  });
  for (const one of told) {
    const way = button("Turn to it", () => {
      take();
      show(one.dataset.frame - 1);
      shot.scrollIntoView({ block: "nearest" });
    }, "to-frame");
    way.append(make("span", { className: "unseen" }, `: number ${one.dataset.callout}, frame ${one.dataset.frame}`));
    one.append(way);
  }

  const led = () => {
    const target = document.getElementById(decodeURIComponent(location.hash.slice(1)))?.closest?.(".frame-callout");
    if (!target || !turntable.contains(target)) return;
    take();
    show(target.dataset.frame - 1);
  };
  show(0);
  led();
  addEventListener("hashchange", led);

  if (navigator.connection?.saveData) return;
  new IntersectionObserver(([entry], watch) => {
    if (!entry.isIntersecting) return;
    watch.disconnect();
    fetchAll();
  }, { rootMargin: "50%" }).observe(shot);
  new IntersectionObserver(([entry], watch) => {
    if (!entry.isIntersecting) {
      if (turning) stop(); // nobody looks
      return;
    }
    if (touched || still()) return;
    touched = true;
    turn(1);
  }, { threshold: 0.6 }).observe(shot);
}

document.querySelectorAll(".turntable").forEach(begin);
