// On every page: the service worker, what is kept on this device and whose it is, and clearing it at sign-out.

import { cellsOf, clear, inWords, lastSent, onChange, when, whyNotSent } from "./kept.js";
import { sendKept } from "./sending.js";

const RETRY_MS = 15000;
const member = document.getElementById("device").dataset.member;
const keptAt = document.documentElement.dataset.keptAt;
const ownGrid = document.querySelector("[data-grid] fieldset:enabled") ? location.pathname : "";
const opened = Date.now();
let unsent = [];

// ---- the service worker -------------------------------------------------------------------------------

if (navigator.serviceWorker) {
  const hadNone = !navigator.serviceWorker.controller;
  navigator.serviceWorker.register("/service-worker.js").catch(() => {});
  // The first page of all came before there was one to keep it. No other is asked for twice: a page may do
  // something each time, as one that begins a passkey does.
  if (hadNone && "kept" in document.body.dataset) navigator.serviceWorker.ready.then(({ active }) => active.postMessage(location.href));
}

// Pages kept for whoever was signed in here before are not for this member.
const pagesOf = (name) => name.match(/^pages-.*-(\d+)$/)?.[1];
async function dropPages(which) {
  const names = (await window.caches?.keys()) ?? [];
  await Promise.all(names.filter((name) => pagesOf(name) && which(pagesOf(name))).map((name) => caches.delete(name)));
}

// ---- what is said -------------------------------------------------------------------------------------

const said = document.createElement("div");
said.className = "kept-here";
said.role = "status";
document.querySelector("main").prepend(said);

function paragraph(...parts) {
  const line = document.createElement("p");
  line.className = "message";
  line.append(...parts);
  return line;
}

function link(path, text) {
  const anchor = document.createElement("a");
  anchor.href = path;
  anchor.textContent = text;
  return anchor;
}

// A cell just typed into the grid of this page is on its way; its row says so.
const isToBeTold = (cell) => !navigator.onLine || cell.why || cell.path !== ownGrid || cell.at < opened;

async function tell() {
  const lines = [];
  unsent = await cellsOf(member);
  const cells = unsent.filter(isToBeTold);
  const sent = await lastSent(member);
  if (!navigator.onLine || keptAt) {
    const asOf = keptAt ? `This page is as it was on ${when(keptAt)}, and may have changed since. ` : "";
    lines.push(navigator.onLine
      ? paragraph(asOf, link(location.href, "Open it anew"))
      : paragraph("No connection. ", asOf, link("/at-hand/", "What is at hand")));
  }
  for (const path of new Set(cells.map((cell) => cell.path))) {
    const here = cells.filter((cell) => cell.path === path);
    const first = here.find((cell) => cell.needsPerson) ?? here[0];
    lines.push(paragraph(
      `${inWords(here.length)} of `, path === ownGrid ? here[0].place : link(path, here[0].place),
      `: kept on this device only, ${whyNotSent(first)}.`,
    ));
  }
  if (!cells.length && sent?.at > opened) {
    lines.push(paragraph(`${inWords(sent.count)} kept on this device ${sent.count === 1 ? "was" : "were"} sent, ${when(sent.at)}.`));
  }
  if (said.textContent !== lines.map((line) => line.textContent).join("")) said.replaceChildren(...lines);
}

// ---- signing out --------------------------------------------------------------------------------------

async function signOut(event) {
  if (unsent.length) {
    event.preventDefault();
    await sendKept(member);
    const left = await cellsOf(member);
    const lost = left.slice(0, 10).map((cell) => `${cell.place}: ${cell.what} ${cell.text}`).join("\n");
    if (left.length && !confirm(
      `${inWords(left.length)} kept on this device only could not be sent, and signing out clears them:\n\n${lost}\n\nSign out all the same?`,
    )) return;
  }
  localStorage.setItem("signing-out", member);
  if (event.defaultPrevented) event.target.submit();
}

// The first page after signing out clears the device; one that is still signed in says that it did not come to it.
async function endSigningOut() {
  const whoWas = localStorage.getItem("signing-out");
  if (!whoWas || keptAt) return;
  localStorage.removeItem("signing-out");
  if (member) return;
  localStorage.removeItem("member");
  await clear(whoWas);
  await dropPages((whose) => whose === whoWas);
}

// -------------------------------------------------------------------------------------------------------

await endSigningOut();
if (member) {
  localStorage.setItem("member", member); // whose the page of what is at hand is, without a connection
  await dropPages((whose) => whose !== member);
  for (const form of document.querySelectorAll('form[action$="/sign-out/"]')) form.addEventListener("submit", signOut);
  const sync = () => sendKept(member, ownGrid).then(tell);
  onChange(tell);
  window.addEventListener("online", sync);
  window.addEventListener("offline", tell);
  document.addEventListener("visibilitychange", () => document.hidden || sync());
  setInterval(async () => (await cellsOf(member)).length && sync(), RETRY_MS);
  sync();
}
