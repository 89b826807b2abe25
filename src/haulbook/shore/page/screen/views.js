/**
 * Which part of the screen is shown. The tally lies at the bottom and is covered by a notice or a question that waits;
 * panels lie on top and go with the phone's own back key.
 *
 * A panel is {node, title?, head: "full"|"fold"|"none", foot?: boolean, kind?: string, update?(what), close?()}.
 */

import { mark } from "./dom.js";

export class Views {
  /**
   * @param {{main: Element, root: Element}} where
   * @param {function(): Object} base gives the panel at the bottom
   */
  constructor({ main, root }, base) {
    Object.assign(this, { main, root, base, panels: [], shown: null, armed: false });
    root.addEventListener("keydown", ({ key }) => key === "Escape" && this.back());
    window.addEventListener("popstate", () => {
      this.armed = false;
      this.cut(this.panels.length - 1);
      this.arm();
    });
  }

  /** One step in the browser's history stands for all panels: the phone's back key takes the top one away. */
  arm() {
    if (this.armed || !this.panels.length) return;
    history.pushState({ panels: true }, "");
    this.armed = true;
  }

  /** Put a panel on top. */
  show(panel) {
    panel.opener = document.activeElement;
    this.panels.push(panel);
    this.arm();
    this.paint();
  }

  /** Put a panel in the place of the one on top. */
  replace(panel) {
    this.panels.pop()?.close?.();
    this.show(panel);
  }

  /** Take the top panel away. */
  back() {
    this.cut(this.panels.length - 1);
  }

  /** Back to the tally. */
  home() {
    this.cut(0);
    this.paint();
  }

  cut(depth) {
    if (depth < 0 || depth >= this.panels.length) return;
    const [first, ...others] = this.panels.splice(depth);
    for (const panel of [first, ...others]) panel.close?.();
    this.paint();
    // Back to where the panel was opened, unless that would bring the keyboard up again.
    if (first.opener?.isConnected && !first.opener.matches("input")) first.opener.focus({ preventScroll: true });
  }

  get top() {
    return this.panels[this.panels.length - 1] ?? this.base();
  }

  /** Show what is on top, if it is not shown already. */
  paint() {
    const panel = this.top;
    if (panel === this.shown) return panel.update?.("shown");
    if (this.shown) this.shown.scroll = [this.main.scrollTop, window.scrollY];
    this.shown = panel;
    mark(this.root, "data-head", panel.head);
    mark(this.root, "data-foot", panel.foot ? "yes" : null);
    this.root.className =
      this.root.className.replace(/ ?noticed\S*/g, "") + (panel.kind ? ` noticed noticed-${panel.kind}` : "");
    this.main.replaceChildren(panel.node);
    panel.update?.("shown");
    const [inside, page] = panel.scroll ?? [0, 0];
    this.main.scrollTop = inside;
    window.scrollTo(0, page);
    if (!panel.foot) panel.node.querySelector("[data-first]")?.focus({ preventScroll: true });
    return null;
  }

  /** Something changed: the part that is shown looks after itself. */
  update(what) {
    if (this.top !== this.shown) this.paint();
    else this.shown.update?.(what);
  }
}
