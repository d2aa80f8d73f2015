// The results grid under the hands: moves like a spreadsheet, saves each row when it is left, loses nothing.
// A cell typed and not in the record yet carries the version its row was seen at (data-seen), and is kept on this
// device until the server has it. Without this file the same table is a plain form with one Save button.

import * as kept from "../stillacross/js/kept.js";
import { send as sendCells } from "../stillacross/js/sending.js";

const form = document.querySelector("[data-grid]");
const said = document.getElementById("grid-said");
const RETRY_MS = 5000;

const rowOf = (element) => element.closest("[data-row]");
const inputsOf = (row) => [...row.querySelectorAll("td > input")];
const isAsInRecord = (input) => input.value === input.defaultValue && !input.ariaInvalid;
const isTyped = (input) => "seen" in input.dataset;
const rowIsTyped = (row) => inputsOf(row).some(isTyped);
const versionOf = (row) => row.querySelector("[name$='.version']").value;
const rows = () => [...form.querySelectorAll("[data-row]")];
const say = (text) => { if (said.textContent !== text) said.textContent = text; };
const setState = (row, text) => { row.querySelector("[data-state]").textContent = text; };

// ---- keeping ------------------------------------------------------------------------------------------

function cellOf(input) {
  const [heading] = document.getElementById(input.name.split(".")[1]).childNodes;
  return {
    member: form.elements.typed_by.value,
    path: location.pathname,
    name: input.name,
    text: input.value,
    seen: input.dataset.seen,
    at: Date.now(),
    place: form.dataset.place,
    what: `${rowOf(input).querySelector("th a").textContent}, ${heading.textContent.trim()}`,
  };
}

// Call whenever a person has put something into a cell; before: what stood there.
function typed(input, before) {
  if (!changing.has(input.name)) changing.set(input.name, before);
  const row = rowOf(input);
  if (isAsInRecord(input)) {
    delete input.dataset.seen;
    kept.forget(cellOf(input));
  } else {
    // What another person saved stands beside the cell: typing on is an answer to it.
    if ("clash" in input.dataset || !isTyped(input)) input.dataset.seen = versionOf(row);
    kept.keep(cellOf(input));
  }
  setState(row, rowIsTyped(row) ? "not saved yet" : "saved");
}

function put(input, value) {
  const before = input.value;
  input.value = value;
  typed(input, before);
}

// What was typed here earlier and never reached the server stands in its cell again, and is sent.
async function takeUp() {
  if (form.querySelector("fieldset").disabled) return;
  const cells = await kept.cellsOf(form.elements.typed_by.value);
  for (const { name, text, seen } of cells.filter((cell) => cell.path === location.pathname)) {
    const input = form.elements[name];
    if (!input || isTyped(input)) continue;
    input.value = text;
    input.dataset.seen = seen;
    setState(rowOf(input), "not saved yet");
  }
  save(rows());
}

// ---- saving -------------------------------------------------------------------------------------------

const saving = new Set(); // row ids on their way
const waiting = new Set(); // row ids to send as soon as they may

function save(list) {
  const ready = list.filter((row) => row && rowIsTyped(row));
  for (const row of ready.filter((row) => saving.has(row.dataset.row))) waiting.add(row.dataset.row);
  const batch = ready.filter((row) => !saving.has(row.dataset.row));
  return batch.length ? send(batch) : Promise.resolve();
}

async function send(batch) {
  const cells = batch.flatMap(inputsOf).filter(isTyped).map(cellOf);
  for (const row of batch) {
    saving.add(row.dataset.row);
    // One that is tried again goes on saying why it was not saved.
    if (!waiting.delete(row.dataset.row)) setState(row, "saving…");
  }
  const { why, later, html } = await sendCells(cells);
  for (const row of batch) saving.delete(row.dataset.row);
  if (!why) {
    receive(html, new Map(cells.map((cell) => [cell.name, cell])));
    sendWaiting();
    return;
  }
  for (const row of batch) setState(row, `not saved: ${why}; ${kept.works ? "kept on this device" : "leave this page open"}`);
  say(`${batch.length === 1 ? "A row is" : `${batch.length} rows are`} not saved: ${why}. ${later ? "Trying again." : "Then Save all."}`);
  if (later) {
    for (const row of batch) waiting.add(row.dataset.row);
    setTimeout(() => navigator.onLine && sendWaiting(), RETRY_MS);
  }
}

function sendWaiting() {
  save([...waiting].map((id) => document.getElementById(`row-${id}`)));
}

// Put the saved rows in place of the old ones, keeping whatever was typed since they were sent.
function receive(html, sent) {
  const holder = document.createElement("table");
  holder.innerHTML = html;
  let attention = 0;
  for (const fresh of holder.querySelectorAll("[data-row]")) {
    const old = document.getElementById(fresh.id);
    const active = old.contains(document.activeElement) ? document.activeElement : null;
    const selection = active && active.name ? [active.name, active.selectionStart, active.selectionEnd] : null;
    for (const input of inputsOf(old)) {
      if (isTyped(input) || sent.has(input.name)) carryOver(input, fresh, sent.get(input.name));
    }
    passByUnasked(fresh);
    old.replaceWith(fresh);
    if (selection) {
      const [name, start, end] = selection;
      const input = fresh.querySelector(`[name="${name}"]`);
      input.focus({ preventScroll: true });
      input.setSelectionRange(start, end);
      // Focus has not left the row: it will be saved again when it does.
      waiting.delete(fresh.dataset.row);
    }
    if (fresh.classList.contains("unsettled")) attention += 1;
  }
  say(attention ? "Saved what could be. A cell needs attention: see beside it." : "Saved.");
}

// A cell of the old row whose text the record has not taken stays typed in the fresh one.
function carryOver(input, fresh, sent) {
  const cell = fresh.querySelector(`[name="${input.name}"]`);
  if (input.value === sent?.text) {
    if (cell.ariaInvalid) cell.dataset.seen = sent.seen;
    return;
  }
  cell.value = input.value;
  if (isAsInRecord(cell)) return;
  // What was sent before it has been taken: that is what this was typed over.
  cell.dataset.seen = sent && !cell.ariaInvalid ? versionOf(fresh) : input.dataset.seen;
  kept.keep(cellOf(cell));
  waiting.add(fresh.dataset.row);
}

// ---- taking back --------------------------------------------------------------------------------------

const changes = []; // newest last; each the cells put in one go, as pairs of name and what stood there before
const changing = new Map(); // the same since the focus came to where it is
let atFocus = "";

function settle() {
  if (changing.size) changes.push([...changing]);
  changing.clear();
}

function takeBack() {
  settle();
  const cells = changes.pop() ?? [];
  for (const [name, before] of cells) put(form.elements[name], before);
  changing.clear();
  if (!cells.length) return say("Nothing more to undo.");
  goTo(form.elements[cells[0][0]]);
  save(cells.map(([name]) => rowOf(form.elements[name])));
}

// ---- passing by what is not asked ---------------------------------------------------------------------

// Tab passes by a cell that its circuit is not asked for, as long as nothing stands in it; arrows reach it.
const isAsked = (input) => input.tabIndex === 0;
const passBy = (input) => { input.tabIndex = -1; };
const passByUnasked = (row) => inputsOf(row).filter((input) => input.matches(".unasked") && !input.value).forEach(passBy);

// The first reading of a row brings test voltage and instruments down from the nearest row above that has them.
function carryDown(input) {
  const row = rowOf(input);
  if (inputsOf(row).some((cell) => cell !== input && cell.value)) return;
  const above = rows().slice(0, rows().indexOf(row)).reverse();
  inputsOf(row).forEach((cell, column) => {
    if (cell === input || !("carried" in cell.dataset)) return;
    const from = above.map((other) => inputsOf(other)[column]).find((other) => "carried" in other.dataset && other.value);
    if (!from) return;
    put(cell, from.value);
    passBy(cell);
  });
}

// ---- moving -------------------------------------------------------------------------------------------

function goTo(cell) {
  if (!cell) return false;
  cell.focus();
  cell.select();
  return true;
}

function move(input, down, right) {
  const row = rowOf(input);
  const column = inputsOf(row).indexOf(input);
  const all = rows();
  const target = all[all.indexOf(row) + down];
  return goTo(target && inputsOf(target)[column + right]);
}

// Down a column, passing by what is not asked, and on to the top of the next; or back up.
function moveOn(input, back) {
  if (!isAsked(input)) return move(input, back ? -1 : 1, 0);
  const cells = rows().map(inputsOf);
  const inOrder = cells[0].flatMap((_, column) => cells.map((row) => row[column]));
  const place = inOrder.indexOf(input);
  return goTo((back ? inOrder.slice(0, place).reverse() : inOrder.slice(place + 1)).find(isAsked));
}

// To the first cell (0) or the last (-1) of a row, or of the whole grid.
function moveToEnd(input, end, isWhole) {
  const row = isWhole ? rows().at(end) : rowOf(input);
  return goTo(inputsOf(row).at(end));
}

const atStart = (input) => input.selectionStart === 0 && (input.selectionEnd === 0 || allSelected(input));
const atEnd = (input) => input.selectionEnd === input.value.length && (input.selectionStart === input.selectionEnd || allSelected(input));
const allSelected = (input) => input.selectionStart === 0 && input.selectionEnd === input.value.length;

function onKey(event) {
  const input = event.target;
  if (!input.matches("td > input") || event.altKey || event.metaKey || event.isComposing) return;
  const moved = {
    Enter: () => moveOn(input, event.shiftKey) || (save([rowOf(input)]), true),
    ArrowDown: () => move(input, 1, 0),
    ArrowUp: () => move(input, -1, 0),
    ArrowRight: () => atEnd(input) && !event.shiftKey && move(input, 0, 1),
    ArrowLeft: () => atStart(input) && !event.shiftKey && move(input, 0, -1),
    Home: () => allSelected(input) && !event.shiftKey && moveToEnd(input, 0, false),
    End: () => allSelected(input) && !event.shiftKey && moveToEnd(input, -1, false),
    Escape: () => { put(input, input.defaultValue); return true; },
  };
  if (event.ctrlKey) {
    if (event.key === "s") { event.preventDefault(); save(rows()); }
    if (event.key === "Home") { event.preventDefault(); moveToEnd(input, 0, true); }
    if (event.key === "End") { event.preventDefault(); moveToEnd(input, -1, true); }
    if (event.key === "z") { event.preventDefault(); takeBack(); }
    if (event.key === "d") { event.preventDefault(); repeatAbove(input); }
    return;
  }
  if (moved[event.key]?.()) event.preventDefault();
}

function repeatAbove(input) {
  const all = rows();
  const above = all[all.indexOf(rowOf(input)) - 1];
  if (!above) return;
  put(input, inputsOf(above)[inputsOf(rowOf(input)).indexOf(input)].value);
  if (!move(input, 1, 0)) save([rowOf(input)]);
}

// A block copied from a spreadsheet fills down and to the right from the cell it is pasted into.
function onPaste(event) {
  const input = event.target;
  const text = event.clipboardData.getData("text").replace(/\r?\n$/, "");
  if (!input.matches("td > input") || !/[\n\t]/.test(text)) return;
  event.preventDefault();
  const all = rows();
  const first = all.indexOf(rowOf(input));
  const column = inputsOf(rowOf(input)).indexOf(input);
  const lines = text.split(/\r?\n/);
  const touched = all.slice(first, first + lines.length);
  touched.forEach((row, index) => {
    const cells = inputsOf(row);
    lines[index].split("\t").forEach((value, offset) => {
      if (cells[column + offset]) put(cells[column + offset], value.trim());
    });
  });
  const left = lines.length - touched.length;
  if (left > 0) say(`${left} pasted line${left === 1 ? "" : "s"} had no row to go to.`);
  settle();
  save(touched);
}

// With a keyboard at hand the focus waits where typing goes on: in the row that the address names, else in the first
// with a gap.
function begin() {
  if (form.querySelector("fieldset").disabled || !matchMedia("(any-pointer: fine)").matches) return;
  if (rows().some(rowIsTyped) || form.contains(document.activeElement)) return;
  const named = rows().find((row) => `#${row.id}` === location.hash);
  const cells = (named ? [named] : rows()).flatMap(inputsOf);
  goTo(cells.find((cell) => isAsked(cell) && !cell.value) ?? (named && cells[0]));
}

// ---- listening ----------------------------------------------------------------------------------------

if (form) {
  form.addEventListener("keydown", onKey);
  form.addEventListener("paste", onPaste);
  rows().forEach(passByUnasked);
  form.addEventListener("focusin", ({ target }) => {
    if (!target.matches("td > input")) return;
    atFocus = target.value;
    target.enterKeyHint = "next";
    target.select();
  });
  form.addEventListener("focusout", (event) => {
    settle();
    const row = rowOf(event.target);
    if (row && !row.contains(event.relatedTarget)) save([row]);
  });
  form.addEventListener("input", ({ target }) => {
    if (!target.matches("td > input")) return;
    typed(target, atFocus);
    carryDown(target);
  });
  form.addEventListener("click", (event) => {
    const choice = event.target.closest("[data-use]");
    if (!choice) return;
    const input = form.elements[choice.dataset.of];
    put(input, choice.dataset.use);
    save([rowOf(input)]);
    input.focus();
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    save(rows()).then(() => rows().some(rowIsTyped) || say("Everything is saved."));
  });
  window.addEventListener("online", sendWaiting);
  window.addEventListener("beforeunload", (event) => {
    if (!kept.works && rows().some(rowIsTyped)) event.preventDefault();
  });
  document.addEventListener("visibilitychange", () => save(rows()));
  takeUp().then(begin);
}
