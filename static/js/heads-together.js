/*
 * <heads-together>: heads of one client that are looked at from the same side and turn together.
 *
 * Holds the server's figures, each with a <turning-head data-mode="show">, and the buttons that choose one of them where
 * there is no room for all (data-choose with the figure's data-which). The heads' own buttons for looking and turning
 * become one row for all of them. Without a script the figures stand one below the other, flat.
 */
import "./turning-head.js";

class HeadsTogether extends HTMLElement {
  connectedCallback() {
    if (this.heads) return;
    this.heads = [...this.querySelectorAll("turning-head")];
    this.figures = [...this.querySelectorAll("[data-which]")];
    for (const head of this.heads) head.addEventListener("head-moved", (event) => this.#follow(head, event.detail));
    this.#shareButtons();
    const choice = this.querySelector("[data-choice]");
    choice.hidden = false;
    this.buttons = [...choice.querySelectorAll("[data-choose]")];
    for (const button of this.buttons) button.addEventListener("click", () => this.#choose(button.dataset.choose));
    this.#choose(this.buttons.find((button) => button.getAttribute("aria-pressed") === "true").dataset.choose);
    this.classList.add("is-ready");
  }

  #shareButtons() {
    const shared = document.createElement("div");
    shared.className = "heads-shared";
    const [first, ...others] = this.heads;
    for (const row of [".head-views", ".head-turns", ".head-marks"]) {
      shared.append(first.querySelector(row));
      for (const head of others) head.querySelector(row).remove();
    }
    this.prepend(shared);
    this.#hideTapes(shared);
    // What the shared row says about the side is the first head's; nobody sends these to a form.
    for (const kind of ["input", "change"]) shared.addEventListener(kind, (event) => event.stopPropagation());
  }

  /** Three small heads have no room for three tapes and their labels each; a tick brings them. */
  #hideTapes(shared) {
    shared.querySelector(".head-marks input").checked = false;
    for (const head of this.heads) head.follow({ way: "mark", what: "tapes", shown: false });
  }

  #follow(moved, how) {
    for (const head of this.heads) if (head !== moved) head.follow(how);
  }

  /** Which figure is seen where only one has room; where all have, the sheet shows all. */
  #choose(which) {
    for (const button of this.buttons) button.setAttribute("aria-pressed", String(button.dataset.choose === which));
    for (const figure of this.figures) figure.classList.toggle("is-chosen", figure.dataset.which === which);
  }
}
customElements.define("heads-together", HeadsTogether);
