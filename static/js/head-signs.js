/*
 * What a head shows that stands for a change and not for hair: signs over its colours, and words for a place.
 *
 * A change is kept as a map of percent is: 50 stands for none, 0 for 50 points less or more than that, 100 for 50 points
 * more or more than that. A minus stands where there is less, a plus where there is more, a larger one where it is far
 * less or far more: the same signs on the same cells as `clients.scalp.change_drawing` draws; a test holds the two
 * together.
 */
import { CELLS, GRID, INSIDE, normalAtDisk, cellCentre } from "./scalp-geometry.js";

const NONE = 50;
const [SEEN, FAR] = [12.5, 37.5];

/** Every fourth cell of every fourth row, each row shifted by half against the next. */
export const SIGN_CELLS = Array.from({ length: CELLS }, (_, cell) => cell).filter((cell) => {
  const [row, column] = [Math.floor(cell / GRID), cell % GRID];
  return INSIDE[cell] && row % 4 === 1 && column % 4 === 1 + (Math.floor(row / 4) % 2) * 2;
});

/** "about 20 points less hair than then". */
export function changeWords(percent) {
  const points = Math.round(percent - NONE);
  if (points === 0) return "no change";
  const least = Math.abs(points) >= NONE ? " or more" : "";
  return `${Math.abs(points)} points${least} ${points < 0 ? "less" : "more"} hair than then`;
}

export class HeadSigns {
  constructor(geometry) {
    this.places = SIGN_CELLS.map((cell) => ({ cell, point: geometry.pointAt(normalAtDisk(...cellCentre(cell))) }));
  }

  draw(context, view, cells) {
    const signs = this.places
      .map(({ cell, point }) => ({ points: cells[cell] - NONE, ...view.project(point) }))
      .filter(({ points, facing }) => Math.abs(points) >= SEEN && facing > 0.15);
    context.lineCap = "round";
    for (const [colour, width] of [["#fffaf2", 3.4], ["#2b211d", 1.5]]) {
      context.beginPath();
      for (const { points, x, y } of signs) {
        const arm = Math.abs(points) >= FAR ? 5.5 : 3.2;
        context.moveTo(x - arm, y);
        context.lineTo(x + arm, y);
        if (points < 0) continue;
        context.moveTo(x, y - arm);
        context.lineTo(x, y + arm);
      }
      context.strokeStyle = colour;
      context.lineWidth = width;
      context.stroke();
    }
  }
}
