/*
 * The marks over a photo, and the loupe: circles and corners with their letters, lines twice outlined so that they show
 * on dark hair and light.
 *
 * A kind of mark has its own shape (a square tag for the card, a diamond for a corner, a round tag for hair) besides
 * its letter; nothing is told by colour alone. Works in CSS pixels of the photo as it is shown now. Decides nothing.
 */
import { patchMiddles } from "./chart-patches.js";
import { isCorner } from "./mark-list.js";

const SVG = "http://www.w3.org/2000/svg";
const CORNER_PX = 8; // from the middle of a corner's diamond to its tip
const TAG_PX = { height: 20, letter: 8.5, edge: 3 };
const LOUPE = { px: 128, closer: 3, leastCloser: 1 };

function draw(name, attributes, text = "") {
  const element = document.createElementNS(SVG, name);
  for (const [attribute, value] of Object.entries(attributes)) element.setAttribute(attribute, value);
  element.textContent = text;
  return element;
}

/** The same line twice, dark and wide under light and thin. */
function outlined(name, attributes) {
  return [draw(name, { ...attributes, class: "mark-under" }), draw(name, { ...attributes, class: "mark-over" })];
}

export class MarkDrawing {
  constructor(frame) {
    this.frame = frame;
    this.svg = draw("svg", { class: "marks-drawn", "aria-hidden": "true", focusable: "false" });
    frame.append(this.svg);
  }

  /**
   * shown: [{target, letter, x, y, radius, isInHand}] and crosshair {x, y, radius, isCorner} or null, shares of the
   * photo; corners: the chart's in an order that goes round.
   */
  show(shown, corners, crosshair) {
    const { width, height } = this.frame.getBoundingClientRect();
    if (!width) return;
    this.size = { width, height, longer: Math.max(width, height) };
    this.svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
    const parts = corners.length === 4 ? this.#chart(corners.map((corner) => this.#px(corner))) : [];
    for (const mark of shown) parts.push(this.#mark(mark));
    if (crosshair) parts.push(this.#crosshair(crosshair));
    this.svg.replaceChildren(...parts);
  }

  #px({ x, y }) {
    return { x: x * this.size.width, y: y * this.size.height };
  }

  #chart(corners) {
    const points = corners.map(({ x, y }) => `${x},${y}`).join(" ");
    const patches = patchMiddles(corners).flatMap(({ x, y }) => outlined("circle", { cx: x, cy: y, r: 1.5 }));
    return [...outlined("polygon", { points, "stroke-dasharray": "5 5" }), ...patches];
  }

  #mark(mark) {
    const group = draw("g", { class: mark.isInHand ? "mark is-in-hand" : "mark", "data-mark": mark.target });
    const { x, y } = this.#px(mark);
    const radius = isCorner(mark.target) ? CORNER_PX : Math.max(3, mark.radius * this.size.longer);
    group.append(...this.#shape(mark.target, x, y, radius), ...this.#tag(mark, x, y, radius));
    return group;
  }

  #shape(target, x, y, radius) {
    if (!isCorner(target)) return outlined("circle", { cx: x, cy: y, r: radius });
    return outlined("path", { d: diamond(x, y, radius) });
  }

  /** The letter beside the mark, on the side where there is room. */
  #tag({ target, letter }, x, y, radius) {
    const width = Math.max(TAG_PX.height, TAG_PX.letter * letter.length + 8);
    const beside = radius * 0.75 + TAG_PX.edge;
    const left = x + beside + width > this.size.width ? x - beside - width : x + beside;
    const top = y - beside - TAG_PX.height < 0 ? y + beside : y - beside - TAG_PX.height;
    const round = target === "card" ? 2 : TAG_PX.height / 2;
    const box = { x: left, y: top, width, height: TAG_PX.height, rx: round, class: "mark-tag" };
    const middle = { x: left + width / 2, y: top + TAG_PX.height / 2 };
    const face = isCorner(target)
      ? draw("path", { d: diamond(middle.x, middle.y, TAG_PX.height * 0.72), class: "mark-tag" })
      : draw("rect", box);
    return [face, draw("text", { ...middle, class: "mark-letter" }, letter)];
  }

  #crosshair(crosshair) {
    const { x, y } = this.#px(crosshair);
    const { width, height, longer } = this.size;
    const lines = outlined("path", { d: `M${x} 0V${height}M0 ${y}H${width}` });
    const aim = crosshair.isCorner
      ? outlined("path", { d: diamond(x, y, CORNER_PX) })
      : outlined("circle", { cx: x, cy: y, r: Math.max(3, crosshair.radius * longer) });
    const group = draw("g", { class: "mark-crosshair" });
    group.append(...lines, ...aim);
    return group;
  }
}

function diamond(x, y, reach) {
  return `M${x} ${y - reach}L${x + reach} ${y}L${x} ${y + reach}L${x - reach} ${y}Z`;
}

/** What lies under the finger or the crosshair, enlarged, in the upper corner that is further from it. */
export class MarkLoupe {
  constructor(canvas, image, stage) {
    Object.assign(this, { canvas, image, stage });
  }

  /** at: {x, y, radius, isCorner} as shares of the photo. */
  show(at) {
    if (!this.image.complete || !this.image.naturalWidth) return;
    const box = this.image.getBoundingClientRect();
    const sharp = devicePixelRatio || 1;
    const { naturalWidth: width, naturalHeight: height } = this.image;
    const ofScreen = width / box.width; // photo pixels a CSS pixel
    // where the photo itself is shown larger than it is, enlarging further would show nothing new
    const closer = Math.max(LOUPE.leastCloser, Math.min(LOUPE.closer, 4 * ofScreen));
    const across = (LOUPE.px / closer) * ofScreen;
    this.canvas.width = this.canvas.height = LOUPE.px * sharp;
    const pen = this.canvas.getContext("2d");
    pen.scale(sharp, sharp);
    pen.drawImage(
      this.image, at.x * width - across / 2, at.y * height - across / 2, across, across, 0, 0, LOUPE.px, LOUPE.px,
    );
    this.#aim(pen, at.isCorner ? CORNER_PX : at.radius * Math.max(box.width, box.height) * closer);
    const view = this.stage.getBoundingClientRect();
    this.canvas.classList.toggle("is-left", box.left + at.x * box.width > view.left + view.width / 2);
    this.canvas.hidden = false;
  }

  hide() {
    this.canvas.hidden = true;
  }

  #aim(pen, radius) {
    const middle = LOUPE.px / 2;
    for (const [style, width] of [["#000", 4], ["#fff", 1.75]]) {
      pen.strokeStyle = style;
      pen.lineWidth = width;
      pen.beginPath();
      pen.arc(middle, middle, Math.min(radius, middle * 1.3), 0, 2 * Math.PI);
      pen.moveTo(middle - 6, middle);
      pen.lineTo(middle + 6, middle);
      pen.moveTo(middle, middle - 6);
      pen.lineTo(middle, middle + 6);
      pen.stroke();
    }
  }
}
