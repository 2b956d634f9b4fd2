/*
 * <count-by-camera> counts the units whose labels the camera sees. Where the browser reads codes by itself
 * (BarcodeDetector) it sends what it read, elsewhere a small frame that the server reads. One sending at a time; a code
 * that stays in view is told once, not with every frame. `counted` on the body says that there is more to show.
 */

const LOOK_EVERY = 200; // milliseconds between two looks of the browser's own reader
const SEND_EVERY = 500; // between two frames that are sent
const HEARD_FOR = 6000; // a code is told again when it was out of view for so long
const WIDEST = 1280; // pixels of a frame that is sent
const LINES = 8;
const CONSTRAINTS = { audio: false, video: { facingMode: "environment", width: { ideal: WIDEST } } };
const WHY_NOT = {
  NotAllowedError: "The camera was not allowed. Allow it for this page in the browser, or type the numbers.",
  NotFoundError: "This device has no camera. Type the numbers.",
  NotReadableError: "The camera is in use elsewhere. Close what uses it, or type the numbers.",
};

class CountByCamera extends HTMLElement {
  #heard = new Map();
  #stream = null;
  #timer = 0;

  connectedCallback() {
    this.button = this.querySelector("button");
    this.video = this.querySelector("video");
    this.view = this.querySelector(".camera-view");
    this.lines = this.querySelector("ol");
    this.button.hidden = false;
    this.button.addEventListener("click", () => (this.#stream ? this.#stop() : this.#start()));
    addEventListener("pagehide", () => this.#stop());
  }

  disconnectedCallback() {
    this.#stop();
  }

  async #start() {
    if (!navigator.mediaDevices) {
      this.#say("The browser lets a page see through the camera by HTTPS alone. Type the numbers, or open the labels with the telephone’s own camera.");
      return;
    }
    try {
      this.#stream = await navigator.mediaDevices.getUserMedia(CONSTRAINTS);
      this.video.srcObject = this.#stream;
      await this.video.play();
    } catch (error) {
      this.#stop();
      this.#say(WHY_NOT[error.name] ?? "The camera could not be used. Type the numbers.");
      return;
    }
    this.view.hidden = false;
    this.button.textContent = "Stop the camera";
    this.#say("Hold a label before the camera.");
    const reader = await ownReader();
    this.#look(reader);
  }

  #stop() {
    clearTimeout(this.#timer);
    for (const track of this.#stream?.getTracks() ?? []) track.stop();
    this.#stream = null;
    this.video.srcObject = null;
    this.view.hidden = true;
    this.button.textContent = "Use the camera";
    this.#say("");
  }

  /** One look, and the next one when its answer is there. */
  async #look(reader) {
    if (!this.#stream) return;
    try {
      for (const body of reader ? await this.#read(reader) : [await this.#frame()]) await this.#send(body);
    } catch {
      this.#say("Not sent: no connection. The camera tries on.");
    }
    this.#timer = setTimeout(() => this.#look(reader), reader ? LOOK_EVERY : SEND_EVERY);
  }

  async #read(reader) {
    const codes = await reader.detect(this.video);
    const fresh = codes.map(({ rawValue }) => rawValue).filter((code) => this.#isFresh(code));
    return fresh.map((code) => formOf("code", code));
  }

  async #frame() {
    const { videoWidth, videoHeight } = this.video;
    const scale = Math.min(1, WIDEST / Math.max(videoWidth, videoHeight, 1));
    const canvas = Object.assign(document.createElement("canvas"), {
      width: Math.max(1, Math.round(videoWidth * scale)),
      height: Math.max(1, Math.round(videoHeight * scale)),
    });
    canvas.getContext("2d").drawImage(this.video, 0, 0, canvas.width, canvas.height);
    const jpeg = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", 0.85));
    return formOf("frame", jpeg, "frame.jpg");
  }

  async #send(body) {
    const headers = { Accept: "application/json", "X-CSRFToken": token() };
    const answer = await fetch(this.dataset.address, { method: "POST", headers, body });
    if (answer.redirected || answer.status === 403 || answer.status === 401) {
      this.#stop();
      this.#say("Not sent: you are signed out, or may not do this.");
      return;
    }
    const { lines = [], refused } = await answer.json();
    this.#say(refused ?? "Hold a label before the camera.");
    const fresh = lines.filter(({ of }) => this.#isFresh(`line ${of}`));
    for (const line of fresh) this.#tell(line);
    if (fresh.some((line) => line.is !== "refused")) document.body.dispatchEvent(new CustomEvent("counted"));
  }

  #tell(line) {
    const item = document.createElement("li");
    item.dataset.is = line.is;
    item.textContent = line.says;
    this.lines.hidden = false;
    this.lines.prepend(item);
    while (this.lines.children.length > LINES) this.lines.lastElementChild.remove();
    navigator.vibrate?.(line.is === "refused" ? [60, 60, 60] : 60);
  }

  /** Whether it comes into view: it was not seen for a while. */
  #isFresh(what) {
    const seen = this.#heard.get(what) ?? -Infinity;
    this.#heard.set(what, Date.now());
    return Date.now() - seen > HEARD_FOR;
  }

  #say(words) {
    const said = this.querySelector(".camera-said");
    if (said.textContent !== words) said.textContent = words;
  }
}

/** What reads QR codes in this browser, or null. */
async function ownReader() {
  const formats = (await window.BarcodeDetector?.getSupportedFormats()) ?? [];
  return formats.includes("qr_code") ? new BarcodeDetector({ formats: ["qr_code"] }) : null;
}

function formOf(name, value, fileName) {
  const body = new FormData();
  if (fileName) body.append(name, value, fileName);
  else body.append(name, value);
  return body;
}

// read at every sending: signing in again in another tab changes it
function token() {
  const [, fresh] = document.cookie.match(/(?:^|; )csrftoken=([^;]+)/) ?? [];
  return fresh ?? document.querySelector("[name=csrfmiddlewaretoken]").value;
}

customElements.define("count-by-camera", CountByCamera);
