/*
 * <photo-compare>: two photos of one angle, the right one laid over the left and uncovered by one slider.
 *
 * Enhances two figures that the server lays side by side. The slider is a native one, so keys work as everywhere; a
 * drag or a tap on the pictures moves it too. Its value is the share of the width, from the left, that shows the left
 * picture. The layout chosen is kept for this tab, as each angle is a page of its own.
 */

const LAYOUT = "photo-compare-layout";

class PhotoCompare extends HTMLElement {
  #dragging = null; // the pointer that drags

  connectedCallback() {
    if (this.slider) return;
    this.stage = this.querySelector("[data-stage]");
    this.slider = this.querySelector("input[type=range]");
    this.querySelector("[data-layouts]").hidden = false;
    for (const choice of this.querySelectorAll("input[name=layout]")) {
      choice.addEventListener("change", () => this.#lay(choice.value));
    }
    this.slider.addEventListener("input", () => this.#show());
    this.stage.addEventListener("pointerdown", (event) => this.#down(event));
    this.stage.addEventListener("pointermove", (event) => this.#move(event));
    for (const end of ["pointerup", "pointercancel"]) {
      this.stage.addEventListener(end, (event) => this.#up(event));
    }
    this.#lay(sessionStorage.getItem(LAYOUT) === "beside" ? "beside" : "over");
    this.#show();
  }

  #lay(layout) {
    sessionStorage.setItem(LAYOUT, layout);
    this.dataset.layout = layout;
    this.querySelector(`input[name=layout][value=${layout}]`).checked = true;
    this.querySelector("[data-slider]").hidden = layout !== "over";
  }

  #show() {
    const share = Number(this.slider.value);
    this.stage.style.setProperty("--share", `${share}%`);
    this.slider.setAttribute("aria-valuetext", `${share} % of ${this.slider.dataset.left}`);
  }

  #down(event) {
    const onPicture = event.target.closest("img");
    if (this.dataset.layout !== "over" || event.button !== 0 || !onPicture || this.#dragging !== null) return;
    this.#dragging = event.pointerId;
    this.stage.setPointerCapture(event.pointerId);
    this.#to(event);
  }

  #move(event) {
    if (event.pointerId === this.#dragging) this.#to(event);
  }

  #up(event) {
    if (event.pointerId === this.#dragging) this.#dragging = null;
  }

  #to(event) {
    const box = this.stage.querySelector("img").getBoundingClientRect();
    this.slider.value = String(Math.round((100 * (event.clientX - box.left)) / box.width));
    this.#show();
  }
}
customElements.define("photo-compare", PhotoCompare);
