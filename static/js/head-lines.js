/*
 * The lines on the head: tapes with their lengths, zones, bases with their clips, the brush and the keyboard's cursor.
 *
 * Draws on a canvas context in CSS pixels over the picture of `head-drawing.js`, from either view of `head-view.js`;
 * what lies on the far side is left out. Decides nothing about what is shown.
 */
import { CELLS, dot, GRID, normalAtDisk, unit } from "./scalp-geometry.js";

const STEPS = 96;
const LABEL_FONT = "12.5px system-ui, sans-serif";
const LINE_HEIGHT = 16;
const CHART_WORDS = [
  { text: "forehead", across: 0, down: -1 },
  { text: "nape", across: 0, down: 1 },
  { text: "client’s left", across: -1, down: 0 },
  { text: "client’s right", across: 1, down: 0 },
];

/** A length in the client's units: 35.6 cm or 14 in. */
export function lengthText(mm, units) {
  return units === "in" ? `${(mm / 25.4).toFixed(1)} in` : `${(mm / 10).toFixed(1)} cm`;
}

/** The three tape lines as normals along each, front to nape and left to right, and round from the front. */
function tapeLines(geometry, { units, assumed }) {
  const along = (from, to, at) => Array.from({ length: STEPS + 1 }, (_, k) => at(from + ((to - from) * k) / STEPS));
  const { circumference, frontToNape, earToEar } = geometry.tapes;
  const line = (key, words, length, wish, normals) => {
    const guessed = assumed.includes(key);
    return { label: [words, lengthText(length, units), ...(guessed ? ["assumed"] : [])], guessed, wish, normals };
  };
  // The wish is where in the picture the label would best stand, right and down, clear of the face and of each other.
  return [
    line("front", "Front to nape", frontToNape, [0.35, 1], along(0, Math.PI, (t) => [Math.cos(t), 0, Math.sin(t)])),
    line("ear", "Ear to ear", earToEar, [-1, -0.2], along(0, Math.PI, (t) => [0, Math.cos(t), Math.sin(t)])),
    line("circumference", "Circumference", circumference, [1, -0.7], along(0, 2 * Math.PI, (t) => [Math.cos(t), Math.sin(t), 0])),
  ];
}

/** Midpoints of the cell edges between two zones, with both zones' numbers: a fine dotted line. */
function zoneDots(geometry, zoneOfCell) {
  const dots = [];
  for (let cell = 0; cell < CELLS; cell++) {
    const [row, column] = [Math.floor(cell / GRID), cell % GRID];
    for (const [down, across] of [[1, 0], [0, 1]]) {
      const [beside, other] = [cell + down * GRID + across, (zone) => zoneOfCell[zone]];
      if (row + down >= GRID || column + across >= GRID) continue;
      if (other(cell) === other(beside) || other(cell) < 0 || other(beside) < 0) continue;
      const [X, Y] = [1 - (2 * row + 1 + down) / GRID, 1 - (2 * column + 1 + across) / GRID];
      dots.push({ point: geometry.pointAt(normalAtDisk(X, Y)), zones: [other(cell), other(beside)] });
    }
  }
  return dots;
}

/** The outline of a base in scalp points, fine enough to bend with the head. */
function bentOutline(geometry, outline) {
  return outline.flatMap(([s, t], at) => {
    const [nextS, nextT] = outline[(at + 1) % outline.length];
    const parts = Math.max(1, Math.ceil(Math.hypot(nextS - s, nextT - t) / 5));
    return Array.from({ length: parts }, (_, k) =>
      geometry.pointAtTape([s + ((nextS - s) * k) / parts, t + ((nextT - t) * k) / parts]),
    );
  });
}

export class HeadLines {
  constructor(geometry, { zoneOfCell, units, assumed, bases }) {
    this.geometry = geometry;
    this.tapes = tapeLines(geometry, { units, assumed });
    this.zones = zoneDots(geometry, zoneOfCell);
    this.bases = bases.map(({ label, outline, clips = [] }) => ({
      label,
      points: bentOutline(geometry, outline),
      clips: clips.map(([s, t, holds]) => ({ point: geometry.pointAtTape([s, t]), holds })),
    }));
  }

  /** Draw what is asked for; colours: {ink, paper, accent}. */
  draw(context, view, colours, { tapes, zones, highlightedZone, bases, ring, cursor }) {
    this.context = context;
    this.view = view;
    this.colours = colours;
    context.lineJoin = "round";
    context.lineCap = "round";
    if (zones) this.#zones(() => true, "#4a3a33", 0.9);
    if (highlightedZone >= 0) this.#zones((pair) => pair.includes(highlightedZone), colours.accent, 1.6);
    if (tapes) this.tapes.forEach((tape) => this.#tape(tape));
    if (bases) this.bases.forEach((base) => this.#base(base));
    context.textBaseline = "middle";
    const taken = view.rays ? [] : this.#chartWords();
    if (tapes) this.#tapeLabels(taken);
    for (const points of [ring, cursor].flat().filter(Boolean)) this.#ring(points, points === cursor?.[0]);
  }

  /** Stroke the visible runs of a line of scalp points. */
  #stroke(points, { colour, width, dash = [], closed = false }) {
    const { context, view } = this;
    context.beginPath();
    let drawing = false;
    for (const point of closed ? [...points, points[0]] : points) {
      const { x, y, facing } = view.project(point);
      if (facing < 0.02) drawing = false;
      else if (drawing) context.lineTo(x, y);
      else {
        context.moveTo(x, y);
        drawing = true;
      }
    }
    context.setLineDash(dash);
    context.strokeStyle = colour;
    context.lineWidth = width;
    context.stroke();
    context.setLineDash([]);
  }

  /** A dark line in a pale sheath, to be seen on any density. */
  #sheathed(points, { colour, width = 1.25, dash, closed }) {
    this.context.globalAlpha = 0.6;
    this.#stroke(points, { colour: "#fffaf2", width: width + 1.75, closed });
    this.context.globalAlpha = 1;
    this.#stroke(points, { colour, width, dash, closed });
  }

  #tape({ normals, guessed }) {
    const points = normals.map((normal) => this.geometry.pointAt(normal));
    this.#sheathed(points, { colour: "#4a3a33", dash: guessed ? [5, 5] : [] });
  }

  /** Each label stands outside the head, where its line runs over the edge of what can be seen. */
  #tapeLabels(taken) {
    const { context, view, colours } = this;
    for (const { label, wish, normals } of this.tapes) {
      context.font = LABEL_FONT;
      const width = Math.max(...label.map((text) => context.measureText(text).width));
      const place = normals
        .map((normal) => view.project(this.geometry.pointAt(normal)))
        .filter(({ facing }) => facing > 0.02)
        .map((at) => ({ ...at, worth: this.#worth(at, wish) }))
        .sort((one, other) => other.worth - one.worth)
        .map((at) => this.#beside(at, width, label.length * LINE_HEIGHT))
        .find((box) => taken.every((other) => apart(box, other)));
      if (!place) continue;
      taken.push(place);
      this.#plate(place, colours.paper);
      context.fillStyle = colours.ink;
      label.forEach((text, at) => {
        context.font = at === 1 ? `600 ${LABEL_FONT}` : LABEL_FONT;
        context.fillText(text, place.left + (width - context.measureText(text).width) / 2, place.top + (at + 0.5) * LINE_HEIGHT);
      });
    }
  }

  /** How well a label would stand at a point of its line: near the edge of the head, on the wished side. */
  #worth({ x, y, facing }, [right, down]) {
    const { width, height } = this.view;
    return (right * (x - width / 2) + down * (y - height / 2)) / Math.min(width, height) - (this.view.rays ? facing : 0);
  }

  /** The box of a label beside a point, on its outer side, kept inside the picture. */
  #beside({ x, y }, width, height) {
    const { view } = this;
    const [dx, dy] = [x - view.width / 2, y - view.height / 2];
    const out = unit([dx || 0.01, dy, 0]);
    // Straight above or below the middle it steps aside, where the head's outline leaves it room.
    const left = Math.abs(dx) < 0.08 * view.width ? x + 0.13 * view.height : x + out[0] * (width / 2 + 14) - width / 2;
    const top = y + out[1] * (height / 2 + 10) - height / 2;
    return {
      left: Math.min(view.width - width - 8, Math.max(8, left)),
      top: Math.min(view.height - height - 4, Math.max(4, top)),
      width,
      height,
    };
  }

  /** A pale ground under words, so that they can be read on anything. */
  #plate({ left, top, width, height }, colour) {
    const { context } = this;
    context.fillStyle = colour;
    context.globalAlpha = 0.8;
    context.beginPath();
    context.roundRect(left - 6, top - 2, width + 12, height + 4, 6);
    context.fill();
    context.globalAlpha = 1;
  }

  /** Dark dots in pale ones, to be seen on any density. */
  #zones(wanted, colour, radius) {
    const { context, view } = this;
    const seen = this.zones.filter(({ zones }) => wanted(zones)).map(({ point }) => view.project(point));
    for (const [fill, size, alpha] of [["#fffaf2", radius + 0.9, 0.65], [colour, radius, 1]]) {
      context.fillStyle = fill;
      context.globalAlpha = alpha;
      context.beginPath();
      for (const { x, y, facing } of seen) {
        if (facing < 0.02) continue;
        context.moveTo(x + size, y);
        context.arc(x, y, size, 0, 2 * Math.PI);
      }
      context.fill();
    }
    context.globalAlpha = 1;
  }

  #base({ label, points, clips }) {
    const { context, view, colours } = this;
    const seen = points.map((point) => view.project(this.#broughtRound(point)));
    context.beginPath();
    seen.forEach(({ x, y }, at) => (at ? context.lineTo(x, y) : context.moveTo(x, y)));
    context.closePath();
    context.globalAlpha = 0.2;
    context.fillStyle = colours.accent;
    context.fill();
    context.globalAlpha = 1;
    this.#sheathed(points, { colour: colours.accent, width: 2, closed: true });
    for (const { point, holds } of clips) this.#clip(view.project(point), holds);
    const highest = points.map((point) => view.project(point)).sort((one, other) => one.y - other.y);
    const tagged = highest.find(({ facing }) => facing > 0.1);
    if (label && tagged) this.#tag(label, tagged);
  }

  /** A point on the far side, brought to the edge of what can be seen, so that a half-hidden base still closes. */
  #broughtRound(point) {
    const { view, geometry } = this;
    if (!view.rays || view.project(point).facing >= 0) return point;
    const normal = geometry.normalAt(point);
    const { D, DD } = view.rays();
    const back = dot(normal, D) / DD;
    return geometry.pointAt(unit(normal.map((part, k) => part - back * D[k])));
  }

  /** A full dot holds; an open one with a cross does not: shape says it, not colour. */
  #clip({ x, y, facing }, holds) {
    if (facing < 0.02) return;
    const { context, colours } = this;
    context.beginPath();
    context.arc(x, y, 5.5, 0, 2 * Math.PI);
    context.fillStyle = holds ? colours.accent : colours.paper;
    context.strokeStyle = holds ? colours.paper : colours.accent;
    context.lineWidth = 1.75;
    context.fill();
    context.stroke();
    if (holds) return;
    context.beginPath();
    for (const side of [1, -1]) {
      context.moveTo(x - 2.6, y - 2.6 * side);
      context.lineTo(x + 2.6, y + 2.6 * side);
    }
    context.stroke();
  }

  #tag(text, { x, y }) {
    const { context, colours } = this;
    context.font = `600 ${LABEL_FONT}`;
    const width = context.measureText(text).width;
    const place = { left: x - width / 2, top: y - LINE_HEIGHT - 10, width, height: LINE_HEIGHT };
    this.#plate(place, colours.paper);
    context.fillStyle = colours.accent;
    context.textBaseline = "middle";
    context.fillText(text, place.left, place.top + LINE_HEIGHT / 2);
  }

  #ring(points, isCursor) {
    this.context.globalAlpha = 0.75;
    this.#stroke(points, { colour: "#2b211d", width: isCursor ? 4.5 : 3.25, closed: true });
    this.context.globalAlpha = 1;
    this.#stroke(points, { colour: "#fffaf2", width: isCursor ? 2.25 : 1.5, closed: true });
  }

  /** The flat chart says which way is which. Returns the boxes of its words, for labels to keep off. */
  #chartWords() {
    const { context, view, colours } = this;
    const [x, y, r] = [view.width / 2, view.height / 2, view.radius + 13];
    context.font = LABEL_FONT;
    context.fillStyle = colours.ink;
    return CHART_WORDS.map(({ text, across, down }) => {
      const width = context.measureText(text).width;
      context.save();
      context.translate(x + across * r, y + down * r);
      context.rotate((across * Math.PI) / 2);
      context.fillText(text, -width / 2, 0);
      context.restore();
      const [half, thick] = [width / 2, LINE_HEIGHT / 2];
      const [w, h] = across ? [thick, half] : [half, thick];
      return { left: x + across * r - w, top: y + down * r - h, width: 2 * w, height: 2 * h };
    });
  }
}

function apart(one, other) {
  const gap = 8;
  const beside = one.left > other.left + other.width + gap || other.left > one.left + one.width + gap;
  return beside || one.top > other.top + other.height + gap || other.top > one.top + one.height + gap;
}
