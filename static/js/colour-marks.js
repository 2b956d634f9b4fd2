/*
 * <colour-marks>: marks on a photo where its card or chart is and where its hair shall be read.
 *
 * Enhances the server's markup (components/_colour_marks.html): the photo, a radio list of targets, a size, a hidden
 * field `marks` with the JSON that `salon.colour.marks` reads. The hidden field is the state: on every change the element
 * writes it and lets it send `change`. Once the card (or the whole chart) and one spot are there, `marks-whole` follows
 * every change, also when one of them is taken away again. By tap, pen, mouse (`mark-gestures.js`) or keyboard: arrow
 * keys move a crosshair, Shift further, Enter places, Delete takes away, + and − change the size. Fetches nothing.
 *
 * A mark falls on the chosen target, and the next one without a mark is chosen. Size, arrows and taking away are about
 * the mark in hand: the chosen target's, or else the one placed last.
 */
import { MarkDrawing, MarkLoupe } from "./mark-drawing.js";
import { MarkGestures } from "./mark-gestures.js";
import { isCorner, isReference, MarkList } from "./mark-list.js";

const STEP = 0.01; // of the photo's longer side, as far as an arrow key moves the crosshair
const BIG_STEP = 0.05;
const NUDGE = 0.005;
const ZOOMS = [1, 1.5, 2, 3, 4, 6];
const SAY_AFTER_MS = 400;
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

class ColourMarks extends HTMLElement {
  #chosen = "";
  #placedLast = "";
  #crosshair = null; // {x, y} while the keyboard aims
  #zoom = 0;
  #wasWhole = false;
  #saying = 0;
  #sizes = { card: 0.03, hair: 0.02 };

  connectedCallback() {
    if (!this.stage) this.#build();
    this.resized = new ResizeObserver(() => this.#fit());
    this.resized.observe(this);
  }

  disconnectedCallback() {
    this.resized.disconnect();
  }

  #build() {
    const part = (selector) => this.querySelector(selector);
    this.stage = part(".marks-stage");
    this.frame = part(".marks-frame");
    this.photo = part(".marks-frame img");
    this.field = part("input[name=marks]");
    this.size = part("[data-size]");
    this.spoken = part("[role=status]");
    this.radios = [...this.querySelectorAll("[data-target]")];
    this.ratio = Number(this.photo.getAttribute("width")) / Number(this.photo.getAttribute("height"));
    this.marks = MarkList.fromJson(this.field.value);
    this.#wasWhole = this.marks.isWhole;
    this.drawing = new MarkDrawing(this.frame);
    this.loupe = new MarkLoupe(part(".marks-loupe"), this.photo, this.stage);
    const gestures = { aim: (event) => this.#aim(event), place: (event) => this.#tap(event), letGo: () => this.loupe.hide() };
    new MarkGestures(this.stage, gestures);
    this.stage.addEventListener("keydown", (event) => this.#key(event));
    this.stage.addEventListener("focus", () => this.stage.matches(":focus-visible") && this.#moveCrosshair(0, 0));
    this.stage.addEventListener("blur", () => this.#dropCrosshair());
    this.stage.addEventListener("wheel", (event) => this.#wheel(event), { passive: false });
    this.photo.addEventListener("error", () => this.#say("The photo could not be loaded. Load the page again."));
    const panel = part(".marks-panel");
    panel.addEventListener("change", (event) => this.#changed(event.target));
    panel.addEventListener("click", (event) => this.#pressed(event.target.closest("button")?.dataset ?? {}));
    this.size.addEventListener("input", () => this.#resize(Number(this.size.value)));
    // the tools are not part of what a form sends, so it should not hear of them either
    for (const kind of ["input", "change"]) panel.addEventListener(kind, (event) => event.stopPropagation());
    for (const radio of this.querySelectorAll("[data-kind]")) radio.checked = radio.dataset.kind === this.marks.kind;
    this.classList.add("is-ready");
    this.#useKind(this.marks.kind);
  }

  // What is chosen

  get #targets() {
    return this.radios.map((radio) => radio.dataset.target).filter((target) => this.#isUsed(target));
  }

  #isUsed(target) {
    return this.marks.kind === "card" ? !isCorner(target) : target !== "card";
  }

  #radio(target) {
    return this.radios.find((radio) => radio.dataset.target === target);
  }

  #label(target) {
    return this.#radio(target).dataset.label;
  }

  #choose(target) {
    this.#chosen = target;
    this.#radio(target).checked = true;
    this.#show();
  }

  /** The next target without a mark, after this one and then from the start; those folded away are left out. */
  #nextWithout(target) {
    const targets = this.#targets;
    const at = targets.indexOf(target);
    const round = [...targets.slice(at + 1), ...targets.slice(0, at + 1)];
    return round.find((one) => !this.marks.has(one) && !this.#radio(one).closest("details:not([open])"));
  }

  #useKind(kind) {
    this.marks.kind = kind;
    for (const group of this.querySelectorAll("[data-of-kind]")) group.hidden = group.dataset.ofKind !== kind;
    this.#choose(this.#nextWithout("") ?? this.#targets[0]);
  }

  get #inHand() {
    if (this.marks.has(this.#chosen)) return this.#chosen;
    return this.marks.has(this.#placedLast) && this.#isUsed(this.#placedLast) ? this.#placedLast : "";
  }

  #sizeOf(target) {
    if (isCorner(target)) return 0;
    return this.marks.get(target)?.radius ?? this.#sizes[isReference(target) ? "card" : "hair"];
  }

  // Placing and taking away

  #place({ x, y }) {
    const target = this.#chosen;
    this.marks.set(target, this.#within({ x, y, radius: this.#sizeOf(target) }));
    this.#placedLast = target;
    const next = this.#nextWithout(target);
    this.#say(`${this.#label(target)} is at ${this.#where(target)}. ${next ? `Next: ${this.#label(next)}.` : "All are marked."}`);
    this.#choose(next ?? target);
    this.#changedMarks();
  }

  /** The place moved so far in that the whole spot lies on the photo. */
  #within({ x, y, radius }) {
    const within = (share, margin) => Math.min(1 - margin, Math.max(margin, share));
    const { width, height } = this.#shares;
    return { x: within(x, radius / width), y: within(y, radius / height), radius };
  }

  /** Width and height as shares of the longer side. */
  get #shares() {
    return { width: Math.min(1, this.ratio), height: Math.min(1, 1 / this.ratio) };
  }

  #where(target) {
    const { x, y } = this.marks.get(target);
    return `${Math.round(100 * x)} % from the left and ${Math.round(100 * y)} % from the top`;
  }

  #take(target) {
    if (!target) return;
    this.marks.delete(target);
    this.#say(`${this.#label(target)} is taken away.`);
    this.#choose(target);
    this.#changedMarks();
  }

  #resize(radius) {
    const target = this.#inHand || this.#chosen;
    if (isCorner(target)) return;
    const limited = Math.min(Number(this.size.max), Math.max(Number(this.size.min), radius));
    this.#sizes[isReference(target) ? "card" : "hair"] = limited;
    if (!this.marks.has(target)) return this.#show();
    this.marks.set(target, this.#within({ ...this.marks.get(target), radius: limited }));
    this.#changedMarks();
  }

  #nudge([right, down]) {
    const target = this.#inHand;
    if (!target) return;
    const { x, y, radius } = this.marks.get(target);
    const { width, height } = this.#shares;
    this.marks.set(target, this.#within({ x: x + (right * NUDGE) / width, y: y + (down * NUDGE) / height, radius }));
    this.#bringIntoView(this.marks.get(target));
    this.#saySoon(() => `${this.#label(target)} is at ${this.#where(target)}.`);
    this.#changedMarks();
  }

  #changedMarks() {
    this.#show();
    this.field.value = this.marks.toJson();
    this.field.dispatchEvent(new Event("change", { bubbles: true }));
    this.#wasWhole ||= this.marks.isWhole;
    if (this.#wasWhole) this.dispatchEvent(new CustomEvent("marks-whole", { bubbles: true }));
  }

  // Pointer, keyboard and buttons

  #shareAt({ clientX, clientY }) {
    const box = this.frame.getBoundingClientRect();
    const share = (offset, side) => Math.min(1, Math.max(0, offset / side));
    return { x: share(clientX - box.left, box.width), y: share(clientY - box.top, box.height) };
  }

  #aim(event) {
    this.#dropCrosshair();
    this.#magnify(this.#shareAt(event));
  }

  #magnify(at) {
    const target = this.#chosen;
    this.loupe.show({ ...this.#within({ ...at, radius: this.#sizeOf(target) }), isCorner: isCorner(target) });
  }

  #tap(event) {
    this.#place(this.#shareAt(event));
  }

  #key(event) {
    const { key } = event;
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const step = event.shiftKey ? BIG_STEP : STEP;
    if (ARROWS[key]) this.#moveCrosshair(...ARROWS[key].map((way) => way * step));
    else if ((key === "Enter" || key === " ") && this.#crosshair) this.#place(this.#crosshair);
    else if (key === "Delete" || key === "Backspace") this.#take(this.#inHand);
    else if (key === "+" || key === "=") this.#stepSize(1);
    else if (key === "-" || key === "−") this.#stepSize(-1);
    else return;
    event.preventDefault();
    if (this.#crosshair) this.#magnify(this.#crosshair);
  }

  #stepSize(steps) {
    const target = this.#inHand || this.#chosen;
    if (isCorner(target)) return;
    this.#resize(this.#sizeOf(target) + 2 * steps * Number(this.size.step));
    this.#say(`${this.#label(target)}: ${this.size.getAttribute("aria-valuetext")}.`);
  }

  #moveCrosshair(right, down) {
    const { x, y } = this.#crosshair ?? this.marks.get(this.#chosen) ?? this.marks.get(this.#placedLast) ?? { x: 0.5, y: 0.5 };
    const { width, height } = this.#shares;
    const within = (share) => Math.min(1, Math.max(0, share));
    this.#crosshair = { x: within(x + right / width), y: within(y + down / height) };
    this.#bringIntoView(this.#crosshair);
    this.#show();
    this.#magnify(this.#crosshair);
    if (right || down) this.#saySoon(() => this.#crosshairWords());
  }

  #crosshairWords() {
    if (!this.#crosshair) return "";
    return `${Math.round(100 * this.#crosshair.x)} % from the left, ${Math.round(100 * this.#crosshair.y)} % from the top.`;
  }

  #dropCrosshair() {
    if (!this.#crosshair) return;
    this.#crosshair = null;
    this.loupe.hide();
    this.#show();
  }

  #changed(control) {
    if (control.dataset.kind) {
      this.#useKind(control.dataset.kind);
      this.#changedMarks();
    }
    if (control.dataset.target) this.#choose(control.dataset.target);
  }

  #pressed({ nudge, zoom, take }) {
    if (nudge) this.#nudge(ARROWS[nudge]);
    if (zoom) this.#zoomBy(Number(zoom));
    if (take !== undefined) this.#take(this.#inHand);
  }

  // How large the photo is shown

  #wheel(event) {
    if (!event.ctrlKey) return; // two fingers on a touchpad; without the key the page scrolls
    event.preventDefault();
    this.#zoomBy(event.deltaY < 0 ? 1 : -1, this.#shareAt(event));
  }

  #zoomBy(steps, around = this.marks.get(this.#inHand) ?? this.#crosshair ?? { x: 0.5, y: 0.5 }) {
    this.#zoom = Math.min(ZOOMS.length - 1, Math.max(0, this.#zoom + steps));
    this.#fit();
    this.stage.scrollLeft = around.x * this.frame.offsetWidth - this.stage.clientWidth / 2;
    this.stage.scrollTop = around.y * this.frame.offsetHeight - this.stage.clientHeight / 2;
    for (const button of this.querySelectorAll("[data-zoom]")) {
      button.disabled = Number(button.dataset.zoom) > 0 ? this.#zoom === ZOOMS.length - 1 : this.#zoom === 0;
    }
    this.#say(`Shown ${ZOOMS[this.#zoom]} times as large.`);
  }

  #fit() {
    const box = this.stage.parentElement;
    const share = Number(getComputedStyle(box).getPropertyValue("--share-of-window"));
    const width = Math.min(box.parentElement.clientWidth, innerHeight * share * this.ratio);
    box.style.width = `${width}px`;
    box.style.height = `${width / this.ratio}px`;
    this.frame.style.width = `${width * ZOOMS[this.#zoom]}px`;
    this.frame.style.height = `${(width / this.ratio) * ZOOMS[this.#zoom]}px`;
    this.#show();
  }

  #bringIntoView({ x, y }) {
    const [left, top] = [x * this.frame.offsetWidth, y * this.frame.offsetHeight];
    const { scrollLeft, scrollTop, clientWidth, clientHeight } = this.stage;
    const isOut = left < scrollLeft || left > scrollLeft + clientWidth || top < scrollTop || top > scrollTop + clientHeight;
    if (isOut) this.stage.scrollTo(left - clientWidth / 2, top - clientHeight / 2);
  }

  // What is shown and said

  #show() {
    const inHand = this.#inHand;
    const shown = this.marks.shown.map(([target, place]) => {
      return { target, letter: this.#radio(target)?.dataset.letter ?? "?", isInHand: target === inHand, ...place };
    });
    const aim = this.#crosshair && { ...this.#crosshair, radius: this.#sizeOf(this.#chosen), isCorner: isCorner(this.#chosen) };
    this.drawing.show(shown, this.marks.kind === "chart" ? this.marks.corners : [], aim);
    for (const radio of this.radios) {
      const isMarked = this.marks.has(radio.dataset.target);
      radio.labels[0].classList.toggle("is-marked", isMarked);
      radio.labels[0].querySelector("[data-marked]").textContent = isMarked ? ", marked" : "";
    }
    this.#showTools(inHand);
  }

  #showTools(inHand) {
    const target = inHand || this.#chosen;
    const percent = Math.round(2000 * this.#sizeOf(target)) / 10;
    this.size.disabled = isCorner(target);
    this.size.value = this.#sizeOf(target);
    this.size.setAttribute("aria-valuetext", `${percent} % of the photo across`);
    this.querySelector("[data-in-hand]").textContent = inHand ? this.#label(inHand) : "no mark yet";
    for (const button of this.querySelectorAll("[data-nudge], [data-take]")) button.disabled = !inHand;
    const isAllMarked = this.marks.has(this.#chosen) && this.#nextWithout(this.#chosen) === undefined;
    this.querySelector("[data-now]").textContent = isAllMarked ? "All are marked" : this.#label(this.#chosen);
    this.querySelector("[data-hint]").textContent = isAllMarked ? "Tap again to move one." : this.#radio(this.#chosen).dataset.hint;
  }

  #say(words) {
    clearTimeout(this.#saying);
    this.spoken.textContent = words;
  }

  /** After a pause, so that a key held down is not read out step by step. */
  #saySoon(words) {
    clearTimeout(this.#saying);
    this.#saying = setTimeout(() => this.#say(words()), SAY_AFTER_MS);
  }
}
customElements.define("colour-marks", ColourMarks);
