/*
 * The canvas the head stands on: from where it is seen, what is shown on it, and when it is drawn.
 *
 * Coarse while it turns, sharp at rest; while painting only the touched part is coloured again. Follows the canvas's
 * size, the screen's density and the light or dark look. Changes no density.
 */
import { HeadPicture } from "./head-drawing.js";
import { HeadLines } from "./head-lines.js";
import { HeadSigns } from "./head-signs.js";
import { ChartView, TurningView, VIEWS } from "./head-view.js";

const REST_AFTER_MS = 140;
const EASE_MS = 320;
const MOST_PIXELS = 1_800_000;
const MOVING = { start: 400, least: 240, most: 640, slowMs: 14, quickMs: 7 }; // pixels across while turning

export class HeadStage {
  #frame = 0;
  #resting = 0;
  #easing = null;
  #movingWidth = MOVING.start;
  #isMoving = false;
  #isSeen = false; // a head that is hidden for want of room is not drawn
  #looked = false;
  #touched = null; // rectangle to colour again, in pixels of the picture; "all" for everything
  #shown = { tapes: true, zones: false, bases: true, highlightedZone: -1, ring: [], cursor: null };

  constructor(element, canvas, { geometry, cells, zoneOfCell, units, assumed, bases, hasSigns = false }) {
    this.element = element;
    this.canvas = canvas;
    this.context = canvas.getContext("2d");
    this.geometry = geometry;
    this.cells = cells;
    this.turning = new TurningView(geometry);
    this.chart = new ChartView(geometry);
    this.view = this.turning;
    this.picture = new HeadPicture(geometry);
    this.signs = hasSigns ? new HeadSigns(geometry) : null;
    this.lineOptions = { zoneOfCell, units, assumed };
    this.showBases(bases);
  }

  get isChart() {
    return this.view === this.chart;
  }

  connect() {
    this.sizes = new ResizeObserver(() => this.#resize());
    this.sizes.observe(this.canvas);
    this.theme = matchMedia("(prefers-color-scheme: dark)");
    this.onTheme = () => this.recolour({ palette: true });
    this.theme.addEventListener("change", this.onTheme);
    this.themes = new MutationObserver(this.onTheme);
    this.themes.observe(document.documentElement, { attributes: true, attributeFilter: ["data-theme", "class"] });
    this.onTheme();
  }

  disconnect() {
    this.sizes?.disconnect();
    this.themes?.disconnect();
    this.theme?.removeEventListener("change", this.onTheme);
    cancelAnimationFrame(this.#frame);
    clearTimeout(this.#resting);
    this.#frame = 0;
  }

  // What is shown

  showBases(bases) {
    this.lines = new HeadLines(this.geometry, { ...this.lineOptions, bases });
    this.#ask();
  }

  show(what, shown) {
    this.#shown[what] = shown;
    this.#ask();
  }

  highlight(zone) {
    this.#shown.highlightedZone = zone;
    this.#ask();
  }

  /** The ring of the brush, and its twin on the other side; null takes it away. */
  showRing(normal, radius, mirrored) {
    this.#shown.ring = normal ? this.#rings(normal, radius, mirrored) : [];
    this.#ask();
  }

  showCursor(normal, radius) {
    this.#shown.cursor = normal ? [this.geometry.ring(normal, radius), this.geometry.ring(normal, 1, 12)] : null;
    this.#ask();
  }

  #rings([nx, ny, nz], radius, mirrored) {
    return (mirrored ? [1, -1] : [1]).map((side) => this.geometry.ring([nx, ny * side, nz], radius));
  }

  // From where it is seen

  look(name) {
    const wasChart = this.isChart;
    this.view = name === "chart" ? this.chart : this.turning;
    if (this.isChart) {
      this.#easing = null;
      this.#lookAgain(false);
    } else this.#goTo(VIEWS[name], !wasChart);
  }

  turnBy(yaw, elevation, { ease = false }) {
    if (this.isChart && !ease) return; // dragging over the chart turns nothing, the buttons go back to the head
    this.view = this.turning;
    const from = this.#easing?.to ?? this.turning;
    this.#goTo({ yaw: from.yaw + yaw, elevation: from.elevation + elevation }, ease);
  }

  #goTo(to, ease) {
    if (ease && !matchMedia("(prefers-reduced-motion: reduce)").matches) {
      const { yaw, elevation } = this.turning;
      const around = ((((to.yaw - yaw + 180) % 360) + 360) % 360) - 180;
      const within = Math.min(90, Math.max(-10, to.elevation));
      this.#easing = { from: { yaw, elevation }, to: { yaw: yaw + around, elevation: within }, since: performance.now() };
    } else {
      this.#easing = null;
      this.turning.turnTo(to);
    }
    this.#lookAgain(true);
  }

  /** Draw sharply now: the hand has let go. */
  rest() {
    this.#lookAgain(false);
  }

  #lookAgain(isMoving) {
    this.#isMoving = isMoving;
    this.#looked = false;
    clearTimeout(this.#resting);
    if (isMoving) this.#resting = setTimeout(() => this.rest(), REST_AFTER_MS);
    this.#ask();
  }

  /** The normal in the middle of what is seen, or the highest scalp above it. */
  middle() {
    const { width, height } = this.view;
    for (let y = height / 2; y > 0; y -= 8) {
      const normal = this.view.normalUnder(width / 2, y);
      if (normal) return normal;
    }
    return [0, 0, 1];
  }

  /** Step over the surface; the head turns along when the place is about to leave sight. */
  step(normal, right, up) {
    const next = this.view.step(normal, right, up);
    if (!this.isChart && this.view.project(this.geometry.pointAt(next)).facing < 0.3) this.#goTo(this.view.placeToSee(next), true);
    return next;
  }

  // Drawing

  /** Colour the touched part again after a dab. */
  repaint(normal, radius, mirrored) {
    const share = this.picture.width / this.view.width;
    for (const ring of this.#rings(normal, radius + 8, mirrored)) {
      for (const point of ring) this.#touch(this.view.project(point), share);
    }
    this.#ask();
  }

  #touch({ x, y }, share) {
    if (this.#touched === "all") return;
    const [px, py] = [x * share, y * share];
    this.#touched ??= { left: px, right: px, top: py, bottom: py };
    this.#touched.left = Math.min(this.#touched.left, px);
    this.#touched.right = Math.max(this.#touched.right, px);
    this.#touched.top = Math.min(this.#touched.top, py);
    this.#touched.bottom = Math.max(this.#touched.bottom, py);
  }

  recolour({ palette = false } = {}) {
    if (palette) this.#readPalette();
    this.#touched = "all";
    this.#ask();
  }

  /** The sheet's colours, as numbers. */
  #readPalette() {
    const style = getComputedStyle(this.element);
    const scratch = document.createElement("canvas").getContext("2d");
    const read = (name, otherwise) => {
      scratch.fillStyle = otherwise;
      scratch.fillStyle = style.getPropertyValue(name).trim() || otherwise;
      return scratch.fillStyle;
    };
    const numbers = (colour) => [1, 3, 5].map((at) => parseInt(colour.slice(at, at + 2), 16));
    this.palette = {
      steps: ["#f8ecdd", "#e9cdad", "#cfa47a", "#ab7a52", "#7d5539"].map((otherwise, step) =>
        numbers(read(`--density-${step * 25}`, otherwise)),
      ),
      skin: numbers(read("--head-skin", "#e8e1d8")),
    };
    this.colours = { ink: read("--ink", "#26221f"), paper: read("--paper", "#fbfaf7"), accent: read("--accent", "#6a3a66") };
  }

  #resize() {
    const { clientWidth, clientHeight } = this.canvas;
    this.#isSeen = clientWidth > 0 && clientHeight > 0;
    if (!this.#isSeen) return;
    this.dense = Math.min(2, window.devicePixelRatio || 1);
    this.canvas.width = Math.round(clientWidth * this.dense);
    this.canvas.height = Math.round(clientHeight * this.dense);
    this.turning.place(clientWidth, clientHeight);
    this.chart.place(clientWidth, clientHeight);
    this.#lookAgain(false);
  }

  #ask() {
    if (!this.#frame && this.#isSeen) this.#frame = requestAnimationFrame((now) => this.#draw(now));
  }

  #draw(now) {
    this.#frame = 0;
    this.#ease(now);
    if (!this.#looked) this.#look();
    else if (this.#touched) this.picture.colour(this.cells, this.palette, this.#touchedBox());
    this.#touched = null;
    const { context, view, canvas } = this;
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.clearRect(0, 0, canvas.width, canvas.height);
    context.imageSmoothingQuality = this.#isMoving ? "low" : "high";
    context.drawImage(this.picture.canvas, 0, 0, canvas.width, canvas.height);
    context.setTransform(this.dense, 0, 0, this.dense, 0, 0);
    this.signs?.draw(context, view, this.cells);
    this.lines.draw(context, view, this.colours, this.#shown);
    this.element.dataset.drawn = this.#isMoving ? "turning" : "sharp";
  }

  /** Fewer pixels while it moves, as many as this machine manages smoothly; twice the screen's at rest, for clean edges. */
  #look() {
    const { width, height } = this.view;
    const sharp = Math.min(2, Math.sqrt(MOST_PIXELS / (width * height)));
    const scale = this.#isMoving ? Math.min(sharp, this.#movingWidth / Math.min(width, height)) : sharp;
    const since = performance.now();
    this.picture.look(this.view, Math.round(width * scale), Math.round(height * scale));
    this.picture.colour(this.cells, this.palette);
    this.#looked = true;
    if (!this.#isMoving) return;
    const took = performance.now() - since;
    if (took > MOVING.slowMs) this.#movingWidth = Math.max(MOVING.least, this.#movingWidth * 0.85);
    if (took < MOVING.quickMs) this.#movingWidth = Math.min(MOVING.most, this.#movingWidth * 1.1);
  }

  #ease(now) {
    if (!this.#easing) return;
    const { from, to, since } = this.#easing;
    const share = Math.min(1, Math.max(0, (now - since) / EASE_MS));
    const smooth = share * share * (3 - 2 * share);
    this.turning.turnTo({
      yaw: from.yaw + (to.yaw - from.yaw) * smooth,
      elevation: from.elevation + (to.elevation - from.elevation) * smooth,
    });
    if (share === 1) this.#easing = null;
    this.#lookAgain(share < 1);
  }

  #touchedBox() {
    if (this.#touched === "all") return {};
    const { left, top, right, bottom } = this.#touched;
    const within = (value, end) => Math.min(end, Math.max(0, Math.round(value)));
    return {
      left: within(left - 2, this.picture.width),
      top: within(top - 2, this.picture.height),
      right: within(right + 2, this.picture.width),
      bottom: within(bottom + 2, this.picture.height),
    };
  }
}
