/*
 * The calm suggestion of a person below the hairline: face, ears, neck and shoulders as a mesh.
 *
 * A few rounded solids, joined smoothly and found along rays from inside each part, so that one sees which way she
 * looks. It says nothing about the client: only its size follows her semi-axes. Positions are in the scalp's x, y, z
 * in mm; lengths below are (forward, left, up) of a seated client, for the assumed head.
 */
import { toScalp } from "./head-view.js";
import { cross, unit } from "./scalp-geometry.js";

const ASSUMED_AXES = [93.4, 84.3, 131.4];
const NECK = [[-22, 0, -60], [-34, 0, -230], 48, 53]; // a rod: from, to, and how thick at each

const NOSE = [91, 0, -20]; // from the heart of the head to its tip: the finest shape deserves the most corners

/** Signed distance, near enough, to an ellipsoid: positive outside. */
function ellipsoid(p, centre, radii) {
  let [near, slope] = [0, 0];
  for (let k = 0; k < 3; k++) {
    const share = (p[k] - centre[k]) / radii[k];
    near += share * share;
    slope += (share / radii[k]) ** 2;
  }
  if (slope === 0) return -Math.min(...radii);
  const length = Math.sqrt(near); // Math.hypot is many times slower, and this runs some hundred thousand times
  return (length * (length - 1)) / Math.sqrt(slope);
}

/** A rod from one point to another, thick r at the first and R at the second. */
function rod(p, from, to, r, R) {
  let [dot, length2, away2] = [0, 0, 0];
  for (let k = 0; k < 3; k++) {
    dot += (p[k] - from[k]) * (to[k] - from[k]);
    length2 += (to[k] - from[k]) ** 2;
  }
  const t = Math.min(1, Math.max(0, dot / length2));
  for (let k = 0; k < 3; k++) away2 += (p[k] - from[k] - t * (to[k] - from[k])) ** 2;
  return Math.sqrt(away2) - r - t * (R - r);
}

/** The lesser of two distances, rounded where they meet. */
function join(d, e, round) {
  const h = Math.max(0, round - Math.abs(d - e)) / round;
  return Math.min(d, e) - (h * h * round) / 4;
}

const carve = (d, hole, round) => -join(-d, hole, round);

/** Signed distance, near enough, from a seated point to the skin of head and neck. */
function head(p) {
  const [x, y, z] = toScalp(p);
  const [a, b, c] = ASSUMED_AXES;
  // The skull: the scalp itself, a little smaller, and its shallower continuation below the hairline.
  const skull = ellipsoid([x, y, z], [0, 0, 0], [a - 1.5, b - 1.5, z > 0 ? c - 1.5 : 96]);
  if (z > 0) return skull;
  const side = [p[0], Math.abs(p[1]), p[2]];
  let d = join(skull, ellipsoid(p, [31, 0, -44], [56, 58, 72]), 26);
  d = join(d, ellipsoid(p, [52, 0, -90], [31, 30, 28]), 26);
  d = join(d, ellipsoid(p, [75, 0, -103], [10, 14, 10]), 16);
  d = join(d, ellipsoid(side, [60, 37, -36], [22, 21, 18]), 22);
  d = carve(d, ellipsoid(side, [102, 31, -13], [17, 20, 13]), 26);
  d = join(d, rod(p, [83, 0, -2], [99, 0, -45], 6, 9), 14);
  d = join(d, rod(p, ...NECK), 26);
  // Nothing may grow over the scalp: what is joined on comes in over the first centimetres below the hairline.
  const share = Math.min(1, -z / 24);
  return skull + (d - skull) * share * share * (3 - 2 * share);
}

function shoulders(p) {
  const side = [p[0], Math.abs(p[1]), p[2]];
  const trunk = join(ellipsoid(side, [-40, 92, -222], [50, 92, 34]), ellipsoid(p, [-38, 0, -246], [64, 120, 64]), 40);
  return join(trunk, rod(p, ...NECK) + 2.5, 60); // just inside the head's own neck, which is seen
}

function ear(p) {
  const rim = ellipsoid(p, [-10, 79, -39], [15, 9, 27]);
  const lobe = ellipsoid(p, [-4, 77, -60], [8, 6, 11]);
  const hollow = ellipsoid(p, [-5, 92, -38], [8, 9, 14]);
  return carve(join(rim, lobe, 8), hollow, 6);
}

/** Where the ray from inside leaves a shape for the last time, walking in from far outside. */
function skinAlong(shape, heart, direction, far) {
  let r = far;
  for (let step = 0; step < 64; step++) {
    const d = shape(heart.map((part, k) => part + r * direction[k]));
    if (d < 0.05) break;
    r -= d * 0.9;
    if (r < 1) return 1;
  }
  return r;
}

function normalOf(shape, p) {
  const here = shape(p);
  return unit([0, 1, 2].map((k) => shape(p.map((part, axis) => part + (axis === k ? 0.8 : 0))) - here));
}

/** Append one shape, sampled on a globe of rays round its heart, densest about its pole, to the mesh. */
function addGlobe(mesh, { shape, heart, pole = [0, 0, 1], far, columns, rows }) {
  const first = mesh.alphas.length;
  const axis = unit(pole);
  const side = unit(cross([0, 1, 0], axis));
  const third = cross(axis, side);
  for (let row = 0; row <= rows; row++) {
    const down = Math.PI * (row / rows) ** 1.3;
    for (let column = 0; column < columns; column++) {
      const round = (2 * Math.PI * column) / columns;
      const [p, q, r] = [Math.sin(down) * Math.cos(round), Math.sin(down) * Math.sin(round), Math.cos(down)];
      const direction = side.map((part, k) => p * part + q * third[k] + r * axis[k]);
      const reach = skinAlong(shape, heart, direction, far);
      const point = heart.map((part, k) => part + reach * direction[k]);
      mesh.positions.push(...toScalp(point));
      mesh.normals.push(...toScalp(normalOf(shape, point)));
      mesh.alphas.push(fade(point));
      if (row === rows) continue;
      const [here, beside] = [row * columns + column, row * columns + ((column + 1) % columns)].map((k) => k + first);
      mesh.triangles.push(here, here + columns, beside, beside, here + columns, beside + columns);
    }
  }
}

/** The figure goes over into the paper below the neck and out along the shoulders. */
function fade([, left, up]) {
  const within = (share) => Math.min(1, Math.max(0, share));
  return within((up + 235) / 90) * within((170 - Math.abs(left)) / 100);
}

let assumedMesh = null;

/** The figure for these semi-axes: flat arrays of positions, outward normals, alphas and triangle corners. */
export function bodyMesh(axes) {
  if (!assumedMesh) {
    const mesh = { positions: [], normals: [], alphas: [], triangles: [] };
    addGlobe(mesh, { shape: head, heart: [8, 0, -24], pole: NOSE, far: 240, columns: 72, rows: 72 });
    addGlobe(mesh, { shape: shoulders, heart: [-38, 0, -215], far: 260, columns: 48, rows: 28 });
    for (const hand of [1, -1]) {
      const shape = ([forward, left, up]) => ear([forward, left * hand, up]);
      addGlobe(mesh, { shape, heart: [-9, 82 * hand, -41], far: 60, columns: 24, rows: 18 });
    }
    assumedMesh = mesh;
  }
  const { positions, normals, alphas, triangles } = assumedMesh;
  return {
    positions: Float32Array.from(positions, (part, at) => (part * axes[at % 3]) / ASSUMED_AXES[at % 3]),
    normals: Float32Array.from(normals),
    alphas: Float32Array.from(alphas),
    triangles: Uint16Array.from(triangles),
  };
}
