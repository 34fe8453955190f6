// Made by tools/script_types.py from linewright.desk.messages.dictation: change that, then run it.

export interface EndDictation {
  do: "end";
}

export interface DictationState {
  what: "ready" | "ended";
}

export interface Speaking {
  what: "speaking";
  now: boolean;
}

export interface PhraseHeard {
  what: "phrase";
  text: string;
  seconds: number;
  took: number;
}

export interface Trouble {
  what: "trouble";
  why: string;
  todo: string;
  serial: number;
}

export type ToDictation = DictationState | Speaking | PhraseHeard | Trouble;
