// Sending kept cells. Each says which version of its row it was typed at, so that the record can tell a cell that
// another person changed meanwhile; one sent twice is written once.

import { cellsOf, noteSent, notTaken, taken } from "./kept.js";

const WHY = {
  403: "your sign-in may not enter them: another member is signed in here, or the visit is not yours",
  404: "the board or the visit is no longer there",
  409: "the visit is no longer a draft",
  503: "the record cannot be written to just now",
};
const SIGNED_OUT = "you are signed out. Sign in in another tab";
const NO_CONNECTION = "no connection";
const SEE_ROW = "see its row";
const NO_ROW = "the circuit is no longer on this board";

const opened = Date.now();

async function ask(path, body) {
  let answer;
  try {
    const headers = { "X-Fragment": "rows", "X-CSRFToken": document.cookie.match(/\bcsrftoken=([^;]+)/)?.[1] ?? "" };
    answer = await fetch(path, { method: "POST", body, headers });
    if (answer.ok && !answer.redirected) return { why: "", html: await answer.text() };
  } catch {
    return { why: NO_CONNECTION, later: true };
  }
  if (answer.redirected) return { why: SIGNED_OUT, later: true };
  return { why: WHY[answer.status] ?? "the server could not take it", later: answer.status >= 500 };
}

// Send cells of one grid. why: empty when the server answered with its rows (html); later: time may mend it.
export async function send(cells) {
  const [{ member, path }] = cells;
  const body = new URLSearchParams({ typed_by: member });
  for (const { name, text, seen } of cells) {
    body.set(name, text);
    body.set(`${name}.seen`, seen);
  }
  const answer = await ask(path, body);
  await (answer.why ? Promise.all(cells.map((cell) => notTaken(cell, answer.why, !answer.later))) : settle(cells, answer.html));
  return answer;
}

async function settle(cells, html) {
  const rows = document.createElement("table");
  rows.innerHTML = html;
  let waited = 0;
  const count = (kept) => { if (kept.why || kept.at < opened) waited += 1; };
  await Promise.all(cells.map((cell) => {
    const input = rows.querySelector(`[name="${cell.name}"]`);
    if (!input) return notTaken(cell, NO_ROW, true);
    if (input.ariaInvalid) return notTaken(cell, SEE_ROW, true);
    return taken(cell, count);
  }));
  if (waited) await noteSent(cells[0].member, waited);
}

// One tab at a time, where the browser can see to that.
const alone = (act) => (navigator.locks ? navigator.locks.request("stillacross-send", act) : act());

// Send whatever is kept and needs no person, grid by grid; the grid of ``except`` sends its own.
export const sendKept = (member, except) => alone(async () => {
  const ready = (await cellsOf(member)).filter((cell) => cell.path !== except && !cell.needsPerson);
  for (const path of new Set(ready.map((cell) => cell.path))) {
    await send(ready.filter((cell) => cell.path === path));
  }
});
