/*
 * <turning-head>: the client's head, seen from the chair, to paint remaining hair on or to look at.
 *
 * Enhances the server's own markup: a hidden field with the density, a flat drawing, a table of nine zones. The hidden
 * field is the state; on every change the element writes it and lets it send `change`; 400 ms after the last one it
 * sends `density-change` ({hex, version}). It fetches nothing. A form that has stored the map answers with `saved`
 * ({version, hex}) on the element, and the strokes kept in this browser are let go.
 *
 * data-axes "a,b,c" in mm · data-zones 4096 characters · data-patterns {key: {label, hex}} · data-units cm|in
 * data-mode paint|show · data-assumed the tapes nobody took · data-bases [{label, outline, clips}] in tape mm
 * data-draft-key, data-version: what the strokes are kept under until they are saved, and the server's version of them
 * data-scale "change" where the field holds a change (head-signs.js) · data-label names the canvas · data-zone-names
 * the nine names where there is no table
 *
 * A head that is looked at from another side, turned, or shown with other lines sends `head-moved`; `follow` with that
 * event's detail does the same on another head.
 */
import { BRUSH_MM, DENSITIES, densityWords, HeadControls } from "./head-controls.js";
import { HeadDraft } from "./head-draft.js";
import { HeadGestures } from "./head-gestures.js";
import { lengthText } from "./head-lines.js";
import { FULL, fromHex, HeadMap, toHex, Zones } from "./head-map.js";
import { moveHead } from "./head-moves.js";
import { changeWords } from "./head-signs.js";
import { HeadStage } from "./head-stage.js";
import { onScalp } from "./head-view.js";
import { cellAtDisk, diskAtNormal, ScalpGeometry } from "./scalp-geometry.js";

const ANNOUNCE_AFTER_MS = 400;
const STEP_MM = 5;

class TurningHead extends HTMLElement {
  static observedAttributes = ["data-bases"];

  #ready = false;
  #tool = "paint";
  #density = 50;
  #brush = BRUSH_MM.start;
  #soft = false;
  #mirror = false;
  #cursor = null;
  #lastPoint = null;
  #announcing = 0;
  #announcedHex = "";

  connectedCallback() {
    if (!this.#ready) this.#build();
    this.stage.connect();
  }

  disconnectedCallback() {
    this.stage?.disconnect();
  }

  attributeChangedCallback() {
    if (this.#ready) this.stage.showBases(this.#json("bases", []));
  }

  #build() {
    this.#ready = true;
    this.field = this.querySelector("input[name=density_hex]");
    this.paints = this.dataset.mode !== "show";
    this.geometry = new ScalpGeometry(this.dataset.axes.split(",").map(Number));
    this.map = new HeadMap(this.geometry, fromHex(this.field.value));
    this.zones = new Zones(this.dataset.zones, this.geometry);
    this.zoneInputs = [...this.querySelectorAll("input[name^=zone_]")];
    this.patterns = Object.entries(this.#json("patterns", {})).map(([key, pattern]) => ({ key, ...pattern }));
    const bases = this.#json("bases", []);
    this.zoneNames = this.#json("zoneNames", []);
    this.showsChange = this.dataset.scale === "change";
    const may = { paints: this.paints, patterns: this.patterns, hasBases: bases.length > 0, hasScale: !this.showsChange };
    this.controls = new HeadControls(this.#acts(), { ...may, label: this.dataset.label });
    this.stage = new HeadStage(this, this.controls.canvas, {
      geometry: this.geometry,
      cells: this.map.cells,
      zoneOfCell: this.zones.zoneOfCell,
      units: this.dataset.units ?? "cm",
      assumed: this.dataset.assumed ?? "",
      bases,
      hasSigns: this.showsChange,
    });
    this.controls.layOutIn(this);
    new HeadGestures(this.controls.canvas, this.#gestures());
    this.controls.canvas.addEventListener("keydown", (event) => this.#key(event));
    this.controls.canvas.addEventListener("blur", () => this.#showCursor(null));
    this.controls.showView("top");
    this.controls.readout.textContent = this.#hint();
    this.#showNumbers();
    if (!this.paints) return;
    this.addEventListener("keydown", (event) => this.#undoKey(event));
    this.addEventListener("saved", (event) => this.#saved(event.detail ?? {}));
    this.#watchZones();
    this.draft = new HeadDraft(this.dataset.draftKey);
    this.#restoreDraft();
  }

  #json(name, otherwise) {
    return this.dataset[name] ? JSON.parse(this.dataset[name]) : otherwise;
  }

  // What the buttons do

  #acts() {
    return {
      view: (name) => this.look(name),
      turn: (yaw, elevation) => this.#turn(yaw, elevation),
      tool: (tool) => this.#chooseTool(tool),
      density: (density) => this.#chooseDensity(density),
      brush: (mm) => this.#chooseBrush(mm),
      mirror: (on) => (this.#mirror = on),
      soft: (on) => (this.#soft = on),
      undo: () => this.#travel("undo", "Undone."),
      redo: () => this.#travel("redo", "Done again."),
      copyLeftToRight: () => this.#commit(this.map.copyLeftToRight(), "Her left side copied to the right."),
      clear: () => this.#commit(this.map.clear(), "Cleared: full everywhere."),
      pattern: (key) => this.#askToStartFrom(key),
      mark: (what, shown) => this.#move({ way: "mark", what, shown }),
    };
  }

  /** Look from a named side, or at the flat chart. */
  look(name) {
    this.#move({ way: "look", name });
  }

  #turn(yaw, elevation, ease = true) {
    this.#move({ way: "turn", yaw, elevation, ease });
  }

  #move(how) {
    this.follow(how);
    this.dispatchEvent(new CustomEvent("head-moved", { detail: how }));
  }

  /** Do as another head has done: the detail of its `head-moved`. */
  follow(how) {
    moveHead(this.stage, this.controls, how);
  }

  #chooseTool(tool) {
    this.#tool = tool;
    this.controls.showTool(tool);
    this.controls.canvas.dataset.tool = tool;
    if (tool === "turn") this.#showCursor(null);
  }

  #chooseDensity(density) {
    this.#density = density;
    this.controls.showDensity(density);
    if (this.#tool !== "paint") this.#chooseTool("paint");
  }

  #chooseBrush(mm) {
    this.#brush = Math.min(BRUSH_MM.most, Math.max(BRUSH_MM.least, Math.round(mm) || BRUSH_MM.start));
    this.controls.showBrush(this.#brush);
    this.#showCursor(this.#cursor);
  }

  #travel(way, words) {
    this.#commit(this.map[way](), words);
  }

  /** At once on a head with nothing painted; otherwise she is asked, for a stroke is work. */
  #askToStartFrom(key) {
    if (this.map.cells.every((density) => density === FULL)) this.#startFrom(key);
    else this.controls.askToReplace(() => this.#startFrom(key));
  }

  #startFrom(key) {
    const { label, hex } = this.patterns.find((pattern) => pattern.key === key);
    const cells = fromHex(hex);
    this.#commit(this.map.change((cell) => cells[cell]), `Started from ${label}.`);
  }

  // Painting

  #target() {
    return this.#tool === "erase" ? FULL : this.#density;
  }

  #radius(pressure = null) {
    return (this.#brush / 2) * (pressure === null ? 1 : 0.4 + 0.6 * pressure);
  }

  #begin() {
    this.map.beginStroke({ density: this.#target(), soft: this.#soft, mirror: this.#mirror });
  }

  #dab(normal, radius) {
    this.map.dab(normal, radius);
    this.stage.repaint(normal, radius, this.#mirror);
  }

  #gestures() {
    return {
      strokeStart: (x, y, pressure) => {
        this.#showCursor(null);
        if (!this.paints || this.#tool === "turn") return false;
        const radius = this.#radius(pressure);
        const normal = this.stage.view.normalUnder(x, y, radius);
        if (!normal) return false;
        this.#begin();
        this.#dab(normal, radius);
        this.#lastPoint = { x, y };
        return true;
      },
      strokeTo: (x, y, pressure) => this.#strokeTo(x, y, this.#radius(pressure)),
      strokeEnd: () => this.#commit(this.map.endStroke(), ""),
      strokeDrop: () => {
        this.map.dropStroke();
        this.stage.recolour();
      },
      turnBy: (dx, dy) => this.#turn(-0.45 * dx, 0.45 * dy, false),
      turnEnd: () => this.#move({ way: "rest" }),
      hover: (x, y) => this.#hover(x, y),
      hoverEnd: () => this.#hover(null),
    };
  }

  /** Dabs all the way from the last point, close enough to leave no gaps. */
  #strokeTo(x, y, radius) {
    const { view } = this.stage;
    const from = this.#lastPoint;
    const parts = Math.max(1, Math.ceil(Math.hypot(x - from.x, y - from.y) / Math.max(2, (radius * view.scale) / 3)));
    for (let part = 1; part <= parts; part++) {
      const share = part / parts;
      const normal = view.normalUnder(from.x + (x - from.x) * share, from.y + (y - from.y) * share, radius);
      if (normal) this.#dab(normal, radius);
    }
    this.#lastPoint = { x, y };
    this.#hover(x, y);
  }

  #hover(x, y) {
    const slack = this.#tool === "turn" || !this.paints ? 0 : this.#radius();
    const normal = x === null ? null : this.stage.view.normalUnder(x, y, slack);
    const brush = normal && this.paints && this.#tool !== "turn";
    this.stage.showRing(brush ? normal : null, this.#radius(), this.#mirror);
    this.controls.readout.textContent = normal ? this.#placeInWords(normal) : this.#hint();
  }

  #hint() {
    return this.paints ? "Paint on the scalp; drag beside it to turn." : "Drag to turn.";
  }

  /** "Crown: half left. 21.5 cm back, 1.5 cm left." */
  #placeInWords(normal) {
    const place = onScalp(normal);
    const [X, Y] = diskAtNormal(place);
    const cell = cellAtDisk(X, Y) < 0 ? cellAtDisk(0.96 * X, 0.96 * Y) : cellAtDisk(X, Y); // on the very hairline
    const [s, t] = this.geometry.tapeCoordinates(this.geometry.pointAt(place));
    const units = this.dataset.units ?? "cm";
    const side = Math.abs(t) < 1 ? "on the midline" : `${lengthText(Math.abs(t), units)} ${t > 0 ? "left" : "right"}`;
    const zone = this.#zoneName(this.zones.zoneOfCell[cell]);
    const words = this.showsChange ? changeWords : densityWords;
    return `${zone}${words(this.map.cells[cell])}. ${lengthText(s, units)} back, ${side}.`;
  }

  #zoneName(zone) {
    const input = this.zoneInputs[zone];
    const words = input?.labels?.[0]?.textContent.trim() || input?.getAttribute("aria-label") || this.zoneNames[zone];
    return words ? `${words}: ` : "";
  }

  // Keys

  #undoKey(event) {
    if (!(event.ctrlKey || event.metaKey) || event.target.matches("input[type=number]")) return;
    const key = event.key.toLowerCase();
    if (key !== "z" && key !== "y") return;
    event.preventDefault();
    this.#travel(...(key === "y" || event.shiftKey ? ["redo", "Done again."] : ["undo", "Undone."]));
  }

  #key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
    const arrow = arrows[event.key];
    const tools = { p: "paint", e: "erase", t: "turn" };
    const letter = event.key.toLowerCase();
    if (arrow && (!this.paints || this.#tool === "turn")) this.#turn(-10 * arrow[0], -10 * arrow[1]);
    else if (!this.paints) return;
    else if (arrow) this.#moveCursor(...arrow);
    else if (event.key === " " || event.key === "Enter") this.#dabAtCursor();
    else if (DENSITIES[Number(event.key) - 1]) this.#chooseDensity(DENSITIES[Number(event.key) - 1].density);
    else if (tools[letter]) this.#chooseTool(tools[letter]);
    else if (event.key === "[" || event.key === "]") this.#chooseBrush(this.#brush + (event.key === "]" ? 2 : -2));
    else return;
    event.preventDefault();
  }

  #moveCursor(right, up) {
    this.#showCursor(this.#cursor ? this.stage.step(this.#cursor, right * STEP_MM, up * STEP_MM) : this.stage.middle());
    this.controls.say(this.#placeInWords(this.#cursor));
  }

  #dabAtCursor() {
    if (this.#tool === "turn") return;
    if (!this.#cursor) this.#showCursor(this.stage.middle());
    this.#begin();
    this.#dab(this.#cursor, this.#radius());
    const changed = this.map.endStroke();
    this.#commit(changed, `Painted ${densityWords(this.#target())}. ${this.#placeInWords(this.#cursor)}`);
  }

  #showCursor(normal) {
    this.#cursor = normal;
    this.stage?.showCursor(normal, this.#radius());
    if (normal) this.controls.readout.textContent = this.#placeInWords(normal);
  }

  // The nine zones

  #watchZones() {
    this.zoneInputs.forEach((input, zone) => {
      input.step = 1; // painted zones have means between the steps of five
      input.addEventListener("focus", () => this.stage.highlight(zone));
      input.addEventListener("blur", () => this.stage.highlight(-1));
      input.addEventListener("change", () => this.#fillZone(zone, input));
    });
  }

  #fillZone(zone, input) {
    const density = Math.round(input.valueAsNumber);
    if (!(density >= 0 && density <= FULL)) {
      this.controls.say("A zone needs a number from 0 to 100.");
      this.#showNumbers(); // one that no zone can have stays as typed, and the server says so beside it
      return;
    }
    const { zoneOfCell } = this.zones;
    const changed = this.map.change((cell, before) => (zoneOfCell[cell] === zone ? density : before[cell]));
    this.#commit(changed, `${this.#zoneName(zone)}${densityWords(density)}.`);
  }

  #showNumbers() {
    const means = this.zones.means(this.map.cells);
    this.zoneInputs.forEach((input, zone) => {
      const typed = input.valueAsNumber;
      if (means[zone] !== undefined && !(typed < 0 || typed > FULL)) input.value = means[zone];
      input.readOnly = !this.paints;
    });
    if (this.paints) this.controls.showSteps(this.map.canUndo, this.map.canRedo);
  }

  // Keeping and telling

  #commit(changed, words) {
    this.stage.recolour();
    if (words) this.controls.say(changed ? words : "Nothing to change.");
    if (!changed) return;
    this.field.value = toHex(this.map.cells);
    this.draft.keep(this.dataset.version ?? "", this.field.value);
    this.#showNumbers();
    this.field.dispatchEvent(new Event("change", { bubbles: true }));
    clearTimeout(this.#announcing);
    this.#announcing = setTimeout(() => this.#announce(), ANNOUNCE_AFTER_MS);
  }

  #announce() {
    this.#announcedHex = this.field.value;
    const detail = { hex: this.field.value, version: this.dataset.version ?? "" };
    this.dispatchEvent(new CustomEvent("density-change", { bubbles: true, detail }));
  }

  /** The server has a map: the one it names, or else the last one it was told of. */
  #saved({ version, hex = this.#announcedHex }) {
    if (version !== undefined) this.dataset.version = version;
    if (hex === this.field.value) this.draft.forget();
    else this.draft.keep(this.dataset.version ?? "", this.field.value); // painted on meanwhile
  }

  #restoreDraft() {
    const kept = this.draft.read();
    const cells = fromHex(kept?.hex);
    if (!cells || toHex(cells) === toHex(this.map.cells)) {
      this.draft.forget();
      return;
    }
    const putBack = () => {
      this.#commit(this.map.change((cell) => cells[cell]), "");
      this.controls.note("Your last strokes were kept on this device and have been put back.", "Undo", () => {
        this.#travel("undo", "The saved map is back.");
        this.controls.note("");
      });
    };
    if (String(kept.version) === (this.dataset.version ?? "")) putBack();
    else this.controls.note("This map has been saved since. Strokes kept on this device differ from it.", "Put them back", putBack);
  }
}

customElements.define("turning-head", TurningHead);
