/*
 * The remaining density being painted: its cells, its strokes, and the way back.
 *
 * Density is percent remaining, 0 to 100, one whole number a cell; cells outside the disk hold 100. A stroke, a filled
 * zone and a pattern start are one step of undo each. Knows the grid and the head's areas; nothing of pixels or pages.
 */
import { CELLS, GRID, INSIDE, mirroredCell } from "./scalp-geometry.js";

const STEPS_KEPT = 100;
export const FULL = 100;

/** The stored form: two lowercase hex characters a cell, row by row. */
export function toHex(cells) {
  return Array.from(cells, (density) => density.toString(16).padStart(2, "0")).join("");
}

/** The cells of a stored form, or null when it is not one (an empty field, a cut-off draft). */
export function fromHex(text) {
  if (typeof text !== "string" || !/^[0-9a-f]*$/i.test(text) || text.length !== CELLS * 2) return null;
  const cells = Uint8Array.from({ length: CELLS }, (_, cell) => parseInt(text.slice(cell * 2, cell * 2 + 2), 16));
  return cells.every((density) => density <= FULL) ? cells : null;
}

export class HeadMap {
  #stroke = null;
  #done = [];
  #undone = [];

  /** geometry: this client's ScalpGeometry; cells: what is stored, or null for a full head of hair. */
  constructor(geometry, cells) {
    this.geometry = geometry;
    this.cells = cells ?? new Uint8Array(CELLS).fill(FULL);
  }

  get canUndo() {
    return this.#done.length > 0;
  }

  get canRedo() {
    return this.#undone.length > 0;
  }

  /** Start a stroke towards a density; dabs follow until endStroke. */
  beginStroke({ density, soft = false, mirror = false }) {
    this.#stroke = { density, soft, mirror, before: this.cells.slice(), weight: new Float32Array(CELLS) };
  }

  /** Paint one dab. The strongest touch of a stroke counts for a cell, so going over it twice paints it once. */
  dab(normal, radiusMm) {
    const { density, soft, mirror, before, weight } = this.#stroke;
    for (const { cell, distance } of this.geometry.cellsWithin(normal, radiusMm)) {
      const share = soft ? softness(distance / radiusMm) : 1;
      for (const painted of mirror ? [cell, mirroredCell(cell)] : [cell]) {
        if (share <= weight[painted]) continue;
        weight[painted] = share;
        this.cells[painted] = Math.round(before[painted] + (density - before[painted]) * share);
      }
    }
  }

  /** End the stroke; says whether it changed anything, and if so it is a step to undo. */
  endStroke() {
    const { before } = this.#stroke;
    this.#stroke = null;
    return this.#step(before);
  }

  /** Give the stroke up as if it had not been begun. */
  dropStroke() {
    if (!this.#stroke) return;
    this.cells.set(this.#stroke.before);
    this.#stroke = null;
  }

  get isStroking() {
    return this.#stroke !== null;
  }

  /** Replace every cell for which the function gives a number; one step. */
  change(densityOf) {
    const before = this.cells.slice();
    for (let cell = 0; cell < CELLS; cell++) {
      if (INSIDE[cell]) this.cells[cell] = densityOf(cell, before);
    }
    return this.#step(before);
  }

  copyLeftToRight() {
    return this.change((cell, before) => (cell % GRID < GRID / 2 ? before[cell] : before[mirroredCell(cell)]));
  }

  clear() {
    return this.change(() => FULL);
  }

  undo() {
    return this.#travel(this.#done, this.#undone);
  }

  redo() {
    return this.#travel(this.#undone, this.#done);
  }

  #step(before) {
    if (before.every((density, cell) => density === this.cells[cell])) return false;
    this.#done.push(before);
    if (this.#done.length > STEPS_KEPT) this.#done.shift();
    this.#undone = [];
    return true;
  }

  #travel(from, to) {
    const cells = from.pop();
    if (!cells) return false;
    to.push(this.cells.slice());
    this.cells.set(cells);
    return true;
  }
}

/** Full in the middle half of the brush, nothing at its edge, smooth between. */
function softness(share) {
  const t = Math.min(1, Math.max(0, (1 - share) * 2));
  return t * t * (3 - 2 * t);
}

/** The nine zones of the head: which cell lies in which, and the mean density of each. */
export class Zones {
  /** text: one character a cell, "." outside, else the zone's number; null where the page gives none. */
  constructor(text, geometry) {
    const known = typeof text === "string" && text.length === CELLS;
    this.zoneOfCell = Int8Array.from({ length: CELLS }, (_, cell) =>
      known && text[cell] !== "." ? Number(text[cell]) : -1,
    );
    this.areas = geometry.cellAreasCm2;
  }

  /** Mean density of each zone, weighted by the cells' areas on this head, in whole percent. */
  means(cells) {
    const sums = [];
    this.zoneOfCell.forEach((zone, cell) => {
      if (zone < 0) return;
      sums[zone] ??= { weighted: 0, area: 0 };
      sums[zone].weighted += cells[cell] * this.areas[cell];
      sums[zone].area += this.areas[cell];
    });
    return sums.map(({ weighted, area }) => Math.round(weighted / area));
  }
}
