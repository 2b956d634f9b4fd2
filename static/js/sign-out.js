/*
 * <sign-out>: asks before it signs somebody out of a device that still keeps answers or strokes.
 *
 * What a client said stays on no device behind a sign-in page. Holds the form and a <dialog>: the button with
 * data-forget signs out and takes it away, the other goes back. Nothing kept, nothing asked.
 */

import { forgetAll, placesKept } from "./kept-here.js";

class SignOut extends HTMLElement {
  connectedCallback() {
    const form = this.querySelector("form");
    const dialog = this.querySelector("dialog");
    form.addEventListener("submit", async (event) => {
      if (placesKept().length === 0) return;
      event.preventDefault();
      await document.querySelector("auto-save")?.saveNow(); // typed a moment ago, perhaps
      if (placesKept().length > 0) dialog.showModal();
      else form.submit(); // past the question
    });
    this.querySelector("[data-forget]").addEventListener("click", () => {
      document.querySelector("auto-save")?.remove(); // or it keeps on its way out what was just taken away
      forgetAll();
      form.submit();
    });
  }
}
customElements.define("sign-out", SignOut);
