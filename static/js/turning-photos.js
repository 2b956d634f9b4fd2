/*
 * <turning-photos>: a turn of photos that spins by drag, by arrow keys, by a native slider and by two buttons.
 *
 * Enhances the server's grid of frames: one is shown at a time, and the others are loaded one after the other, those
 * next to the one shown first. Going past the last comes to the first again. It spins by itself only when that is
 * pressed, stops at the next touch, and doesn't offer it to somebody who asked for less motion. The frames follow the
 * finger: a drag over the whole width is one turn.
 */

const SPIN_MS = 280;
const KEYS = { ArrowLeft: -1, ArrowRight: 1 };

class TurningPhotos extends HTMLElement {
  #shown = 0;
  #drag = null; // {pointer, x, frame} where it began
  #spinning = 0;
  #loaded = new Set();

  connectedCallback() {
    const controls = this.querySelector("[data-controls]");
    if (!controls || this.frames) return;
    this.stage = this.querySelector("[data-stage]");
    this.frames = [...this.stage.querySelectorAll("img")];
    this.slider = this.querySelector("input[type=range]");
    this.spinner = this.querySelector("[data-spin]");
    this.dataset.spins = "";
    controls.hidden = false;
    this.#listen();
    this.#show(0);
    this.#loadAll();
  }

  disconnectedCallback() {
    this.#spin(false);
  }

  #listen() {
    this.stage.tabIndex = 0;
    this.stage.setAttribute("role", "group");
    this.stage.setAttribute("aria-label", "The turn. The arrow keys spin it.");
    this.stage.addEventListener("keydown", (event) => this.#key(event));
    this.stage.addEventListener("pointerdown", (event) => this.#down(event));
    this.stage.addEventListener("pointermove", (event) => this.#move(event));
    for (const end of ["pointerup", "pointercancel"]) {
      this.stage.addEventListener(end, () => (this.#drag = null));
    }
    this.slider.addEventListener("input", () => this.#byHand(Number(this.slider.value) - 1));
    for (const button of this.querySelectorAll("[data-step]")) {
      button.addEventListener("click", () => this.#byHand(this.#shown + Number(button.dataset.step)));
    }
    const calm = matchMedia("(prefers-reduced-motion: reduce)");
    const offer = () => {
      this.spinner.hidden = calm.matches;
      if (calm.matches) this.#spin(false);
    };
    calm.addEventListener("change", offer);
    offer();
    this.spinner.addEventListener("click", () => this.#spin(!this.#spinning));
    document.addEventListener("visibilitychange", () => document.hidden && this.#spin(false));
  }

  #key(event) {
    const { length } = this.frames;
    const asked = { Home: 0, End: length - 1 }[event.key] ?? (event.key in KEYS ? this.#shown + KEYS[event.key] : null);
    if (asked === null || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    this.#byHand(asked);
  }

  #down(event) {
    if (event.button !== 0 || this.#drag) return;
    this.#spin(false);
    this.#drag = { pointer: event.pointerId, x: event.clientX, frame: this.#shown };
    this.stage.setPointerCapture(event.pointerId);
  }

  #move(event) {
    if (event.pointerId !== this.#drag?.pointer) return;
    const turns = (this.#drag.x - event.clientX) / this.stage.clientWidth;
    this.#show(this.#drag.frame + Math.round(turns * this.frames.length));
  }

  #byHand(frame) {
    this.#spin(false);
    this.#show(frame);
  }

  #spin(on) {
    clearInterval(this.#spinning);
    this.#spinning = on ? setInterval(() => this.#show(this.#shown + 1), SPIN_MS) : 0;
    this.spinner?.setAttribute("aria-pressed", String(Boolean(on)));
  }

  #show(frame) {
    const { length } = this.frames;
    this.#shown = ((frame % length) + length) % length;
    this.frames.forEach((picture, place) => (picture.hidden = place !== this.#shown));
    this.frames[this.#shown].loading = "eager"; // asked for now, whatever is still on its way
    const told = `${this.#shown + 1} of ${length}`;
    this.slider.value = String(this.#shown + 1);
    this.slider.setAttribute("aria-valuetext", `frame ${told}`);
    this.querySelector("[data-told]").textContent = told;
  }

  async #loadAll() {
    const left = new Set(this.frames.keys());
    while (left.size > 0) {
      const next = [...left].reduce((best, place) => (this.#away(place) < this.#away(best) ? place : best));
      left.delete(next);
      await this.#load(this.frames[next]);
      this.#loaded.add(next);
      this.#tellLoading();
    }
  }

  #away(place) {
    const steps = Math.abs(place - this.#shown);
    return Math.min(steps, this.frames.length - steps);
  }

  #load(picture) {
    picture.loading = "eager";
    if (picture.complete) return Promise.resolve();
    return new Promise((resolve) => {
      picture.addEventListener("load", resolve, { once: true });
      picture.addEventListener("error", resolve, { once: true });
    });
  }

  #tellLoading() {
    const { length } = this.frames;
    const { size } = this.#loaded;
    this.querySelector("[data-loading]").textContent = size < length ? `Loading: ${size} of ${length}` : "";
  }
}
customElements.define("turning-photos", TurningPhotos);
