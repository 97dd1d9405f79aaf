/* Last of all: what needs the script appears, sections fold, and the questions begin. */
for (const group of document.querySelectorAll("[data-place-of]")) {
  const item = partItem.get(group.dataset.placeOf);
  if (item !== undefined) group.dataset.item = item;
}
const folds = [...document.querySelectorAll("details.fold")];
const isWide = window.matchMedia("(min-width: 60rem)").matches;
for (const fold of folds) fold.open = isWide && fold.classList.contains("wide");
/* On paper nothing stays folded. */
window.addEventListener("beforeprint", () => { for (const fold of folds) fold.open = true; });
document.addEventListener("click", (event) => {
  const link = event.target.closest("a[href^='#']"), to = link && document.getElementById(link.getAttribute("href").slice(1));
  if (to && to.closest("details.fold")) to.closest("details.fold").open = true;
});
for (const part of document.querySelectorAll(".bar, #fault")) part.hidden = false;
choose(null);
if (reasoning) {
  const found = kept();
  if (found) { before.push(now); now = { rest: [], cured: null, ...found }; }
  renderAll(found ? "Your answers of before are still here." : "");
} else byId("ask").hidden = true;
for (const words of document.querySelectorAll(".no-script")) words.hidden = true;
