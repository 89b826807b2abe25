/** Before the tally: enrolling this phone by a code, taking an outing's kit along, writing without one. */

import { json, troubleOf } from "../book/answers.js";
import { enrolWith, fetchKit } from "../book/fetching.js";
import { ask } from "../book/wire.js";
import { button, el, put, strong } from "./dom.js";
import { bottom, field, heading } from "./forms.js";
import { ageWords } from "./kit_page.js";
import { moreWords, setupWords, storeWords } from "./words.js";

/** The code in the address (#enrol=CODE), taken out of it so that it is not tried twice. */
export function codeInAddress() {
  const found = /^#enrol=([\w-]+)$/.exec(location.hash);
  if (!found) return null;
  history.replaceState(history.state, "", location.pathname + location.search);
  return found[1];
}

export function enrolPanel(app, code = "", next = () => {}) {
  const one = field(setupWords.code, { value: code });
  const said = el("p", { class: "second", role: "status" });

  async function enrol() {
    const text = one.input.value.trim();
    one.off(text ? null : setupWords.needsCode);
    if (!text) return;
    put(said, setupWords.enrolling);
    const device = await enrolWith(app.store, text);
    put(said, setupWords.enrolled(device));
    next();
  }

  const submit = (event) => {
    event?.preventDefault();
    app.contact(enrol(), said);
  };
  const node = el(
    "div",
    { class: "view" },
    heading(setupWords.enrolTitle),
    el("p", { text: setupWords.enrolDo }),
    el(
      "form",
      { on: { submit } },
      one.node,
      said,
      button(setupWords.enrol, () => {}, { type: "submit", class: "filled wide" }),
    ),
  );
  if (code) submit();
  return { node, head: "none" };
}

/** The kits on this phone and those at the station. */
export function kitsPanel(app, open) {
  const { store } = app;
  const said = el("p", { class: "second", role: "status" });
  const [here, there] = [el("div"), el("div")];

  function row(kit, verb, press, filled) {
    return el(
      "li",
      {},
      el(
        "span",
        { class: "words" },
        strong(kit.outing),
        el("div", {
          class: "second quiet",
          text: [kit.site, ageWords(kit.made_at, app.now())].filter(Boolean).join(", "),
        }),
      ),
      el(
        "span",
        { class: "acts" },
        button(verb, press, { class: filled ? "filled" : "", "aria-label": `${kit.outing}: ${verb}` }),
      ),
    );
  }

  async function showHere() {
    const kits = (await store.kits()).sort((a, b) => (a.outing < b.outing ? 1 : -1));
    put(
      here,
      kits.length > 0 && el("h3", { text: setupWords.kitsHere }),
      el(
        "ul",
        { class: "ruled" },
        kits.map((kit) => row(kit, setupWords.use, () => app.guard(open(kit.outing)), true)),
      ),
      !kits.length && el("p", { class: "empty", text: setupWords.kitsNone }),
    );
  }

  async function look() {
    put(said, setupWords.looking);
    const kits = await ask("kits", { token: store.token }, async (response) => {
      if (!response.ok) throw troubleOf(response.status);
      return json(response);
    });
    put(said);
    const list = Array.isArray(kits) ? kits : [];
    put(
      there,
      el("h3", { text: setupWords.kitsThere }),
      list.length
        ? el(
            "ul",
            { class: "ruled" },
            list.map((kit) => row(kit, setupWords.take, () => app.contact(take(kit.outing), said), false)),
          )
        : el("p", { class: "empty", text: setupWords.kitsNone }),
    );
  }

  async function take(outing) {
    put(said, setupWords.looking);
    await fetchKit(store, { outing });
    put(said);
    return open(outing);
  }

  const node = el(
    "div",
    { class: "view" },
    heading(setupWords.kitsTitle),
    here,
    said,
    there,
    el(
      "div",
      { class: "row" },
      button(setupWords.look, () => app.contact(look(), said)),
    ),
    el("p", { class: "second quiet", text: setupWords.withoutDo }),
    button(setupWords.without, () => app.views.show(plainPanel(app)), { class: "wide" }),
    app.tally.kit && bottom(button(moreWords.back, () => app.views.back())),
  );
  app.guard(showHere());
  if (store.token) app.contact(look(), said);
  return { node, head: "none" };
}

/** Lines as they are called, where there is no kit: kept as remarks, entered at the station. */
function plainPanel(app) {
  const { store } = app;
  const day = new Date(app.now());
  const outing = `${day.getFullYear()}-${String(day.getMonth() + 1).padStart(2, "0")}-${String(day.getDate()).padStart(2, "0")}-${store.device}`;
  const list = el("ul", { class: "lines" });
  const one = field(setupWords.call);

  async function write(event) {
    event.preventDefault();
    const text = one.input.value.trim();
    if (!text) return;
    one.input.value = "";
    await store.use({ outing });
    const [entry] = await store.append([{ kind: "remark", body: { text } }]);
    show(entry);
  }

  function show({ at, body }) {
    list.prepend(
      el(
        "li",
        {},
        el("time", { text: at.slice(11, 16) }),
        el("span", { class: "words said", text: `“${body.text}”` }),
        el("span", { class: "quiet second", text: setupWords.plainSaved }),
      ),
    );
  }

  store.entries(outing).then((entries) => entries.filter(({ kind }) => kind === "remark").forEach(show));
  const node = el(
    "div",
    { class: "view" },
    heading(setupWords.plainTitle),
    el("p", { class: "second", text: setupWords.withoutDo }),
    el(
      "form",
      { on: { submit: (event) => app.guard(write(event)) } },
      one.node,
      button(storeWords.keepLine, () => {}, { type: "submit", class: "filled wide" }),
    ),
    list,
    el(
      "div",
      { class: "row" },
      button(setupWords.kitsTitle, () => app.views.back()),
    ),
  );
  return { node, head: "none" };
}
