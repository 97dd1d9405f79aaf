/* Notes that this browser keeps, each under a name of its own; a browser that keeps nothing is told of. */
const START = "rgbroots notes ";

/* Whether anything can be kept here: storage may be off, full or refused. */
export function canKeep() {
  try {
    localStorage.setItem(START, "");
    localStorage.removeItem(START);
    return true;
  } catch { return false; }
}
export function newName() {
  return Date.now().toString(36) + Math.random().toString(36).slice(2, 8);
}
export function read(name) {
  try {
    const found = JSON.parse(localStorage.getItem(START + name));
    return found && typeof found.notes === "string" && Number.isInteger(found.turn) ? found : null;
  } catch { return null; }
}
/* "kept"; "newer" where another tab went on with these notes meanwhile; "refused" by the browser. */
export function write(name, draft) {
  const there = read(name);
  if (there && there.turn !== draft.turn) return "newer";
  try {
    localStorage.setItem(START + name, JSON.stringify({ ...draft, turn: draft.turn + 1, when: Date.now() }));
    draft.turn += 1;
    return "kept";
  } catch { return "refused"; }
}
export function drop(name) {
  try { localStorage.removeItem(START + name); } catch { /* What cannot be kept cannot be dropped. */ }
}
/* All that is kept, the latest first. */
export function all() {
  try {
    return Object.keys(localStorage).filter((key) => key.startsWith(START) && key !== START).map((key) => key.slice(START.length))
      .map((name) => ({ name, ...read(name) })).filter((draft) => draft.notes !== undefined).sort((a, b) => b.when - a.when);
  } catch { return []; }
}
/* Tells when another tab has changed these notes. */
export function whenChanged(act) {
  window.addEventListener("storage", (event) => { if (event.key && event.key.startsWith(START)) act(event.key.slice(START.length)); });
}

/* -- what a tab goes on with after a reload -- */
export function ofThisTab(what) {
  try { return sessionStorage.getItem("rgbroots tab" + what); } catch { return null; }
}
/* Whether it could be kept. */
export function keepOfThisTab(what, word) {
  try { sessionStorage.setItem("rgbroots tab" + what, word); return true; } catch { return false; }
}

/* -- boards: their files are too large for what is kept as text -- */
const BOARDS = "boards", MOST_KEPT = 5, LARGEST_KEPT = 30e6;
function database() {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open("rgbroots", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(BOARDS, { keyPath: "name" });
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = asked.onblocked = () => reject(asked.error);
  });
}
const done = (asked) => new Promise((resolve, reject) => { asked.onsuccess = () => resolve(asked.result); asked.onerror = () => reject(asked.error); });
/* Keeps the board that a tab has chosen, so that a reload finds it; the last few tabs' boards are kept. */
export async function keepBoard(board) {
  try {
    if (board.files.reduce((size, { file }) => size + file.size, 0) > LARGEST_KEPT) return;
    const opened = await database(), store = opened.transaction(BOARDS, "readwrite").objectStore(BOARDS);
    await done(store.put({ ...board, when: Date.now() }));
    const old = (await done(store.getAll())).sort((a, b) => b.when - a.when).slice(MOST_KEPT);
    for (const { name } of old) await done(store.delete(name));
    opened.close();
  } catch { /* Then it is chosen once more after a reload. */ }
}
export async function boardOf(name) {
  try {
    const opened = await database(), found = await done(opened.transaction(BOARDS).objectStore(BOARDS).get(name));
    opened.close();
    return found || null;
  } catch { return null; }
}
