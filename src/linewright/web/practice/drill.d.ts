// Made by tools/script_types.py from linewright.practice.drills.drill: change that, then run it.

export interface Drill {
  id: string;
  task: "answer" | "punish" | "plan" | "squares" | "said" | "play";
  fen: string;
  side: string;
  asked: string;
  moves: Accepted[];
  wrong: Wrong[];
  squares: string[];
  whole_files: boolean;
  choices: string[];
  right: number;
  words: string;
  line: string[];
  start: string;
  reach: number;
  lesson: string;
  goal: Goal | null;
}

export interface Accepted {
  uci: string;
  san: string;
  standing: "taught" | "equal";
  why: string;
}

export interface Wrong {
  uci: string;
  san: string;
  reply: string[];
  source: "talk" | "engine" | "games" | "board";
  why: string;
}

export interface Goal {
  moves: number;
  square: string;
  least: number;
}
