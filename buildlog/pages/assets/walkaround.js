// The walkaround: leaders from each callout's words in the margin to its point on the picture, and light on both
// when either is looked at. Without this script points and callouts are numbered alike.

const GAP = 18; // pixels between two callouts in a margin
const ROOM = 2.1; // how many times the picture's height a margin may need before it is left numbered
const SVG = "http://www.w3.org/2000/svg";

/** Whether two straight leaders cross. All begin on one upright line, so a shared end is no crossing. */
function cross(a, b) {
  const side = (p, q, r) => Math.sign((q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x));
  return side(a.from, a.to, b.from) * side(a.from, a.to, b.to) < 0 && side(b.from, b.to, a.from) * side(b.from, b.to, a.to) < 0;
}

/**
 * Stack callouts down a margin in their order, each as near to level with its point as the others let it be.
 * Callouts that would overlap move as one block, which stands where its members together would rather be.
 */
function stack(callouts, room) {
  const blocks = [];
  for (const callout of callouts) {
    let block = { members: [callout], size: callout.height, wish: callout.wish };
    for (;;) {
      block.top = Math.max(0, Math.min(block.wish, room - block.size));
      const above = blocks.at(-1);
      if (!above || above.top + above.size + GAP <= block.top) break;
      blocks.pop();
      const n = above.members.length, m = block.members.length;
      block = {
        members: [...above.members, ...block.members],
        size: above.size + GAP + block.size,
        wish: (above.wish * n + (block.wish - above.size - GAP) * m) / (n + m),
      };
    }
    blocks.push(block);
  }
  for (const block of blocks) {
    let top = block.top;
    for (const callout of block.members) {
      callout.top = top;
      top += callout.height + GAP;
    }
  }
}

/** Place one margin's callouts so that no two of its leaders cross. */
function place(callouts, knee, room) {
  const order = [...callouts].sort((a, b) => a.point.y - b.point.y);
  for (let tries = 0; tries < 60; tries++) {
    stack(order, room);
    for (const callout of order) callout.leader = { from: { x: knee, y: callout.top + callout.shelf }, to: callout.point };
    const pair = order.flatMap((a, i) => order.slice(i + 1).map((b, j) => [i, i + 1 + j, cross(a.leader, b.leader)])).find(([, , crossed]) => crossed);
    if (!pair) return;
    const [i, j] = pair;
    [order[i], order[j]] = [order[j], order[i]];
  }
}

/** Where a leader to a callout ends: at the ring round its point, or at the edge of its region. */
function end(mark, origin, knee) {
  const { left, right, top, bottom } = within(mark, origin);
  if (!mark.matches(".region")) return { x: (left + right) / 2, y: (top + bottom) / 2 };
  return { x: knee < left ? left : Math.min(right, knee), y: (top + bottom) / 2 };
}

/** An element's edges, measured from the plate's corner. */
function within(element, origin) {
  const box = element.getBoundingClientRect();
  return { left: box.left - origin.left, right: box.right - origin.left, top: box.top - origin.top, bottom: box.bottom - origin.top };
}

function line(group, kind, points) {
  const path = document.createElementNS(SVG, "path");
  path.setAttribute("class", kind);
  path.setAttribute("d", "M" + points.map(({ x, y }) => `${x.toFixed(1)} ${y.toFixed(1)}`).join("L"));
  group.append(path);
}

/** Where a straight line to a point on the picture comes in over the picture's edge. */
function entry(from, to, frame) {
  let share = 0;
  for (const [axis, low, high] of [["x", frame.left, frame.right], ["y", frame.top, frame.bottom]]) {
    const edge = from[axis] < low ? low : from[axis] > high ? high : from[axis];
    if (edge !== from[axis]) share = Math.max(share, Math.min(1, (edge - from[axis]) / (to[axis] - from[axis])));
  }
  return { x: from.x + (to.x - from.x) * share, y: from.y + (to.y - from.y) * share };
}

/** Draw a leader: in ink up to the picture, in two tones over it, and short of the ring so that what it rings is seen. */
function draw(svg, callout, start, ring, frame) {
  const group = document.createElementNS(SVG, "g");
  group.dataset.callout = callout.key;
  const { from, to } = callout.leader;
  const length = Math.hypot(to.x - from.x, to.y - from.y) || 1;
  const stop = callout.mark.matches(".region") ? 0 : Math.min(ring, length);
  const tip = { x: to.x - ((to.x - from.x) * stop) / length, y: to.y - ((to.y - from.y) * stop) / length };
  const edge = entry(from, tip, frame);
  line(group, "halo", [edge, tip]);
  line(group, "stub", [{ x: start, y: from.y }, from, edge]);
  line(group, "lead", [edge, tip]);
  svg.append(group);
}

/** Push numbers apart that would lie on one another, and tie each that moved to its point. */
function spread(svg, callouts, shot) {
  const size = 30;
  for (let pass = 0; pass < 40; pass++)
    for (const [i, a] of callouts.entries())
      for (const b of callouts.slice(i + 1)) {
        const dx = b.at.x - a.at.x, dy = b.at.y - a.at.y, far = Math.hypot(dx, dy);
        if (far >= size) continue;
        const push = (size - far) / 2 + 0.1, ux = far ? dx / far : 1, uy = far ? dy / far : 0;
        a.at.x -= ux * push; a.at.y -= uy * push;
        b.at.x += ux * push; b.at.y += uy * push;
      }
  for (const { mark, at, point, key } of callouts) {
    at.x = Math.max(shot.left + 13, Math.min(at.x, shot.right - 13));
    at.y = Math.max(shot.top + 13, Math.min(at.y, shot.bottom - 13));
    const dx = at.x - point.x, dy = at.y - point.y;
    mark.style.setProperty("--dx", `${dx.toFixed(1)}px`);
    mark.style.setProperty("--dy", `${dy.toFixed(1)}px`);
    if (Math.hypot(dx, dy) < 3) continue;
    const group = document.createElementNS(SVG, "g");
    group.dataset.callout = key;
    line(group, "halo", [at, point]);
    line(group, "lead", [at, point]);
    svg.append(group);
  }
}

function lay(plate) {
  const list = plate.querySelector(".callouts"), shot = plate.querySelector(".shot"), figure = plate.querySelector("figure");
  const margins = getComputedStyle(plate).getPropertyValue("--margins").trim();
  plate.querySelector(".leaders")?.remove();
  for (const mark of shot.querySelectorAll("[data-callout]")) ["--dx", "--dy"].forEach((name) => mark.style.removeProperty(name));
  list.style.removeProperty("--room");
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("class", "leaders");
  svg.setAttribute("aria-hidden", "true");
  const callouts = [...list.children].map((words) => ({
    words,
    key: words.dataset.callout,
    mark: shot.querySelector(`[data-callout="${words.dataset.callout}"]`),
  }));

  if (margins !== "0") {
    plate.dataset.leaders = margins;
    const sides = margins === "1" ? [callouts] : ["left", "right"].map((side) => callouts.filter(({ words }) => words.matches(`.${side}`)));
    const need = Math.max(...sides.map((side) => side.reduce((sum, { words }) => sum + words.offsetHeight + GAP, -GAP)));
    const height = figure.offsetHeight;
    if (need <= shot.offsetHeight * ROOM) {
      const room = Math.max(need, height);
      list.style.setProperty("--room", `${Math.ceil(room)}px`);
      const origin = plate.getBoundingClientRect(), frame = within(shot, origin);
      const top = list.getBoundingClientRect().top - origin.top;
      for (const side of sides) {
        if (!side.length) continue;
        const toLeft = margins === "2" && side[0].words.matches(".left");
        const words = side[0].words.getBoundingClientRect();
        const start = (toLeft ? words.right : words.left) - origin.left;
        const edge = toLeft ? frame.left : frame.right;
        const knee = start + (edge - start) * (Math.abs(edge - start) > 60 ? 0.3 : 0.55);
        for (const callout of side) {
          const title = callout.words.querySelector("h4");
          callout.height = callout.words.offsetHeight;
          callout.shelf = title ? title.offsetTop + title.offsetHeight - 0.5 : 0.5;
          callout.point = end(callout.mark, origin, knee);
          callout.point.y -= top;
          callout.wish = callout.point.y - callout.shelf;
        }
        place(side, knee, room);
        for (const callout of side) {
          callout.words.style.setProperty("--y", `${callout.top.toFixed(1)}px`);
          callout.leader = { from: { x: knee, y: callout.leader.from.y + top }, to: { x: callout.point.x, y: callout.point.y + top } };
          draw(svg, callout, start, 9, frame);
        }
      }
      plate.append(svg);
      return;
    }
    delete plate.dataset.leaders;
  }
  delete plate.dataset.leaders;
  const origin = plate.getBoundingClientRect(), frame = within(shot, origin);
  for (const callout of callouts) {
    const number = callout.mark.querySelector(".number").getBoundingClientRect();
    callout.point = { x: number.left + number.width / 2 - origin.left, y: number.top + number.height / 2 - origin.top };
    callout.at = { ...callout.point };
  }
  spread(svg, callouts, frame);
  plate.append(svg);
}

/** Light a callout's words, point and leader together. */
function light(plate, key) {
  for (const element of plate.querySelectorAll("[data-callout]")) element.toggleAttribute("data-lit", element.dataset.callout === key);
}

function lightTarget() {
  const target = document.getElementById(decodeURIComponent(location.hash.slice(1)));
  for (const plate of plates) light(plate, target && plate.contains(target) ? target.closest("[data-callout]")?.dataset.callout : undefined);
}

const plates = [...document.querySelectorAll(".plate")].filter((plate) => plate.querySelector(".callouts"));
for (const plate of plates) {
  const find = (event) => event.target.closest?.("[data-callout]")?.dataset.callout;
  for (const kind of ["pointerover", "focusin"]) plate.addEventListener(kind, (event) => light(plate, find(event)));
  for (const kind of ["pointerleave", "focusout"]) plate.addEventListener(kind, lightTarget);
  let width = 0;
  new ResizeObserver(() => {
    if (plate.offsetWidth === width) return;
    width = plate.offsetWidth;
    lay(plate);
    lightTarget();
  }).observe(plate);
}
document.fonts.ready.then(() => {
  plates.forEach(lay);
  lightTarget();
});
addEventListener("hashchange", lightTarget);
