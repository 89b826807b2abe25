/** What the station answers, read with care: something else may have answered in its place. */

const ANSWERS = ["stored", "duplicate", "rejected"];

/** Why a contact with the station came to nothing. Everything stays on the phone. */
export class Trouble extends Error {
  /**
   * @param {"contact"|"station"|"token"|"answer"|"refused"|"address"|"phone"} what
   * @param {string} words
   * @param {boolean} loud whether somebody has to do something
   */
  constructor(what, words, loud) {
    super(words);
    Object.assign(this, { name: "Trouble", what, loud });
  }
}

const strange = () =>
  new Trouble("answer", "Something answered that is not the station, perhaps a network's sign-in page.", true);

const isText = (value) => typeof value === "string";

/**
 * @param {Response} response
 * @returns {Promise<any>} its JSON
 * @throws {Trouble} where it has none
 */
export async function json(response) {
  try {
    return await response.json();
  } catch (error) {
    throw error.name === "SyntaxError" ? strange() : error;
  }
}

/**
 * A SyncAnswer, looked at.
 * @param {any} said
 * @param {import("./entry.js").Entry[]} sent
 * @returns {{verdicts: {hash: string, answer: string, why: string|null}[], entries: object[], cursor: string,
 *   more: boolean, server_time: string, kit_digest: string|null}}
 */
export function readAnswer(said, sent) {
  const lists = said && Array.isArray(said.answers) && Array.isArray(said.entries);
  if (!lists || !isText(said.cursor) || Number.isNaN(Date.parse(said.server_time))) throw strange();
  const byId = new Map(sent.map((entry) => [entry.id, entry.hash]));
  const verdicts = said.answers
    .filter((one) => one && byId.has(one.id) && ANSWERS.includes(one.answer))
    .map(({ id, answer, why }) => ({ hash: byId.get(id), answer, why: isText(why) ? why : null }));
  const kitDigest = isText(said.kit_digest) ? said.kit_digest : null;
  return { ...said, verdicts, more: said.more === true, kit_digest: kitDigest };
}

/**
 * What the station said when it refused a request as a whole.
 * @param {Response} response
 * @returns {Promise<string>}
 */
export async function refusal(response) {
  try {
    const { problems } = await response.json();
    return problems.map((problem) => problem.message).join(" ");
  } catch (error) {
    return `it answered ${response.status}`;
  }
}

/**
 * @param {number} status of an answer that helps no further
 * @returns {Trouble}
 */
export function troubleOf(status) {
  if (status === 401 || status === 403) {
    const words = "The station no longer knows this phone. Nothing is lost: enrol it anew, or save a copy.";
    return new Trouble("token", words, true);
  }
  if (status >= 500 || status === 429 || status === 408) {
    return new Trouble("station", `The station answered ${status}; it is asked again.`, false);
  }
  return new Trouble("address", `There is no station at this address (it answered ${status}).`, true);
}
