/**
 * Lots: animals about which the same things are known, and the places that hold them.
 *
 * A place gives what a line asks for; where it has too few, it gives the rest on credit and is below zero by as many,
 * until they arrive. So two devices whose clocks disagree tell the same story in either order, and what never arrives
 * stays visible.
 */

/** What a line may tell about animals beyond taxon, stage, unit and haul. */
export const TOLD = ["sex", "origin", "mark", "length_mm", "length_type", "berried"];

/** n animals with one past. */
export class Lot {
  /**
   * @param {number} n
   * @param {object} what of sides.js
   * @param {number} called how-manieth lot of the book it is: order of the calls
   */
  constructor(n, what, called) {
    this.n = n;
    this.what = what;
    this.called = called;
    this.told = {};
    this.steps = []; // what happened to it, oldest first; never changed, only replaced
    this.home = null; // the heap that it lies in
    this.creditors = null; // what a place still owes, if this lot is part of it
    this.past = null; // what past.js read from the steps
  }

  /** Takes n of these apart; they share home and credit with the rest. */
  split(n) {
    const part = new Lot(n, this.what, this.called);
    part.told = { ...this.told };
    part.steps = this.steps;
    part.home = this.home;
    part.creditors = this.creditors;
    this.n -= n;
    if (this.home) this.home.add(part);
    if (this.creditors) this.creditors.push(part);
    return part;
  }

  leave() {
    if (this.home) this.home.take(this);
    this.home = null;
  }

  tell(line) {
    for (const name of TOLD) if (name in line) this.told[name] = line[name];
  }
}

/** The lots of one kind in one place; `read`: what was last read from them, until something changes. */
class Heap {
  constructor() {
    this.lots = [];
    this.read = null;
  }

  add(lot) {
    this.lots.push(lot);
    this.read = null;
  }

  take(lot) {
    remove(this.lots, lot);
    this.read = null;
  }
}

/** Every place with its lots, and what each still owes. */
export class Places {
  constructor() {
    this.held = new Map(); // place -> Map(what -> Heap)
    this.owed = new Map(); // place -> Map(what -> lots)
    this.calls = 0; // lots that came to be
  }

  /** A new lot: out of a source, or taken where nothing had arrived. */
  lot(n, what) {
    this.calls += 1;
    return new Lot(n, what, this.calls);
  }

  /** Lots of n together: those that fit what the line tells, the least known first. */
  take(place, what, n, line) {
    const taken = [];
    const there = this.lotsOf(place, what);
    for (const lot of there.length > 1 ? sortedBy(there, (one) => fit(one, line)) : [...there]) {
      if (!n) break;
      const part = lot.n <= n ? lot : lot.split(n);
      part.leave();
      taken.push(part);
      n -= part.n;
    }
    if (n) {
      const creditors = within(this.owed, place, what, () => []);
      const lot = this.lot(n, what);
      lot.creditors = creditors;
      taken.push(lot);
      creditors.push(lot);
    }
    return taken;
  }

  /** Lots of one kind arrive. What the place owes of it is settled first. */
  put(place, what, lots) {
    const creditors = this.owed.get(place)?.get(what) ?? NONE;
    for (const lot of lots) {
      // It had left here on credit and comes back: there never was such an animal.
      if (lot.creditors === creditors) remove(creditors, lot);
    }
    for (const lot of lots) {
      if (lot.creditors === creditors) continue;
      lot.what = what;
      this.arrive(place, lot, creditors);
    }
  }

  arrive(place, lot, creditors) {
    while (creditors.length) {
      const creditor = creditors[0].n <= lot.n ? creditors[0] : creditors[0].split(lot.n);
      const paying = creditor.n === lot.n ? lot : lot.split(creditor.n);
      remove(creditors, creditor);
      settle(creditor, paying);
      if (paying === lot) return;
    }
    lot.home = within(this.held, place, lot.what, () => new Heap());
    lot.home.add(lot);
  }

  /** Every [place, lot], in the order in which they came to be there. */
  *lots() {
    for (const [place, kinds] of this.held) {
      for (const { lots } of kinds.values()) for (const lot of lots) yield [place, lot];
    }
  }

  lotsOf(place, what) {
    return this.held.get(place)?.get(what)?.lots ?? NONE;
  }

  /** How many a place holds; below zero where more was taken out than was in it. */
  count(place, what) {
    return total(this.lotsOf(place, what)) - total(this.owed.get(place)?.get(what) ?? NONE);
  }

  /** Where more was taken out than had arrived: [{place, what, n}], n above 0. */
  short() {
    const found = [];
    for (const [place, kinds] of this.owed) {
      for (const [what, lots] of kinds) if (lots.length) found.push({ place, what, n: total(lots) });
    }
    return found;
  }
}

const NONE = Object.freeze([]);

/** All animals of some lots. */
export const total = (lots) => lots.reduce((sum, lot) => sum + lot.n, 0);

function within(map, place, what, make) {
  let kinds = map.get(place);
  if (!kinds) map.set(place, kinds = new Map());
  let found = kinds.get(what);
  if (!found) kinds.set(what, found = make());
  return found;
}

function remove(list, item) {
  list.splice(list.indexOf(item), 1);
}

/** Rank of a lot for a line: contradictions last, then fewest things to learn, then fewest things known. */
function fit(lot, line) {
  let [against, toLearn] = [0, 0];
  for (const name of TOLD) {
    if (!(name in line)) continue;
    if (!(name in lot.told)) toLearn += 1;
    else if (lot.told[name] !== line[name]) against += 1;
  }
  return (against * 10 + toLearn) * 10 + Object.keys(lot.told).length;
}

function sortedBy(lots, rank) {
  return lots.map((lot) => [rank(lot), lot]).sort((one, other) => one[0] - other[0]).map(([, lot]) => lot);
}

/** What was taken on credit gets the past of what arrived for it. */
function settle(creditor, paying) {
  creditor.creditors = paying.creditors;
  if (paying.creditors) paying.creditors[paying.creditors.indexOf(paying)] = creditor;
  creditor.called = paying.called;
  creditor.steps = [...paying.steps, ...creditor.steps];
  creditor.told = { ...paying.told, ...creditor.told };
  if (creditor.home) creditor.home.read = null;
}
