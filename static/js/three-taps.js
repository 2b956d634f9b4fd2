// A try-on in three taps: the third answer given by finger, pen or mouse sends the form. Answers given by keyboard
// don't (arrow keys pass over answers on the way to another), there the Save button is used.

class ThreeTaps extends HTMLElement {
  connectedCallback() {
    this.addEventListener("click", (event) => {
      const byPointer = event.detail > 0 || event.pointerType;
      if (!byPointer || event.target.closest("input, label") === null) {
        return;
      }
      // a tap on a label reaches its radio button after this event
      setTimeout(() => this.sendIfWhole(), 0);
    });
  }

  sendIfWhole() {
    const form = this.querySelector("form");
    const groups = ["seen-covers", "seen-sits", "seen-matches"];
    if (!this.sent && groups.every((name) => form.elements[name].value)) {
      this.sent = true;
      form.requestSubmit();
    }
  }
}
customElements.define("three-taps", ThreeTaps);
