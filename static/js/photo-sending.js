/*
 * Sends one photo and hears what became of it, with a progress that is really how much has left the device.
 *
 * By XMLHttpRequest, as fetch tells nothing of an upload on its way. The token against forgery is read from its cookie
 * at every sending: signing in again in another tab changes it.
 */

const NOT_SENT = "Not sent: ";

/** A key by which the server knows this very file again, so that a retry after a lost answer keeps one photo. */
export function newKey() {
  if (crypto.randomUUID) return crypto.randomUUID(); // only where the page came by HTTPS or from this machine
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

/**
 * Returns {outcome, stop}: a promise of {is: "taken", photo, thumb, angle, frame}, {is: "refused", says},
 * {is: "failed", says, signIn} or {is: "stopped"}, and what stops it. `onProgress` gets a share of 0 to 1.
 */
export function sendPhoto(address, fields, onProgress) {
  const request = new XMLHttpRequest();
  const outcome = new Promise((resolve) => {
    request.upload.addEventListener("progress", (event) => event.total && onProgress(event.loaded / event.total));
    request.addEventListener("load", () => resolve(heard(request, address)));
    request.addEventListener("error", () => resolve({ is: "failed", says: `${NOT_SENT}no connection.` }));
    request.addEventListener("abort", () => resolve({ is: "stopped" }));
  });
  const body = new FormData();
  for (const [name, value] of Object.entries(fields)) if (value !== null) body.append(name, value);
  request.open("POST", address);
  request.setRequestHeader("Accept", "application/json");
  request.setRequestHeader("X-CSRFToken", token());
  request.send(body);
  return { outcome, stop: () => request.abort() };
}

function heard(request, address) {
  const wasLedElsewhere = new URL(request.responseURL).pathname !== address;
  if (wasLedElsewhere || request.status === 403) {
    return { is: "failed", says: `${NOT_SENT}you are signed out, or may not do this.`, signIn: true };
  }
  if (request.status === 413) return { is: "refused", says: "This photo is larger than what is taken in." };
  try {
    const { refused, ...taken } = JSON.parse(request.responseText);
    return refused ? { is: "refused", says: refused } : { is: "taken", ...taken };
  } catch {
    return { is: "failed", says: `${NOT_SENT}the server did not take it (${request.status}).` };
  }
}

function token() {
  const [, fresh] = document.cookie.match(/(?:^|; )csrftoken=([^;]+)/) ?? [];
  return fresh ?? document.querySelector("[name=csrfmiddlewaretoken]").value;
}
