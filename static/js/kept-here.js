/*
 * Where a browser keeps what has not reached the server: the beginnings of the places in its storage.
 *
 * `<auto-save>` keeps the answers of a step, `<turning-head>` the strokes of a map; <unsaved-steps> tells of them and
 * <sign-out> takes them away. A browser that refuses storage keeps nothing.
 */

export const ANSWERS = "auto-save:";
export const STROKES = "turning-head:";

/** The places that hold something, of all clients. */
export function placesKept() {
  try {
    return Object.keys(localStorage).filter((place) => place.startsWith(ANSWERS) || place.startsWith(STROKES));
  } catch {
    return [];
  }
}

/** Takes it all off this device. */
export function forgetAll() {
  for (const place of placesKept()) localStorage.removeItem(place);
}
