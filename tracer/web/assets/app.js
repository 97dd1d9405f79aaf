/* The page: its views, what the engine is doing, and what becomes of a board that was chosen. */
import { Board } from "./board.js";
import { Beeping } from "./beep.js";
import { Engine, Stopped } from "./engine.js";
import { keepOfThisTab, ofThisTab } from "./keep.js";
import { Notes } from "./notes.js";
import { Results } from "./results.js";
import { byId } from "./show.js";

for (const words of document.querySelectorAll(".no-script")) words.hidden = true;
const views = [...document.querySelectorAll("[data-view]")];
let isBegun = false;
const app = {
  /* Shows one view; the others keep what is in them. */
  show(name) {
    for (const view of views) {
      if (view.dataset.view === name) view.setAttribute("aria-current", "page");
      else view.removeAttribute("aria-current");
    }
    for (const part of document.querySelectorAll("[data-shows]")) part.hidden = part.dataset.shows !== name;
    document.body.dataset.at = name;
    if (isBegun) keepOfThisTab("'s view", name);
    if (name === "map") app.results.fit();
    if (name === "wrong" || name === "card") app.results.open(name);
    if (name === "beep") app.beeping.open();
    window.scrollTo(0, 0);
  },
  enable(isTraced) {
    for (const view of views) if (["map", "wrong", "card"].includes(view.dataset.view)) view.disabled = !isTraced;
  },
  name(board, words) {
    byId("board-name").textContent = board ? board + ": " + words : "Which chip and leg feeds which bit of red, green and blue";
    document.title = board ? board + ", rgbroots" : "rgbroots";
  },
  /* Asks; a stop is no mistake, and is said where the work was said. Undefined where nothing came of it. */
  async ask(question, tell) {
    try {
      return await app.engine.ask(question);
    } catch (error) {
      tell(error instanceof Stopped ? "stopped" : error.message, error.kind);
      return undefined;
    }
  },
};

/* -- what the engine is doing -- */
let ticking = null;
function changed({ is, what, since }) {
  const line = byId("state"), stop = byId("stop");
  clearInterval(ticking);
  stop.hidden = is !== "working";
  document.body.dataset.is = is;
  const words = () => {
    const seconds = Math.floor((performance.now() - since) / 1000);
    if (is === "starting") return "Starting" + (seconds ? " (" + seconds + " s)" : "") + " ... a board can be chosen meanwhile.";
    if (is === "working") return what[0].toUpperCase() + what.slice(1) + " ..." + (seconds ? " " + seconds + " s" : "") + (seconds >= 20 ? ". It may be too much for this device: it can be stopped." : "");
    if (is === "failed") return "The program cannot start in this browser: " + what + ". A newer one may do (Chromium or Edge 105, Firefox 114, Safari 16.4 or later).";
    return "Ready.";
  };
  line.textContent = words();
  if (is === "starting" || is === "working") ticking = setInterval(() => { line.textContent = words(); }, 1000);
}
byId("stop").addEventListener("click", () => app.engine.stop());
for (const view of views) view.addEventListener("click", () => app.show(view.dataset.view));

app.engine = new Engine(changed);
app.notes = new Notes(app);
app.board = new Board(app);
app.results = new Results(app);
app.beeping = new Beeping(app);
app.engine.ready.then((said) => {
  app.board.offer(said.demos);
}, () => {});
/* For whoever measures: how long the start took. */
window.rgbroots = app;

/* -- without a network -- */
async function keepAll() {
  const line = byId("offline");
  if (!("serviceWorker" in navigator)) { line.textContent = "This browser does not keep the page: it needs its network again next time."; return; }
  try {
    const kept = await navigator.serviceWorker.register("sw.js");
    await navigator.serviceWorker.ready;
    const say = () => { line.textContent = kept.waiting ? "A newer version is here: it comes when this page is closed and opened again." : "Kept in this browser: it works without a network from now on."; };
    kept.addEventListener("updatefound", () => kept.installing?.addEventListener("statechange", say));
    say();
    document.body.dataset.kept = "yes";
  } catch {
    line.textContent = "This browser does not keep the page: it needs its network again next time.";
  }
}
keepAll();
app.notes.begin();
app.show("board");
/* A reload goes on where the tab was. */
const was = ofThisTab("'s view");
isBegun = true;
if (was === "beep" && app.notes.draft.notes.trim()) app.show("beep");
const first = document.body.dataset.at;
app.board.begin().then((isThere) => { if (isThere && was && document.body.dataset.at === first) app.show(was); });
