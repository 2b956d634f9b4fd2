// What every page needs: the search key, the switch that turns the screen to the client, and an ear for early typing.

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

/*
 * What was pressed or typed before htmx listened, on a slow network, reached nobody; and what the browser puts back on
 * the way back to a page, between DOMContentLoaded and pageshow, makes no event. Both are told here, once, to the element
 * whose trigger waits for them, and no further: whatever else listens reads its own fields. htmx begins at its own
 * DOMContentLoaded, which the document hears before the window does. A trigger with `changed` would still hear nothing,
 * for htmx compares with the value it found; beside `input` no trigger needs it.
 */
const CONTROLS = "input, select, textarea";
const heard = new WeakMap(); // an element with a trigger, and how its controls stood when htmx last heard of them

function controlsIn(element) {
  return element.matches(CONTROLS) ? [element] : [...element.querySelectorAll(CONTROLS)];
}

function standOf(controls) {
  const chosen = ({ selectedOptions }) => Array.from(selectedOptions ?? [], ({ value }) => value);
  return JSON.stringify(controls.map((control) => [control.value, control.checked, chosen(control)]));
}

/** How the controls stood as the page came: copies, reset, for the browser knows best what it makes of the markup. */
function standAtFirst(controls) {
  const form = document.createElement("form");
  form.append(...controls.map((control) => control.cloneNode(true)));
  form.reset();
  return standOf([...form.children]);
}

function tellWhatWasMissed() {
  for (const element of document.querySelectorAll("[hx-trigger]")) {
    const [event] = element.getAttribute("hx-trigger").match(/\b(?:input|change|search)\b/) ?? [];
    const controls = controlsIn(element);
    const stand = standOf(controls);
    if (event && stand !== (heard.get(element) ?? standAtFirst(controls))) element.dispatchEvent(new Event(event));
    heard.set(element, stand);
  }
}

function remember({ target }) {
  for (let element = target.closest("[hx-trigger]"); element; element = element.parentElement.closest("[hx-trigger]")) {
    heard.set(element, standOf(controlsIn(element)));
  }
}

addEventListener("DOMContentLoaded", () => {
  tellWhatWasMissed();
  for (const event of ["input", "change"]) document.addEventListener(event, remember, { capture: true });
});
addEventListener(
  "pageshow",
  () => {
    tellWhatWasMissed();
    for (const event of ["input", "change"]) document.removeEventListener(event, remember, { capture: true });
  },
  { once: true },
);
