/**
 * Calls and taps: what is certain is written at once, the rest is put back as questions. Open questions and notices
 * outlive a reload.
 */

import { understand } from "../calls/understand.js";
import { amended, calledLine, entriesOf } from "./drafts.js";

export class Calls {
  /** @param {import("./tally.js").Tally} tally */
  constructor(tally) {
    this.tally = tally;
    this.questions = []; // {id, about, said, text, choices, line, haul, at, later}
    this.open = []; // notices not answered yet: {id, entry, line, notice}
    this.last = null; // {ids, text, lines, zeros, at, struckAt, waits}
    tally.listen((what) => what === "state" && this.settle());
  }

  /** Take up where the phone was left. */
  takeUp({ questions, notices }) {
    const { tally } = this;
    Object.assign(this, { questions: questions ?? [], open: notices ?? [], last: null });
    const mine = tally.state.calls.filter(
      ({ entry, struckBy }) => !struckBy && entry.device === tally.store.device && isCall(entry),
    );
    const call = mine[mine.length - 1];
    if (call) this.last = lastOf([call.entry], call.text, call.at);
  }

  get question() {
    return this.questions.find(({ later }) => !later) ?? null;
  }

  get later() {
    return this.questions.filter(({ later }) => later);
  }

  /** What a text would be understood as, without writing anything. */
  understand(text) {
    return understand(text, this.tally.vocabulary);
  }

  /**
   * Take a call that was said or typed.
   * @param {string} text
   * @param {{haul?: string, at?: string}} [from] a haul that has been asked for, and when it was called
   */
  async call(text, { haul, at } = {}) {
    const said = this.understand(text);
    const called = at ?? this.tally.instant();
    const key = haul ?? this.tally.on?.haul;
    if ((said.lines.length || said.asks.some(({ line }) => line)) && !key) {
      return this.ask([{ about: "haul", text, said: text, at: called }]);
    }
    for (const command of said.commands) await this.command(command);
    const uncounted = said.lines.filter(isUncounted);
    const counted = said.lines.filter((line) => !isUncounted(line));
    const asks = [
      ...said.asks,
      ...uncounted.map((line) => ({ about: "count", said: this.tally.nameOf(line.taxon), choices: [], line })),
    ];
    if (!counted.length && !asks.length && !said.commands.length) return this.tally.tell("nothing");
    const writing = counted.length ? this.enter(counted, { text, haul: key, at: called }) : null;
    if (asks.length) this.ask(asks.map((ask) => ({ ...ask, text, haul: key, at: called })));
    return writing;
  }

  /** One press on a tile: `n` animals, to where each tap goes. */
  async tap(taxon, stage, n = 1) {
    const { on, fate } = this.tally;
    const line = { taxon, n, from: "sea", to: fate.to, ...(stage && { stage }) };
    const at = this.tally.instant();
    if (!on) return this.ask([{ about: "haul", lines: [line], said: `${n} ${this.tally.nameOf(taxon)}`, at }]);
    return this.write([{ ...line, haul: on.haul }], [], { haul: on.haul, at });
  }

  /** Called lines, complete. */
  async enter(lines, { text, haul, at }) {
    const { tally } = this;
    const moves = lines
      .filter((line) => line.count > 0)
      .map((line) => calledLine(line, { keep: tally.keep, haul, group: tally.taxon(line.taxon)?.group }));
    const zeros = lines.filter((line) => line.zero || line.count === 0).map((line) => line.taxon);
    return this.write(moves, zeros, { text, haul, at });
  }

  /** Write lines of the book; those that would keep more than may be kept are asked about first. */
  async write(moves, zeros, { text, haul, at, sure = false }) {
    const { tally } = this;
    const spent = new Map(); // clause -> animals that earlier lines of the same call take
    const held = sure ? [] : moves.map((line) => this.overKept(line, spent)).filter(Boolean);
    if (held.length) {
      this.ask(held.map((one) => ({ ...one, about: "kept", text, haul, at, said: tally.nameOf(one.move.taxon) })));
    }
    const certain = moves.filter((line) => !held.some(({ move }) => move === line));
    const drafts = entriesOf(certain, zeros, { text, haul, at }).map((draft) => ({
      ...draft,
      id: tally.store.newId(),
    }));
    if (!drafts.length) return null;
    this.last = lastOf(drafts, text, at);
    this.notice(drafts);
    const writing = tally.write(drafts);
    this.last.writing = writing;
    tally.tell("last");
    return writing;
  }

  /** Whether more would be kept than may be: {move, left, allowed, clause}; null where it may. */
  overKept(move, spent) {
    const { tally } = this;
    if (!tally.isKeeper || !tally.isKept(move.to)) return null;
    const { left, allowed, clause } = tally.left(move);
    const sure = allowed === "certainly";
    const used = spent.get(clause) ?? 0;
    const room = left === null ? Infinity : Math.max(0, left - used);
    if (sure && room >= move.n) {
      spent.set(clause, used + move.n);
      return null;
    }
    const said = clause && { permit: clause.permit, id: clause.id, text: clause.text };
    return { move, left: sure ? room : 0, allowed: sure, clause: said };
  }

  /** Something was moved: the last act, which Strike takes back. */
  noted(entries) {
    if (!entries?.length) return;
    this.last = lastOf(entries, null, entries[0].at);
    this.tally.tell("last");
  }

  // Questions

  ask(questions) {
    this.questions = [...this.questions, ...questions.map((one) => ({ id: this.tally.store.newId(), ...one }))];
    return this.keepQuestions();
  }

  keepQuestions() {
    this.tally.tell("questions");
    return this.tally.store.setting(`${this.tally.outing} questions`, this.questions).catch(() => null);
  }

  /** Done with a question, or put off. */
  async drop(question, later = false) {
    this.questions = later
      ? [...this.questions.filter(({ id }) => id !== question.id), { ...question, later: true }]
      : this.questions.filter(({ id }) => id !== question.id);
    await this.keepQuestions();
  }

  /** Take up what was put off. */
  async takeUpLater(question) {
    this.questions = [{ ...question, later: false }, ...this.questions.filter(({ id }) => id !== question.id)];
    await this.keepQuestions();
  }

  /** Complete what was known of the animals; where something is still missing, that is asked next. */
  async answer(question, told) {
    const line = { ...question.line, ...told };
    await this.drop(question);
    const { text, haul, at } = question;
    if (isUncounted(line))
      return this.ask([{ about: "count", said: question.said, choices: [], line, text, haul, at }]);
    return this.enter([line], { text, haul, at });
  }

  /** Write what was decided of animals that were to be kept. */
  async enterKept(question, lines) {
    await this.drop(question);
    const { text, haul, at } = question;
    return this.write(lines, [], { text, haul, at, sure: true });
  }

  // What was written before

  async command(command) {
    if (command === "undo") return this.strikeLast();
    const { last, tally } = this;
    if (!last || last.struckAt || !last.lines.length) return tally.tell("nothing before");
    return this.replace(last, amended(last.lines, command, tally.keep), "corrected");
  }

  /** Enter other lines instead of the last call's. */
  async replace(last, lines, reason) {
    const { tally } = this;
    await last.writing;
    const refused = tally.state.refuseStrike(last.ids, (key) => tally.nameOf(key));
    const [before, after] = [last.lines, lines].map((some) => some[some.length - 1]);
    const grows =
      before.taxon === after.taxon && before.stage === after.stage && before.to === after.to && after.n >= before.n;
    if (refused && !grows) return this.refuse(refused);
    const id = tally.store.newId();
    const move = { id, kind: "move", body: { lines, ...(last.text && { text: last.text }) }, at: last.at };
    this.last = lastOf([move], last.text, last.at);
    this.notice([move]);
    const strike = { kind: "strike", body: { entries: [last.moveId], reason, instead: [id] } };
    this.last.writing = tally.write([move, strike]);
    tally.tell("last");
    return this.last.writing;
  }

  async strikeLast() {
    const { last } = this;
    if (!last || last.struckAt) return this.tally.tell("nothing before");
    await last.writing;
    return this.strike(last.ids);
  }

  /** Strike entries; refused in words where animals went on from there. */
  async strike(ids, reason = "slip") {
    const { tally } = this;
    const unsaved = ids.filter((id) => tally.store.unsaved.some((draft) => draft.id === id));
    if (unsaved.length === ids.length) {
      tally.store.letGo(ids);
      for (const id of ids) tally.pending.delete(id);
    } else {
      const refused = tally.state.refuseStrike(ids, (key) => tally.nameOf(key));
      if (refused) return this.refuse(refused);
      await tally.write([{ kind: "strike", body: { entries: ids, reason } }]);
    }
    if (this.last && this.last.ids.some((id) => ids.includes(id))) this.last.struckAt = tally.now();
    this.open = this.open.filter(({ entry }) => !ids.includes(entry));
    this.keepNotices();
    tally.tell("last");
    return true;
  }

  refuse(words) {
    this.refused = words;
    this.tally.tell("refused");
    return false;
  }

  /** A call that somebody else struck, or this phone in the list, shows as struck. */
  settle() {
    const { last, tally } = this;
    if (last && !last.struckAt && last.ids.every((id) => tally.state.struck.has(id))) {
      last.struckAt = tally.now();
      tally.tell("last");
    }
  }

  // Notices

  /** What fills the screen because of fresh lines: protected once a haul, invasive once an outing, whom to tell at once. */
  notice(drafts) {
    const { tally } = this;
    const fresh = [];
    for (const draft of drafts.filter(({ kind }) => kind === "move")) {
      draft.body.lines.forEach((line, index) => {
        const said = tally.notices(line).filter((one) => covers(one) && !tally.noticed.has(noticeKey(one, line)));
        if (!said.length) return;
        for (const one of said) tally.noticed.add(noticeKey(one, line));
        fresh.push({ id: tally.store.newId(), entry: draft.id, index, line, said: said.map(plain) });
      });
    }
    if (!fresh.length) return;
    this.open = [...this.open, ...fresh];
    this.keepNotices();
    tally.remember("noticed", tally.noticed).catch(() => null);
  }

  keepNotices() {
    this.tally.tell("notices");
    return this.tally.store.setting(`${this.tally.outing} notices`, this.open).catch(() => null);
  }

  /** Answer a notice: the animals go `to` a place, from where they were called to. */
  async heed(notice, to, more = {}) {
    const { tally } = this;
    const { line, entry } = notice;
    this.open = this.open.filter(({ id }) => id !== notice.id);
    await this.keepNotices();
    if (!to || line.to === to) return;
    const [outside, inside] = [!/^(?:net$|bucket |cooler )/.test(line.to), /^(?:net$|bucket |cooler )/.test(line.to)];
    if (inside && to !== "escaped") {
      const { haul_assumed, doubt, basis, subsample, length_mm, length_type, said, ...what } = line;
      await tally.write([{ kind: "move", body: { lines: [{ ...what, from: line.to, to, ...more }] } }]);
    } else if (outside || to === "escaped") {
      await this.instead(entry, notice.index, { to, ...more });
    }
  }

  /** It was another animal: the line is struck and entered under its name, or renamed where it is by now. */
  async rename(notice, taxon) {
    this.open = this.open.filter(({ id }) => id !== notice.id);
    await this.keepNotices();
    return this.instead(notice.entry, notice.index, { taxon });
  }

  /** Enter one line of an entry otherwise: struck, and entered anew. */
  async instead(id, index, told) {
    const { tally } = this;
    const entry = tally.state.entries.find((one) => one.id === id);
    if (!entry) return null;
    const lines = entry.body.lines.map((line, i) => (i === index ? { ...line, ...told } : line));
    const last = lastOf([entry], entry.body.text, entry.at);
    return this.replace(last, lines, told.taxon ? "another name" : "corrected");
  }
}

/** Whether a notice covers the screen: not what only a careful hand needs, nor a limit that is merely full. */
function covers({ kind, to, stop }) {
  return (
    kind === "protected" || kind === "invasive" || Boolean(to) || (Boolean(stop) && stop !== "none" && stop !== "taxon")
  );
}

const noticeKey = ({ key, kind, taxon }, line) => key ?? [kind, taxon, kind === "protected" ? line.haul : ""].join("|");

/** A notice without the clause's lists: what is shown of it. */
function plain({ clause, entries, ...notice }) {
  return { ...notice, clause: clause && { permit: clause.permit, id: clause.id, where: clause.where ?? null } };
}

/** "A few": it is asked how many; seen but not counted is one of the answers. */
const isUncounted = ({ count, zero }) => count === null && !zero;

const isCall = ({ kind, body }) =>
  (kind === "move" && body.lines.some(({ from }) => from === "sea")) ||
  kind === "searched-and-none" ||
  kind === "present";

function lastOf(drafts, text, at) {
  const move = drafts.find(({ kind }) => kind === "move");
  const zero = drafts.find(({ kind }) => kind === "searched-and-none");
  const seen = drafts.find(({ kind }) => kind === "present");
  return {
    ids: drafts.map(({ id }) => id),
    moveId: move?.id ?? null,
    text: text ?? null,
    at,
    struckAt: null,
    writing: null,
    lines: move ? move.body.lines : [],
    zeros: zero ? zero.body.taxa : [],
    present: seen ? [seen.body.taxon] : [],
  };
}
