// <chosen-files> around the form of an import: says so when the files could not be sent. Browsers refuse to send a file
// that was changed on disk after it was chosen, which is just what happens when somebody mends a bad line and checks again.

class ChosenFiles extends HTMLElement {
  connectedCallback() {
    this.notSent = this.querySelector("[data-not-sent]");
    this.addEventListener("htmx:beforeRequest", () => this.say(false));
    this.addEventListener("htmx:sendError", () => {
      for (const input of this.querySelectorAll("input[type=file]")) {
        input.value = "";
      }
      document.getElementById("import-report").replaceChildren();
      this.say(true);
    });
  }

  say(failed) {
    this.notSent.hidden = !failed;
  }
}
customElements.define("chosen-files", ChosenFiles);
