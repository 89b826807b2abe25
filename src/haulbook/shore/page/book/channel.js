/** What tabs of one phone tell each other; nothing where the browser has no channel. */

export class Channel {
  /**
   * @param {string} name
   * @param {function(object): void} listener
   */
  constructor(name, listener) {
    this.channel = typeof BroadcastChannel === "function" ? new BroadcastChannel(name) : null;
    if (this.channel) this.channel.onmessage = (event) => listener(event.data);
  }

  send(news) {
    if (this.channel) this.channel.postMessage(news);
  }

  close() {
    if (this.channel) this.channel.close();
  }
}

/** Run in one tab at a time where the browser has locks; elsewhere two tabs send the same, which does no harm. */
export async function inOneTab(name, run) {
  if (!navigator.locks) return run();
  return navigator.locks.request(name, { ifAvailable: true }, (lock) => (lock ? run() : null));
}
