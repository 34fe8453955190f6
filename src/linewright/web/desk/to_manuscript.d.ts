// Made by tools/script_types.py from linewright.desk.messages.to_manuscript: change that, then run it.

export interface Hello {
  what: "hello";
  text: string;
  version: string;
  notes: string[];
}

export interface DiskChanged {
  what: "disk";
  text: string;
  version: string;
  notes: string[];
  answers: boolean;
}

export interface Peek {
  what: "peek";
  serial: number;
  steps: (MoveShown | ReturnShown)[];
  until: number;
  part: number;
}

export interface MoveShown {
  a: number;
  z: number;
  san: string;
  fig: string;
  ear: string;
  uci: string;
  before: string;
  fen: string;
  node: number;
  parent: number;
  sure: number;
  doubt: string;
}

export interface ReturnShown {
  a: number;
  z: number;
  to: string;
  node: number;
  sure: number;
}

export interface WalkRead {
  what: "walk";
  serial: number;
  title: string;
  side: string;
  start: string;
  opening: string;
  steps: (MoveShown | ReturnShown)[];
  unread: UnreadShown[];
  marks: MarkShown[];
  notes: string[];
}

export interface UnreadShown {
  a: number;
  z: number;
  why: string;
}

export interface MarkShown {
  shape: string;
  squares: string[];
  step: number;
}

export interface Findings {
  what: "findings";
  serial: number;
  findings: FindingShown[];
  questions: PlaceShown[];
}

export interface FindingShown {
  a: number;
  z: number;
  kind: string;
  verdict: string;
  words: string;
  evidence: string;
  step: number;
}

export interface PlaceShown {
  a: number;
  z: number;
  first: number;
  kind: string;
  words: string;
}

export interface MapDrawn {
  what: "map";
  serial: number;
  width: number;
  height: number;
  rails: string;
  dots: MapDot[];
  labels: MapLabel[];
  gaps: Gap[];
}

export interface MapDot {
  x: number;
  y: number;
  fork: boolean;
  end: boolean;
  step: number | null;
  fen: string;
}

export interface MapLabel {
  x: number;
  y: number;
  fig: string;
  step: number | null;
}

export interface Gap {
  fen: string;
  step: number | null;
  uci: string;
  fig: string;
  ear: string;
  share: number;
  met: number;
}

export interface Replies {
  what: "replies";
  fen: string;
  opening: string;
  total: number;
  turn: string;
  more: number;
  replies: ReplyShown[];
  note: string;
  trouble: string;
}

export interface ReplyShown {
  uci: string;
  fig: string;
  ear: string;
  games: number;
  share: number;
  score: number;
  low: number;
  high: number;
  scored: number;
  year: number | null;
}

export interface Models {
  what: "models";
  fen: string;
  models: ModelGame[];
  trouble: string;
}

export interface ModelGame {
  heading: string;
  result: string;
  line: string;
  moves: string[];
  why: string;
}

export interface EngineLook {
  what: "engine";
  fen: string;
  sign: string;
  words: string;
  evidence: string;
  lines: EngineLine[];
  trouble: string;
}

export interface EngineLine {
  score: string;
  line: string;
}

export interface Spelled {
  what: "spelled";
  words: string[];
  notation: boolean;
  fig: string;
  fen: string;
}

export interface Corrected {
  what: "corrected";
  number: number;
  words: string;
}

export interface Quoted {
  what: "quoted";
  games: QuotedGame[];
  trouble: string;
}

export interface QuotedGame {
  heading: string;
  result: string;
  likely: number;
  fits: boolean;
  differences: string[];
}

export interface QuestionAsked {
  what: "question";
  serial: number;
  a: number;
  z: number;
  first: number;
  kind: string;
  left: string;
  right: string;
  board: string;
  places: PlaceAsked[];
  choices: MoveChoice[][];
  doubtful: number;
  error: string;
}

export interface PlaceAsked {
  words: string;
  moves: string[];
  sure: number | null;
}

export interface MoveChoice {
  san: string;
}

export interface Settled {
  what: "settled";
  serial: number;
  left: number;
}

export interface Saved {
  what: "saved";
  serial: number;
  version: string;
}

export interface TextConflict {
  what: "conflict";
  serial: number;
  version: string;
  theirs: string;
  merged: string | null;
  pieces: ConflictPiece[];
}

export interface ConflictPiece {
  both: string | null;
  mine: string;
  theirs: string;
}

export interface JobNews {
  what: "job";
  job: number;
  kind: string;
  talk: string;
  state: "running" | "done" | "stopped" | "failed";
  part: number;
  words: string;
  files: string[];
  fails: number;
  captions: string;
  notes: string[];
  why: string;
  todo: string;
}

export interface Trouble {
  what: "trouble";
  why: string;
  todo: string;
  serial: number;
}

export type ToManuscript = Hello | DiskChanged | Peek | WalkRead | Findings | MapDrawn | Replies | Models | EngineLook | Spelled | Corrected | Quoted | QuestionAsked | Settled | Saved | TextConflict | JobNews | Trouble;
