/** A page's place in a talk's room: the scene comes in, acts go out; opened again when the connection breaks. */

/** Milliseconds before the first new try, and at most. */
const SOON = 300;
const LATE = 5000;

/** What keys do on the prompter and on the stage: also those of a presenter's clicker. */
export const KEYS = {
  " ": "next",
  ArrowRight: "next",
  PageDown: "next",
  ArrowLeft: "back",
  PageUp: "back",
  a: "aside",
  Escape: "aside",
  p: "pause",
  k: "clap",
  w: "wipe",
  t: "turn",
};

export class Room {
  /**
   * @param {string} talk
   * @param {Record<string, (message: any) => void>} takers by the message's `what`.
   * @param {(open: boolean) => void} changed told when the connection opens or breaks.
   */
  constructor(talk, takers, changed = () => {}) {
    this.address = `${location.origin.replace(/^http/, "ws")}/room?talk=${encodeURIComponent(talk)}`;
    this.takers = takers;
    this.changed = changed;
    this.wait = SOON;
    this.open();
  }

  open() {
    const socket = new WebSocket(this.address);
    this.socket = socket;
    socket.addEventListener("open", () => {
      this.wait = SOON;
      this.changed(true);
    });
    socket.addEventListener("message", (event) => {
      const message = JSON.parse(event.data);
      this.takers[message.what]?.(message);
    });
    socket.addEventListener("close", () => {
      this.changed(false);
      setTimeout(() => this.open(), this.wait);
      this.wait = Math.min(LATE, this.wait * 2);
    });
  }

  /** Send an act; false when there is no connection. */
  act(act, values = {}) {
    if (this.socket.readyState !== WebSocket.OPEN) return false;
    this.socket.send(JSON.stringify({ do: act, ...values }));
    return true;
  }
}

/** The act that a key means, undefined for none: keys with Ctrl and the like, and keys typed into something, mean none. */
export function actOf(event) {
  if (event.ctrlKey || event.metaKey || event.altKey || event.repeat) return undefined;
  const inside = event.target.closest?.("button, a, input, select, textarea, summary");
  if (inside && (event.key === " " || event.key === "Enter" || inside.matches("input, select, textarea"))) return undefined;
  return KEYS[event.key.length === 1 ? event.key.toLowerCase() : event.key];
}
