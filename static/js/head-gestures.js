/*
 * What fingers, pen and mouse mean on the head.
 *
 * One finger, the pen or the mouse paints on the scalp and turns beside it (or everywhere, with the turn tool). A
 * second finger turns; a stroke that had hardly begun is given up then. While the pen is down, touches are a palm and
 * are left alone. Calls its host and keeps no picture of the head itself.
 */

const HARDLY_BEGUN = { px: 10, ms: 250 };

export class HeadGestures {
  #pointers = new Map();
  #deed = null; // "paint" or "turn", until the last pointer is up
  #stroke = null;

  /**
   * host: strokeStart(x, y, pressure) → whether there is scalp to paint, strokeTo(x, y, pressure), strokeEnd(),
   * strokeDrop(), turnBy(dx, dy), turnEnd(), hover(x, y) and hoverEnd(); x, y in CSS pixels of the canvas.
   */
  constructor(canvas, host) {
    this.canvas = canvas;
    this.host = host;
    canvas.addEventListener("pointerdown", (event) => this.#down(event));
    canvas.addEventListener("pointermove", (event) => this.#move(event));
    canvas.addEventListener("pointerup", (event) => this.#up(event));
    canvas.addEventListener("pointercancel", (event) => this.#up(event));
    canvas.addEventListener("pointerleave", () => this.host.hoverEnd());
  }

  #place(event) {
    const box = this.canvas.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  }

  #penIsDown() {
    return [...this.#pointers.values()].some(({ type }) => type === "pen");
  }

  #down(event) {
    if (event.button !== 0) return;
    if (event.pointerType === "touch" && this.#penIsDown()) return;
    if (event.pointerType === "pen" && this.#deed) this.#letGo();
    const at = this.#place(event);
    this.canvas.setPointerCapture(event.pointerId);
    this.#pointers.set(event.pointerId, { ...at, type: event.pointerType });
    if (this.#deed === "paint") {
      const { travelled, since } = this.#stroke;
      if (travelled < HARDLY_BEGUN.px && event.timeStamp - since < HARDLY_BEGUN.ms) this.host.strokeDrop();
      else this.host.strokeEnd();
      this.#deed = "turn";
    } else if (!this.#deed) {
      this.#deed = this.host.strokeStart(at.x, at.y, pressureOf(event)) ? "paint" : "turn";
      this.#stroke = { travelled: 0, since: event.timeStamp };
    }
  }

  #move(event) {
    const at = this.#place(event);
    const before = this.#pointers.get(event.pointerId);
    if (!before) {
      if (event.pointerType !== "touch") this.host.hover(at.x, at.y);
      return;
    }
    if (this.#deed === "paint") {
      const moves = event.getCoalescedEvents?.() ?? [];
      for (const part of moves.length ? moves : [event]) {
        const { x, y } = this.#place(part);
        this.host.strokeTo(x, y, pressureOf(part));
      }
      this.#stroke.travelled += Math.hypot(at.x - before.x, at.y - before.y);
    } else {
      const share = 1 / this.#pointers.size;
      this.host.turnBy((at.x - before.x) * share, (at.y - before.y) * share);
    }
    Object.assign(before, at);
  }

  #up(event) {
    if (!this.#pointers.delete(event.pointerId) || this.#pointers.size > 0) return;
    this.#finish();
    if (event.pointerType !== "mouse") this.host.hoverEnd();
  }

  #finish() {
    if (this.#deed === "paint") this.host.strokeEnd();
    if (this.#deed === "turn") this.host.turnEnd();
    this.#deed = null;
  }

  /** The pen takes over from fingers that were resting there. */
  #letGo() {
    this.#pointers.clear();
    if (this.#deed === "paint") this.host.strokeDrop();
    this.#deed = null;
  }
}

/** How hard the pen presses, 0 to 1; null for what has no pressure. */
function pressureOf(event) {
  return event.pointerType === "pen" && event.pressure > 0 ? event.pressure : null;
}
