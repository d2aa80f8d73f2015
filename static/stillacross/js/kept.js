// Cells typed and not in the record yet, kept on this device until the server has them, through a closed browser.
// A cell belongs to the member who typed it, and no other member's page reads it.

const opened = new Promise((resolve, reject) => {
  const asked = indexedDB.open("stillacross", 1);
  asked.onupgradeneeded = () => {
    asked.result.createObjectStore("cells", { keyPath: ["member", "path", "name"] });
    asked.result.createObjectStore("sent", { keyPath: "member" });
  };
  asked.onsuccess = () => resolve(asked.result);
  asked.onerror = () => reject(asked.error);
});
export let works = true; // false once the browser has refused to keep anything
const others = new BroadcastChannel("stillacross-kept");
const listeners = [];

async function inStore(name, mode, act) {
  let asked;
  try {
    const transaction = (await opened).transaction(name, mode);
    const done = new Promise((resolve, reject) => {
      transaction.oncomplete = resolve;
      transaction.onabort = () => reject(transaction.error);
    });
    asked = act(transaction.objectStore(name));
    await done;
  } catch {
    works = false;
  }
  if (mode === "readwrite") {
    listeners.forEach((listener) => listener());
    others.postMessage("changed");
  }
  return asked?.result;
}

const keyOf = ({ member, path, name }) => [member, path, name];
const everyCell = (...key) => IDBKeyRange.bound(key, [...key, []]);

// Do something with a cell as it is kept, unless it was typed over meanwhile.
const ifSame = (cell, act) => inStore("cells", "readwrite", (store) => {
  const asked = store.get(keyOf(cell));
  asked.onsuccess = () => asked.result?.text === cell.text && act(store, asked.result);
});

// A cell: member, path of its grid, name of its input, text, seen (the version of the row it was typed at), at (when),
// and for people: place, what. After an attempt to send it: why it was not taken, and whether it needs a person.
export const keep = (cell) => inStore("cells", "readwrite", (store) => store.put(cell));
export const forget = (cell) => inStore("cells", "readwrite", (store) => store.delete(keyOf(cell)));
export const taken = (cell, tell) => ifSame(cell, (store, kept) => {
  store.delete(keyOf(cell));
  tell(kept);
});
export const notTaken = (cell, why, needsPerson) =>
  ifSame(cell, (store, kept) => store.put({ ...kept, why, needsPerson }));
export const cellsOf = async (member) =>
  (await inStore("cells", "readonly", (store) => store.getAll(everyCell(member)))) ?? [];
export const clear = (...key) => inStore("cells", "readwrite", (store) => store.delete(everyCell(...key)));

export const lastSent = (member) => inStore("sent", "readonly", (store) => store.get(member));
export const noteSent = (member, count) =>
  inStore("sent", "readwrite", (store) => store.put({ member, count, at: Date.now() }));

// Called whenever something kept has changed, here or in another tab.
export function onChange(listener) {
  listeners.push(listener);
  others.addEventListener("message", listener);
}

export const inWords = (count) => (count === 1 ? "1 cell" : `${count} cells`);
export const whyNotSent = ({ why, needsPerson }) =>
  needsPerson ? `not taken: ${why}` : `not yet sent${why ? ` (${why})` : ""}`;
export const when = (time) =>
  new Date(time).toLocaleString("en-GB", { day: "numeric", month: "short", hour: "2-digit", minute: "2-digit" });
