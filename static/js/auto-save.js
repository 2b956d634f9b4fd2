/*
 * <auto-save>: a form that saves itself a moment after a change, and loses nothing when the connection drops.
 *
 * Wraps the server's own form, which works without this by its buttons. It sends the whole form to the form's own
 * address and hears in JSON: saved when, or refused and what is wrong beside which field, or both versions of a step
 * that was saved twice. Until the server has it, what was typed is kept in this browser under the assessment, the step
 * and the revision it was typed on; after a reload it comes back, with a line that says so. A map keeps its own strokes
 * (<turning-head>); here they are only sent.
 *
 * data-draft "assessment:step" · data-next where “Go on” goes
 */

import { ANSWERS } from "./kept-here.js";

const AFTER_TYPING_MS = 900;
const AFTER_CHOOSING_MS = 250;
const AGAIN_MS = 8000;
const NOT_TYPED = new Set(["csrfmiddlewaretoken", "revision", "base"]);

class AutoSave extends HTMLElement {
  #timer = 0;
  #saving = null;
  #saved = "";
  #versions = null; // both versions are on the screen: {revision, base, entries}
  #held = new Map(); // sentences that wait until the field they are about is left

  connectedCallback() {
    this.form = this.querySelector("form");
    this.state = this.querySelector("[data-save-state]");
    this.refusals = this.querySelector("[data-refusals]");
    this.panel = this.querySelector("[data-versions]");
    this.#saved = this.#hasRefusals() || this.panel.querySelector(".two-versions") ? "" : this.#written();
    this.form.addEventListener("input", (event) => this.#touched(event, AFTER_TYPING_MS));
    this.form.addEventListener("change", (event) => this.#touched(event, AFTER_CHOOSING_MS));
    this.form.addEventListener("focusout", (event) => this.#left(event));
    this.form.addEventListener("submit", (event) => this.#submit(event));
    this.panel.addEventListener("click", (event) => this.#choose(event.target.closest("[data-keep]")?.dataset.keep));
    this.away = new AbortController();
    const { signal } = this.away;
    addEventListener("online", () => this.#save(), { signal });
    addEventListener("pagehide", () => this.#save({ leaving: true }), { signal });
    document.addEventListener("visibilitychange", () => document.hidden && this.#save({ leaving: true }), { signal });
    this.#restore();
  }

  disconnectedCallback() {
    clearTimeout(this.#timer);
    this.away.abort();
  }

  // What is written in the form

  #entries() {
    return [...new FormData(this.form)].filter(([name]) => !NOT_TYPED.has(name));
  }

  #written() {
    return JSON.stringify(this.#entries());
  }

  /** The fields that are kept here: a map's strokes and numbers are kept by the map. */
  #typed() {
    const drawn = new Set([...this.form.querySelectorAll("turning-head [name]")].map((field) => field.name));
    return this.#entries().filter(([name]) => !drawn.has(name));
  }

  #putBack(entries) {
    for (const field of this.form.elements) {
      if (!field.name || NOT_TYPED.has(field.name) || field.type === "submit" || field.closest("turning-head")) continue;
      const values = entries.filter(([name]) => name === field.name).map(([, value]) => value);
      if (field.type === "checkbox" || field.type === "radio") field.checked = values.includes(field.value);
      else field.value = values[0] ?? "";
    }
  }

  get #revision() {
    return this.form.elements.revision.value;
  }

  #startFrom({ revision, base }) {
    this.form.elements.revision.value = revision;
    this.form.elements.base.value = base;
  }

  // When to save

  #touched(event, delay) {
    // a number of the map's table counts when it is done, for the map is what is saved
    if (event.type === "input" && event.target.closest("turning-head")) return;
    if (!this.#versions) this.panel.replaceChildren(); // a note about what came back has been read by now
    this.#keep();
    this.#soon(delay);
  }

  #soon(delay) {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.#save(), delay);
  }

  async #submit(event) {
    event.preventDefault();
    const goesOn = event.submitter?.value === "next";
    const isSaved = await this.#save();
    if (isSaved && goesOn) location.assign(this.dataset.next);
    if (!isSaved) this.#whatStandsInTheWay()?.focus();
  }

  #whatStandsInTheWay() {
    return this.panel.querySelector("[data-keep]") ?? this.querySelector("[aria-invalid]") ?? this.refusals;
  }

  /** For whoever is about to take the page away: what is written, sent without waiting for a pause. */
  async saveNow() {
    await this.#save();
  }

  /** Send what is written; true when the server has all of it. */
  async #save({ leaving = false } = {}) {
    clearTimeout(this.#timer);
    if (this.#versions) return false;
    if (this.#saving) {
      if (leaving) return false;
      await this.#saving;
      return this.#save();
    }
    if (this.#written() === this.#saved) {
      this.#clearRefusals(); // what was wrong has been taken back
      return true;
    }
    this.#saving = this.#send(leaving);
    const isSaved = await this.#saving;
    this.#saving = null;
    return isSaved;
  }

  async #send(leaving) {
    const written = this.#written();
    const body = new FormData(this.form);
    const answer = await this.#post(body, leaving);
    if (!answer) return false;
    if (answer.outcome === "versions") this.#showVersions(answer, this.#typed());
    if (answer.outcome === "refused") this.#refuse(answer.errors);
    if (answer.outcome !== "saved") return false;
    this.#saved = written;
    this.#startFrom(answer);
    this.#forget();
    this.#clearRefusals();
    if (answer.beside) document.getElementById("beside").innerHTML = answer.beside;
    const detail = { version: answer.base, hex: body.get("density_hex") };
    this.querySelector("turning-head")?.dispatchEvent(new CustomEvent("saved", { detail }));
    this.#say("saved", `Saved at ${answer.saved_at}.`);
    if (this.#written() === written) return true;
    this.#touchedMeanwhile();
    return false;
  }

  #touchedMeanwhile() {
    this.#keep();
    this.#soon(AFTER_TYPING_MS);
  }

  /** The server's answer, or null when there is none to be had now. */
  async #post(body, leaving) {
    let response;
    try {
      response = await fetch(this.form.getAttribute("action"), {
        method: "POST",
        body,
        headers: { Accept: "application/json" },
        redirect: "manual",
        keepalive: leaving,
      });
    } catch {
      this.#say("unsaved", `Not saved yet: no connection. ${this.#whereItIs()}`);
      this.#soon(AGAIN_MS);
      return null;
    }
    if (response.ok) return response.json();
    const why =
      response.type === "opaqueredirect" || response.status === 403
        ? "you are signed out, or may not do this. Load the page again and sign in; what you typed comes back."
        : `the server did not take it (${response.status}).`;
    this.#say("unsaved", `Not saved yet: ${why} ${this.#whereItIs()}`);
    if (response.status >= 500) this.#soon(AGAIN_MS);
    return null;
  }

  #say(state, words) {
    this.dataset.state = state;
    if (this.state.textContent !== words) this.state.textContent = words;
  }

  // What this browser keeps

  get #place() {
    return `${ANSWERS}${this.dataset.draft}:${this.#revision}`;
  }

  #whereItIs() {
    return this.#keep() ? "Kept on this device." : "Keep this page open: this browser can't keep it.";
  }

  #keep() {
    const entries = this.#typed();
    if (this.#written() === this.#saved) {
      this.#forget(); // typed and taken back
      return true;
    }
    try {
      const kept = { entries, base: this.form.elements.base.value, at: new Date().toISOString() };
      if (entries.length > 0) localStorage.setItem(this.#place, JSON.stringify(kept));
      return true;
    } catch {
      return false;
    }
  }

  #allKept() {
    try {
      const places = Object.keys(localStorage).filter((place) => place.startsWith(`${ANSWERS}${this.dataset.draft}:`));
      return places
        .map((place) => ({ revision: place.split(":").pop(), ...JSON.parse(localStorage.getItem(place)) }))
        .sort((one, other) => (one.at < other.at ? 1 : -1));
    } catch {
      return [];
    }
  }

  #forget() {
    try {
      for (const { revision } of this.#allKept()) localStorage.removeItem(`${ANSWERS}${this.dataset.draft}:${revision}`);
    } catch {
      // nothing was kept, then
    }
  }

  /** What did not reach the server before this page was loaded. */
  async #restore() {
    const [kept] = this.#allKept();
    if (!kept) return;
    const at = new Date(kept.at).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
    if (kept.base === this.form.elements.base.value) {
      this.#putBack(kept.entries);
      if (this.#written() === this.#saved) return this.#forget();
      const note = document.createElement("p");
      note.className = "message";
      note.textContent = `What you typed at ${at} had not reached the server and has come back.`;
      this.panel.replaceChildren(note);
      return this.#save();
    }
    // the step was saved since: perhaps by this very page on its way out, which the server can tell
    const body = new FormData();
    for (const name of NOT_TYPED) body.append(name, this.form.elements[name].value);
    body.set("revision", kept.revision);
    body.set("base", kept.base);
    for (const [name, value] of kept.entries) body.append(name, value);
    const answer = await this.#post(body, false);
    if (answer?.outcome === "saved") {
      this.#startFrom(answer);
      this.#forget();
    } else if (answer?.outcome === "versions") {
      this.#showVersions(answer, kept.entries);
    } else if (answer) {
      this.#putBack(kept.entries);
      this.#refuse(answer.errors);
    }
  }

  // Two versions

  #showVersions(said, entries) {
    this.#versions = { revision: said.revision, base: said.base, entries };
    this.panel.innerHTML = said.versions; // an alert: said aloud, and the typing goes on undisturbed
    this.#say("unsaved", "Not saved: this step was saved elsewhere meanwhile. Choose above which to keep.");
  }

  #choose(which) {
    if (!which || !this.#versions) return;
    const { entries, ...start } = this.#versions;
    this.#versions = null;
    this.panel.replaceChildren();
    if (which === "saved") {
      this.#forget();
      this.#saved = this.#written(); // nothing is sent on the way out
      location.reload();
      return;
    }
    this.#forget();
    this.#putBack(entries);
    this.#startFrom(start);
    this.#saved = "";
    this.#save();
  }

  // What the server will not take

  #refuse(errors) {
    this.#clearRefusals();
    this.#say("unsaved", "Not saved yet: see the sentence beside the field. Kept on this device.");
    this.#keep();
    for (const [id, sentences] of Object.entries(errors)) {
      const field = id && document.getElementById(id);
      if (!field) this.#refuseAll(sentences);
      else if (this.#isBusyIn(field)) this.#held.set(field, sentences);
      else this.#showRefusal(field, sentences);
    }
  }

  /** Still typing there: half a reading is no mistake yet. */
  #isBusyIn(field) {
    const group = field.closest("[data-together]") ?? field;
    return group.contains(document.activeElement) && document.activeElement.matches("input:not([type=radio], [type=checkbox]), textarea");
  }

  #left(event) {
    for (const field of this.#held.keys()) {
      const group = field.closest("[data-together]") ?? field;
      if (group.contains(event.target) && !group.contains(event.relatedTarget)) this.#release();
    }
  }

  #release() {
    const held = [...this.#held];
    this.#held.clear();
    for (const [field, sentences] of held) this.#showRefusal(field, sentences);
  }

  #showRefusal(field, sentences) {
    const said = document.createElement("p");
    said.className = "invalid-feedback";
    said.id = `${field.id}_refusal`;
    said.textContent = sentences.join(" ");
    (field.querySelector("td") ?? field).append(said);
    for (const input of field.querySelectorAll("input, textarea")) {
      input.setAttribute("aria-invalid", "true");
      input.setAttribute("aria-describedby", said.id);
      if (input.matches(".form-control")) input.classList.add("is-invalid");
    }
  }

  #refuseAll(sentences) {
    this.refusals.hidden = false;
    this.refusals.append(
      ...sentences.map((sentence) => Object.assign(document.createElement("p"), { textContent: sentence })),
    );
  }

  #hasRefusals() {
    return this.#held.size > 0 || this.querySelector(".invalid-feedback") !== null || !this.refusals.hidden;
  }

  #clearRefusals() {
    this.#held.clear();
    this.refusals.hidden = true;
    this.refusals.replaceChildren();
    for (const said of this.querySelectorAll(".invalid-feedback")) said.remove();
    for (const input of this.querySelectorAll("[aria-invalid]")) {
      input.removeAttribute("aria-invalid");
      input.removeAttribute("aria-describedby");
      input.classList.remove("is-invalid");
    }
  }
}
customElements.define("auto-save", AutoSave);
