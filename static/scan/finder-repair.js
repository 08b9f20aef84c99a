// A code has three finders: the squares in its corners. If a splash, a crease or glare hides
// one of them, the reader does not find the code, although the rest of it could be read. The
// other two show where the third must be, so we draw it there and read again. This script
// and qr-decode.js run in the scanner's worker, and in tests that read as the phone does.

// repairFinders returns, one after the other, cut-outs {data, width, height, at} of a picture
// {data, width, height} (RGBA) in which the finders of a code are drawn again; at is the
// position of the cut-out's top left corner in the picture.
// biome-ignore lint/correctness/noUnusedVariables: scripts of the same worker use it
function* repairFinders(picture) {
  const finders = findFinders(picture);
  let triesLeft = 24; // cut-outs to try, in case a picture is full of finders
  for (const [n, a] of finders.entries()) {
    for (const b of finders.slice(n + 1)) {
      const size = Math.hypot(...a.e1) / Math.hypot(...b.e1);
      if (size < 0.6 || size > 1.7) continue;
      // The mean axes of both, one module long, and the distance from a to b in modules.
      const [b1, b2] = alignAxes(a, b);
      const e1 = [(a.e1[0] + b1[0]) / 2, (a.e1[1] + b1[1]) / 2];
      const e2 = [(a.e2[0] + b2[0]) / 2, (a.e2[1] + b2[1]) / 2];
      const [i, j] = projectOnAxes(b.x - a.x, b.y - a.y, e1, e2);
      const distance = Math.max(Math.abs(i), Math.abs(j));
      const slope = Math.min(Math.abs(i), Math.abs(j)) / distance;
      const version = Math.round((distance - 10) / 4);
      if (version < 1 || version > 12) continue;
      const side = 10 + 4 * version; // from the middle of a finder to that of the next
      const candidates = [];
      if (slope > 0.75) {
        // a diagonal: the third is in one of the other corners
        candidates.push([a.x + i * e1[0], a.y + i * e1[1]], [a.x + j * e2[0], a.y + j * e2[1]]);
      } else if (slope < 0.25) {
        // side by side: the third is at a right angle, in one of four places
        const e = Math.abs(i) > Math.abs(j) ? e2 : e1;
        for (const finder of [a, b])
          for (const offset of [side, -side]) candidates.push([finder.x + offset * e[0], finder.y + offset * e[1]]);
      }
      const knownIndex = finders.findIndex((f) =>
        candidates.some(([x, y]) => Math.hypot(f.x - x, f.y - y) < 4 * Math.hypot(...e1)),
      );
      if (knownIndex >= 0) {
        // all three are visible, though not clearly enough for the reader; try them only once
        if (knownIndex > finders.indexOf(b) && triesLeft-- > 0) yield drawFinders(picture, a, b, finders[knownIndex]);
        continue;
      }
      for (const [x, y] of candidates) {
        if (x < 0 || y < 0 || x >= picture.width || y >= picture.height) continue;
        if (triesLeft-- <= 0) return;
        yield drawFinders(picture, a, b, { x, y, e1, e2 });
      }
    }
  }
}

// projectOnAxes returns the coordinates of the vector x, y along e1 and e2.
function projectOnAxes(x, y, e1, e2) {
  const area = e1[0] * e2[1] - e1[1] * e2[0];
  return [(x * e2[1] - y * e2[0]) / area, (e1[0] * y - e1[1] * x) / area];
}

// alignAxes returns the axes of b, turned by quarters or mirrored so that they fit those of a.
function alignAxes(a, b) {
  const orientations = [
    [b.e1, b.e2],
    [b.e2, b.e1],
  ].flatMap(([p, q]) => [1, -1].flatMap((s) => [1, -1].map((t) => [p.map((v) => s * v), q.map((v) => t * v)])));
  const alignment = (/** @type {number[][]} */ [p, q]) =>
    p[0] * a.e1[0] + p[1] * a.e1[1] + q[0] * a.e2[0] + q[1] * a.e2[1];
  return orientations.reduce((best, t) => (alignment(t) > alignment(best) ? t : best));
}

// drawFinders cuts the code with the finders a, b and third out of a picture, with a margin,
// and draws all three, since the visible ones may be damaged as well.
function drawFinders({ data, width, height }, a, b, third) {
  const corners = [
    a,
    b,
    third,
    ...[
      [a, b, third],
      [a, third, b],
      [b, third, a],
    ].map(([p, q, r]) => ({ x: p.x + q.x - r.x, y: p.y + q.y - r.y })),
  ];
  const margin = 9 * Math.max(Math.hypot(...third.e1), Math.hypot(...third.e2));
  const boundsOf = (values, limit) => [
    Math.max(0, Math.floor(Math.min(...values) - margin)),
    Math.min(limit, Math.ceil(Math.max(...values) + margin)),
  ];
  const [left, right] = boundsOf(
    corners.map((c) => c.x),
    width,
  );
  const [top, bottom] = boundsOf(
    corners.map((c) => c.y),
    height,
  );
  const out = {
    data: new Uint8ClampedArray((right - left) * (bottom - top) * 4),
    width: right - left,
    height: bottom - top,
    at: [left, top],
  };
  for (let y = top; y < bottom; y++)
    out.data.set(data.subarray((y * width + left) * 4, (y * width + right) * 4), (y - top) * out.width * 4);
  for (const f of [a, b, third]) {
    const radius = margin * 0.75;
    for (let y = Math.max(top, Math.floor(f.y - radius)); y < Math.min(bottom, f.y + radius); y++) {
      for (let x = Math.max(left, Math.floor(f.x - radius)); x < Math.min(right, f.x + radius); x++) {
        const [i, j] = projectOnAxes(x + 0.5 - f.x, y + 0.5 - f.y, f.e1, f.e2);
        const distance = Math.max(Math.abs(i), Math.abs(j));
        if (distance > 4.5) continue;
        const dark = distance < 1.5 || (distance > 2.5 && distance < 3.5);
        const at = ((y - top) * out.width + x - left) * 4;
        out.data.fill(dark ? a.dark : a.light, at, at + 3);
      }
    }
  }
  return out;
}

// findFinders returns everything in a picture that looks like a finder: its centre x, y, its
// axes e1 and e2, one module long, and its darkest and lightest pixel. A finder is a dark
// ring, a seventh of its side thick, around a dark square of three sevenths.
function findFinders(picture) {
  const { width, height } = picture;
  const grey = greyOf(picture);
  const { regionIds, regions } = labelRegions(thresholdDark(grey, width, height), width, height);
  const found = [];
  for (const ring of regions) {
    const [w, h] = [ring.right - ring.left + 1, ring.bottom - ring.top + 1];
    if (Math.min(w, h) < 10 || w > 3 * h || h > 3 * w) continue;
    const core = regions[regionIds[((ring.top + ring.bottom) >> 1) * width + ((ring.left + ring.right) >> 1)] - 1];
    if (!core || core === ring || core.size > 0.8 * ring.size || core.size < 0.15 * ring.size) continue;
    const [x, y] = [core.x / core.size + 0.5, core.y / core.size + 0.5];
    const [c1, c2, c3, c4] = findCorners(ring, regionIds, width, x, y);
    const e1 = [0, 1].map((k) => (c2[k] - c1[k] + c3[k] - c4[k]) / 14);
    const e2 = [0, 1].map((k) => (c4[k] - c1[k] + c3[k] - c2[k]) / 14);
    const area = Math.abs(e1[0] * e2[1] - e1[1] * e2[0]); // of a module
    const isNear = (n, of) => n > 0.6 * of * area && n < 1.5 * of * area;
    if (!isNear(ring.size, 24) || !isNear(core.size, 9)) continue;
    if (Math.hypot((c1[0] + c3[0]) / 2 - x, (c1[1] + c3[1]) / 2 - y) > Math.sqrt(area)) continue;
    let [dark, light] = [255, 0];
    for (let v = ring.top; v <= ring.bottom; v++)
      for (let u = ring.left; u <= ring.right; u++) {
        dark = Math.min(dark, grey[v * width + u]);
        light = Math.max(light, grey[v * width + u]);
      }
    found.push({ x, y, e1, e2, dark, light });
  }
  return found;
}

// findCorners returns the four corners of a region, in turn, around its centre x, y.
function findCorners(region, regionIds, width, x, y) {
  const regionId = regionIds[region.first];
  const farthest = (score) => {
    let best = [x, y],
      most = -Infinity;
    for (let v = region.top; v <= region.bottom; v++)
      for (let u = region.left; u <= region.right; u++) {
        if (regionIds[v * width + u] !== regionId) continue;
        const far = score(u + 0.5, v + 0.5);
        if (far > most) {
          best = [u + 0.5, v + 0.5];
          most = far;
        }
      }
    return best;
  };
  const a = farthest((u, v) => (u - x) ** 2 + (v - y) ** 2);
  const c = farthest((u, v) => (u - a[0]) ** 2 + (v - a[1]) ** 2);
  const sideDistance = (u, v) => (u - a[0]) * (c[1] - a[1]) - (v - a[1]) * (c[0] - a[0]);
  const b = farthest(sideDistance);
  const d = farthest((u, v) => -sideDistance(u, v));
  const out = (/** @type {number[]} */ [u, v]) => {
    // to the corner of that pixel
    const far = Math.hypot(u - x, v - y) || 1;
    return [u + (0.6 * (u - x)) / far, v + (0.6 * (v - y)) / far];
  };
  return [a, b, c, d].map(out);
}

// thresholdDark returns 1 for each pixel that is darker than its surroundings, else 0.
function thresholdDark(grey, width, height) {
  const radius = Math.max(12, Math.min(width, height) >> 4);
  const sums = new Uint32Array((width + 1) * (height + 1));
  for (let y = 0; y < height; y++) {
    for (let x = 0, row = 0; x < width; x++) {
      row += grey[y * width + x];
      sums[(y + 1) * (width + 1) + x + 1] = sums[y * (width + 1) + x + 1] + row;
    }
  }
  const dark = new Uint8Array(grey.length);
  for (let y = 0; y < height; y++) {
    const [top, bottom] = [Math.max(0, y - radius) * (width + 1), Math.min(height, y + radius + 1) * (width + 1)];
    const rows = (bottom - top) / (width + 1);
    for (let x = 0; x < width; x++) {
      const [left, right] = [Math.max(0, x - radius), Math.min(width, x + radius + 1)];
      const sum = sums[bottom + right] - sums[bottom + left] - sums[top + right] + sums[top + left];
      dark[y * width + x] = (grey[y * width + x] + 2) * rows * (right - left) < sum ? 1 : 0;
    }
  }
  return dark;
}

// labelRegions finds the connected dark regions. regionIds has for each pixel the number of its
// region, 0 for none; regions[number − 1] has the size and the bounds of that region.
function labelRegions(dark, width, height) {
  const regionIds = new Int32Array(dark.length);
  const stack = new Int32Array(dark.length);
  const regions = [];
  for (let first = 0; first < dark.length; first++) {
    if (!dark[first] || regionIds[first]) continue;
    const p = { first, size: 0, x: 0, y: 0, left: width, right: 0, top: height, bottom: 0 };
    regions.push(p);
    let n = 0;
    const addPixel = (i) => {
      if (dark[i] && !regionIds[i]) {
        regionIds[i] = regions.length;
        stack[n++] = i;
      }
    };
    addPixel(first);
    while (n) {
      const i = stack[--n];
      const x = i % width;
      const y = (i - x) / width;
      p.size++;
      p.x += x;
      p.y += y;
      if (x < p.left) p.left = x;
      if (x > p.right) p.right = x;
      if (y < p.top) p.top = y;
      if (y > p.bottom) p.bottom = y;
      if (x) addPixel(i - 1);
      if (x < width - 1) addPixel(i + 1);
      if (y) addPixel(i - width);
      if (y < height - 1) addPixel(i + width);
    }
  }
  return { regionIds, regions };
}
