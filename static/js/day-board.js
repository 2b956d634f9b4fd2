/*
 * <day-board>: keeps the day fresh, tells what was done, and puts the focus back where it was.
 *
 * The day itself is the server's; every half minute it is asked for, unless somebody is in the middle of something on
 * it. What the server answers with "nothing new" changes no more than the time beside "As of".
 */

import { liftable } from "./board-drag.js";

const EVERY = 30_000; // milliseconds
const OFFLINE = "Not refreshed since: there is no connection. It tries again by itself.";
const SIGNED_OUT = "Not refreshed since: nobody is signed in any more. Open the page anew.";

class DayBoard extends HTMLElement {
  connectedCallback() {
    this.asOf = this.querySelector("[data-as-of]");
    this.trouble = this.querySelector("[data-trouble]");
    this.scroller = this.querySelector(".board-scroller");
    this.timer = setInterval(() => this.refresh(), EVERY);
    this.onVisible = () => document.visibilityState === "visible" && this.refresh();
    document.addEventListener("visibilitychange", this.onVisible);
    window.addEventListener("online", this.onVisible);
    document.body.addEventListener("board-seen", (this.onSeen = (event) => this.seen(event.detail)));
    this.addEventListener("htmx:beforeSwap", (event) => this.remember(event));
    this.addEventListener("htmx:afterSwap", () => this.settle());
    this.addEventListener("htmx:sendError", () => this.say(OFFLINE));
    this.addEventListener("htmx:responseError", () => this.say(OFFLINE));
    this.addEventListener("click", (event) => this.close(event));
    this.addEventListener("close", () => this.focusOn(this.last), true);
    this.drag = liftable(this);
    this.openRefusal();
    this.showNow();
  }

  disconnectedCallback() {
    clearInterval(this.timer);
    document.removeEventListener("visibilitychange", this.onVisible);
    window.removeEventListener("online", this.onVisible);
    document.body.removeEventListener("board-seen", this.onSeen);
  }

  /** Now, with the hour before it above, or the day's first appointment when now is not on it; the page itself is not moved. */
  showNow() {
    const blocks = [...this.querySelectorAll(".block")];
    const first = blocks.reduce((one, other) => (other.offsetTop < one.offsetTop ? other : one), blocks[0]);
    const now = this.querySelector("[data-now]");
    const shown = now ?? first;
    if (!shown?.checkVisibility()) return;
    const hour = now ? this.querySelector(".board-hour").offsetHeight : 0;
    const head = this.querySelector(".board-corner").offsetHeight;
    this.scroller.scrollTop = shown.offsetTop - 2 * head - hour;
  }

  get board() {
    return this.querySelector("#board");
  }

  /** Somebody drags, has a menu or a question open, or an answer is on its way. */
  get isBusy() {
    return this.drag.isLifted || this.querySelector(":popover-open, dialog[open], .htmx-request") !== null;
  }

  refresh() {
    if (document.visibilityState !== "visible" || this.isBusy) return;
    this.ask("GET", `${this.dataset.address}&stamp=${this.board.dataset.stamp}`);
  }

  ask(verb, address, values = {}) {
    this.refreshing = verb === "GET";
    return window.htmx.ajax(verb, address, { source: this.board, target: "#board", swap: "outerHTML", values });
  }

  seen({ at, says }) {
    this.asOf.textContent = at;
    this.trouble.hidden = true;
    if (says) this.announce(says);
  }

  say(words) {
    this.trouble.textContent = words;
    if (this.trouble.hidden) this.announce(words);
    this.trouble.hidden = false;
  }

  announce(words) {
    document.getElementById("announce").textContent = words;
  }

  /** An answer that is no board is the page to sign in on; one that comes too late would close what was opened since. */
  remember(event) {
    const { xhr, requestConfig } = event.detail;
    if (xhr.status !== 200) return;
    if (!xhr.responseText.includes('id="board"')) {
      event.detail.shouldSwap = false;
      this.say(SIGNED_OUT);
      return;
    }
    if (requestConfig.verb === "get" && this.isLateFor(xhr)) {
      event.detail.shouldSwap = false;
      return;
    }
    const focused = document.activeElement;
    this.hadFocus = this.contains(focused) ? focused.id : "";
    this.last = focused?.closest?.("[data-reference]")?.dataset.reference ?? this.last;
    this.at = [this.scroller.scrollLeft, this.scroller.scrollTop];
  }

  isLateFor() {
    return this.drag.isLifted || this.querySelector(":popover-open, dialog[open]") !== null;
  }

  settle() {
    this.scroller.scrollTo(...(this.at ?? [0, 0]));
    if (this.openRefusal()) return;
    const still = this.hadFocus && document.getElementById(this.hadFocus);
    if (still && still.checkVisibility()) still.focus({ preventScroll: true });
    else if (this.hadFocus !== undefined && !this.refreshing) this.focusOn(this.last);
  }

  focusOn(reference) {
    document.getElementById(`link-${reference}`)?.focus({ preventScroll: true });
  }

  /** What the server put there as an open dialog becomes one that holds the focus. */
  openRefusal() {
    const dialog = this.querySelector("dialog[open]");
    if (!dialog) return false;
    dialog.close();
    dialog.showModal();
    return true;
  }

  close(event) {
    const leave = event.target.closest("dialog [data-close]");
    if (!leave) return;
    event.preventDefault();
    leave.closest("dialog").close();
  }
}
customElements.define("day-board", DayBoard);
