/*
 * <unsaved-steps>: before signing, says which steps still hold something on this device that never reached the server.
 *
 * Reads what <auto-save> and <turning-head> keep in this browser for the assessment; changes nothing.
 *
 * data-assessment its reference · its links (data-step) name the steps and where they are
 */

import { ANSWERS, placesKept, STROKES } from "./kept-here.js";

class UnsavedSteps extends HTMLElement {
  connectedCallback() {
    const kept = this.#kept();
    for (const link of this.querySelectorAll("[data-step]")) link.hidden = !kept.has(link.dataset.step);
    this.hidden = kept.size === 0;
  }

  #kept() {
    const { assessment } = this.dataset;
    const ofAnswers = `${ANSWERS}${assessment}:`;
    const places = placesKept();
    const steps = places.filter((place) => place.startsWith(ofAnswers)).map((place) => place.split(":")[2]);
    return new Set(places.includes(`${STROKES}${assessment}`) ? [...steps, "map"] : steps);
  }
}
customElements.define("unsaved-steps", UnsavedSteps);
