// Made by tools/script_types.py from linewright.desk.messages.room: change that, then run it.

export interface PressKey {
  do: "next" | "back" | "aside" | "wipe" | "turn" | "pause" | "on";
  by?: string;
}

export interface GoToStop {
  do: "go";
  to: number;
  by?: string;
}

export interface PlayMove {
  do: "play";
  uci: string;
  by?: string;
}

export interface HearPosition {
  do: "heard";
  fen: string;
  by?: string;
}

export interface DrawMarks {
  do: "mark";
  marks: DrawnMark[];
  by?: string;
}

export interface DrawnMark {
  shape: string;
  squares: string[];
}

export interface RunKey {
  do: "begin" | "finish";
}

export interface Clap {
  do: "clap";
  late?: number;
}

export interface NoteLoudness {
  do: "loud";
  level: number[];
  every?: number;
}

export interface HearPhrase {
  do: "said";
  text: string;
}

export type FromRoom = PressKey | GoToStop | PlayMove | HearPosition | DrawMarks | RunKey | Clap | NoteLoudness | HearPhrase;

export interface ScriptShown {
  what: "script";
  talk: string;
  title: string;
  rate: number;
  stops: StopShown[];
  parts: PartShown[];
}

export interface StopShown {
  label: string;
  said: string;
  text: string;
  count: number;
  seconds: number;
  returns: boolean;
  own: number;
  part: number;
  breaks: boolean;
}

export interface PartShown {
  name: string;
  first: number;
  seconds: number;
}

export interface SceneShown {
  what: "scene";
  at: number;
  aside: boolean;
  fen: string;
  last: string;
  marks: DrawnMark[];
  side: string;
  paused: boolean;
  line: string;
  name: string;
  words: string;
}

export interface RunShown {
  what: "run";
  on: boolean;
  spent: number;
  resting: boolean;
  finished: string;
}

export interface Clapped {
  what: "clapped";
}

export interface Trouble {
  what: "trouble";
  why: string;
  todo: string;
  serial: number;
}

export type ToRoom = ScriptShown | SceneShown | RunShown | Clapped | Trouble;
