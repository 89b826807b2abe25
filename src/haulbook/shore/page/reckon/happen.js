/**
 * Lets entries happen, one after the other: the places afterwards, what came out of the sea, what each bucket is
 * for.
 */

import { fateIn, isSink, isTank, SOURCES, stageAndUnit } from "./fates.js";
import { Places } from "./lots.js";
import { ownPlace, placeNamed, placeOf, whatOf, whatOfLine } from "./sides.js";
import { momentOf } from "./time.js";

const FROM = new Set(SOURCES);

/** Lets entries happen, oldest first; plans speak before everything else. */
export function happenAll(standing) {
  const happened = new Happened();
  for (const entry of standing) if (entry.kind === "outing-opened") happened.opened(entry);
  for (const entry of standing) happened.happen(entry);
  return happened;
}

/** The places of outings and station after everything so far happened. */
export class Happened extends Places {
  constructor() {
    super();
    this.purposes = new Map(); // place -> keep, hold, release
    this.offBeach = new Map(); // place -> `at` of the entry that said so
    this.drawn = new Map(); // source -> Map(what -> n)
    this.renamed = []; // {was, now, n}
    this.sourceOf = new Map(); // haul, or id of the entry for born and brought -> source
    this.waters = new Map(); // place -> what was said of its water, and who came and went
    this.counts = []; // counted again: {entry, place, expected}
  }

  /** Fate of animals if their place left the beach now. */
  fateNow(place) {
    return fateIn(place.place, this.purposes.get(place));
  }

  /** Buckets get the purposes of the plan, until somebody says another. */
  opened({ outing, body: { plan } }) {
    for (const bucket of Array.isArray(plan?.buckets) ? plan.buckets : []) {
      if (!bucket || typeof bucket !== "object" || !("place" in bucket)) continue;
      const place = placeNamed(outing, String(bucket.place));
      if ("purpose" in bucket) this.purposes.set(place, String(bucket.purpose));
      const water = this.waterOf(place);
      water.litres = bucket.litres ?? water.litres;
      water.airPerH = bucket.air_per_h ?? water.airPerH;
    }
  }

  /** Lets one entry happen. Everything that stands, oldest first. */
  happen(entry) {
    if (entry.kind === "move") this.move(entry);
    else if (entry.kind === "redetermination") this.redetermination(entry);
    else if (entry.kind === "place") this.place(entry);
    else if (entry.kind === "counted-again") this.countedAgain(entry);
    else if (entry.kind === "reading" && "place" in entry.body) this.waterOf(ownPlace(entry)).readings.push(entry);
  }

  move(entry) {
    for (const line of entry.body.lines) {
      const what = whatOfLine(line);
      const place = placeOf(entry, line.haul, line.to);
      const cutOff = isTank(line.to) || this.offBeach.has(place);
      const step = { entry, line, fate: cutOff ? this.fateNow(place) : null };
      const lots = this.from(entry, line, what);
      for (const lot of lots) {
        lot.tell(line);
        lot.steps = lot.steps.length ? [...lot.steps, step] : [step];
      }
      this.put(place, what, lots);
      this.wentBy(place, entry, line.taxon, what.unit, line.n);
    }
  }

  from(entry, line, what) {
    if (!FROM.has(line.from)) {
      const place = placeOf(entry, line.haul, line.from);
      this.wentBy(place, entry, line.taxon, what.unit, -line.n);
      return this.take(place, what, line.n, line);
    }
    addTo(this.drawn, line.from, what, line.n);
    this.sourceOf.set(what.haul, line.from);
    return [this.lot(line.n, what)];
  }

  /** Animals become another taxon or stage where they are, and so what came out of the sea. */
  redetermination(entry) {
    for (const line of entry.body.lines) {
      const was = whatOf({ ...line, ...line.was });
      const now = whatOf({ ...line, ...line.now });
      const place = placeOf(entry, line.haul, line.place);
      this.renamed.push({ was, now, n: line.n });
      const lots = this.take(place, was, line.n, {});
      for (const lot of lots) lot.steps = [...lot.steps, { entry, line, fate: null }];
      this.put(place, now, lots);
      this.wentBy(place, entry, was.taxon, was.unit, -line.n);
      this.wentBy(place, entry, now.taxon, now.unit, line.n);
    }
  }

  /** A place is set up, changes its purpose, or leaves the beach: the cut-off of what it holds. */
  place(entry) {
    const { body } = entry;
    const place = ownPlace(entry);
    if ("purpose" in body) this.purposes.set(place, body.purpose);
    waterSaid(this.waterOf(place), entry);
    if (body.act === "set-up") this.offBeach.delete(place);
    else if (body.act === "left-beach") {
      this.offBeach.set(place, entry.at);
      const step = { entry, line: null, fate: this.fateNow(place) };
      for (const heap of this.held.get(place)?.values() ?? []) {
        for (const lot of heap.lots) lot.steps = [...lot.steps, step];
        heap.read = null;
      }
    }
  }

  countedAgain(entry) {
    const place = ownPlace(entry);
    const kinds = new Set([...this.held.get(place)?.keys() ?? [], ...this.owed.get(place)?.keys() ?? []]);
    let expected = 0;
    for (const what of kinds) if (isCounted(entry, what)) expected += this.count(place, what);
    this.counts.push({ entry, place, expected });
  }

  waterOf(place) {
    let water = this.waters.get(place);
    if (!water) {
      water = { litres: null, airPerH: null, lid: false, changedAt: null, readings: [], flow: [] };
      this.waters.set(place, water);
    }
    return water;
  }

  /** Who came to a place and went from it, for the oxygen that they used up since. */
  wentBy(place, entry, taxon, unit, n) {
    if (unit !== "individual" || isSink(place.place)) return;
    this.waterOf(place).flow.push({ at: momentOf(entry), taxon, n });
  }

  /** What came out of each source, under the names that the animals have now: [{source, what, n}]. */
  outOf() {
    const out = new Map();
    for (const [source, kinds] of this.drawn) for (const [what, n] of kinds) addTo(out, source, what, n);
    for (const { was, now, n } of this.renamed) {
      const source = was.haul.includes("/") ? "sea" : this.sourceOf.get(was.haul) ?? "brought";
      addTo(out, source, was, -n);
      addTo(out, source, now, n);
    }
    return [...out].flatMap(([source, kinds]) => [...kinds].map(([what, n]) => ({ source, what, n })));
  }
}

function waterSaid(water, entry) {
  const { body } = entry;
  if ("litres" in body) water.litres = body.litres;
  if ("air_per_h" in body) water.airPerH = body.air_per_h;
  if (body.act === "lid") water.lid = true;
  if (body.act === "set-up" || body.act === "water-changed") {
    water.lid = false;
    water.changedAt = momentOf(entry);
  }
}

function addTo(map, source, what, n) {
  if (!map.has(source)) map.set(source, new Map());
  const kinds = map.get(source);
  kinds.set(what, (kinds.get(what) ?? 0) + n);
}

/** Whether somebody who counted again counted these; without a stage they counted all stages. */
export function isCounted(entry, { taxon, stage, unit }) {
  const [saidStage, saidUnit] = stageAndUnit(entry.body);
  return taxon === entry.body.taxon && unit === saidUnit && (saidStage === null || saidStage === stage);
}
