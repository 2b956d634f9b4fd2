// A form whose first press counts: while the answer is on its way, a second one sends nothing.

class OnceOnly extends HTMLElement {
  connectedCallback() {
    this.addEventListener("submit", (event) => {
      if (this.sent) {
        event.preventDefault();
        return;
      }
      this.sent = true;
      event.target.setAttribute("aria-busy", "true");
    });
    // coming back by the browser's own memory of the page, it may be sent again; the server sees to it that nothing
    // is done twice
    window.addEventListener("pageshow", () => {
      this.sent = false;
      this.querySelector("form")?.removeAttribute("aria-busy");
    });
  }
}
customElements.define("once-only", OnceOnly);
