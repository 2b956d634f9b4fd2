/*
 * Where the 24 patches of a chart lie, once the middles of its four corner patches are marked.
 *
 * The chart is flat and seen at any slant, so a projective map takes its rows and columns to the photo (the square to a
 * quadrilateral, as Heckbert, "Fundamentals of texture mapping and image warping", 1989, gives it; from memory). Helps
 * the eye only: the server finds the patches itself.
 */

const COLUMNS = 6;
const ROWS = 4;

/** The middles of all patches, of four corners {x, y} in an order that goes round; six patches lie along the longer side. */
export function patchMiddles(corners) {
  const [first, second, third, fourth] = corners;
  const along = apart(first, second) + apart(third, fourth);
  const across = apart(second, third) + apart(fourth, first);
  const project = squareTo(along >= across ? [first, second, third, fourth] : [second, third, fourth, first]);
  const patches = [];
  for (let row = 0; row < ROWS; row += 1) {
    for (let column = 0; column < COLUMNS; column += 1) patches.push(project(column / (COLUMNS - 1), row / (ROWS - 1)));
  }
  return patches;
}

function apart(one, other) {
  return Math.hypot(one.x - other.x, one.y - other.y);
}

/** (u, v) from 0 to 1 → {x, y}, with (0, 0), (1, 0), (1, 1), (0, 1) at the four corners. */
function squareTo([a, b, c, d]) {
  const sum = { x: a.x - b.x + c.x - d.x, y: a.y - b.y + c.y - d.y };
  const one = { x: b.x - c.x, y: b.y - c.y };
  const two = { x: d.x - c.x, y: d.y - c.y };
  const area = one.x * two.y - two.x * one.y || Number.EPSILON; // corners in one line: nothing to see
  const g = (sum.x * two.y - two.x * sum.y) / area;
  const h = (one.x * sum.y - sum.x * one.y) / area;
  return (u, v) => {
    const w = g * u + h * v + 1;
    return {
      x: ((b.x - a.x + g * b.x) * u + (d.x - a.x + h * d.x) * v + a.x) / w,
      y: ((b.y - a.y + g * b.y) * u + (d.y - a.y + h * d.y) * v + a.y) / w,
    };
  };
}
