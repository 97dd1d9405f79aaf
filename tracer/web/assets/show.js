/* Elements, files to save, and sentences. Only text is written, never mark-up. */
export const byId = (id) => document.getElementById(id);
const SVG = "http://www.w3.org/2000/svg";

export function make(name, words, parent) {
  const element = document.createElement(name);
  if (words !== undefined) element.textContent = words;
  if (parent) parent.append(element);
  return element;
}
export function draw(name, values, parent) {
  const element = document.createElementNS(SVG, name);
  for (const key of Object.keys(values)) element.setAttribute(key, values[key]);
  if (parent) parent.append(element);
  return element;
}
export function button(words, act, parent, kind) {
  const made = make("button", words, parent);
  made.type = "button";
  if (kind) made.className = kind;
  made.addEventListener("click", act);
  return made;
}
/* A sentence of the program, with its place and what to do, as on a terminal. */
export function sentence(text, parent) {
  const made = make("pre", text, parent);
  made.className = "sentence";
  made.setAttribute("role", "alert");
  return made;
}
export function save(name, text, kind) {
  const url = URL.createObjectURL(new Blob([text], { type: kind || "text/plain;charset=utf-8" }));
  const link = make("a");
  link.href = url;
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(url), 60000);
}
/* A board's name as that of a file. */
export const fileName = (name) => (name || "board").replace(/[/\\:*?"<>|\u0000-\u001f]/g, "_").slice(0, 80).trim() || "board";
