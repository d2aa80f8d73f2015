// What this device has without a connection: cells not sent yet, and pages.

import { cellsOf, clear, inWords, lastSent, onChange, when, whyNotSent } from "./kept.js";

const member = document.getElementById("device").dataset.member || localStorage.getItem("member");
const unsent = document.getElementById("unsent");
const pages = document.getElementById("pages");

function element(name, text = "", attributes = {}) {
  return Object.assign(document.createElement(name), { textContent: text, ...attributes });
}

function unsentOf(path, cells) {
  const item = element("li");
  const title = element("h3");
  title.append(element("a", cells[0].place, { href: path }), `: ${inWords(cells.length)} kept on this device only`);
  const table = element("table", "", { className: "ledger stacks" });
  for (const cell of cells) {
    const row = table.insertRow();
    row.append(element("th", cell.what), element("td", cell.text || "made blank"), element("td", `typed ${when(cell.at)}`), element("td", whyNotSent(cell)));
  }
  const drop = element("button", "Drop them", { type: "button", className: "btn btn-secondary" });
  drop.addEventListener("click", () => {
    if (confirm(`${inWords(cells.length)} of ${cells[0].place} will be lost. Drop them?`)) clear(member, path);
  });
  item.append(title, table, drop);
  return item;
}

async function showUnsent() {
  const cells = await cellsOf(member);
  const sent = await lastSent(member);
  const items = [...new Set(cells.map((cell) => cell.path))].map((path) => unsentOf(path, cells.filter((cell) => cell.path === path)));
  unsent.replaceChildren(...(items.length ? items : [element("li", "Nothing: all that was typed here has been sent.")]));
  document.getElementById("last-sent").textContent = sent ? `Last sent from here: ${inWords(sent.count)}, ${when(sent.at)}.` : "";
}

async function showPages() {
  const items = [];
  for (const name of await caches.keys()) {
    if (!name.startsWith("pages-") || !name.endsWith(`-${member}`)) continue;
    const cache = await caches.open(name);
    for (const request of await cache.keys()) {
      const answer = await cache.match(request);
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const item = element("li");
      item.append(element("a", page.title.split(" · ")[0], { href: request.url }), ` as it was on ${when(answer.headers.get("Date"))}`);
      items.push(item);
    }
  }
  pages.replaceChildren(...(items.length ? items : [element("li", "None yet: open a results grid or a before-you-test sheet while there is a connection.")]));
}

for (const alert of document.querySelectorAll("[role=alert]")) {
  alert.hidden = !document.documentElement.hasAttribute(`data-${alert.id}`);
}
if (member) {
  onChange(showUnsent);
  showUnsent();
  showPages();
}
