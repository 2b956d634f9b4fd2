/*
 * The head's buttons and choices, as plain labelled HTML around the canvas.
 *
 * Builds them, reports what was pressed to the functions it is given, and shows what it is told; keeps no map and no
 * view. Nothing here belongs to the page's form: the hidden field and the zone table alone are sent.
 */
import { VIEWS } from "./head-view.js";

export const DENSITIES = [
  { density: 0, words: "no hair" },
  { density: 25, words: "a quarter left" },
  { density: 50, words: "half left" },
  { density: 75, words: "three quarters left" },
  { density: 100, words: "full" },
];
export const BRUSH_MM = { least: 6, most: 60, start: 26 };

const TOOLS = [
  { tool: "paint", label: "Paint", key: "P" },
  { tool: "erase", label: "Erase", key: "E" },
  { tool: "turn", label: "Turn", key: "T" },
];
const TURNS = [
  { label: "Turn left", sign: "←", yaw: 15, elevation: 0 },
  { label: "Turn right", sign: "→", yaw: -15, elevation: 0 },
  { label: "Tip up", sign: "↑", yaw: 0, elevation: -15 },
  { label: "Tip down", sign: "↓", yaw: 0, elevation: 15 },
];

let heads = 0; // radio groups and descriptions need names of their own

/** The density in words: one of the five, or about how much. */
export function densityWords(density) {
  return DENSITIES.find((step) => step.density === density)?.words ?? `about ${density} % left`;
}

/** An element with attributes and children; text goes in as text. */
function make(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value !== false && value !== null) element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...children);
  return element;
}

function button(label, press, attributes = {}) {
  const made = make("button", { type: "button", class: "head-button", ...attributes }, label);
  made.addEventListener("click", press);
  return made;
}

/** One radio button or tick box in its label. `form=""` keeps it out of the page's form. */
function choice(kind, { name = null, value = null, checked = false, change }, ...face) {
  const input = make("input", { type: kind, name, value, checked, form: "" });
  input.addEventListener("change", () => change(kind === "radio" ? value : input.checked));
  return make("label", { class: `head-choice head-${kind}` }, input, ...face);
}

function group(label, className, ...children) {
  return make("fieldset", { class: className }, make("legend", { class: "head-hidden" }, label), ...children);
}

export class HeadControls {
  /** act: one function for each thing that can be pressed; label names the canvas, hasScale asks for the key to hair. */
  constructor(act, { paints, patterns, hasBases, label = "", hasScale = true }) {
    this.act = act;
    this.label = label || (paints ? "Head, to paint the remaining hair on" : "Head with the remaining hair");
    this.hasScale = hasScale;
    this.number = ++heads;
    this.views = new Map();
    this.#buildStage(paints);
    this.tools = paints ? this.#buildTools(patterns) : null;
    this.marks = this.#buildMarks(paints, hasBases);
    (this.tools ?? this.stage).append(this.marks);
  }

  /** Put them in the element: its flat drawing gives way to the canvas, its table stays the way without dragging. */
  layOutIn(element) {
    const table = element.querySelector(".zone-table");
    element.querySelector(":scope > svg")?.remove();
    element.append(make("div", { class: "head-layout" }, ...[this.stage, this.tools, table].filter(Boolean)));
    for (const part of [this.stage, this.tools]) {
      // The tools are not part of what a form sends, so it should not hear of them either.
      for (const kind of ["input", "change"]) part?.addEventListener(kind, (event) => event.stopPropagation());
    }
    element.classList.add("is-ready");
  }

  #buildStage(paints) {
    const hint = `head-hint-${this.number}`;
    this.canvas = make("canvas", {
      class: "head-canvas",
      tabindex: "0",
      role: "application",
      "aria-label": this.label,
      "aria-describedby": hint,
    });
    const keys = paints
      ? "Arrow keys move a cursor over the scalp, Space paints a dab. 1 to 5 choose the density, P, E and T the tool, " +
        "square brackets the brush size. With the turn tool the arrow keys turn the head."
      : "Arrow keys turn the head.";
    this.spoken = make("p", { class: "head-hidden", role: "status" });
    this.readout = make("p", { class: "head-readout" });
    this.notice = make("div", { class: "head-notice", role: "status" });
    this.stage = make(
      "div",
      { class: "head-stage" },
      this.#buildViews(),
      ...(paints ? [this.#buildToolChoice()] : []),
      this.notice,
      make("div", { class: "head-frame" }, this.canvas),
      make("div", { class: "head-under" }, this.readout, this.#buildTurns()),
      ...(this.hasScale ? [this.#buildScale(paints)] : []),
      make("p", { class: "head-hidden", id: hint }, keys),
      this.spoken,
    );
  }

  #buildViews() {
    const named = [...Object.entries(VIEWS), ["chart", { label: "Chart" }]];
    const buttons = named.map(([view, { label }]) => {
      const made = button(label, () => this.act.view(view), { "aria-pressed": "false" });
      this.views.set(view, made);
      return made;
    });
    return make("div", { class: "head-views head-segments", role: "group", "aria-label": "View" }, ...buttons);
  }

  #buildTurns() {
    const buttons = TURNS.map(({ label, sign, yaw, elevation }) =>
      button(sign, () => this.act.turn(yaw, elevation), { "aria-label": label, title: label, class: "head-button head-arrow" }),
    );
    return make("div", { class: "head-turns", role: "group", "aria-label": "Turn the head" }, ...buttons);
  }

  #buildToolChoice() {
    const name = `head-tool-${this.number}`;
    const choices = TOOLS.map(({ tool, label }) =>
      choice("radio", { name, value: tool, checked: tool === "paint", change: this.act.tool }, make("span", {}, label)),
    );
    this.undo = button("Undo", this.act.undo, { disabled: true, title: "Ctrl+Z" });
    this.redo = button("Redo", this.act.redo, { disabled: true, title: "Ctrl+Shift+Z" });
    return make(
      "div",
      { class: "head-toolbar" },
      group("Tool", "head-segments", ...choices),
      make("div", { class: "head-steps" }, this.undo, this.redo),
    );
  }

  /** The five densities: what the brush paints, and the key to the picture's colours. */
  #buildScale(paints) {
    const name = `head-density-${this.number}`;
    const faces = DENSITIES.map(({ density, words }, at) => [
      make("span", { class: `head-swatch head-density-${density}` }),
      make("span", { class: "head-words" }, words),
      ...(paints ? [make("kbd", { "aria-hidden": "true" }, String(at + 1))] : []),
    ]);
    if (!paints) {
      return make("ul", { class: "head-scale", "aria-label": "Remaining hair" }, ...faces.map((face) => make("li", {}, ...face)));
    }
    const choices = DENSITIES.map(({ density }, at) =>
      choice(
        "radio",
        { name, value: String(density), checked: density === 50, change: (value) => this.act.density(Number(value)) },
        ...faces[at],
      ),
    );
    return group("Remaining hair", "head-scale", ...choices);
  }

  #buildTools(patterns) {
    const limits = { min: BRUSH_MM.least, max: BRUSH_MM.most, value: BRUSH_MM.start, form: "" };
    this.brushRange = make("input", { type: "range", step: 1, ...limits });
    this.brushNumber = make("input", { type: "number", step: 1, inputmode: "numeric", ...limits });
    this.brushRange.addEventListener("input", () => this.act.brush(Number(this.brushRange.value)));
    this.brushNumber.addEventListener("change", () => this.act.brush(Number(this.brushNumber.value)));
    const brush = make(
      "div",
      { class: "head-brush" },
      make("label", { class: "head-brush-range" }, make("span", {}, "Brush size"), this.brushRange),
      make("label", { class: "head-brush-number" }, this.brushNumber, make("span", {}, "mm", make("span", { class: "head-hidden" }, " across"))),
    );
    const ways = make(
      "div",
      { class: "head-ticks" },
      choice("checkbox", { change: this.act.mirror }, make("span", {}, "Paint both sides")),
      choice("checkbox", { change: this.act.soft }, make("span", {}, "Soft edge")),
    );
    const whole = make(
      "div",
      { class: "head-whole" },
      button("Copy left to right", this.act.copyLeftToRight),
      button("Clear", this.act.clear),
    );
    return make("div", { class: "head-tools" }, brush, ways, ...this.#buildPatterns(patterns), whole);
  }

  /** The shapes to start from, those of a scale together in their order. */
  #buildPatterns(patterns) {
    if (patterns.length === 0) return [];
    const groups = new Map();
    for (const { key, label, group = "" } of patterns) {
      groups.set(group, [...(groups.get(group) ?? []), make("option", { value: key }, label)]);
    }
    const options = [...groups].flatMap(([group, of]) => (group ? [make("optgroup", { label: group }, ...of)] : of));
    const id = `head-pattern-${this.number}`;
    const select = make("select", { form: "", id }, ...options);
    const label = make("label", { for: id }, "Pattern");
    this.start = button("Start from this pattern", () => this.act.pattern(select.value));
    this.asking = make("div", { class: "head-asking", role: "alert" });
    return [make("div", { class: "head-patterns" }, label, select, this.start, this.asking)];
  }

  /** Ask beside the pattern before it takes the place of what is painted. */
  askToReplace(replace) {
    const answer = (then) => () => {
      this.asking.replaceChildren();
      this.start.focus();
      then();
    };
    this.asking.replaceChildren(
      make("p", {}, "The pattern takes the place of what is painted. “Undo” brings that back."),
      button("Replace it", answer(replace)),
      button("Keep what is painted", answer(() => {})),
    );
  }

  #buildMarks(paints, hasBases) {
    const mark = (what, label, checked) =>
      choice("checkbox", { checked, change: (shown) => this.act.mark(what, shown) }, make("span", {}, label));
    const marks = [mark("tapes", "Tape lines", true), mark("zones", "Zones", false)];
    if (hasBases) marks.push(mark("bases", "Base", true));
    return group("Show on the head", "head-ticks head-marks", ...marks);
  }

  showView(name) {
    for (const [view, made] of this.views) made.setAttribute("aria-pressed", String(view === name));
  }

  showTool(tool) {
    for (const input of this.stage.querySelectorAll(`[name="head-tool-${this.number}"]`)) input.checked = input.value === tool;
  }

  showDensity(density) {
    const name = `[name="head-density-${this.number}"]`;
    for (const input of this.stage.querySelectorAll(name)) input.checked = Number(input.value) === density;
  }

  showBrush(mm) {
    this.brushRange.value = mm;
    this.brushNumber.value = mm;
  }

  showSteps(canUndo, canRedo) {
    this.undo.disabled = !canUndo;
    this.redo.disabled = !canRedo;
  }

  /** Say something to whoever cannot see the picture. */
  say(sentence) {
    this.spoken.textContent = sentence;
  }

  /** A plain line above the head with one button; an empty sentence takes it away. */
  note(sentence, label = "", press = null) {
    this.notice.replaceChildren();
    if (!sentence) return;
    this.notice.append(make("p", {}, sentence));
    if (label) this.notice.append(button(label, press));
  }
}
