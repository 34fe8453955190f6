/** What the pages' scripts find in a browser besides the standard: the board element and its events. */

import type * as Element from "./board/index.js";
import type { Board } from "./board/board.js";
import type { Mark } from "./board/words.js";

interface MoveEvent extends CustomEvent {
  detail: { uci: string; san: string; words: string; before: string; after: string; by: string };
}

interface MarkEvent extends CustomEvent {
  detail: { mark: Mark; removed: boolean; words: string; marks: Mark[]; by: string };
}

declare global {
  /** The element's modules, joined into one classic script for pages in one file. */
  const Linewright: typeof Element;

  interface HTMLElementTagNameMap {
    "lw-board": Board;
  }
  interface HTMLElementEventMap {
    "lw-move": MoveEvent;
    "lw-mark": MarkEvent;
  }

  /** The scope of an audio worklet (Web Audio API, 1.32). */
  class AudioWorkletProcessor {
    readonly port: MessagePort;
  }
  function registerProcessor(name: string, processor: typeof AudioWorkletProcessor): void;
}
