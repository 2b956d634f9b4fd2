/*
 * What finger, pen and mouse mean on a photo that is being marked.
 *
 * A tap places; a swipe scrolls, as anywhere on a page. A finger that rests a moment is aiming: the loupe follows it and
 * the mark falls where it is lifted. The mouse aims by moving and places by a click. A second finger gives it up, for
 * that is the browser's own zoom. Keeps no marks.
 */

const RESTS_AFTER_MS = 180;
const SWIPE_PX = 10;

export class MarkGestures {
  #press = null; // {id, x, y, rests} of the pointer that is down
  #timer = 0;

  /** host: aim(event), place(event), letGo(); all of them look at clientX and clientY only. */
  constructor(stage, host) {
    this.host = host;
    stage.addEventListener("pointerdown", (event) => this.#down(event));
    stage.addEventListener("pointermove", (event) => this.#move(event));
    stage.addEventListener("pointerup", (event) => this.#up(event));
    stage.addEventListener("pointercancel", () => this.#giveUp());
    stage.addEventListener("pointerleave", () => this.#giveUp());
    stage.addEventListener("contextmenu", (event) => this.#press?.isTouch && event.preventDefault());
    // once it aims, the page stays where it is
    stage.addEventListener("touchmove", (event) => this.#press?.rests && event.cancelable && event.preventDefault(), {
      passive: false,
    });
  }

  #down(event) {
    if (this.#press || !event.isPrimary) return this.#giveUp();
    if (event.button !== 0) return;
    const { pointerId: id, clientX: x, clientY: y } = event;
    const isTouch = event.pointerType !== "mouse";
    this.#press = { id, x, y, isTouch, rests: !isTouch };
    this.#timer = setTimeout(() => this.#rest(), RESTS_AFTER_MS);
    this.host.aim(event);
  }

  #rest() {
    if (this.#press) this.#press.rests = true;
  }

  #move(event) {
    if (!this.#press) {
      if (event.pointerType !== "touch") this.host.aim(event);
      return;
    }
    if (event.pointerId !== this.#press.id) return;
    const isSwipe = Math.hypot(event.clientX - this.#press.x, event.clientY - this.#press.y) > SWIPE_PX;
    if (isSwipe && !this.#press.rests) this.#giveUp();
    else this.host.aim(event);
  }

  #up(event) {
    if (event.pointerId !== this.#press?.id) return;
    const { isTouch } = this.#press;
    this.#end();
    this.host.place(event);
    if (isTouch) this.host.letGo();
  }

  #giveUp() {
    this.#end();
    this.host.letGo();
  }

  #end() {
    clearTimeout(this.#timer);
    this.#press = null;
  }
}
