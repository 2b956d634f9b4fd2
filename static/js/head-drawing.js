/*
 * The picture of the head, pixel by pixel: which surface each pixel shows, then its colour.
 *
 * `look` finds out, for a view and a size, what every pixel sees (the costly part, once a turn); `colour` paints the
 * density over that, for all pixels or for a rectangle (cheap, once a dab). Lines and labels are head-lines.js's.
 */
import { bodyMesh } from "./head-body.js";
import { CELLS, cross, diskAtNormal, dot, GRID, INSIDE, unit } from "./scalp-geometry.js";

const [NOTHING, BODY, SCALP] = [0, 1, 2];
const LIGHT = unit([-0.42, 0.62, 0.78]); // over the viewer's left shoulder: right, up, towards the viewer
const TEXTURE = 768;

const smooth = (share) => share * share * (3 - 2 * share);

/** Light on a surface that faces (right, up, toward) by these amounts: soft, never black, darker at the edge. */
function shadeOf(right, up, toward) {
  const lit = LIGHT[0] * right + LIGHT[1] * up + LIGHT[2] * toward;
  const soft = 0.5 + 0.5 * lit; // wrapped round, so that the far side keeps its form
  return (0.64 + 0.4 * soft * soft) * (0.84 + 0.16 * Math.sqrt(Math.max(0, toward)));
}

/** Fine strands running out from the whorl, −1 to 1, in disk coordinates: fullness that shows without its colour. */
function strandTexture() {
  const tones = Float32Array.from({ length: 1024 }, (_, k) => (Math.sin(k * 127.1 + 311.7) * 43758.5453) % 1);
  const strand = (place) => {
    const low = Math.floor(place);
    const share = smooth(place - low);
    return tones[low & 1023] * (1 - share) + tones[(low + 1) & 1023] * share;
  };
  const texture = new Float32Array(TEXTURE * TEXTURE);
  for (let at = 0; at < texture.length; at++) {
    const X = 1 - (2 * Math.floor(at / TEXTURE) + 1) / TEXTURE + 0.3; // from the whorl, a little behind the top
    const Y = 1 - (2 * (at % TEXTURE) + 1) / TEXTURE;
    const r = Math.sqrt(X * X + Y * Y);
    const round = Math.atan2(Y, X) / (2 * Math.PI) + 2 + 0.07 * Math.log(r + 0.05);
    // Whole turns of 1024 and 512 tones, so that the strands close; they drift a little on their way out.
    const tone = 0.6 * strand(round * 1024 + 1.5 * Math.sin(9 * r)) + 0.5 * strand(round * 512 + Math.sin(5 * r));
    texture[at] = tone * Math.min(1, r * 3);
  }
  return texture;
}

/** Cells just outside the disk show the nearest cell inside, so that the hairline does not fade towards "full". */
const NEAREST_INSIDE = Uint16Array.from({ length: CELLS }, (_, cell) => {
  if (INSIDE[cell]) return cell;
  const [row, column] = [Math.floor(cell / GRID), cell % GRID];
  const middle = (GRID - 1) / 2;
  for (let step = 0; step < GRID; step++) {
    const share = 1 - step / GRID;
    const at = Math.round(middle + (row - middle) * share) * GRID + Math.round(middle + (column - middle) * share);
    if (INSIDE[at]) return at;
  }
  return cell;
});

/** The five steps of the scale, blended to RAMP_STEP colours a percent, three numbers each. */
const RAMP_STEP = 4;
function rampOf(steps) {
  const ramp = new Float32Array((100 * RAMP_STEP + 1) * 3);
  for (let at = 0; at <= 100 * RAMP_STEP; at++) {
    const place = at / (25 * RAMP_STEP);
    const low = Math.min(3, Math.floor(place));
    for (let k = 0; k < 3; k++) ramp[at * 3 + k] = steps[low][k] + (steps[low + 1][k] - steps[low][k]) * (place - low);
  }
  return ramp;
}

export class HeadPicture {
  #strands = strandTexture();
  #density = new Float32Array(CELLS);

  constructor(geometry) {
    this.geometry = geometry;
    this.mesh = bodyMesh(geometry.axes);
    this.canvas = document.createElement("canvas");
    this.context = this.canvas.getContext("2d");
  }

  /** Find out what every pixel of a picture this wide and high sees. */
  look(view, width, height) {
    const pixels = width * height;
    if (this.width !== width || this.height !== height) {
      [this.width, this.height] = [width, height];
      [this.canvas.width, this.canvas.height] = [width, height];
      this.image = this.context.createImageData(width, height);
      this.kind = new Uint8Array(pixels);
      this.alpha = new Uint8Array(pixels);
      this.shade = new Float32Array(pixels);
      this.depth = new Float32Array(pixels);
      this.X = new Float32Array(pixels);
      this.Y = new Float32Array(pixels);
      // The figure never ends at the picture's border but goes over into the paper before it.
      const fade = (inside) => smooth(Math.min(1, inside / (0.16 * height)));
      this.sideFade = Float32Array.from({ length: width }, (_, x) => fade(Math.min(x, width - 1 - x)));
      this.footFade = Float32Array.from({ length: height }, (_, y) => fade(height - 1 - y));
    }
    this.kind.fill(NOTHING);
    this.alpha.fill(0);
    this.depth.fill(-Infinity);
    const scale = (view.scale * width) / view.width;
    this.flat = !view.rays;
    if (view.rays) {
      this.#lookAtBody(view, scale);
      this.#lookAtScalp(view, scale);
    } else this.#lookAtChart(width, height, (view.radius * width) / view.width);
  }

  #lookAtBody({ right, up, toward, middle }, scale) {
    const { positions, normals, alphas, triangles } = this.mesh;
    const seen = new Float32Array(alphas.length * 5); // x, y in pixels, depth in mm, shade, alpha
    const along = (array, at, axis) => array[at] * axis[0] + array[at + 1] * axis[1] + array[at + 2] * axis[2];
    for (let k = 0; k < alphas.length; k++) {
      const [from, to] = [k * 3, k * 5];
      seen[to] = this.width / 2 + (along(positions, from, right) - middle[0]) * scale;
      seen[to + 1] = this.height / 2 - (along(positions, from, up) - middle[1]) * scale;
      seen[to + 2] = along(positions, from, toward);
      const shade = shadeOf(along(normals, from, right), along(normals, from, up), along(normals, from, toward));
      seen[to + 3] = 0.2 + 0.8 * shade; // quieter than the scalp
      seen[to + 4] = alphas[k] * 255;
    }
    for (let t = 0; t < triangles.length; t += 3) {
      this.#fillTriangle(seen, triangles[t] * 5, triangles[t + 1] * 5, triangles[t + 2] * 5);
    }
  }

  #fillTriangle(seen, i, j, k) {
    const [x1, y1, x2, y2, x3, y3] = [seen[i], seen[i + 1], seen[j], seen[j + 1], seen[k], seen[k + 1]];
    const area = (x2 - x1) * (y3 - y1) - (x3 - x1) * (y2 - y1);
    if (area > -1e-9) return; // seen from behind, or edge on
    const left = Math.max(0, Math.ceil(Math.min(x1, x2, x3) - 0.5));
    const right = Math.min(this.width - 1, Math.floor(Math.max(x1, x2, x3) - 0.5));
    const top = Math.max(0, Math.ceil(Math.min(y1, y2, y3) - 0.5));
    const bottom = Math.min(this.height - 1, Math.floor(Math.max(y1, y2, y3) - 0.5));
    for (let y = top; y <= bottom; y++) {
      for (let x = left; x <= right; x++) {
        const w2 = ((x + 0.5 - x1) * (y3 - y1) - (x3 - x1) * (y + 0.5 - y1)) / area;
        const w3 = ((x2 - x1) * (y + 0.5 - y1) - (x + 0.5 - x1) * (y2 - y1)) / area;
        const w1 = 1 - w2 - w3;
        if (w1 < -1e-6 || w2 < -1e-6 || w3 < -1e-6) continue;
        const depth = w1 * seen[i + 2] + w2 * seen[j + 2] + w3 * seen[k + 2];
        const at = y * this.width + x;
        if (depth <= this.depth[at]) continue;
        this.depth[at] = depth;
        this.kind[at] = BODY;
        this.shade[at] = w1 * seen[i + 3] + w2 * seen[j + 3] + w3 * seen[k + 3];
        this.alpha[at] = (w1 * seen[i + 4] + w2 * seen[j + 4] + w3 * seen[k + 4]) * this.sideFade[x] * this.footFade[y];
      }
    }
  }

  /** Where the ray through each pixel meets the half ellipsoid, in closed form; written out, for it runs per pixel. */
  #lookAtScalp(view, scale) {
    const { R, U, D, DD } = view.rays();
    const { middle } = view;
    const { width, height, depth, kind, alpha, shade, X, Y } = this;
    const [ia, ib, ic] = this.geometry.axes.map((axis) => 1 / axis);
    const { left, right, top, bottom } = this.#outlineBox(view, scale);
    for (let y = top; y < bottom; y++) {
      const v = (height / 2 - y - 0.5) / scale + middle[1];
      for (let x = left; x < right; x++) {
        const u = (x + 0.5 - width / 2) / scale + middle[0];
        const qx = u * R[0] + v * U[0];
        const qy = u * R[1] + v * U[1];
        const qz = u * R[2] + v * U[2];
        const B = D[0] * qx + D[1] * qy + D[2] * qz;
        const root = B * B - DD * (qx * qx + qy * qy + qz * qz - 1);
        if (root < 0) continue;
        const w = (Math.sqrt(root) - B) / DD;
        const at = y * width + x;
        const nz = qz + w * D[2];
        if (nz < 0 || w <= depth[at]) continue;
        const nx = qx + w * D[0];
        const ny = qy + w * D[1];
        const ox = nx * ia;
        const oy = ny * ib;
        const oz = nz * ic;
        const length = 1 / Math.sqrt(ox * ox + oy * oy + oz * oz);
        depth[at] = w;
        kind[at] = SCALP;
        alpha[at] = 255;
        shade[at] = shadeOf(
          (ox * view.right[0] + oy * view.right[1] + oz * view.right[2]) * length,
          (ox * view.up[0] + oy * view.up[1] + oz * view.up[2]) * length,
          (ox * view.toward[0] + oy * view.toward[1] + oz * view.toward[2]) * length,
        );
        const shrink = 1 / Math.sqrt(1 + nz);
        X[at] = nx * shrink;
        Y[at] = ny * shrink;
      }
    }
  }

  /** The pixels that the ellipsoid can reach. */
  #outlineBox({ right, up, middle }, scale) {
    const reach = (direction) => Math.hypot(...this.geometry.axes.map((axis, k) => axis * direction[k])) * scale;
    const [x, y] = [this.width / 2 - middle[0] * scale, this.height / 2 + middle[1] * scale];
    const within = (value, end) => Math.min(end, Math.max(0, Math.round(value)));
    return {
      left: within(x - reach(right) - 1, this.width),
      right: within(x + reach(right) + 1, this.width),
      top: within(y - reach(up) - 1, this.height),
      bottom: within(y + reach(up) + 1, this.height),
    };
  }

  #lookAtChart(width, height, radius) {
    for (let at = 0; at < width * height; at++) {
      const X = (height / 2 - Math.floor(at / width) - 0.5) / radius;
      const Y = (width / 2 - (at % width) - 0.5) / radius;
      if (X * X + Y * Y > 1) continue;
      this.kind[at] = SCALP;
      this.alpha[at] = 255;
      this.shade[at] = 1;
      this.X[at] = X;
      this.Y[at] = Y;
    }
  }

  /** Colour a rectangle of the picture from the cells; palette: {steps: five [r, g, b] from none to full, skin}. */
  colour(cells, palette, { left = 0, top = 0, right = this.width, bottom = this.height } = {}) {
    for (let cell = 0; cell < CELLS; cell++) this.#density[cell] = cells[NEAREST_INSIDE[cell]];
    const ramp = rampOf(palette.steps);
    const [skinRed, skinGreen, skinBlue] = palette.skin;
    const { kind, alpha, shade, X, Y, width, flat } = this;
    const strands = this.#strands;
    const pixels = this.image.data;
    for (let y = top; y < bottom; y++) {
      for (let x = left; x < right; x++) {
        const at = y * width + x;
        const to = at * 4;
        pixels[to + 3] = alpha[at];
        if (kind[at] === NOTHING) continue;
        let light = shade[at];
        if (kind[at] === BODY) {
          pixels[to] = skinRed * light;
          pixels[to + 1] = skinGreen * light;
          pixels[to + 2] = skinBlue * light;
          continue;
        }
        const density = this.#densityAt(X[at], Y[at]);
        const row = Math.min(TEXTURE - 1, Math.floor((1 - X[at]) * (TEXTURE / 2)));
        const column = Math.min(TEXTURE - 1, Math.floor((1 - Y[at]) * (TEXTURE / 2)));
        const strand = strands[row * TEXTURE + column];
        light *= 1 + 0.0008 * density * strand;
        // On the head the hairline thins out over its last millimetres; the chart shows every cell to its edge.
        const rim = (1 - X[at] * X[at] - Y[at] * Y[at]) / (0.034 + 0.016 * strand);
        const hair = flat || rim > 1 ? 1 : rim;
        const from = Math.round(density * RAMP_STEP) * 3;
        pixels[to] = (ramp[from] * hair + skinRed * (1 - hair)) * light;
        pixels[to + 1] = (ramp[from + 1] * hair + skinGreen * (1 - hair)) * light;
        pixels[to + 2] = (ramp[from + 2] * hair + skinBlue * (1 - hair)) * light;
      }
    }
    this.context.putImageData(this.image, 0, 0, left, top, right - left, bottom - top);
  }

  /** Density at disk coordinates, blended between the four nearest centres. */
  #densityAt(X, Y) {
    const row = Math.min(GRID - 1.001, Math.max(0, ((1 - X) * GRID - 1) / 2));
    const column = Math.min(GRID - 1.001, Math.max(0, ((1 - Y) * GRID - 1) / 2));
    const i = Math.floor(row);
    const j = Math.floor(column);
    const at = i * GRID + j;
    const across = column - j;
    const density = this.#density;
    const above = density[at] + (density[at + 1] - density[at]) * across;
    const below = density[at + GRID] + (density[at + GRID + 1] - density[at + GRID]) * across;
    return above + (below - above) * (row - i);
  }
}
