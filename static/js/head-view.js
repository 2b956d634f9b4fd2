/*
 * From which side the head is seen, and which point of the scalp lies under a point of the picture.
 *
 * Two views with one interface: TurningView looks at the head itself, ChartView at the flat equal-area chart.
 * `place(width, height)` sets the picture's size in CSS pixels, `project` takes a scalp point in mm to it,
 * `normalUnder` takes a point of the picture back. Knows the geometry; nothing of drawing or painting.
 *
 * A seated client's hairline plane is not level: it falls from forehead to nape. TILT stands her upright.
 */
import { diskAtNormal, dot, normalAtDisk, unit } from "./scalp-geometry.js";

const DEGREE = Math.PI / 180;
const TILT = 33 * DEGREE;
const TOP_LEAN = 25 * DEGREE; // the top view shows the front hairline
const [COS, SIN] = [Math.cos(TILT), Math.sin(TILT)];

/** Named views: yaw is where the viewer stands, 0 in front of her face, 90° at her left; elevation is how high. */
export const VIEWS = {
  top: { label: "Top", yaw: 180, elevation: 90 - (TILT - TOP_LEAN) / DEGREE },
  front: { label: "Front", yaw: 0, elevation: 26 },
  left: { label: "Left", yaw: 90, elevation: 12 },
  right: { label: "Right", yaw: -90, elevation: 12 },
  back: { label: "Back", yaw: 180, elevation: 12 },
};

/** From (forward, left, up) of the seated client to the scalp's own x, y, z; and back. */
export const toScalp = ([forward, left, up]) => [COS * forward + SIN * up, left, COS * up - SIN * forward];
export const toSeated = ([x, y, z]) => [COS * x - SIN * z, y, SIN * x + COS * z];

/** What should be in the picture beside the scalp: nose, chin, nape, lower neck. For a head of even axes near 103 mm. */
const LANDMARKS = [
  [112, 0, -46],
  [84, 0, -118],
  [-86, 0, -54],
  [-36, 0, -150],
].map(toScalp);

export class TurningView {
  constructor(geometry) {
    this.geometry = geometry;
    this.turnTo(VIEWS.top);
  }

  turnTo({ yaw, elevation }) {
    this.yaw = ((((yaw + 180) % 360) + 360) % 360) - 180 || 0;
    this.elevation = Math.min(90, Math.max(-10, elevation));
    const [cy, sy] = [Math.cos(this.yaw * DEGREE), Math.sin(this.yaw * DEGREE)];
    const [ce, se] = [Math.cos(this.elevation * DEGREE), Math.sin(this.elevation * DEGREE)];
    this.toward = toScalp([ce * cy, ce * sy, se]); // from the head to the viewer
    this.up = toScalp([-se * cy, -se * sy, ce]);
    this.right = toScalp([-sy, cy, 0]);
    this.#frame();
  }

  place(width, height) {
    this.width = width;
    this.height = height;
    this.#frame();
  }

  /** The scalp always fits; from above it fills the picture, from the side the face and neck get their room. */
  #frame() {
    const { axes } = this.geometry;
    const reach = (direction) => Math.hypot(...axes.map((axis, k) => axis * direction[k]));
    const heights = LANDMARKS.map((point) => dot(point.map((part, k) => (part * axes[k]) / 103), this.up));
    const top = Math.max(reach(this.up), ...heights);
    const bottom = Math.min(-reach(this.up), ...heights);
    const margin = 0.06 * (top - bottom);
    this.scale = Math.min(this.height / (top - bottom + 2 * margin), this.width / (2.5 * reach(this.right)));
    this.middle = [0, (top + bottom) / 2];
  }

  project(point) {
    return {
      x: this.width / 2 + (dot(point, this.right) - this.middle[0]) * this.scale,
      y: this.height / 2 - (dot(point, this.up) - this.middle[1]) * this.scale,
      facing: dot(this.geometry.outwardAt(this.geometry.normalAt(point)), this.toward),
    };
  }

  /** Rays of the picture in units of the ellipsoid: a point (u, v) mm right and up of the middle looks along D. */
  rays() {
    const scaled = (v) => v.map((part, k) => part / this.geometry.axes[k]);
    const [R, U, D] = [scaled(this.right), scaled(this.up), scaled(this.toward)];
    return { R, U, D, DD: dot(D, D) };
  }

  /**
   * The normal of the ellipsoid under a point of the picture; beside the outline or below the hairline, the one
   * there if it is within slackMm of the scalp, else null. n_z may be a little negative then.
   */
  normalUnder(x, y, slackMm = 0) {
    let u = (x - this.width / 2) / this.scale + this.middle[0];
    let v = (this.height / 2 - y) / this.scale + this.middle[1];
    const { R, U, D, DD } = this.rays();
    const outside = Math.sqrt(this.#reach(u, v, { R, U, D, DD }));
    if (outside > 1) {
      const away = Math.hypot(u, v) * (1 - 1 / outside);
      if (away > slackMm) return null;
      [u, v] = [u / outside, v / outside];
    }
    const Q = R.map((_, k) => u * R[k] + v * U[k]);
    const B = dot(D, Q);
    const w = (-B + Math.sqrt(Math.max(0, B * B - DD * (dot(Q, Q) - 1)))) / DD;
    const normal = Q.map((part, k) => part + w * D[k]);
    return normal[2] * this.geometry.axes[2] >= -slackMm - 1e-9 ? normal : null;
  }

  /** The normal so many mm right and up of one, over the surface as it is seen; it stays on the scalp. */
  step(normal, right, up) {
    const out = this.geometry.outwardAt(normal);
    const wish = this.right.map((part, k) => part * right + this.up[k] * up);
    const flat = wish.map((part, k) => part - dot(wish, out) * out[k]);
    const share = Math.hypot(right, up) / Math.max(1e-6, Math.hypot(...flat));
    const moved = this.geometry.pointAt(normal).map((part, k) => part + flat[k] * share);
    return onScalp(this.geometry.normalAt(moved));
  }

  /** Where to stand to see a point of the scalp face on. */
  placeToSee(normal) {
    const [forward, left, up] = toSeated(this.geometry.outwardAt(normal));
    return { yaw: Math.atan2(left, forward) / DEGREE, elevation: Math.asin(up) / DEGREE };
  }

  /** How far out of the ellipsoid's outline a ray passes: the square of 1 on the outline itself. */
  #reach(u, v, { R, U, D, DD }) {
    const Q = R.map((_, k) => u * R[k] + v * U[k]);
    return dot(Q, Q) - dot(D, Q) ** 2 / DD;
  }
}

export class ChartView {
  constructor(geometry) {
    this.geometry = geometry;
  }

  place(width, height) {
    this.width = width;
    this.height = height;
    this.radius = Math.min(width, height) * 0.43;
    // Only for the brush's slack: near the middle of the chart a disk unit is √2 of the unit hemisphere.
    this.scale = this.radius / (Math.SQRT1_2 * (this.geometry.axes[0] + this.geometry.axes[1]));
  }

  project(point) {
    const normal = this.geometry.normalAt(point);
    const [X, Y] = diskAtNormal([normal[0], normal[1], Math.max(-0.2, normal[2])]);
    return { x: this.width / 2 - Y * this.radius, y: this.height / 2 - X * this.radius, facing: 1 };
  }

  normalUnder(x, y, slackMm = 0) {
    const X = (this.height / 2 - y) / this.radius;
    const Y = (this.width / 2 - x) / this.radius;
    if ((Math.hypot(X, Y) - 1) * this.radius > slackMm * this.scale) return null;
    return normalAtDisk(X, Y);
  }

  step(normal, right, up) {
    const [X, Y] = diskAtNormal(normal);
    const share = this.scale / this.radius;
    return normalAtDisk(X + up * share, Y - right * share);
  }
}

/** The same normal, or the one on the hairline above it. */
export const onScalp = ([nx, ny, nz]) => unit([nx, ny, Math.max(0, nz)]);
