/*
 * The calm suggestion of a person below the hairline: face, ears, neck and shoulders as a mesh.
 *
 * A few rounded solids, joined smoothly and found along rays from inside each part, so that one sees which way she
 * looks. It says nothing about the client: only its size follows her semi-axes. Positions are in the scalp's x, y, z
 * in mm; lengths below are (forward, left, up) of a seated client, for the assumed head.
 */
import { toScalp } from "./head-view.js";
import { unit } from "./scalp-geometry.js";

const ASSUMED_AXES = [93.4, 84.3, 131.4];

function ellipsoid(p, centre, radii) {
  const q = [p[0] - centre[0], p[1] - centre[1], p[2] - centre[2]];
  const near = Math.hypot(q[0] / radii[0], q[1] / radii[1], q[2] / radii[2]);
  const slope = Math.hypot(q[0] / radii[0] ** 2, q[1] / radii[1] ** 2, q[2] / radii[2] ** 2);
  return slope === 0 ? -Math.min(...radii) : (near * (near - 1)) / slope;
}

/** A rod from one point to another, thick r at the first and R at the second. */
function rod(p, from, to, r, R) {
  const along = [to[0] - from[0], to[1] - from[1], to[2] - from[2]];
  const q = [p[0] - from[0], p[1] - from[1], p[2] - from[2]];
  const length2 = along[0] ** 2 + along[1] ** 2 + along[2] ** 2;
  const t = Math.min(1, Math.max(0, (q[0] * along[0] + q[1] * along[1] + q[2] * along[2]) / length2));
  return Math.hypot(q[0] - t * along[0], q[1] - t * along[1], q[2] - t * along[2]) - r - t * (R - r);
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
  let d = join(skull, ellipsoid(p, [34, 0, -46], [56, 59, 72]), 26);
  d = join(d, ellipsoid(p, [58, 0, -94], [31, 31, 28]), 24);
  d = join(d, ellipsoid(side, [64, 38, -34], [22, 22, 18]), 20);
  d = carve(d, ellipsoid(side, [103, 31, -14], [17, 19, 13]), 20);
  d = join(d, rod(p, [86, 0, -2], [104, 0, -46], 6, 9), 14);
  d = join(d, ellipsoid(p, [86, 0, -74], [10, 20, 10]), 16);
  d = join(d, rod(p, [-22, 0, -60], [-34, 0, -230], 49, 54), 26);
  // Nothing may grow over the scalp: what is joined on comes in over the first centimetres below the hairline.
  const share = Math.min(1, -z / 24);
  return skull + (d - skull) * share * share * (3 - 2 * share);
}

function shoulders(p) {
  const side = [p[0], Math.abs(p[1]), p[2]];
  const d = join(ellipsoid(side, [-40, 92, -226], [50, 92, 38]), ellipsoid(p, [-40, 0, -250], [60, 120, 70]), 40);
  return join(d, rod(p, [-32, 0, -150], [-36, 0, -240], 50, 66), 44);
}

function ear(p) {
  const rim = ellipsoid(p, [-10, 84, -38], [16, 8, 28]);
  const lobe = ellipsoid(p, [-4, 81, -60], [9, 6, 11]);
  const hollow = ellipsoid(p, [-5, 95, -37], [9, 9, 15]);
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

/** Append one shape, sampled on a globe of rays round its heart, to the mesh. */
function addGlobe(mesh, { shape, heart, far, columns, rows }) {
  const first = mesh.alphas.length;
  for (let row = 0; row <= rows; row++) {
    const down = (Math.PI * row) / rows;
    for (let column = 0; column < columns; column++) {
      const round = (2 * Math.PI * column) / columns;
      const direction = [Math.sin(down) * Math.cos(round), Math.sin(down) * Math.sin(round), Math.cos(down)];
      const r = skinAlong(shape, heart, direction, far);
      const p = heart.map((part, k) => part + r * direction[k]);
      mesh.positions.push(...toScalp(p));
      mesh.normals.push(...toScalp(normalOf(shape, p)));
      mesh.alphas.push(fade(p));
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
    addGlobe(mesh, { shape: head, heart: [8, 0, -24], far: 240, columns: 80, rows: 64 });
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
