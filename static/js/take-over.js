/* <take-over> around a form beside a step that saves itself: what was typed a moment ago is saved before the page goes. */

class TakeOver extends HTMLElement {
  connectedCallback() {
    const form = this.querySelector("form");
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      await document.querySelector("auto-save")?.saveNow();
      form.submit(); // past this listener
    });
  }
}
customElements.define("take-over", TakeOver);
