/*
 * <photo-intake>: takes a set of photos, several at once, and loses none of the others when one fails.
 *
 * Wraps the server's own tiles, each a form that works without this. A photo taken on a tile is sent at once; several
 * chosen together are listed first, each with its angle, filled in with those still missing. Two are on their way at a
 * time. What is not taken says why on its own line and can be tried again, left out, or stopped on its way. No picture
 * is shown before the server has it: the thumb that then appears is the one it keeps.
 *
 * data-take where photos are sent · data-named the angles to fill in, in order · data-most-frames of a turn ·
 * data-largest bytes · data-too-large what is said of a larger file
 */

import { PhotoRow } from "./photo-row.js";
import { sendPhoto } from "./photo-sending.js";

const AT_ONCE = 2;

class PhotoIntake extends HTMLElement {
  #rows = [];

  connectedCallback() {
    this.status = this.querySelector("[data-status]");
    this.several = this.querySelector("[data-several]");
    this.sendAll = this.querySelector("[data-send-all]");
    for (const part of this.querySelectorAll("[data-scripted]")) part.hidden = false;
    this.addEventListener("submit", (event) => event.preventDefault()); // a photo is sent when it is chosen
    this.addEventListener("change", ({ target }) => this.#chosen(target));
    this.sendAll.addEventListener("click", () => this.#sendListed());
    this.away = new AbortController();
    const warn = (event) => this.#rows.some((row) => row.isUnsent) && event.preventDefault();
    addEventListener("beforeunload", warn, { signal: this.away.signal });
    for (const input of this.querySelectorAll("[data-takes]")) if (input.files.length) this.#take(input); // chosen early
  }

  disconnectedCallback() {
    this.away.abort();
  }

  // Choosing

  #chosen(input) {
    if (input.matches("[data-takes]")) this.#take(input);
    if (input.matches("[data-lists]")) this.#list(input);
    if (input.matches("[data-row-angle]")) this.#rows.find((row) => row.select === input).frame = null;
  }

  #take(input) {
    const tile = input.closest("[data-angle]");
    const rows = this.#add(input, tile, tile.dataset.angle);
    for (const row of rows) this.#queue(row);
  }

  #list(input) {
    const missing = this.#missing();
    for (const row of this.#add(input, this.several, null)) {
      row.select.value = missing.shift() ?? "";
    }
    this.#say(`${this.#count("listed")} listed; see that each has its angle, then send them.`);
  }

  #add(input, place, angle) {
    const list = place.querySelector("[data-rows]");
    const added = [...input.files].map((file) => {
      const line = this.querySelector("template[data-row]").content.firstElementChild.cloneNode(true);
      list.append(line);
      const row = new PhotoRow(line, file, angle);
      line.querySelector("[data-stop]").addEventListener("click", () => row.stop());
      line.querySelector("[data-again]").addEventListener("click", () => this.#again(row));
      line.querySelector("[data-leave-out]").addEventListener("click", () => this.#leaveOut(row));
      return row;
    });
    input.value = ""; // the same file can be chosen again
    this.#rows.push(...added);
    this.#tidy();
    return added;
  }

  /** Named angles that neither a photo nor another file has. */
  #missing() {
    const listed = this.#rows.map((row) => row.angle);
    return this.dataset.named.split(",").filter((angle) => !this.#thumbs(angle).length && !listed.includes(angle));
  }

  // Sending

  #sendListed() {
    const listed = this.#rows.filter((row) => row.is === "listed");
    for (const row of listed) this.#queue(row);
    (listed.find((row) => !row.angle)?.select ?? this.several.querySelector("h2")).focus();
  }

  #again(row) {
    this.#queue(row);
    if (!row.angle) row.select.focus();
  }

  #queue(row) {
    if (!row.angle) {
      row.stand(row.is, "Choose from where it is seen.");
      return;
    }
    if (row.file.size > Number(this.dataset.largest)) {
      this.#heard(row, { is: "refused", says: this.dataset.tooLarge });
      return;
    }
    if (row.angle === "turn") row.frame ??= this.#freeFrame();
    row.stand("queued");
    this.#next();
  }

  #freeFrame() {
    const kept = this.#thumbs("turn").map((thumb) => Number(thumb.dataset.frame));
    const taken = new Set([...kept, ...this.#rows.filter((row) => row.angle === "turn").map((row) => row.frame)]);
    for (let frame = 1; frame <= Number(this.dataset.mostFrames); frame += 1) if (!taken.has(frame)) return frame;
    return null; // the server says so
  }

  #next() {
    while (this.#count("sending") < AT_ONCE && this.#count("queued") > 0) {
      this.#send(this.#rows.find((row) => row.is === "queued"));
    }
    this.#tidy();
  }

  async #send(row) {
    const { angle, frame, file } = row;
    const fields = { angle, frame, upload_key: row.key, photo: file };
    row.stand("sending");
    const { outcome, stop } = sendPhoto(this.dataset.take, fields, (share) => row.sent(share));
    row.stop = stop;
    this.#heard(row, await outcome);
    this.#next();
  }

  #heard(row, outcome) {
    if (outcome.is === "taken") {
      const label = this.#show(outcome);
      this.#drop(row);
      this.#say(`Taken: ${label}.${this.#stillToCome()}`);
      return;
    }
    row.stand(outcome.is, outcome.says, outcome);
    this.#say(`Not taken: ${row.file.name}.${this.#stillToCome()}`);
  }

  #leaveOut(row) {
    this.#drop(row);
    this.#say(`Left out: ${row.file.name}.${this.#stillToCome()}`);
    this.#tidy();
  }

  /** The line goes; who was on it goes on with the next, or where photos are chosen. */
  #drop(row) {
    const list = row.line.parentElement;
    const wasThere = row.line.contains(document.activeElement);
    row.line.remove();
    this.#rows = this.#rows.filter((other) => other !== row);
    if (wasThere) (list.querySelector("button:not([hidden])") ?? list.parentElement.querySelector("[type=file]")).focus();
  }

  // Showing

  /** Puts the thumb that is kept on its tile; returns what it is called. */
  #show({ photo, thumb, angle, frame }) {
    const tile = this.#tile(angle);
    const label = tile.querySelector("h2").textContent + (frame ? ` ${frame}` : "");
    const list = tile.querySelector("[data-thumbs]");
    if (!list.querySelector(`a[href="${photo}"]`)) {
      const item = this.querySelector("template[data-thumb]").content.firstElementChild.cloneNode(true);
      item.querySelector("a").href = photo;
      Object.assign(item.querySelector("img"), { src: thumb, alt: `${label}, just taken` });
      const name = item.querySelector("[data-name]");
      if (frame) {
        item.dataset.frame = frame;
        name.textContent = label;
      } else {
        name.remove();
      }
      const after = frame ? this.#thumbs(angle).find((other) => Number(other.dataset.frame) > frame) : list.firstChild;
      list.insertBefore(item, after ?? null);
    }
    list.hidden = false;
    tile.querySelector("[data-count]").textContent = `✓ ${list.children.length} taken`;
    return label;
  }

  #tile(angle) {
    return this.querySelector(`[data-angle="${angle}"]`);
  }

  #thumbs(angle) {
    return [...this.#tile(angle).querySelectorAll("[data-thumbs] > li")];
  }

  #tidy() {
    for (const list of this.querySelectorAll("[data-rows]")) list.hidden = list.children.length === 0;
    this.sendAll.hidden = this.#count("listed") === 0;
  }

  #count(...states) {
    return this.#rows.filter((row) => states.includes(row.is)).length;
  }

  #stillToCome() {
    const [onTheWay, left] = [this.#count("queued", "sending"), this.#count("failed", "refused", "stopped")];
    const why = left === 1 ? "its line says why" : "their lines say why";
    return (onTheWay ? ` ${onTheWay} on the way.` : "") + (left ? ` ${left} not taken: ${why}.` : "");
  }

  #say(words) {
    this.status.textContent = words;
  }
}
customElements.define("photo-intake", PhotoIntake);
