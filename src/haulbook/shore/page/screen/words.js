/** Every word that haulbook itself says on this page, in one place, so that it can be said in another language. */

export const many = (n, one, more = `${one}s`) => `${n} ${n === 1 ? one : more}`;
export const listed = (words, last = "and") =>
  words.length < 2 ? words.join("") : `${words.slice(0, -1).join(", ")} ${last} ${words[words.length - 1]}`;
export const number = (n) => String(n).replace(/\B(?=(\d{3})+$)/g, ",");

/** "6 min 12 s", "1 h 05 min", "2 days"; ms. */
export function span(ms, seconds = false) {
  const s = Math.max(0, Math.floor(ms / 1000));
  if (s < 3600) return seconds ? `${Math.floor(s / 60)} min ${s % 60} s` : `${Math.floor(s / 60)} min`;
  if (s < 48 * 3600) return `${Math.floor(s / 3600)} h ${String(Math.floor((s % 3600) / 60)).padStart(2, "0")} min`;
  return `${Math.floor(s / 86400)} days`;
}

export const tideWords = {
  turn: (kind, at, minutes) => minutes > 90 ? `${kind} ${at}` : minutes > 0 ? `${kind} ${at}, turns in ${minutes} min` : `${kind} ${at}, turning now`,
  turnShort: (kind, minutes) => (minutes > 0 ? `${kind} in ${minutes} min` : `${kind} now`),
  turned: (kind, at) => (kind === "low" ? `The tide turned at ${at}: the water rises` : `The tide turned at ${at}: the water falls`),
  soon: (kind, at) => `The tide turns soon: ${kind} ${at}`,
  windowEnds: (at, minutes) => `tide out of the working depth at ${at}, in ${minutes} min`,
  windowOver: (at) => `tide out of the working depth since ${at}`, seen: "Seen",
};

export const haulWords = {
  before: (n) => `Before haul ${n}`, on: (n) => `Haul ${n}`, ended: (n) => `Haul ${n} ended`, closed: "Outing closed",
  inWater: (at) => `in the water since ${at}. Leadline on the bottom, slow and steady`, landed: (at) => `landed ${at}`,
  endedAt: (at, n) => `${at}, ${many(n, "animal")}`, start: (n) => `Start haul ${n}`, land: "Landed", end: "End haul",
  sort: "Sort", notNoted: (n) => `Haul ${n}: how it went is not noted`, note: "Note it", startTitle: (n) => `Start haul ${n}`,
  howSet: "How is the net set?", whichNet: "Which net?",
  sameNext: "The next hauls start with one press, set the same way. More, Net and set changes it.",
  inTheWater: "Net is in the water", keepSet: "Keep it so", landTitle: (n, at) => `Haul ${n} landed ${at}`,
  how: "How did it go?", whatHappened: "What happened", depth: "Water at the outer edge, m", measured: "Measured",
  assumed: "Assumed", same: (n, value) => `As haul ${n}: ${value} m`, noteLanding: "Note the landing", later: "Tally first",
  needsHow: "Say how the haul went: press one of the six.",
  needsNumber: (what) => `${what} reads as no number above 0. Type metres, as 6.2, or leave it empty.`,
  readTitle: (n) => `Read haul ${n} back`, readSub: "Aloud, to the caller. Numbers first.",
  nothing: "Nothing was called from this haul. A haul with nothing in it is a result.", looked: "Looked for",
  notCalled: "not called", none: "None: we looked", noneNoted: "0, searched and none", endNow: (n) => `End haul ${n}`,
  goOn: "Go on calling", total: "In all", openNames: "Names still open",
};
export const conditionWords = {
  1: ["good", "leadline down, corkline up, path held"], 2: ["minor fault", "brief lift, small snag"],
  3: ["poor", "leadline lifted or rolled, stopped"], 4: ["failed", "torn, blown, catch lost"],
  5: ["no measure", "area unknown, a showing"], 9: ["not known", "nobody saw"],
};
export const setWords = {
  straight: "Two poles walked, straight", quarter: "One pole held, the other swung", semicircle: "Round, as a half circle",
  segment: "Round, landing points measured", half_ellipse: "Round, landing points and reach measured",
  trapezoid: "Parallel set, hauled by lines", rectangle_half_disc: "Straight with a rounded head",
};
export const setNeeds = {
  straight: ["w", "d"], quarter: ["L"], semicircle: ["L"], segment: ["L", "c"], half_ellipse: ["c", "b"],
  trapezoid: ["w", "c", "D"], rectangle_half_disc: ["w", "b"],
};
export const measureWords = {
  w: "Width between the wing ends", d: "Distance hauled", L: "Net in the water", c: "Along shore between the landing points",
  b: "Greatest reach from shore", D: "Offset from the water line",
};

export const placeWords = {
  net: "net", back: "back", "back-in-net": "left in the net", "dead-back": "dead, put back", "dead-kept": "dead, kept",
  "killed-kept": "killed, taken along", "killed-back": "killed, left here", escaped: "got away before landing",
  given: "given away", lost: "lost", keep: "keep", hold: "sort", release: "release", into: (place) => `into ${place}`,
  outOf: (place) => `out of ${place}`, inNet: "in the net, not placed",
  title: (place, purpose) => (purpose ? `${capital(place)}, ${purpose}` : capital(place)),
};
export const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

export const fateWords = {
  each: "Each tap", back: "Back", kept: "Kept", dead: "Dead", putBack: "put back", askKeeper: "ask the keeper",
  title: "Where does each tap go?", holds: "It stays so until you change it.",
};

export const tileWords = {
  other: "Another animal", one: (name, n, where) => `${name}, ${n}. One more, ${where}`,
  left: (n) => (n > 0 ? `${n} may be kept` : "none may be kept"), more: (name) => `How many ${name}?`,
  hold: "Hold a tile for more than one.",
};

export const callWords = {
  placeholder: "Say or type a call", label: "A call", enter: "Enter", understands: "Understood so far: ",
  asks: (said) => `asks about “${said}”`, nothing: "Nothing in it to enter", undo: "strikes the line before",
  amend: (said) => `changes the line before: ${said}`, strike: "Strike", struck: (at) => `struck ${at}`,
  first: "What is called stands here. Say a number, a name, and what becomes of it: six cunner, two kept.",
  nothingBefore: "There is no line before this one to change.", zero: (name) => `no ${name}: searched and none`,
  present: (name) => `${name} seen, not counted`, doubt: { name: "name not sure", count: "number not sure" }, lines: "Lines", theLast: "the last call",
};

export const leftWords = {
  periods: { haul: "this haul", outing: "this outing", day: "today", calendar_year: "this year", permit_year: "this year", permit_life: "on this permit" },
  more: (n) => `${number(n)} more`, none: "None left", over: (n) => `${number(n)} over`,
  clause: (period, id) => `${period} (${id})`, worst: (n) => `${number(n)} if every doubt counts`,
  noClause: "No clause lets you keep it: it goes back", askKeeper: (device) => `Ask the keeper (${device}) before it is kept`,
};

export const bucketWords = {
  oxygen: "min oxygen", jobs: { keep: "keep", hold: "sort", release: "back" },
  range: (low, high, long) => (low === null ? `${long}+` : high === null ? `${low}+` : low === high ? `${low}` : `${low}–${high}`),
  empty: "empty", air: (place, at) => `${capital(place)}: air, or empty it, by ${at}`,
  now: (place) => `${capital(place)}: air or new water now`, brief: (number, range, at) => `${number}: ${range}, air by ${at}`,
  net: "net", notPlaced: "not placed", more: (n) => `${n} more`, ofOxygen: (range) => `${range} min of oxygen`,
};

export const askWords = {
  entered: "Entered:", which: "Which one?", or: (names) => `${capital(listed(names, "or"))}?`, cannot: "Cannot tell",
  held: (name) => `Held as ${name}.`, protectedHeld: (name) => `Held as ${name}, handled as protected.`,
  another: "Another name", later: "Ask me later", leave: "Not an animal: leave it out", again: "Call it again",
  count: (name) => `How many ${name}?`, seen: "Seen, not counted", fate: (what) => `What becomes of ${what}?`,
  place: (what) => `Where do ${what} go?`, stage: (what) => `What stage are ${what}?`, length: "How long is it, mm?",
  noLength: "Leave the length out", zero: (name) => `Looked for ${name}, and none there?`, yesNone: "Yes: searched and none",
  noZero: "No: not looked for", words: "Not understood",
  againSub: "Say the rest again as back, kept or dead; for anything else press Each tap, then the tile.",
  wordsSub: "What was sure is entered. Say the rest again, or leave it out.", keptTitle: "More than may be kept",
  noKeep: "May it be kept?", keepRoom: (n) => (n ? `${n} of these may be kept.` : "none of these may be kept."),
  noClause: "no clause of the permit lets you keep it.", keepSome: (n, rest) => `${n} kept, ${rest} back`,
  keepNone: (n) => (n > 1 ? "All back" : "Back"), keepAll: "Kept all the same", noHaul: "Which haul is it from?",
  noHaulSub: "No haul is on.", startNow: (n) => `Start haul ${n} now`, leaveOut: "Leave it out",
  ofHaul: (n) => `Haul ${n}, which has ended`, looks: "Look:", notHere: "More than this phone knows of",
  notHereSub: (place, name, n) => `${capital(place)} holds ${n} ${name} by what this phone knows. Another phone may know more.`,
  writeIt: "Write it", goBack: "Return", laterTitle: "Asked for later", protectedFirst: "Protected: release first",
  stages: { larva: "larva", young: "young", adult: "adult", "egg mass": "egg mass" },
};

export const noticeWords = {
  protected: "Protected", invasive: "Invasive", introduced: "Introduced", hazardous: "Hazardous", letGo: "Let it go now",
  readFirst: "Read the clause before it is kept", notBack: "Do not put it back yet",
  haulLanded: (n, at) => (at ? `haul ${n}, landed ${at}` : `haul ${n}`), swam: "It swam off alive",
  swamMany: "They swam off alive", dead: "Found dead", another: "Another name", killed: "Killed, taken along",
  allowed: "Put back: the permit allows it", gotAway: "It got away", gotAwayCause: "got away", permit: "Permit",
  tellOf: "Somebody has to be told", asCalled: (where) => `As called: ${where}`, understood: "Understood",
  tell: (whom) => `to tell ${whom}`, by: (at, day, from) => `by ${at} on ${day}: the clock runs from ${from}`,
  written: (day) => `in writing by ${day}`, landing: "the landing", event: "the find", over: "The time is over: tell them now",
  clause: (permit, id) => `${permit}, clause ${id}`, permitDecides: "The permit and local rules decide whether it goes back.",
  release: "Release it first, in the water, before the count goes on.",
};

export const closeWords = {
  title: (at) => `Sorting, ${at}`, empty: "Empty every bucket", allEmpty: "Every place is empty", toCooler: "To cooler",
  allBack: "All back", restBack: "Rest back", intoTank: "Into a tank", tank: "Which tank? Its key, as q1",
  leaves: "Leaves the beach", left: (at) => `left the beach ${at}`, out: (n) => `Out of the sea, ${many(n, "haul")}`,
  accounted: "Accounted for", difference: "Difference", notFound: (what) => `Difference: ${what} not found`,
  notFoundIn: (name) => `Not found: ${name}`, inTanks: "in tanks", inside: "still in net and buckets",
  settleHow: "Strike the line that is wrong, in the list; or say that both are right.", toList: "To the lines",
  bothStand: "Both are right", mayWait: "May wait for sign-off:", close: "Close outing",
  open: (n) => `${many(n, "thing")} ${n === 1 ? "stands" : "stand"} open`,
  closedAt: (at) => `Closed ${at}. Lines can still be entered; the lead signs at the station.`,
  strikeClose: "Strike the closing", haulOpen: (n) => `Haul ${n} has not ended`,
  landingOpen: (n) => `Haul ${n}: how it went is not noted`, asked: (what) => `Asked for later: “${what}”`, settle: "Settle",
  endIt: "End it", answer: "Answer", namesOpen: (n) => `${many(n, "animal")} without a name yet`,
  told: (whom, what, at) => `tell ${whom} of ${what}, by ${at}`, lostN: (n) => `${n} lost`, cause: "How were they lost?",
  causes: ["jumped out", "miscounted", "eaten in the bucket", "slipped through the mesh"],
};

export const sortWords = {
  holds: (n) => many(n, "animal"), empty: "Nothing is in it.", move: "Move", back: "Back", howMany: "How many?",
  whereTo: "Where to?", tells: "What else is known", sex: { female: "Female", male: "Male" }, berried: "Berried",
  water: "New water", air: "Air on", lid: "Lid on", reading: "Reading", purpose: "What it is for",
  emptyInto: (place) => `Empty ${place}`, recount: "Count again",
  recountTitle: (name, place) => `How many ${name} are in ${place}?`, keepFor: "Keep", holdFor: "Sort", releaseFor: "Release",
  airRate: "Changes of air an hour, if known", waterTitle: "Water and air", thermometer: "thermometer",
  needsWhole: "Type how many, from 1 on.",
  needsNumber: "That reads as no number. Type it with a point, as 12.4, or leave it empty.",
  needsTank: "Type the tank’s key: letters and numbers, as q1.", leave: (place) => `${capital(place)} leaves the beach`,
  leaveSub: "What is in it now is what became of them on this outing.", leaveNow: "It leaves now", temperature: "Water, °C",
  arrivalSub: "Everything in it goes into one tank, now.",
};

export const readingWords = {
  title: "Reading", where: "Read in", haulWater: "the water at the haul", instrument: "Instrument, as its key",
  temperature_c: "Temperature, °C", salinity: "Salinity", oxygen_mg_l: "Oxygen, mg/L",
  oxygen_percent: "Oxygen, % of saturation", ph: "pH", scale: "Scale of the pH meter", nbs: "Ordinary buffers (NBS)",
  total: "Tris or dye (total)", tan_mg_n_l: "Total ammonia, mg N/L", note: "Note the reading",
  needsOne: "Type at least one value.", needsInstrument: "Say with which instrument it was read.",
  needsNumber: (what) => `${what} reads as no number. Type it with a point, as 17.4.`,
  needsScale: "Say on which scale the pH was read.",
};

export const lengthWords = {
  title: "Measure lengths", pick: "Tap a name, type lengths in mm, press Enter.", type: "Measured as",
  types: { total: "total", fork: "fork", standard: "standard", "carapace width": "carapace width", "carapace length": "carapace length", "shell height": "shell height", "bell diameter": "bell diameter", body: "body" },
  placeholder: "mm", enter: "Enter", clipped: "Fin clipped", tissue: "Tissue taken", done: "Done measuring",
  needs: "Lengths are numbers of millimetres, as 45 or 45 52 61.", measured: (n) => `${n} measured`,
  strikeLast: "Strike the last", enough: "Thirty of a kind are usually enough (common practice).",
};

export const scoopWords = {
  title: "Count by scoops",
  first: "First take out and call what is dead, kept or protected. Then stir, and count whole scoops.", all: "Scoops in all",
  counted: (n) => `In scoop ${n}`, another: "Another name", addScoop: "Another scoop",
  estimate: (n, se) => (se === null ? `${n}, no error from one scoop` : `${n}, standard error ${se}`),
  enter: "Enter the estimate", where: "They go", needsAll: "Say how many scoops there were in all, counted ones included.",
  needsHaul: "Start a haul first.", needsCount: "Type what the counted scoops held; 0 where there were none.",
  notDetected: "A name that was in none of the scoops is not entered: not found there is not none.",
};

export const keyWords = {
  title: "Which one is it?", start: "Keep it in the water. Press what you see.", cannotSee: "Can’t see it",
  again: "Start again", likely: "Likely", enterAs: (name) => `Enter as ${name}`, done: "Nothing more to look at from here.",
  cards: "Side by side", cardsTitle: "Tell them apart", pickTwo: "Press two to five names, then Side by side.",
  nothingParts: (names) => `No look on the beach tells ${names} apart. Leave it at the group.`, notKnown: "not known",
  enter: "Enter", lastBack: "One look back", maybe: (name) => `may be ${name}`,
  orElse: (name) => `Or ${name}, which only its body tells.`,
  percent: (p) => (p > 0.995 ? "over 99 %" : `${Math.round(p * 100)} %`),
};

export const pickWords = {
  title: "Name it", label: "Part of the name", none: "No such name in the kit. Enter it as written, and name it later.",
  asWritten: (text) => `Enter “${text}” as written`,
};

export const listWords = {
  title: "All lines", here: "Lines of this outing, the newest first.", strikeThis: "Strike this",
  none: "No line yet. What is called will stand here.", by: (person, device) => `${person}, ${device}`,
  inTheWay: "It can’t be struck yet:", haul: (n) => `Haul ${n}`,
  acts: { "set-up": "set up", "water-changed": "new water", air: "air on", lid: "lid on", purpose: "is to", "left-beach": "left the beach" },
  kinds: { "outing-opened": "outing opened", "outing-closed": "outing closed", "haul-started": "net in the water", "haul-landed": "net on the beach", "haul-ended": "haul ended", strike: "struck", lengths: "measured", present: "seen, not counted", "searched-and-none": "searched and none", place: "place", reading: "reading", "counted-again": "counted again", redetermination: "named anew", settled: "settled", remark: "remark", picture: "picture", care: "care", paper: "paper", "outing-signed": "signed" },
};

export const photoWords = {
  take: "Photo", of: (what) => `Photo of ${what}`, ofUnknown: "Photo of a line that is not here yet",
  photos: (n) => many(n, "photo"), keeping: "photo being kept…",
  kept: "Photo kept, without place and device data. It goes to the station after the lines.",
  unread: "This file could not be read as a picture. The line stands; take the photo again.",
};

export const storeWords = {
  onlyHere: "only on this phone", lines: (n) => many(n, "line"),
  waits: (lines, photos) => listed([(lines || !photos) && many(lines, "line"), photos && many(photos, "photo")].filter(Boolean)), oldest: (age) => `, oldest ${age}`,
  storing: (n) => `${many(n, "line")} being stored`, none: "No line waits on this phone",
  allSent: (at) => `Every line is at the station, ${at}`, row: (n, words) => `Row ${n}: ${words}.`,
  rejected: (n) => `${many(n, "line")} the station would not take`,
  loud: (lines, photos) => `${storeWords.waits(lines, photos)} ${lines + photos === 1 ? "is" : "are"} not stored.`,
  loudDo: (lines) => `Do not close this page. ${lines ? "Write the lines on paper, free" : "Free"} some space, press Store again.`, again: "Store again",
  more: "More", title: "What is only on this phone", save: "Save a copy",
  saveSub: "A file with every line. Send or keep it elsewhere. Photos are not in it: they go to the station from here, after the lines.",
  saveThese: "Save these as a file", photosSub: "Photos are drawn anew, small, without the place and device that the camera wrote into them.", photosWait: (why) => `Photos wait and are tried again: ${why}`, photoFile: (n) => `photo ${n}.jpg`, bring: "Bring in a copy",
  bringSub: "Reads such a file. Lines that are here already change nothing.",
  brought: (n) => (n ? `${many(n, "line")} brought in.` : "All lines of it were here already."),
  persisted: "This phone has promised not to clear what the page stores.",
  notPersisted: "This phone may clear what the page stores when space runs out. Send the lines, or save a copy, before the day is over.",
  notAsked: "This browser can’t promise to keep what the page stores. Save a copy before you leave the page.",
  keepLine: "Keep this line", sendNow: "Send now", lastOk: (at) => `Last reached the station ${at}.`,
  never: "Has not reached the station yet.", why: "why", sendAgain: "Send again",
};

export const setupWords = {
  enrolTitle: "This phone is not enrolled yet",
  enrolDo: "At the station, open Devices and make a code. Scan it with this phone’s camera, or type it here. A code works once.",
  enrolAnew: "Enrol it anew", code: "Code", enrol: "Enrol this phone", enrolling: "Asking the station…",
  enrolled: (device) => `This phone is ${device}.`,
  noContact: "The station does not answer. Go where there is a signal, or to the station’s own network, and press again.",
  needsCode: "Type the code first.", kitsTitle: "Which outing?",
  kitsNone: "No kit yet. A kit holds names, permit, tide and buckets of one outing. Make it at the station (haulbook kit, or the outing’s page), then press Look again while there is a signal.",
  kitsHere: "On this phone", kitsThere: "At the station", look: "Look again", take: "Take it along", use: "Open",
  made: (age) => `made ${age} ago`, ahead: "made ahead of this clock: set the clock", without: "Write without a kit",
  withoutDo: "Lines are kept as they are called and entered at the station. No names are understood, no limits are counted.",
  plainTitle: "Writing without a kit", plainSaved: "kept as written", opening: "Opening the book…",
  newer: "A newer kit was taken in.", whoTitle: "Who writes?", role: (role, key) => `${role} (${key})`,
  failed: "The page could not open",
  failedDo: "Nothing that was stored is lost. Close the page and open it again; if that does not help, use another browser or the printed tally sheet.",
  call: "What is called", looking: "Asking the station…",
};

export const moreWords = {
  title: "More", sort: "Sort and close", lines: "All lines, strike older ones", lengths: "Measure lengths",
  scoops: "Count by scoops", which: "Which one is it?", reading: "Reading", kit: "Permit and kit", who: "Who writes",
  look: "Light and dark", store: "What is only on this phone", remark: "Remark", outing: "Another outing", set: "Net and set",
  later: "Asked for later", back: "Return",
};

export const kitWords = {
  title: "Permit and kit", age: (when, age) => `This kit is of ${when}, ${age}.`, left: "What may still be taken",
  conditions: "What else the permit asks", cautions: "Cautions", stops: "Stops", settle: "For the lead to settle",
  takeNewer: "Take a newer kit", newer: "The station has a newer kit.", upToDate: "This is the newest kit.",
  noLimit: "no number", keeper: (device) => `${device} says what may be kept.`, yours: "This phone says what may be kept.",
  words: "The permit’s own words win.",
};

export const lookWords = {
  title: "Light and dark", auto: "As the phone", paper: "Paper", dawn: "Dawn", sun: "Bright sun",
  sub: "Bright sun: black on white, heavy lines.",
};

export const lifeWords = {
  second: "This page is open a second time on this phone. Both write the same book; close one.",
  plain: "This page has no lock (plain http): it stays only while it is open. Do not close or reload it out of reach of the station.",
  updated: "A newer page is ready. It comes with the next opening.", seen: "Seen",
  clockOff: (minutes) => `The clock of this phone is ${Math.abs(minutes)} min ${minutes > 0 ? "ahead of" : "behind"} the station’s. Set it.`,
  asleep: "The screen may go dark by itself here.",
};

export const remarkWords = { title: "Remark", label: "What should be remembered", save: "Write it", needs: "Type the remark first." };
export const padWords = { clear: "Clear", enter: (n) => `Enter ${n}`, none: "Enter", needs: "Press a number" };
