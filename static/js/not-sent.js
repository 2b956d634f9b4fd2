/*
 * <not-sent> in a form that htmx sends: says that the form could not be sent, or that nobody is signed in any more, until
 * the next try. The page stays as it is, and so does what stands in the form.
 *
 * The token against forgery is read from its cookie at every sending: signing in again in another tab changes it.
 */

const SIGNED_OUT = 401;
const TOKEN = "csrfmiddlewaretoken";

class NotSent extends HTMLElement {
  connectedCallback() {
    const form = this.closest("form");
    for (const failed of ["htmx:sendError", "htmx:responseError", "htmx:timeout"]) {
      form.addEventListener(failed, () => this.say("failed"));
    }
    form.addEventListener("htmx:beforeRequest", () => this.say());
    form.addEventListener("htmx:beforeOnLoad", (event) => this.#heard(event));
    form.addEventListener("htmx:configRequest", ({ detail }) => {
      const [, fresh] = document.cookie.match(/(?:^|; )csrftoken=([^;]+)/) ?? [];
      if (fresh && detail.formData.has(TOKEN)) detail.formData.set(TOKEN, fresh);
    });
  }

  /** The answer would lead the whole page to sign in, away from what has not been sent. */
  #heard(event) {
    if (event.detail.xhr.status !== SIGNED_OUT) return;
    event.preventDefault();
    this.say("signed-out");
  }

  say(what = "") {
    for (const words of this.querySelectorAll("[data-when]")) words.hidden = words.dataset.when !== what;
  }
}
customElements.define("not-sent", NotSent);
