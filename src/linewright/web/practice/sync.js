/** Sending answers to a class and taking what other devices answered; a cut only means that it happens later. */

/** Entries sent at once. */
const BATCH = 500;
/** Milliseconds until a failed try is made again: doubled each time, up to the longest. */
const WAIT = 2000;
const LONGEST_WAIT = 120_000;

export class Sync {
  /**
   * @param {import("./keep.js").Keep} keep
   * @param {string} token the secret of the pupil's link.
   * @param {(state: "synced"|"waiting"|"refused") => void} changed
   */
  constructor(keep, token, changed) {
    this.keep = keep;
    this.token = token;
    this.changed = changed;
    this.wait = WAIT;
    this.timer = 0;
    this.busy = false;
    addEventListener("online", () => this.soon(0));
    document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && this.soon(0));
  }

  soon(wait = 200) {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.now(), wait);
  }

  async ask(path, body) {
    const headers = { Authorization: `Bearer ${this.token}` };
    if (body) headers["Content-Type"] = "application/json";
    const answer = await fetch(path, { method: body ? "POST" : "GET", headers, body: body && JSON.stringify(body) });
    if (answer.status === 401 || answer.status === 403) throw new Refused();
    if (!answer.ok) throw new Error(`status ${answer.status}`);
    return answer.json();
  }

  async now() {
    if (this.busy) return this.soon();
    this.busy = true;
    try {
      let more = true;
      while (more) {
        const sent = this.keep.unsent(BATCH);
        const got = await this.ask("sync", { entries: sent, since: this.keep.state.seq });
        this.keep.synced(sent, got.entries, got.seq);
        more = got.more || this.keep.unsent(1).length > 0;
      }
      this.wait = WAIT;
      this.changed("synced");
    } catch (error) {
      if (error instanceof Refused) this.changed("refused");
      else {
        this.changed("waiting");
        this.soon(this.wait);
        this.wait = Math.min(2 * this.wait, LONGEST_WAIT);
      }
    } finally {
      this.busy = false;
    }
  }
}

export class Refused extends Error {}
