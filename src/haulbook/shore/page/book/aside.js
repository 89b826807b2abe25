/**
 * Lines that the database would not take: in memory, and in the browser's small store where there is one, so that
 * a reload does not lose them. Each tab has a corner of its own; a tab that opens finds those of tabs that are gone.
 */

function corners(prefix) {
  try {
    return Object.keys(localStorage).filter((key) => key.startsWith(prefix));
  } catch (error) {
    return [];
  }
}

function found(key) {
  try {
    const drafts = JSON.parse(localStorage.getItem(key));
    return Array.isArray(drafts) ? drafts : [];
  } catch (error) {
    return [];
  }
}

function isGood(draft, check) {
  try {
    return Boolean(check(draft));
  } catch (error) {
    return false; // something else wrote there: it must not hold up what can be stored
  }
}

export class Aside {
  /**
   * @param {string} name of the database they belong to
   * @param {function(object): object} check throws where a draft can't become a line
   */
  constructor(name, check) {
    this.prefix = `${name} unsaved `;
    this.key = `${this.prefix}${Math.random().toString(36).slice(2)}`;
    const drafts = corners(this.prefix).flatMap(found).filter((draft) => isGood(draft, check));
    /** Drafts, oldest first. */
    this.drafts = [...new Map(drafts.map((draft) => [draft.id, draft])).values()];
  }

  /** Hold drafts until they are dropped. */
  hold(drafts) {
    const ids = new Set(this.drafts.map((draft) => draft.id));
    this.drafts = [...this.drafts, ...drafts.filter((draft) => !ids.has(draft.id))];
    this.keep(this.key, this.drafts);
  }

  /** Drop drafts that are stored, or that somebody took back. */
  drop(ids) {
    if (!this.drafts.length) return;
    const gone = new Set(ids);
    this.drafts = this.drafts.filter((draft) => !gone.has(draft.id));
    for (const key of corners(this.prefix)) {
      this.keep(key, found(key).filter((draft) => !gone.has(draft.id)));
    }
  }

  keep(key, drafts) {
    try {
      if (drafts.length) localStorage.setItem(key, JSON.stringify(drafts));
      else localStorage.removeItem(key);
    } catch (error) {
      // then they are in memory only, as the page says
    }
  }
}
