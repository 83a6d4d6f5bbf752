// The last step of a plate's layout, in the browser: with margins and order chosen when the page was made, how high
// each label stands now that its words have wrapped, and its leader. Pure sums, no page: the twin of
// buildlog/figures/callouts (settling, marking, routing, checking), where it is said why the laws hold. Keep the two alike.
//
// Lengths are CSS px. A spot is [across from the picture's left edge, down]. A callout is
// { at: [across, down] as shares, box: [left, top, width, height] as shares or nothing, height, port } with its label's
// height and how far below the label's top its leader sets out.

const SLACK = 1e-9;
const STEPS = 8;
const NO_SHADOW = [Infinity, -Infinity, false];

/** The lengths a plate keeps to; the defaults are the style sheet's at 16 px to the rem. */
export const SIZES = Object.freeze({
  between: 35.2, stub: 10, gap: 22, clearance: 10, badge: 14, apart: 4, finger: 24, head: 0, foot: 0,
});

const sum = (numbers) => numbers.reduce((total, number) => total + number, 0);

function distance(a, b) {
  const dx = b[0] - a[0], dy = b[1] - a[1];
  return Math.sqrt(dx * dx + dy * dy);
}

function distanceToLine(spot, a, b) {
  const dx = b[0] - a[0], dy = b[1] - a[1], square = dx * dx + dy * dy;
  let along = square ? ((spot[0] - a[0]) * dx + (spot[1] - a[1]) * dy) / square : 0;
  along = along < 0 ? 0 : along > 1 ? 1 : along;
  const x = spot[0] - a[0] - along * dx, y = spot[1] - a[1] - along * dy;
  return Math.sqrt(x * x + y * y);
}

function linesMeet(a, b, c, d) {
  const turn = (p, q, r) => (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);
  return turn(a, b, c) * turn(a, b, d) < 0 && turn(c, d, a) * turn(c, d, b) < 0;
}

const parts = (line) => line.slice(1).map((spot, index) => [line[index], spot]);

function linesApart(a, b) {
  let least = Infinity;
  for (const [p, q] of parts(a))
    for (const [r, s] of parts(b)) {
      if (linesMeet(p, q, r, s)) return 0;
      least = Math.min(least, distanceToLine(p, r, s), distanceToLine(q, r, s), distanceToLine(r, p, q), distanceToLine(s, p, q));
    }
  return least;
}

// --- where leaders end -----------------------------------------------------------------------------

const near = (a, b, finger) => {
  const dx = b[0] - a[0], dy = b[1] - a[1];
  return dx * dx + dy * dy < finger * finger * (1 - SLACK);
};
const isFree = (spot, taken, finger) => !taken.some((other) => near(spot, other, finger));

function nearest(spot, places) {
  let best = null, least = Infinity;
  for (const place of places) {
    const dx = place[0] - spot[0], dy = place[1] - spot[1], square = dx * dx + dy * dy;
    if (square < least - SLACK) [best, least] = [place, square];
  }
  return best;
}

function alongEdge(spot, top, bottom, taken, finger) {
  const places = [spot];
  for (const other of taken) {
    const across = spot[0] - other[0], square = finger * finger - across * across;
    if (square > 0) places.push([spot[0], other[1] - Math.sqrt(square)], [spot[0], other[1] + Math.sqrt(square)]);
  }
  return nearest(spot, places.filter((place) => top <= place[1] && place[1] <= bottom && isFree(place, taken, finger)));
}

function nearestFree(spot, taken, picture, finger) {
  if (isFree(spot, taken, finger)) return spot;
  const { width, height } = picture, places = [];
  taken.forEach(([x, y], index) => {
    const dx = spot[0] - x, dy = spot[1] - y, far = Math.sqrt(dx * dx + dy * dy);
    if (far) places.push([x + (dx * finger) / far, y + (dy * finger) / far]);
    else places.push([x + finger, y], [x - finger, y], [x, y + finger], [x, y - finger]);
    for (const edge of [0, width]) {
      const square = finger * finger - (edge - x) * (edge - x);
      if (square >= 0) places.push([edge, y - Math.sqrt(square)], [edge, y + Math.sqrt(square)]);
    }
    for (const edge of [0, height]) {
      const square = finger * finger - (edge - y) * (edge - y);
      if (square >= 0) places.push([x - Math.sqrt(square), edge], [x + Math.sqrt(square), edge]);
    }
    for (const other of taken.slice(0, index)) {
      const ax = other[0] - x, ay = other[1] - y, square = ax * ax + ay * ay;
      if (0 < square && square < 4 * finger * finger) {
        const out = Math.sqrt((finger * finger) / square - 0.25), middleX = x + ax / 2, middleY = y + ay / 2;
        places.push([middleX - ay * out, middleY + ax * out], [middleX + ay * out, middleY - ax * out]);
      }
    }
  });
  places.push([0, 0], [0, height], [width, 0], [width, height]);
  const inside = ([x, y]) => 0 <= x && x <= width && 0 <= y && y <= height;
  return nearest(spot, places.filter((place) => inside(place) && isFree(place, taken, finger))) ?? spot;
}

/** The place each leader should lead to, down from the picture's top. */
export function aims(callouts, sides, picture) {
  return callouts.map(({ at, box }, index) => {
    const [across, down] = box ? [box[0] + (sides[index] === "right" ? box[2] : 0), box[1] + box[3] / 2] : at;
    return [across * picture.width, down * picture.height];
  });
}

/** The place each leader or number stands at: a finger's width from every other where the picture has room. */
export function markers(callouts, wanted, picture, finger = SIZES.finger) {
  const all = [...callouts.keys()], points = all.filter((index) => !callouts[index].box);
  const crowded = new Set(points.filter((index) => points.some((other) => other !== index && near(wanted[index], wanted[other], finger))));
  const placed = new Map(points.filter((index) => !crowded.has(index)).map((index) => [index, wanted[index]]));
  for (const index of points) if (crowded.has(index)) placed.set(index, nearestFree(wanted[index], [...placed.values()], picture, finger));
  for (const index of all) {
    const { box } = callouts[index];
    if (!box) continue;
    const taken = [...placed.values()], top = box[1] * picture.height, bottom = (box[1] + box[3]) * picture.height;
    placed.set(index, alongEdge(wanted[index], top, bottom, taken, finger) ?? nearestFree(wanted[index], taken, picture, finger));
  }
  return all.map((index) => placed.get(index));
}

// --- how high labels stand ---------------------------------------------------------------------------

/** The ports from which a straight leader to `end` would pass within `radius` of `ring`. */
function shadow(end, ring, radius, portX) {
  const reach = Math.abs(portX - end[0]);
  const dx = portX > end[0] ? ring[0] - end[0] : end[0] - ring[0], dy = ring[1] - end[1];
  const square = dx * dx + dy * dy - radius * radius;
  if (square <= 0) return [-Infinity, Infinity, dx >= 0];
  const root = Math.sqrt(square), up = dx * root + dy * radius, down = dx * root - dy * radius;
  const upper = () => end[1] + (reach * (dy * root - dx * radius)) / up;
  const lower = () => end[1] + (reach * (dy * root + dx * radius)) / down;
  if (dx >= 0) return [up > 0 ? upper() : -Infinity, down > 0 ? lower() : Infinity, true];
  if (dy > 0 && up > 0) return [upper(), -Infinity, false];
  if (dy < 0 && down > 0) return [Infinity, lower(), false];
  return NO_SHADOW;
}

/** The values nearest to the wishes (least squares) that never fall and each lie from `least` to `most`. */
export function inOrder(wishes, least, most) {
  const lows = [...least], highs = [...most];
  for (let k = 1; k < lows.length; k++) lows[k] = Math.max(lows[k], lows[k - 1]);
  for (let k = highs.length - 2; k >= 0; k--) highs[k] = Math.min(highs[k], highs[k + 1]);
  const blocks = [];
  wishes.forEach((wish, k) => {
    let block = { total: wish, count: 1, low: lows[k], high: highs[k], value: Math.max(lows[k], Math.min(wish, highs[k])) };
    while (blocks.length && blocks.at(-1).value > block.value) {
      const above = blocks.pop();
      const total = block.total + above.total, count = block.count + above.count;
      const low = Math.max(block.low, above.low), high = Math.min(block.high, above.high);
      block = { total, count, low, high, value: Math.max(low, Math.min(total / count, high)) };
    }
    blocks.push(block);
  });
  return blocks.flatMap(({ count, value }) => Array(count).fill(value));
}

function clash(order, offsets, stretches, first, last) {
  const lows = [];
  let low = first, by = -1;
  for (const index of order) {
    const bound = stretches[index][0] - offsets[index];
    if (bound > low) [low, by] = [bound, index];
    lows.push([low, by]);
  }
  let at = [], count = 0, high = last;
  by = -1;
  for (let k = order.length - 1; k >= 0; k--) {
    const index = order[k], bound = stretches[index][1] - offsets[index];
    if (bound < high) [high, by] = [bound, index];
    const [lowest, lowBy] = lows[k];
    if (lowest > high + SLACK) {
      count++;
      at = [Math.max(lowBy, by), Math.min(lowBy, by)].filter((each) => each >= 0);
    }
  }
  return [at.length === 2 && at[0] === at[1] ? at.slice(0, 1) : at, count];
}

function free(order, offsets, stretches, first, last, freed) {
  let [at, count] = clash(order, offsets, stretches, first, last);
  while (count) {
    let best = -1, fewest = order.length + 1, following = at;
    for (const index of at) {
      const kept = stretches[index];
      stretches[index] = [-Infinity, Infinity];
      const [after, leftOver] = clash(order, offsets, stretches, first, last);
      stretches[index] = kept;
      if (leftOver < fewest) [best, fewest, following] = [index, leftOver, after];
    }
    stretches[best] = [-Infinity, Infinity];
    freed.add(best);
    [at, count] = [following, fewest];
  }
}

function lay(picture, callouts, left, right, numbered, sizes) {
  const need = (order) => (order.length ? sum(order.map((index) => callouts[index].height)) + sizes.gap * (order.length - 1) : 0);
  const out = sizes.between - sizes.stub, portX = { left: -out, right: picture.width + out };
  const sides = callouts.map(() => "left");
  for (const index of right) sides[index] = "right";
  const wanted = aims(callouts, sides, picture), ends = markers(callouts, wanted, picture, sizes.finger);
  const figure = sizes.head + picture.height + sizes.foot;
  const height = Math.max(figure, need(left), need(right)), pictureTop = (height - figure) / 2 + sizes.head;
  const ranges = [left, right].map((order) =>
    need(order) <= picture.height + SLACK
      ? [0, Math.max(0, picture.height - need(order))]
      : [-pictureTop, Math.max(-pictureTop, height - pictureTop - need(order))],
  );
  const offsets = [], rank = [];
  for (const order of [left, right]) {
    let run = 0;
    order.forEach((index, place) => {
      rank[index] = place;
      offsets[index] = run + callouts[index].port;
      run += callouts[index].height + sizes.gap;
    });
  }
  const ports = callouts.map(() => 0);
  const stack = (order, stretches, [first, last]) => {
    const values = inOrder(
      order.map((index) => ends[index][1] - offsets[index]),
      order.map((index) => Math.max(first, stretches[index][0] - offsets[index])),
      order.map((index) => Math.min(last, stretches[index][1] - offsets[index])),
    );
    order.forEach((index, place) => (ports[index] = values[place] + offsets[index]));
  };
  if (left.length && right.length) {
    const everywhere = callouts.map(() => [-Infinity, Infinity]);
    [left, right].forEach((order, k) => stack(order, everywhere, ranges[k]));
  }
  const passesAbove = (i, j) => {
    if (i > j) return !passesAbove(j, i);
    const [[xi, yi], [xj, yj]] = [ends[i], ends[j]];
    const iAtJ = yi + ((ports[i] - yi) * (xj - xi)) / (portX[sides[i]] - xi);
    const jAtI = yj + ((ports[j] - yj) * (xi - xj)) / (portX[sides[j]] - xj);
    return iAtJ - yj + yi - jAtI <= 0;
  };
  const stretches = callouts.map((_, i) => {
    let least = -Infinity, most = Infinity;
    if (numbered.has(i)) return [least, most];
    callouts.forEach((_, j) => {
      if (i === j) return;
      const [upper, lower, isNearer] = shadow(ends[i], ends[j], numbered.has(j) ? sizes.badge : sizes.clearance, portX[sides[i]]);
      if (!isNearer) [least, most] = [Math.max(least, lower), Math.min(most, upper)];
      else if (sides[i] === sides[j] ? rank[i] < rank[j] : passesAbove(i, j)) most = Math.min(most, upper);
      else least = Math.max(least, lower);
    });
    return [least, most];
  });
  const freed = new Set(numbered);
  [left, right].forEach((order, k) => {
    free(order, offsets, stretches, ...ranges[k], freed);
    stack(order, stretches, ranges[k]);
  });
  return { sides, rank, wanted, ends, ports: ports.map((port, index) => [portX[sides[index]], port]), freed, height, pictureTop };
}

// --- elbows -----------------------------------------------------------------------------------------

function isClear(route, rings, others, apart) {
  for (const [a, b] of parts(route)) for (const [spot, radius] of rings) if (distanceToLine(spot, a, b) < radius) return false;
  return others.every((other) => linesApart(route, other) >= apart);
}

function bend(port, end, rings, others, apart, top, bottom) {
  if (isClear([port, end], rings, others, apart)) return [port, end];
  const across = end[0] - port[0], down = end[1] - port[1], level = [], anywhere = [];
  for (let step = 1; step < STEPS; step++) {
    const x = port[0] + (across * step) / STEPS;
    level.push([x, port[1]], [x, end[1]]);
  }
  for (let step = 1; step <= STEPS; step++) {
    const x = port[0] + (across * step) / STEPS, y = port[1] + (down * step) / STEPS;
    for (let rise = -STEPS; rise <= STEPS; rise++) anywhere.push([x, y + (rise * (bottom - top)) / (2 * STEPS)]);
  }
  for (const [spot, radius] of rings) anywhere.push([spot[0], spot[1] - 1.5 * radius], [spot[0], spot[1] + 1.5 * radius]);
  const low = Math.min(port[0], end[0]), high = Math.max(port[0], end[0]);
  const inside = ([x, y]) => top <= y && y <= bottom && low <= x && x <= high && (x !== port[0] || y !== port[1]);
  for (const bends of [level, anywhere]) {
    const sorted = bends
      .filter(inside)
      .map((spot) => [distance(port, spot) + distance(spot, end), spot])
      .sort((a, b) => a[0] - b[0]);
    for (const [, spot] of sorted) if (isClear([port, spot, end], rings, others, apart)) return [port, spot, end];
  }
  return null;
}

function draw(laid, numbered, sizes) {
  const leaders = laid.ports.map((port, index) => (laid.freed.has(index) ? [] : [port, laid.ends[index]]));
  for (const index of [...laid.freed].filter((each) => !numbered.has(each)).sort((a, b) => a - b)) {
    const rings = laid.ends.map((end, other) => [end, numbered.has(other) ? sizes.badge : sizes.clearance]).filter((_, other) => other !== index);
    const route = bend(
      laid.ports[index], laid.ends[index], rings, leaders.filter((leader) => leader.length), sizes.apart,
      -laid.pictureTop, laid.height - laid.pictureTop,
    );
    if (!route) return [leaders, index];
    leaders[index] = route;
  }
  return [leaders, -1];
}

/**
 * Lay out a plate whose margins and orders are chosen.
 *
 * `left` and `right` hold the callouts' indexes from the top; the answer's spots count down from the plate's top, and
 * each callout's `kind` is straight, elbow, or number where no leader is clear.
 */
export function settle(picture, callouts, left, right, changed = {}) {
  const sizes = { ...SIZES, ...changed }, numbered = new Set();
  for (;;) {
    const laid = lay(picture, callouts, left, right, numbered, sizes);
    const [leaders, stuck] = draw(laid, numbered, sizes);
    if (stuck >= 0) {
      numbered.add(stuck);
      continue;
    }
    const onPlate = ([x, y]) => [x, y + laid.pictureTop];
    return {
      height: laid.height,
      pictureTop: laid.pictureTop,
      callouts: callouts.map(({ height, port }, index) => ({
        side: laid.sides[index],
        rank: laid.rank[index],
        top: laid.ports[index][1] + laid.pictureTop - port,
        height,
        marker: onPlate(laid.ends[index]),
        aim: onPlate(laid.wanted[index]),
        port: onPlate(laid.ports[index]),
        kind: ["number", "", "straight", "elbow"][leaders[index].length],
        leader: leaders[index].map(onPlate),
      })),
    };
  }
}

/** Every law a settled plate breaks, looked up afresh from its geometry; empty where all hold. */
export function faults(settled, changed = {}) {
  const sizes = { ...SIZES, ...changed }, slack = 1e-6, found = [], { callouts } = settled;
  callouts.forEach((one, a) => {
    if (one.top < -slack || one.top + one.height > settled.height + slack) found.push(`label ${a + 1} is off the plate`);
  });
  callouts.forEach((one, a) =>
    callouts.slice(a + 1).forEach((other, more) => {
      const b = a + 1 + more, [upper, lower] = other.top < one.top ? [other, one] : [one, other];
      if (one.side === other.side && upper.top + upper.height + sizes.gap > lower.top + slack) found.push(`labels ${a + 1} and ${b + 1} are too near each other`);
      if (linesApart(one.leader, other.leader) <= slack) found.push(`leaders ${a + 1} and ${b + 1} cross`);
    }),
  );
  callouts.forEach((one, a) =>
    callouts.forEach((other, b) => {
      const keep = other.leader.length ? sizes.clearance : sizes.badge;
      if (a !== b && parts(one.leader).some(([p, q]) => distanceToLine(other.marker, p, q) < keep - slack)) found.push(`leader ${a + 1} passes over the end of ${b + 1}`);
    }),
  );
  return found;
}
