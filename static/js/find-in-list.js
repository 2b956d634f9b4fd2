/*
 * <find-in-list>: a search field over a long list that is all on the page; rows with data-words hide as one types.
 *
 * A row that holds a choice already made always stays in sight. Without a script the whole list is there.
 */

class FindInList extends HTMLElement {
  connectedCallback() {
    this.field = this.querySelector("input[type=search]");
    // what is typed here is a way of looking, nothing a form keeps
    for (const kind of ["input", "change"]) this.field.addEventListener(kind, (event) => event.stopPropagation());
    this.field.addEventListener("input", () => this.#narrow());
    this.field.addEventListener("keydown", (event) => {
      if (event.key === "Enter") event.preventDefault(); // it would send the form
    });
  }

  #narrow() {
    const words = this.field.value.toLowerCase().split(/\s+/).filter(Boolean);
    for (const row of this.querySelectorAll("[data-words]")) {
      const meets = words.every((word) => row.dataset.words.includes(word));
      row.hidden = !meets && !row.querySelector("input:checked");
    }
  }
}
customElements.define("find-in-list", FindInList);
