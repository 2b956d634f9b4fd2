/*
 * What is marked on a photo: the card or the chart's corners, and spots on hair; and the JSON that the form sends.
 *
 * A target is the name of one mark: "card", "chart-1" to "chart-4", or a region and a number, as "root:1". Places are
 * shares of the photo (x of its width, y of its height), a radius is a share of its longer side. Switching between card
 * and chart keeps the marks of both; only those of the one that is used are sent. Draws nothing.
 */

export const CORNERS = ["chart-1", "chart-2", "chart-3", "chart-4"];
export const isCorner = (target) => CORNERS.includes(target);
export const isReference = (target) => target === "card" || isCorner(target);

export class MarkList {
  #places = new Map();
  kind = "card";

  /** From what the hidden field holds; an empty field is an unmarked photo, and so is what nobody can read. */
  static fromJson(text) {
    try {
      return MarkList.#from(text);
    } catch {
      return new MarkList();
    }
  }

  static #from(text) {
    const list = new MarkList();
    const { reference = null, spots = {} } = text ? JSON.parse(text) : {};
    if (reference?.kind === "card") list.set("card", reference);
    if (reference?.kind === "chart") {
      list.kind = "chart";
      reference.corners.forEach(([x, y], at) => list.set(CORNERS[at], { x, y, radius: 0 }));
    }
    for (const [region, placed] of Object.entries(spots)) {
      placed.forEach((spot, at) => list.set(`${region}:${at + 1}`, spot));
    }
    return list;
  }

  get(target) {
    return this.#places.get(target);
  }

  has(target) {
    return this.#places.has(target);
  }

  set(target, { x, y, radius }) {
    this.#places.set(target, { x, y, radius });
  }

  delete(target) {
    this.#places.delete(target);
  }

  /** [target, place] of every mark that counts now: those of the card or of the chart, whichever is used, and spots. */
  get shown() {
    const unused = this.kind === "card" ? isCorner : (target) => target === "card";
    return [...this.#places].filter(([target]) => !unused(target));
  }

  /** The corners of the chart in an order that goes round it, as far as they are marked. */
  get corners() {
    const corners = CORNERS.filter((target) => this.has(target)).map((target) => this.get(target));
    const middle = { x: mean(corners.map(({ x }) => x)), y: mean(corners.map(({ y }) => y)) };
    const angle = ({ x, y }) => Math.atan2(y - middle.y, x - middle.x);
    return corners.sort((one, other) => angle(one) - angle(other));
  }

  /** Whether there is something to read: the card or the whole chart, and one spot. */
  get isWhole() {
    const hasReference = this.kind === "card" ? this.has("card") : this.corners.length === 4;
    return hasReference && this.shown.some(([target]) => !isReference(target));
  }

  toJson() {
    return JSON.stringify({ reference: this.#reference(), spots: this.#spots() });
  }

  #reference() {
    if (this.kind === "card") return this.has("card") ? { kind: "card", ...rounded(this.get("card")) } : null;
    if (this.corners.length < 4) return null;
    return { kind: "chart", corners: this.corners.map(rounded).map(({ x, y }) => [x, y]) };
  }

  #spots() {
    const spots = {};
    const numbered = [...this.#places].filter(([target]) => !isReference(target));
    numbered.sort(([one], [other]) => one.localeCompare(other, "en", { numeric: true }));
    for (const [target, place] of numbered) (spots[target.slice(0, target.lastIndexOf(":"))] ??= []).push(rounded(place));
    return spots;
  }
}

function mean(numbers) {
  return numbers.reduce((sum, number) => sum + number, 0) / Math.max(1, numbers.length);
}

function rounded({ x, y, radius }) {
  const five = (share) => Math.round(share * 1e5) / 1e5;
  return { x: five(x), y: five(y), radius: five(radius) };
}
