// <not-sent> in a form that htmx sends: shows its own words when the form could not be sent, until the next try. What
// stands in the form stays as it is.

class NotSent extends HTMLElement {
  connectedCallback() {
    const form = this.closest("form");
    for (const failed of ["htmx:sendError", "htmx:responseError", "htmx:timeout"]) {
      form.addEventListener(failed, () => this.say(true));
    }
    form.addEventListener("htmx:beforeRequest", () => this.say(false));
  }

  say(failed) {
    this.querySelector("[role=alert]").hidden = !failed;
  }
}
customElements.define("not-sent", NotSent);
