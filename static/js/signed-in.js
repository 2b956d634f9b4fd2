/*
 * On every page of somebody signed in: leaves the screen when the device is given to somebody else.
 *
 * A browser may bring a page back from memory on “Back”, without asking the server; signing in and handing over change
 * the token in the cookie, and a page that remembers another one loads itself anew. Other windows are told at once.
 */

const token = () => document.cookie.match(/(?:^|; )csrftoken=([^;]+)/)?.[1];
const mine = token();

function leave() {
  document.documentElement.hidden = true;
  document.querySelector("auto-save")?.remove(); // or it keeps on its way out what was just taken away
  location.reload();
}

addEventListener("pageshow", (event) => {
  if (event.persisted && token() !== mine) leave();
});
new BroadcastChannel("signed-in").addEventListener("message", leave);
