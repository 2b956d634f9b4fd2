// What every page needs: the search key, and the switch that turns the screen to the client.

document.addEventListener("keydown", (event) => {
  const typing = event.target.closest("input, textarea, select, [contenteditable]");
  if (event.key === "/" && !typing && !event.ctrlKey && !event.metaKey && !event.altKey) {
    const field = document.getElementById("quick-find");
    if (field) {
      event.preventDefault();
      field.focus();
    }
  }
});

// hides what is the salon's alone (.salon-only); kept for this tab until it is turned back
class TurnToClient extends HTMLElement {
  connectedCallback() {
    this.button = this.querySelector("button");
    this.button.addEventListener("click", () => this.turn(!this.turned));
    this.turn(sessionStorage.getItem("turned-to-client") === "yes");
  }

  get turned() {
    return document.documentElement.dataset.turned === "client";
  }

  turn(toClient) {
    if (toClient) {
      document.documentElement.dataset.turned = "client";
    } else {
      delete document.documentElement.dataset.turned;
    }
    sessionStorage.setItem("turned-to-client", toClient ? "yes" : "no");
    this.button.setAttribute("aria-pressed", String(toClient));
    this.button.textContent = toClient ? "Turned to client" : "Turn to client";
  }
}
customElements.define("turn-to-client", TurnToClient);

// on a narrow screen the steps of a visit scroll sideways; the one she is at should be in sight
document.querySelector(".steps [aria-current]")?.scrollIntoView({ block: "nearest", inline: "center" });
