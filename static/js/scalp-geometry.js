/*
 * Where things are on a scalp: the half ellipsoid, its equal-area grid and its tape coordinates.
 *
 * Answers in the browser what `clients.scalp.grid` and `clients.scalp.head` answer on the server, from the same
 * definitions; a test holds the two together. Knows nothing of pixels, painting or pages.
 *
 * Axes: x forward, y to the client's left, z up out of the hairline plane. Units: mm, radians, cm² for areas.
 * A "normal" is a point of the unit hemisphere, n = (x/a, y/b, z/c).
 */

export const GRID = 64;
export const CELLS = GRID * GRID;
/** Area of one cell on the unit hemisphere: the disk shows half of it. */
export const CELL_SOLID_AREA = 2 * (2 / GRID) ** 2;

/** Disk coordinates [X, Y] of the centre of a cell; X forward, Y to the client's left. */
export function cellCentre(cell) {
  const row = Math.floor(cell / GRID);
  const column = cell % GRID;
  return [1 - (2 * row + 1) / GRID, 1 - (2 * column + 1) / GRID];
}

/** The unit normal at disk coordinates; outside the disk, the one at the rim in that direction. */
export function normalAtDisk(X, Y) {
  const r2 = X * X + Y * Y;
  if (r2 > 1) {
    const r = Math.sqrt(r2);
    return [X / r, Y / r, 0];
  }
  const stretch = Math.sqrt(2 - r2);
  return [X * stretch, Y * stretch, 1 - r2];
}

/** Disk coordinates of a unit normal with n_z ≥ 0. */
export function diskAtNormal([nx, ny, nz]) {
  const shrink = 1 / Math.sqrt(1 + nz);
  return [nx * shrink, ny * shrink];
}

/** The number of the cell that holds these disk coordinates, or −1 where the grid has none. */
export function cellAtDisk(X, Y) {
  const row = Math.floor(((1 - X) / 2) * GRID);
  const column = Math.floor(((1 - Y) / 2) * GRID);
  if (row < 0 || column < 0 || row >= GRID || column >= GRID) return -1;
  const cell = row * GRID + column;
  return INSIDE[cell] ? cell : -1;
}

/** The same cell on the other side of the midline. */
export function mirroredCell(cell) {
  return cell - (cell % GRID) + (GRID - 1 - (cell % GRID));
}

/** 1 where the centre of a cell lies on the disk, else 0. */
export const INSIDE = Uint8Array.from({ length: CELLS }, (_, cell) => {
  const [X, Y] = cellCentre(cell);
  return X * X + Y * Y <= 1 ? 1 : 0;
});

/** Unit normals of all cells, three numbers each; rim-clamped outside. */
export const UNIT_NORMALS = new Float64Array(CELLS * 3);
for (let cell = 0; cell < CELLS; cell++) UNIT_NORMALS.set(normalAtDisk(...cellCentre(cell)), cell * 3);

const EAR_LINE = 1e-9; // of a: nearer than this to the ear-to-ear plane is on it, whatever the rounding says

/** Carlson's R_F(x, y, z) and R_D(x, y, z) by duplication. Source: Carlson (1995), Numerical Algorithms 10, 13-26. */
function carlson(x, y, z) {
  let [fx, fy, fz] = [x, y, z];
  let scale = 1;
  let sum = 0;
  // Fourteen halvings bring the three arguments together to far below double precision for every ellipse we draw.
  for (let step = 0; step < 14; step++) {
    const [rx, ry, rz] = [Math.sqrt(fx), Math.sqrt(fy), Math.sqrt(fz)];
    const lambda = rx * ry + ry * rz + rz * rx;
    sum += scale / (rz * (fz + lambda));
    scale /= 4;
    [fx, fy, fz] = [(fx + lambda) / 4, (fy + lambda) / 4, (fz + lambda) / 4];
  }
  return { rf: 1 / Math.sqrt((fx + fy + fz) / 3), rd: 3 * sum + scale * ((fx + fy + 3 * fz) / 5) ** -1.5 };
}

/** Incomplete elliptic integral of the second kind E(φ | m), any φ, m < 1. */
export function ellipticE(phi, m) {
  const turns = Math.round(phi / Math.PI);
  const part = (angle) => {
    const sine = Math.sin(angle);
    const { rf, rd } = carlson(Math.cos(angle) ** 2, 1 - m * sine * sine, 1);
    return sine * rf - (m / 3) * sine ** 3 * rd;
  };
  const rest = part(phi - turns * Math.PI);
  return turns === 0 ? rest : rest + 2 * turns * part(Math.PI / 2);
}

/** Arc length of the ellipse (p cos φ, q sin φ) from φ = 0. */
const arc = (phi, p, q) => q * ellipticE(phi, 1 - (p * p) / (q * q));

/** The φ at which that arc has this length; Newton's steps from the same share of a circle. */
function angleAtArc(length, p, q) {
  let phi = (length / arc(Math.PI / 2, p, q)) * (Math.PI / 2);
  for (let step = 0; step < 30; step++) {
    const change = (arc(phi, p, q) - length) / Math.hypot(p * Math.sin(phi), q * Math.cos(phi));
    phi -= change;
    if (Math.abs(change) < 1e-12) break;
  }
  return phi;
}

/** One client's scalp: the half ellipsoid with these semi-axes in mm. */
export class ScalpGeometry {
  constructor(axes) {
    if (axes.length !== 3 || !axes.every((axis) => Number.isFinite(axis) && axis > 0)) {
      throw new RangeError(`a head needs three positive semi-axes in mm, got ${axes}`);
    }
    this.axes = axes;
    const [a, b, c] = axes;
    /** Lengths in mm of the three tapes on this head. */
    this.tapes = {
      circumference: 4 * arc(Math.PI / 2, a, b),
      frontToNape: 2 * arc(Math.PI / 2, a, c),
      earToEar: 2 * arc(Math.PI / 2, b, c),
    };
    this.cellAreasCm2 = new Float64Array(CELLS);
    for (let cell = 0; cell < CELLS; cell++) {
      if (!INSIDE[cell]) continue;
      const [nx, ny, nz] = UNIT_NORMALS.subarray(cell * 3, cell * 3 + 3);
      this.cellAreasCm2[cell] = (CELL_SOLID_AREA * Math.hypot(b * c * nx, a * c * ny, a * b * nz)) / 100;
    }
  }

  /** The point in mm where the surface has this (ellipsoid-scaled) normal, and back. */
  pointAt([nx, ny, nz]) {
    const [a, b, c] = this.axes;
    return [a * nx, b * ny, c * nz];
  }

  normalAt([x, y, z]) {
    const [a, b, c] = this.axes;
    const [nx, ny, nz] = [x / a, y / b, z / c];
    const length = Math.hypot(nx, ny, nz) || 1;
    return [nx / length, ny / length, nz / length];
  }

  /** The direction, length 1, that points straight out of the scalp there. */
  outwardAt([nx, ny, nz]) {
    const [a, b, c] = this.axes;
    const [x, y, z] = [nx / a, ny / b, nz / c];
    const length = Math.hypot(x, y, z);
    return [x / length, y / length, z / length];
  }

  /**
   * Distance over the surface in mm between two normals, near enough for a brush: the chord, bent to the arc of a
   * circle that turns as much as the surface does between them. Exact on a sphere.
   */
  distanceMm(from, to) {
    const [px, py, pz] = this.pointAt(from);
    const [qx, qy, qz] = this.pointAt(to);
    const chord = Math.hypot(px - qx, py - qy, pz - qz);
    const [ux, uy, uz] = this.outwardAt(from);
    const [vx, vy, vz] = this.outwardAt(to);
    const halfSine = Math.min(1, Math.hypot(ux - vx, uy - vy, uz - vz) / 2);
    return halfSine < 1e-6 ? chord : (chord * Math.asin(halfSine)) / halfSine;
  }

  /** All cells within a distance of a normal, nearest cell included even where the distance holds no centre. */
  cellsWithin(centre, radiusMm) {
    const found = [];
    const [px, py, pz] = this.pointAt(centre);
    const [a, b, c] = this.axes;
    let nearest = { cell: -1, distance: Infinity };
    for (let cell = 0; cell < CELLS; cell++) {
      if (!INSIDE[cell]) continue;
      const at = cell * 3;
      const [dx, dy, dz] = [a * UNIT_NORMALS[at] - px, b * UNIT_NORMALS[at + 1] - py, c * UNIT_NORMALS[at + 2] - pz];
      const chord = Math.sqrt(dx * dx + dy * dy + dz * dz);
      if (chord < nearest.distance) nearest = { cell, distance: chord };
      if (chord > radiusMm) continue; // the arc is longer still
      const distance = this.distanceMm(centre, UNIT_NORMALS.subarray(at, at + 3));
      if (distance <= radiusMm) found.push({ cell, distance });
    }
    if (found.length === 0 && nearest.cell >= 0) found.push({ cell: nearest.cell, distance: 0 });
    return found;
  }

  /** Corners, in mm, of the ring at a distance from a normal: what the brush would cover. */
  ring(centre, radiusMm, corners = 48) {
    const p = this.pointAt(centre);
    const out = this.outwardAt(centre);
    const side = Math.abs(out[0]) < 0.9 ? [1, 0, 0] : [0, 1, 0];
    const e = unit(cross(out, side));
    const f = cross(out, e);
    return Array.from({ length: corners }, (_, corner) => {
      const turn = (2 * Math.PI * corner) / corners;
      const offset = e.map((_, k) => radiusMm * (Math.cos(turn) * e[k] + Math.sin(turn) * f[k]));
      return this.pointAt(this.normalAt([p[0] + offset[0], p[1] + offset[1], p[2] + offset[2]]));
    });
  }

  /**
   * The plane through the midline at θ, spanned by the normal there and the y axis, cuts the ellipsoid in an ellipse
   * with semi-axes p along the normal N and q along y; middle is p as a share of the gradient's length.
   */
  #section(theta) {
    const [a, b, c] = this.axes;
    const [cosine, sine] = [Math.cos(theta), Math.sin(theta)];
    const length = Math.hypot(cosine / a, sine / c);
    const [Nx, Nz] = [cosine / a / length, sine / c / length];
    const A = (Nx / a) ** 2 + (Nz / c) ** 2;
    const B = (cosine * Nx) / a + (sine * Nz) / c;
    return { foot: [a * cosine, c * sine], N: [Nx, Nz], p: B / A, q: (b * B) / Math.sqrt(A), middle: B / A / length };
  }

  /** The midline angle whose normal plane holds this point: the root in the point's own quarter of the midline. */
  #footAngle([x, , z]) {
    const [a, , c] = this.axes;
    if (Math.abs(x) < EAR_LINE * a) return Math.PI / 2;
    // A hair above the hairline, so that its own points keep the foot of their neighbours.
    const [u, w] = [a * Math.abs(x), Math.max(c * z, c * c * 1e-14)];
    let [low, high] = [0, Math.PI / 2];
    let theta = Math.atan2(w * a, u * c);
    for (let step = 0; step < 60; step++) {
      const [cosine, sine] = [Math.cos(theta), Math.sin(theta)];
      const f = -u * sine + w * cosine + (a * a - c * c) * sine * cosine;
      if (f > 0) low = theta;
      else high = theta;
      const slope = -u * cosine - w * sine + (a * a - c * c) * (cosine * cosine - sine * sine);
      let next = theta - f / slope;
      if (!(next > low && next < high)) next = (low + high) / 2;
      if (Math.abs(next - theta) < 1e-13) break;
      theta = next;
    }
    return x > 0 ? theta : Math.PI - theta;
  }

  /** Tape coordinates [s, t] in mm of a scalp point in mm: along the midline from the front, then out to the left. */
  tapeCoordinates(point) {
    const [a, , c] = this.axes;
    const theta = this.#footAngle(point);
    const { foot, N, p, q } = this.#section(theta);
    const u = (point[0] - foot[0]) * N[0] + (point[2] - foot[1]) * N[1];
    const phi = Math.atan2(point[1] / q, (u + p) / p);
    return [arc(theta, a, c), arc(phi, p, q)];
  }

  /**
   * The scalp point in mm at tape coordinates: the inverse, for drawing outlines on the surface. Lengths that leave the
   * scalp end at its edge, as they do on the server.
   */
  pointAtTape([s, t]) {
    const [a, , c] = this.axes;
    const length = this.tapes.frontToNape;
    const along = Math.min(length, Math.max(0, s));
    const onEarLine = Math.abs(along - length / 2) < EAR_LINE * a;
    const { foot, N, p, q, middle } = this.#section(onEarLine ? Math.PI / 2 : angleAtArc(along, a, c));
    const end = (onEarLine ? c : Math.min(a, c)) ** 2 / middle;
    const furthest = Math.acos(Math.min(1, Math.max(0, 1 - end)));
    const phi = Math.sign(t) * Math.min(furthest, angleAtArc(Math.min(Math.abs(t), arc(furthest, p, q)), p, q));
    const u = p * (Math.cos(phi) - 1);
    return [foot[0] + u * N[0], q * Math.sin(phi), Math.max(0, foot[1] + u * N[1])];
  }
}

export function cross([ax, ay, az], [bx, by, bz]) {
  return [ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx];
}

export function dot([ax, ay, az], [bx, by, bz]) {
  return ax * bx + ay * by + az * bz;
}

export function unit(v) {
  const length = Math.hypot(...v);
  return v.map((part) => part / length);
}
