/* <copy-address>: a button that copies the address in the field beside it, and says that it did. */

class CopyAddress extends HTMLElement {
  connectedCallback() {
    const field = this.querySelector("input");
    const button = this.querySelector("button");
    field.addEventListener("focus", () => field.select());
    if (!navigator.clipboard) return; // the field can be selected and copied by hand
    button.hidden = false;
    button.addEventListener("click", async () => {
      await navigator.clipboard.writeText(field.value);
      this.querySelector("[role=status]").textContent = "Copied.";
    });
  }
}
customElements.define("copy-address", CopyAddress);
