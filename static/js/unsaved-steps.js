/*
 * <unsaved-steps>: before signing, says which steps still hold something on this device that never reached the server.
 *
 * Reads what <auto-save> and <turning-head> keep in this browser for the assessment; changes nothing.
 *
 * data-assessment its reference · its links (data-step) name the steps and where they are
 */

class UnsavedSteps extends HTMLElement {
  connectedCallback() {
    const kept = this.#kept();
    for (const link of this.querySelectorAll("[data-step]")) link.hidden = !kept.has(link.dataset.step);
    this.hidden = kept.size === 0;
  }

  #kept() {
    const { assessment } = this.dataset;
    try {
      const steps = Object.keys(localStorage)
        .filter((place) => place.startsWith(`auto-save:${assessment}:`))
        .map((place) => place.split(":")[2]);
      if (localStorage.getItem(`turning-head:${assessment}`)) steps.push("map");
      return new Set(steps);
    } catch {
      return new Set();
    }
  }
}
customElements.define("unsaved-steps", UnsavedSteps);
