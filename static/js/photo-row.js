/*
 * One file on its way into a set: its line on the page, and where it stands.
 *
 * It is listed, queued, sending, failed, refused or stopped; once taken, its line goes. Of a turn it has its frame from
 * the moment it is queued, so that one that fails leaves its place free for the next try.
 */

import { newKey } from "./photo-sending.js";

const SHOWN = {
  listed: ["leave-out"],
  queued: ["leave-out"],
  sending: ["stop"],
  failed: ["again", "leave-out"],
  refused: ["again", "leave-out"],
  stopped: ["again", "leave-out"],
};
const SAYS = {
  listed: "",
  queued: "Waits for its turn.",
  sending: "Sending: 0 %",
  stopped: "Stopped: not sent.",
};

export class PhotoRow {
  is = "listed";
  frame = null;
  stop = () => {}; // given by whoever sends it
  #angle;

  /** line: the list item; angle: of the tile it was taken on, or null where it is chosen on the line. */
  constructor(line, file, angle) {
    this.line = line;
    this.file = file;
    this.key = newKey();
    this.#angle = angle;
    this.select = line.querySelector("[data-row-angle]");
    this.progress = line.querySelector("[data-progress]");
    this.select.hidden = angle !== null;
    this.select.setAttribute("aria-label", `${file.name}: seen from`);
    this.progress.setAttribute("aria-label", `${file.name}: sent so far`);
    line.querySelector("[data-name]").textContent = file.name;
    for (const name of ["stop", "again", "leave-out"]) {
      const button = this.#button(name);
      button.setAttribute("aria-label", `${button.textContent}: ${file.name}`);
    }
    this.stand("listed");
  }

  get angle() {
    return this.#angle ?? this.select.value;
  }

  /** Leaving the page would lose it; one that was refused would be refused again. */
  get isUnsent() {
    return this.is !== "refused";
  }

  #button(name) {
    return this.line.querySelector(`[data-${name}]`);
  }

  stand(is, says = SAYS[is], { signIn = false } = {}) {
    const focused = document.activeElement;
    this.is = this.line.dataset.is = is;
    this.select.disabled = is === "queued" || is === "sending";
    this.progress.hidden = is !== "sending";
    this.progress.value = 0;
    this.line.querySelector("[data-sign-in]").hidden = !signIn;
    this.say(says);
    for (const name of ["stop", "again", "leave-out"]) this.#button(name).hidden = !SHOWN[is].includes(name);
    if (this.line.contains(focused) && (focused.hidden || focused.disabled)) this.#button(SHOWN[is][0]).focus();
  }

  say(words) {
    const state = this.line.querySelector("[data-state]");
    if (state.textContent !== words) state.textContent = words;
  }

  sent(share) {
    this.progress.value = Math.round(share * 100);
    this.say(share < 1 ? `Sending: ${this.progress.value} %` : "Sent; it is being taken in.");
  }
}
