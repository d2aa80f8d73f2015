// The results grid under the hands: moves like a spreadsheet, saves each row when it is left, loses nothing.
// Without this file the same table is a plain form with one Save button.

const form = document.querySelector("[data-grid]");
const said = document.getElementById("grid-said");
const RETRY_MS = 5000;

const rowOf = (element) => element.closest("[data-row]");
const inputsOf = (row) => [...row.querySelectorAll("td > input")];
const isDirty = (input) => input.value !== input.defaultValue;
const rowIsDirty = (row) => inputsOf(row).some(isDirty);
const rows = () => [...form.querySelectorAll("[data-row]")];
const say = (text) => { said.textContent = text; };
const setState = (row, text) => { row.querySelector("[data-state]").textContent = text; };

// ---- saving -------------------------------------------------------------------------------------------

const saving = new Set(); // row ids on their way
const waiting = new Set(); // row ids to send as soon as they may

function save(list) {
  const ready = list.filter((row) => row && rowIsDirty(row));
  for (const row of ready.filter((row) => saving.has(row.dataset.row))) waiting.add(row.dataset.row);
  const batch = ready.filter((row) => !saving.has(row.dataset.row));
  return batch.length ? send(batch) : Promise.resolve();
}

async function send(batch) {
  const body = new URLSearchParams();
  body.set("csrfmiddlewaretoken", form.elements.csrfmiddlewaretoken.value);
  const sent = new Map();
  for (const row of batch) {
    for (const input of row.querySelectorAll("input")) {
      body.set(input.name, input.value);
      sent.set(input.name, input.value);
    }
    saving.add(row.dataset.row);
    waiting.delete(row.dataset.row);
    setState(row, "saving…");
  }
  let failure = "";
  try {
    const answer = await fetch(form.action, { method: "POST", body, headers: { "X-Fragment": "rows" } });
    if (answer.redirected) failure = "not saved: sign in again in another tab, then Save all";
    else if (answer.status === 403) failure = "not saved: refused; see in another tab whether you may enter these readings, then Save all";
    else if (answer.status === 409) failure = "not saved: the inspection is no longer a draft";
    else if (!answer.ok) failure = "not saved: the server could not take it; trying again";
    else receive(await answer.text(), sent);
  } catch {
    failure = "not saved: no connection; trying again";
  }
  for (const row of batch) saving.delete(row.dataset.row);
  if (failure) {
    for (const row of batch) setState(row, failure);
    say(`${batch.length === 1 ? "A row is" : `${batch.length} rows are`} ${failure}.`);
    if (failure.endsWith("trying again")) {
      for (const row of batch) waiting.add(row.dataset.row);
      setTimeout(sendWaiting, RETRY_MS);
    }
  } else {
    sendWaiting();
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
      if (input.value !== sent.get(input.name)) {
        fresh.querySelector(`[name="${input.name}"]`).value = input.value;
        waiting.add(fresh.dataset.row);
      }
    }
    old.replaceWith(fresh);
    if (selection) {
      const [name, start, end] = selection;
      const input = fresh.querySelector(`[name="${name}"]`);
      input.focus({ preventScroll: true });
      input.setSelectionRange(start, end);
      // Focus has not left the row: it will be saved again when it does.
      waiting.delete(fresh.dataset.row);
    }
    if (fresh.classList.contains("attention")) attention += 1;
  }
  say(attention ? "Saved what could be. A cell needs attention: see beside it." : "Saved.");
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
    Enter: () => move(input, event.shiftKey ? -1 : 1, 0) || (save([rowOf(input)]), true),
    ArrowDown: () => move(input, 1, 0),
    ArrowUp: () => move(input, -1, 0),
    ArrowRight: () => atEnd(input) && !event.shiftKey && move(input, 0, 1),
    ArrowLeft: () => atStart(input) && !event.shiftKey && move(input, 0, -1),
    Home: () => allSelected(input) && !event.shiftKey && moveToEnd(input, 0, false),
    End: () => allSelected(input) && !event.shiftKey && moveToEnd(input, -1, false),
    Escape: () => { input.value = input.defaultValue; return true; },
  };
  if (event.ctrlKey) {
    if (event.key === "s") { event.preventDefault(); save(rows()); }
    if (event.key === "Home") { event.preventDefault(); moveToEnd(input, 0, true); }
    if (event.key === "End") { event.preventDefault(); moveToEnd(input, -1, true); }
    if (event.key === "d") { event.preventDefault(); repeatAbove(input); }
    return;
  }
  if (moved[event.key]?.()) event.preventDefault();
}

function repeatAbove(input) {
  const all = rows();
  const above = all[all.indexOf(rowOf(input)) - 1];
  if (!above) return;
  input.value = inputsOf(above)[inputsOf(rowOf(input)).indexOf(input)].value;
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
      if (cells[column + offset]) cells[column + offset].value = value.trim();
    });
  });
  const left = lines.length - touched.length;
  if (left > 0) say(`${left} pasted line${left === 1 ? "" : "s"} had no row to go to.`);
  save(touched);
}

// ---- listening ----------------------------------------------------------------------------------------

if (form) {
  form.addEventListener("keydown", onKey);
  form.addEventListener("paste", onPaste);
  form.addEventListener("focusin", (event) => event.target.matches("td > input") && event.target.select());
  form.addEventListener("focusout", (event) => {
    const row = rowOf(event.target);
    if (row && !row.contains(event.relatedTarget)) save([row]);
  });
  form.addEventListener("input", (event) => {
    const row = rowOf(event.target);
    if (row) setState(row, rowIsDirty(row) ? "not saved yet" : "saved");
  });
  form.addEventListener("click", (event) => {
    const choice = event.target.closest("[data-use]");
    if (!choice) return;
    const input = form.elements[choice.dataset.of];
    input.value = choice.dataset.use;
    send([rowOf(input)]);
    input.focus();
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    save(rows()).then(() => rows().some(rowIsDirty) || say("Everything is saved."));
  });
  window.addEventListener("online", sendWaiting);
  window.addEventListener("beforeunload", (event) => {
    if (rows().some(rowIsDirty)) event.preventDefault();
  });
  document.addEventListener("visibilitychange", () => document.hidden && save(rows()));
}
