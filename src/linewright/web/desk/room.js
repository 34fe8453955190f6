/** A page's place in a talk's room: the scene comes in, acts go out; opened again when the connection breaks. */

import { Live } from "./live.js";

/**
 * What keys do on the prompter and on the stage: also those of a presenter's clicker.
 *
 * @type {Record<string, import("./room_messages").PressKey["do"] | "clap">}
 */
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

export class Room extends Live {
  /**
   * @param {string} talk
   * @param {import("./live.js").Takers<import("./room_messages").ToRoom>} takers
   * @param {(open: boolean) => void} changed called when the connection opens or breaks.
   */
  constructor(talk, takers, changed = () => {}) {
    super(talk, takers, changed, "room");
  }

  /**
   * Send an act; false when there is no connection.
   *
   * @param {import("./room_messages").FromRoom} act
   */
  act(act) {
    return this.send(act);
  }

  /** Send what a key means. @param {import("./room_messages").PressKey["do"]} key */
  press(key) {
    return this.act({ do: key, by: "keys" });
  }
}

/** The act that a key means, undefined for none: keys with Ctrl and the like, and keys typed into something, mean none. */
export function actOf(event) {
  if (event.ctrlKey || event.metaKey || event.altKey || event.repeat) return undefined;
  const inside = event.target.closest?.("button, a, input, select, textarea, summary");
  if (inside && (event.key === " " || event.key === "Enter" || inside.matches("input, select, textarea"))) return undefined;
  return KEYS[event.key.length === 1 ? event.key.toLowerCase() : event.key];
}
