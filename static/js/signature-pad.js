/*
 * <signature-pad>: a pad to sign on with a finger, a pen or the mouse.
 *
 * Keeps the strokes in the hidden field inside it, as JSON: points [x, y] in shares of the pad's width, y downwards, as
 * clients/signatures.py reads them. Draws them into the server's own picture. What the field holds when the page comes is
 * drawn again. The typed name is the other way to sign, so nothing here has to be dragged.
 */

const HEIGHT = 0.4; // of the width, as in clients/signatures.py
const DRAWN_WIDE = 1000; // of the picture's own units
const MOST_STROKES = 200;
const MOST_POINTS = 5000;
const NEAR = 0.003; // points nearer than this to the last one say nothing more
const SVG = "http://www.w3.org/2000/svg";

class SignaturePad extends HTMLElement {
  #strokes = [];
  #pointer = null; // the one that draws

  connectedCallback() {
    this.field = this.querySelector("input");
    this.pad = this.querySelector(".pad");
    this.lines = this.querySelector("[data-strokes]");
    this.state = this.querySelector("[data-state]");
    this.pad.addEventListener("pointerdown", (event) => this.#begin(event));
    this.pad.addEventListener("pointermove", (event) => this.#go(event));
    for (const end of ["pointerup", "pointercancel"]) this.pad.addEventListener(end, (event) => this.#end(event));
    this.querySelector("[data-undo]").addEventListener("click", () => this.#change(this.#strokes.slice(0, -1)));
    this.querySelector("[data-clear]").addEventListener("click", () => this.#change([]));
    this.#strokes = this.#kept();
    this.#draw();
  }

  #kept() {
    try {
      const kept = JSON.parse(this.field.value || "[]");
      return Array.isArray(kept) && kept.every(Array.isArray) ? kept : [];
    } catch {
      return [];
    }
  }

  #begin(event) {
    if (this.#pointer !== null || event.button > 0 || this.#isFull()) return;
    event.preventDefault();
    this.#pointer = event.pointerId;
    this.pad.setPointerCapture(event.pointerId);
    this.#strokes.push([this.#point(event)]);
    this.lines.append(this.#line());
    this.#redrawLast();
  }

  #go(event) {
    if (event.pointerId !== this.#pointer) return;
    const stroke = this.#strokes.at(-1);
    for (const one of event.getCoalescedEvents?.() ?? [event]) {
      const point = this.#point(one);
      const [x, y] = stroke.at(-1);
      if (Math.hypot(point[0] - x, point[1] - y) >= NEAR && !this.#isFull()) stroke.push(point);
    }
    this.#redrawLast();
  }

  #end(event) {
    if (event.pointerId !== this.#pointer) return;
    this.#pointer = null;
    this.#keep();
  }

  #isFull() {
    const points = this.#strokes.reduce((sum, stroke) => sum + stroke.length, 0);
    return points >= MOST_POINTS || (this.#pointer === null && this.#strokes.length >= MOST_STROKES);
  }

  #point(event) {
    const { left, top, width } = this.pad.getBoundingClientRect();
    const within = (share, most) => Number(Math.min(Math.max(share, 0), most).toFixed(4));
    return [within((event.clientX - left) / width, 1), within((event.clientY - top) / width, HEIGHT)];
  }

  #change(strokes) {
    this.#strokes = strokes;
    this.#draw();
    this.#keep();
  }

  #keep() {
    this.field.value = this.#strokes.length > 0 ? JSON.stringify(this.#strokes) : "";
    this.field.dispatchEvent(new Event("input", { bubbles: true }));
    this.#say();
  }

  #draw() {
    this.lines.replaceChildren();
    for (const stroke of this.#strokes) {
      const line = this.#line();
      line.setAttribute("points", written(stroke));
      this.lines.append(line);
    }
    this.#say();
  }

  #line() {
    return document.createElementNS(SVG, "polyline");
  }

  #redrawLast() {
    this.lines.lastElementChild.setAttribute("points", written(this.#strokes.at(-1)));
  }

  #say() {
    const isEmpty = this.#strokes.length === 0;
    for (const button of this.querySelectorAll("button")) button.disabled = isEmpty;
    this.state.textContent = isEmpty ? "Nothing is drawn." : this.#isFull() ? "The pad is full." : "Drawn.";
  }
}

function written(stroke) {
  const points = stroke.map(([x, y]) => `${(x * DRAWN_WIDE).toFixed(1)} ${(y * DRAWN_WIDE).toFixed(1)}`);
  return (points.length === 1 ? [...points, ...points] : points).join(", "); // a dot is a line to itself
}
customElements.define("signature-pad", SignaturePad);
