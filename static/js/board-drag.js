/*
 * Moving an appointment by mouse, pen or finger: lift it, carry it to another time or column, put it down.
 *
 * A mouse lifts as soon as it moves, a pen or a finger after resting for a moment, so that the page can still be
 * scrolled by them. Beginnings snap to the quarter hour. Whether it may stand there is the server's to say. The same can
 * be done from each block's menu.
 */

const SLACK = 6; // pixels a pointer may stray before it counts as moving
const REST = 450; // milliseconds
const QUARTER = 3; // rows of five minutes
const ROW = 5 * 60_000; // milliseconds
const EDGE = 48; // pixels from the scroller's edge at which it scrolls by itself
const PACE = 14; // pixels a frame

/** Watches the blocks of the board in `host`; returns an object whose `isLifted` says whether one is being carried. */
export function liftable(host) {
  const drag = new Drag(host);
  host.addEventListener("pointerdown", (event) => drag.press(event));
  host.addEventListener("touchmove", (event) => drag.isLifted && event.preventDefault(), { passive: false });
  host.addEventListener("click", (event) => drag.swallow(event), true);
  host.addEventListener("dragstart", (event) => event.target.closest("[data-move]") && event.preventDefault());
  host.addEventListener("contextmenu", (event) => drag.pointer !== null && event.preventDefault());
  return drag;
}

class Drag {
  isLifted = false;
  pointer = null;

  constructor(host) {
    this.host = host;
    this.moved = (event) => this.move(event);
    this.ended = (event) => this.end(event);
    this.keyed = (event) => event.key === "Escape" && this.drop();
  }

  press(event) {
    const block = event.target.closest(".block[data-move]");
    const onScale = block && getComputedStyle(block.parentElement).display === "grid";
    if (!onScale || event.button !== 0 || this.pointer !== null || event.target.closest("button, .block-menu")) return;
    this.block = block;
    this.board = block.closest(".board");
    this.pointer = event.pointerId;
    this.from = [event.clientX, event.clientY];
    this.byMouse = event.pointerType === "mouse";
    if (!this.byMouse) this.resting = setTimeout(() => this.lift(), REST);
    window.addEventListener("pointermove", this.moved);
    window.addEventListener("pointerup", this.ended);
    window.addEventListener("pointercancel", this.ended);
    window.addEventListener("keydown", this.keyed);
  }

  lift() {
    const box = this.block.getBoundingClientRect();
    this.isLifted = true;
    this.tall = placed(this.block, "for");
    this.held = this.from[1] - box.top; // where within the block it is held
    this.block.classList.add("is-lifted");
    this.host.classList.add("is-dragging");
    this.ghost = document.createElement("div");
    this.ghost.className = "board-ghost";
    this.board.append(this.ghost);
    this.last = this.from;
    this.follow();
    this.frame = requestAnimationFrame(() => this.scroll());
  }

  move(event) {
    if (event.pointerId !== this.pointer) return;
    const strayed = Math.hypot(event.clientX - this.from[0], event.clientY - this.from[1]) > SLACK;
    if (!this.isLifted) {
      if (!strayed) return;
      if (!this.byMouse) return this.drop(); // it scrolls
      this.lift();
    }
    event.preventDefault();
    this.last = [event.clientX, event.clientY];
    this.follow();
  }

  /** Draws the ghost where the block would stand. */
  follow() {
    const lanes = [...this.board.querySelectorAll(".board-lane")];
    const boxes = lanes.map((lane) => lane.getBoundingClientRect());
    const [x, y] = this.last;
    const column = boxes.findIndex((box) => x < box.right);
    const number = column === -1 ? lanes.length - 1 : column;
    const rows = Number(this.board.dataset.rows);
    const row = ((y - this.held - boxes[0].top) / boxes[0].height) * rows;
    const most = rows - this.tall;
    this.row = Math.min(Math.max(Math.round(row / QUARTER) * QUARTER, 0), Math.max(most, 0));
    this.lane = lanes[number];
    for (const lane of lanes) lane.classList.toggle("is-target", lane === this.lane);
    this.ghost.style.gridColumn = String(number + 2);
    this.ghost.style.gridRow = `${this.row + 2} / span ${this.tall}`;
    this.ghost.textContent = `${this.clock()} ${this.lane.dataset.name}`;
  }

  clock() {
    const [hour, minute] = this.board.dataset.firstClock.split(":").map(Number);
    const minutes = hour * 60 + minute + this.row * 5;
    return [Math.floor(minutes / 60) % 24, minutes % 60].map((part) => String(part).padStart(2, "0")).join(":");
  }

  scroll() {
    if (!this.isLifted) return;
    const scroller = this.host.querySelector(".board-scroller");
    const box = scroller.getBoundingClientRect();
    const toward = (at, low, high) => (at < low + EDGE ? -PACE : at > high - EDGE ? PACE : 0);
    const [x, y] = [toward(this.last[0], box.left, box.right), toward(this.last[1], box.top, box.bottom)];
    if (x || y) {
      scroller.scrollBy(x, y);
      this.follow();
    }
    this.frame = requestAnimationFrame(() => this.scroll());
  }

  end(event) {
    if (event.pointerId !== this.pointer) return;
    const { block, board, lane, row, isLifted } = this;
    this.drop();
    if (!isLifted || event.type === "pointercancel") return;
    this.justDropped = true; // the click that follows is no click
    setTimeout(() => (this.justDropped = false), 0);
    const own = board.querySelector(`.board-lane[data-key="${lane.dataset.key}"]`);
    const stays = own.classList.contains(`in-${placed(block, "in")}`) && row === placed(block, "from");
    if (stays) return;
    const begins = new Date(Date.parse(board.dataset.startsAt) + row * ROW).toISOString();
    const values = { starts_at: begins, [board.dataset.by]: lane.dataset.key, seen: block.dataset.seen };
    this.host.last = block.dataset.reference;
    this.host.ask("POST", block.dataset.move, values);
  }

  /** Puts everything back as it was. */
  drop() {
    clearTimeout(this.resting);
    cancelAnimationFrame(this.frame);
    window.removeEventListener("pointermove", this.moved);
    window.removeEventListener("pointerup", this.ended);
    window.removeEventListener("pointercancel", this.ended);
    window.removeEventListener("keydown", this.keyed);
    this.block?.classList.remove("is-lifted");
    this.host.classList.remove("is-dragging");
    for (const lane of this.board?.querySelectorAll(".is-target") ?? []) lane.classList.remove("is-target");
    this.ghost?.remove();
    this.pointer = this.ghost = null;
    this.isLifted = false;
  }

  swallow(event) {
    if (!this.justDropped) return;
    event.preventDefault();
    event.stopPropagation();
  }
}

/** The number that the class of that name gives: `from` which row, `for` how many, `in` which column. */
function placed(block, name) {
  return Number(block.className.match(new RegExp(`(?:^| )${name}-(\\d+)`))[1]);
}
