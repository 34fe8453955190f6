/** The page's connection to the desk: messages out, messages in, opened again when it breaks. */

/** Milliseconds before the first new try, and at most. */
const SOON = 300;
const LATE = 5000;

/**
 * What is done with each message that comes, by its `what`.
 *
 * @template {{what: string}} Incoming
 * @typedef {{[What in Incoming["what"]]?: (message: Extract<Incoming, {what: What}>) => void}} Takers
 */

export class Live {
  /**
   * @param {string} talk
   * @param {Record<string, any>} takers  by the message's `what`; see {@link Takers}.
   * @param {(open: boolean) => void} changed  called when the connection opens or breaks.
   * @param {string} door  the address at the desk: the manuscript's, or a talk's room.
   */
  constructor(talk, takers, changed, door = "live") {
    this.address = `${location.origin.replace(/^http/, "ws")}/${door}?talk=${encodeURIComponent(talk)}`;
    this.takers = takers;
    this.changed = changed;
    this.wait = SOON;
    this.socket = this.open();
  }

  open() {
    const socket = new WebSocket(this.address);
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
      setTimeout(() => {
        this.socket = this.open();
      }, this.wait);
      this.wait = Math.min(LATE, this.wait * 2);
    });
    return socket;
  }

  /** Send a message; false when there is no connection: it is not kept. */
  send(message) {
    if (this.socket.readyState !== WebSocket.OPEN) return false;
    this.socket.send(JSON.stringify(message));
    return true;
  }
}

/** Ask the desk to do something; its answer, or an Error with the sentence it gives. */
export async function post(address, body) {
  const answer = await fetch(address, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(body ?? {}),
  });
  if (!answer.ok) throw new Error((await answer.text()).slice(0, 500));
  return answer.json();
}

/** What the desk answers to a question. */
export async function get(address) {
  const answer = await fetch(address);
  if (!answer.ok) throw new Error((await answer.text()).slice(0, 500));
  return answer.json();
}
