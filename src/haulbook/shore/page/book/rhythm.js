/** Something that is tried over and over, one at a time: soon again where it worked, later and later where not. */

const FIRST_WAIT_MS = 1000;

export class Rhythm {
  /**
   * @param {function(): Promise<boolean>} run whether it worked; never rejects
   * @param {{everyMs: number, longestMs: number}} waits after one that worked; at most after those that did not
   */
  constructor(run, { everyMs, longestMs }) {
    Object.assign(this, { run, everyMs, longestMs, failures: 0, running: null, stopped: false });
    this.wake = () => document.visibilityState === "visible" && this.after(0);
  }

  start() {
    window.addEventListener("online", this.wake);
    document.addEventListener("visibilitychange", this.wake);
    return this.now();
  }

  stop() {
    this.stopped = true;
    clearTimeout(this.timer);
    window.removeEventListener("online", this.wake);
    document.removeEventListener("visibilitychange", this.wake);
  }

  /** Try once that much later; while it fails, it keeps its own time. */
  soon(ms) {
    if (!this.failures) this.after(ms);
  }

  after(ms) {
    clearTimeout(this.timer);
    if (!this.stopped) this.timer = setTimeout(() => this.now(), ms);
  }

  /** Try now, unless it is being tried. */
  now() {
    if (!this.running) {
      this.running = this.run().then((worked) => {
        this.running = null;
        this.failures = worked ? 0 : this.failures + 1;
        this.after(worked ? this.everyMs : Math.min(this.longestMs, FIRST_WAIT_MS * 2 ** (this.failures - 1)));
      });
    }
    return this.running;
  }
}
