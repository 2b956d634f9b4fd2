/*
 * The strokes a browser keeps until the server has them.
 *
 * One draft a key: {version, hex, at}, where version is the server's version that the strokes were painted on. No name
 * and nothing about the client goes in. A browser that refuses storage simply keeps no draft.
 */

import { STROKES } from "./kept-here.js";

export class HeadDraft {
  /** key: the page's data-draft-key; without one nothing is kept. */
  constructor(key) {
    this.key = key ? `${STROKES}${key}` : "";
  }

  keep(version, hex) {
    if (!this.key) return;
    try {
      localStorage.setItem(this.key, JSON.stringify({ version, hex, at: new Date().toISOString() }));
    } catch {
      // Storage is full or refused; the hidden field still holds the strokes.
    }
  }

  /** The kept draft, or null. */
  read() {
    if (!this.key) return null;
    try {
      const draft = JSON.parse(localStorage.getItem(this.key));
      return typeof draft?.hex === "string" ? draft : null;
    } catch {
      return null;
    }
  }

  forget() {
    if (!this.key) return;
    try {
      localStorage.removeItem(this.key);
    } catch {
      // Nothing was kept, then.
    }
  }
}
