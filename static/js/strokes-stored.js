/*
 * <strokes-stored>: the server has a painting, so the strokes this browser kept of it are let go.
 *
 * For a map that is sent by its form and not by itself: the page that follows holds this element.
 *
 * data-draft-key what <turning-head> kept them under
 */
import { HeadDraft } from "./head-draft.js";

class StrokesStored extends HTMLElement {
  connectedCallback() {
    new HeadDraft(this.dataset.draftKey).forget();
  }
}
customElements.define("strokes-stored", StrokesStored);
