/** The grid by keyboard, and what is typed kept by itself. Without this script it is a plain form with a button. */

const AFTER_MS = 1500;
const AGAIN_MS = 10_000;

const form = document.getElementById("typing");
const grid = document.getElementById("grid");
const words = document.getElementById("words").dataset;
const state = document.getElementById("kept-state");
const loud = document.getElementById("not-kept");
const field = (name) => form.elements.namedItem(name);

/* Moving about ------------------------------------------------------------------------------------------------ */

const BEFORE_NUMBERS = 2; // name and stage
const cells = (row) => [...row.querySelectorAll("input")];
const rows = () => [...grid.querySelectorAll("tr.line")];

/** @param {HTMLInputElement} input  @param {number} lines  down, or up where negative */
function toLine(input, lines) {
  const row = input.closest("tr");
  const at = rows().indexOf(row);
  const inSums = at < 0;
  const wanted = inSums ? rows().length - 1 : at + lines;
  if (wanted < 0 || (inSums && lines > 0)) return;
  while (wanted >= rows().length) addLine();
  const column = cells(row).indexOf(input) + (inSums ? BEFORE_NUMBERS : 0);
  focusOn(cells(rows()[wanted])[column]);
}

/** @param {HTMLElement | undefined} place */
function focusOn(place) {
  if (!place) return;
  place.focus();
  if (place.select) place.select();
}

/** A free line after the last, built as that one is. */
function addLine() {
  const from = rows().length;
  const to = from + 1;
  const last = rows()[from - 1];
  const made = last.cloneNode(true);
  made.querySelector("th").textContent = String(to);
  for (const input of cells(made)) {
    input.value = "";
    input.name = input.id = input.name.replace(`l${from}-`, `l${to}-`);
    input.setAttribute("aria-label", input.getAttribute("aria-label").replace(String(from), String(to)));
    mark(input, "");
  }
  const understood = made.querySelector(".understood");
  understood.textContent = "";
  understood.hidden = true;
  const told = last.nextElementSibling.cloneNode(true);
  told.hidden = true;
  told.firstElementChild.replaceChildren();
  last.nextElementSibling.after(made, told);
  field("lines").value = String(to);
}

/** Says at a place that what stands in it can't be read; `told` is the row under its line. */
function mark(input, words, told) {
  input.closest("td").classList.toggle("in-error", Boolean(words));
  if (!words) {
    input.removeAttribute("aria-invalid");
    input.removeAttribute("aria-describedby");
    return;
  }
  const said = document.createElement("p");
  said.id = `${input.name}-told`;
  said.textContent = `${input.closest("td").dataset.label}: ${words}`;
  told.firstElementChild.append(said);
  told.hidden = false;
  input.setAttribute("aria-invalid", "true");
  input.setAttribute("aria-describedby", said.id);
}

const atStart = (input) => input.selectionEnd === 0 || wholly(input);
const atEnd = (input) => input.selectionStart === input.value.length || wholly(input);
const wholly = (input) => input.value && input.selectionStart === 0 && input.selectionEnd === input.value.length;

form.addEventListener("keydown", (event) => {
  const input = event.target;
  if (event.altKey || event.ctrlKey || event.metaKey || event.isComposing) return;
  if (input.tagName === "INPUT" && grid.contains(input)) {
    const inRow = cells(input.closest("tr"));
    const next = { ArrowRight: inRow[inRow.indexOf(input) + 1], ArrowLeft: inRow[inRow.indexOf(input) - 1] }[event.key];
    if (event.key === "Enter") toLine(input, event.shiftKey ? -1 : 1);
    else if (event.key === "ArrowDown") toLine(input, 1);
    else if (event.key === "ArrowUp") toLine(input, -1);
    else if (event.key === "Escape") leave(input);
    else if (next && event.key === "ArrowRight" && atEnd(input) && !event.shiftKey) focusOn(next);
    else if (next && event.key === "ArrowLeft" && atStart(input) && !event.shiftKey) focusOn(next);
    else if (event.key === "Tab" && !event.shiftKey && isLast(input)) addLine(); // the browser then goes on into it
    else return;
    if (event.key !== "Tab") event.preventDefault();
  } else if (event.key === "Enter" && (input.tagName === "SELECT" || (input.tagName === "INPUT" && input.type !== "submit"))) {
    event.preventDefault(); // in the head, Enter goes on as Tab does
    const places = [...form.elements].filter((one) => one.tabIndex >= 0 && !one.hidden && one.type !== "hidden");
    focusOn(places[places.indexOf(input) + (event.shiftKey ? -1 : 1)]);
  }
});

/** From a line to the sums, and from there to the buttons: nobody tabs through free lines. */
function leave(input) {
  const sums = grid.querySelector("tr.sums");
  focusOn(sums.contains(input) ? form.querySelector(".keep button") : cells(sums)[0]);
}

function isLast(input) {
  const last = cells(rows()[rows().length - 1]);
  return last[last.length - 1] === input && last.some((one) => one.value);
}

/* Kept by itself ---------------------------------------------------------------------------------------------- */

const copy = `haulbook typing ${form.action}`;
let unkept = false;
let sending = false;
let again = 0;
let elsewhere = false;

form.addEventListener("input", () => {
  unkept = true;
  store();
  wait(AFTER_MS);
});
form.addEventListener("submit", (event) => {
  if (sending) {
    event.preventDefault(); // the one that is on its way has to say its revision first
    const pressed = event.submitter;
    setTimeout(() => form.requestSubmit(pressed), 100);
    return;
  }
  clearTimeout(again);
  unkept = false;
});
addEventListener("pagehide", () => unkept && send(true));
document.addEventListener("visibilitychange", () => document.hidden && unkept && send(true));
addEventListener("beforeunload", (event) => loud.hidden || event.preventDefault());

function wait(ms) {
  clearTimeout(again);
  again = setTimeout(send, ms);
}

async function send(leaving = false) {
  if (elsewhere || (sending && !leaving)) return;
  clearTimeout(again);
  sending = true;
  unkept = false;
  state.textContent = words.keeping;
  const body = new URLSearchParams(new FormData(form));
  body.set("press", "save");
  try {
    const answer = await fetch(form.action, { method: "POST", body, headers: { Accept: "application/json" }, keepalive: leaving === true && body.toString().length < 60_000 });
    if (answer.status === 409) return stop(words.elsewhere);
    if (!answer.ok) throw new Error(String(answer.status));
    kept(await answer.json());
  } catch {
    unkept = true;
    say(words.unkept);
    wait(AGAIN_MS);
  } finally {
    sending = false;
    if (unkept && loud.hidden) wait(AFTER_MS);
  }
}

function kept(answer) {
  field("revision").value = String(answer.revision);
  const now = new Date();
  const clock = `${String(now.getHours()).padStart(2, "0")}:${String(now.getMinutes()).padStart(2, "0")}`;
  state.textContent = `${answer.n} ${words.kept} ${clock}`;
  loud.hidden = true;
  if (!unkept) forget();
  for (const [at, row] of rows().entries()) {
    const shown = row.querySelector(".understood");
    const told = answer.understood[String(at + 1)];
    shown.hidden = !told;
    shown.textContent = told ? told.words : "";
    shown.classList.toggle("asked", Boolean(told && told.asked));
  }
  for (const row of [...rows(), grid.querySelector("tr.sums")]) {
    const told = row.nextElementSibling;
    told.hidden = true;
    told.firstElementChild.replaceChildren();
    const here = cells(row).includes(document.activeElement);
    for (const input of cells(row)) mark(input, here ? "" : answer.problems[input.name] || "", told);
  }
}

function say(text) {
  loud.querySelector("span").textContent = text;
  loud.hidden = false;
  state.textContent = "";
}

function stop(text) {
  elsewhere = true;
  unkept = true;
  say(text);
}

/* A copy in this browser, for when the station can't be reached ------------------------------------------------ */

function typed() {
  return [...form.elements].filter((one) => /^(h|l\d+|s)-/.test(one.name)).map((one) => [one.name, one.type === "checkbox" ? one.checked : one.value]);
}

function store() {
  try {
    localStorage.setItem(copy, JSON.stringify({ revision: field("revision").value, typed: typed() }));
  } catch { /* no room or not allowed: the station keeps it all the same */ }
}

function forget() {
  try {
    localStorage.removeItem(copy);
  } catch { /* as above */ }
}

function restore() {
  let kept = null;
  try {
    kept = JSON.parse(localStorage.getItem(copy));
  } catch { /* nothing that can be read */ }
  if (!kept || kept.revision !== field("revision").value) return forget();
  const most = Math.max(0, ...kept.typed.map(([name, value]) => (value && /^l(\d+)-/.test(name) ? Number(name.slice(1).split("-")[0]) : 0)));
  while (rows().length < most) addLine();
  let changed = false;
  for (const [name, value] of kept.typed) {
    const one = field(name);
    if (!one) continue;
    if (one.type === "checkbox" ? one.checked !== value : one.value !== value) {
      if (one.type === "checkbox") one.checked = value;
      else one.value = value;
      changed = true;
    }
  }
  if (!changed) return forget();
  state.textContent = words.restored;
  unkept = true;
  wait(AFTER_MS);
}

document.querySelector(".keys").hidden = false;
restore();
