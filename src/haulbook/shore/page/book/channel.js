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
