/*
 * <intake-form> around a form that htmx sends: says when it could not be sent, and asks before the page is left unsent.
 *
 * What is typed is about her health and the device may not be hers, so this browser keeps none of it: until the server
 * has it, the page is the only place, and stays as it is when the sending fails.
 *
 * data-handed-over: the salon's tablet; its other windows, in which somebody was signed in, go to the sign-in page.
 */

const CLOSED = 404;

class IntakeForm extends HTMLElement {
  #isUnsent = false;

  connectedCallback() {
    this.away = new AbortController();
    const { signal } = this.away;
    this.addEventListener("input", () => (this.#isUnsent = true));
    this.addEventListener("submit", (event) => this.#submitted(event));
    this.addEventListener("htmx:beforeRequest", () => this.#say());
    this.addEventListener("htmx:beforeOnLoad", ({ detail }) => this.#heard(detail.xhr));
    this.addEventListener("htmx:responseError", ({ detail }) => this.#say(detail.xhr.status === CLOSED ? "over" : "failed"));
    for (const failed of ["htmx:sendError", "htmx:timeout"]) this.addEventListener(failed, () => this.#say("failed"));
    addEventListener("beforeunload", (event) => this.#isUnsent && event.preventDefault(), { signal });
    if ("handedOver" in this.dataset) new BroadcastChannel("signed-in").postMessage("handed over");
  }

  disconnectedCallback() {
    this.away.abort();
  }

  /** Sent plainly, without htmx: the page may go. */
  #submitted(event) {
    if (!event.defaultPrevented) this.#isUnsent = false;
  }

  /** The server has it and leads on. */
  #heard(xhr) {
    if (xhr.getResponseHeader("HX-Redirect")) this.#isUnsent = false;
  }

  #say(what = "") {
    for (const words of this.querySelectorAll("[data-when]")) {
      words.hidden = words.dataset.when !== what;
      if (!words.hidden) words.scrollIntoView({ block: "nearest" });
    }
  }
}
customElements.define("intake-form", IntakeForm);
