/*
 * <stage-suggestion>: a button that takes her to the stage that the map suggests, and presses it.
 *
 * Without this the stages are pressed in their list, which is always there; so the button comes hidden.
 * data-for the id of the stage's radio button
 */
class StageSuggestion extends HTMLElement {
  connectedCallback() {
    const button = this.querySelector("button");
    button.hidden = false;
    button.addEventListener("click", () => {
      const stage = document.getElementById(this.dataset.for);
      stage.closest("details").open = true;
      stage.click(); // so that the form hears of it as of a press of hers
      stage.focus(); // this list is written anew when the press is saved
    });
  }
}
customElements.define("stage-suggestion", StageSuggestion);
