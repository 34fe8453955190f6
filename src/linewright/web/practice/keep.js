/** What the browser keeps: the log, settings, and of a class what is still to be sent. Two tabs do not lose answers. */

import { checked, ordered } from "./log.js";

/** What a progress file says it is. */
const FILE = { linewright: "practice log", version: 1 };

/**
 * @typedef {import("./log.js").Entry} Entry
 * @typedef {{entries: Entry[], unsent: string[], seq: number, settings: {minutes?: number, sound?: boolean}, lesson: any}} Kept
 */

export class Keep {
  /** @param {string} name of the page: each page keeps its own. */
  constructor(name) {
    this.key = `linewright-practice:${name}`;
    this.works = true;
    /** @type {Kept} */
    this.state = { entries: [], unsent: [], seq: 0, settings: {}, lesson: null };
    this.read();
  }

  /** Takes up what another tab may have added. */
  read() {
    let found = null;
    try {
      found = JSON.parse(localStorage.getItem(this.key) ?? "null");
    } catch {
      this.works = this.writable();
    }
    if (!found || !Array.isArray(found.entries)) return;
    const merged = ordered([...found.entries.filter(checked), ...this.state.entries]);
    this.state = { ...this.state, ...found, entries: merged };
  }

  writable() {
    try {
      localStorage.setItem(`${this.key}:try`, "1");
      localStorage.removeItem(`${this.key}:try`);
      return true;
    } catch {
      return false;
    }
  }

  write() {
    try {
      localStorage.setItem(this.key, JSON.stringify(this.state));
      this.works = true;
    } catch {
      this.works = false;
    }
  }

  get entries() {
    return this.state.entries;
  }

  /** Adds entries, each once; returns how many were new. */
  add(entries, own = true) {
    const { seq } = this.state;
    this.read();
    const known = new Set(this.state.entries.map((entry) => entry.id));
    const fresh = entries.filter((entry) => checked(entry) && !known.has(entry.id));
    this.state.entries = ordered([...this.state.entries, ...fresh]);
    if (own) this.state.unsent = [...new Set([...this.state.unsent, ...fresh.map((entry) => entry.id)])];
    this.state.seq = Math.max(seq, this.state.seq);
    this.write();
    return fresh.length;
  }

  /** What is still to be sent to a class. */
  unsent(most) {
    const ids = new Set(this.state.unsent);
    return this.state.entries.filter((entry) => ids.has(entry.id)).slice(0, most);
  }

  /** What a class has taken, and what it knows more. */
  synced(sent, received, seq) {
    this.add(received, false);
    const gone = new Set([...sent, ...received].map((entry) => entry.id));
    this.state.unsent = this.state.unsent.filter((id) => !gone.has(id));
    this.state.seq = seq;
    this.write();
  }

  set(settings) {
    this.read();
    this.state.settings = { ...this.state.settings, ...settings };
    this.write();
  }

  /** The progress file: small, to be handed back, or taken to another device. */
  file(title) {
    return JSON.stringify({ ...FILE, title, entries: this.entries });
  }

  /** Takes a progress file in; returns how many answers were new, -1 when it is none. */
  take(text) {
    let data = null;
    try {
      data = JSON.parse(text);
    } catch {
      return -1;
    }
    if (data?.linewright !== FILE.linewright || data.version !== FILE.version || !Array.isArray(data.entries)) return -1;
    return this.add(data.entries);
  }

  forget() {
    this.state = { ...this.state, entries: [], unsent: [], seq: 0 };
    this.write();
  }
}
