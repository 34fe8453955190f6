/** The desk: manuscript, board, evidence, map and margin, wired together. */

import { Board } from "./board.js";
import { Corrections } from "./corrections.js";
import { askBuild, chooseVersion, showQuoted } from "./dialogs.js";
import { Dictation } from "./dictate.js";
import { byId, only, talkName } from "./dom.js";
import { EvidenceCard } from "./evidence.js";
import { Files } from "./files.js";
import { help } from "./help.js";
import { Live, post } from "./live.js";
import { OpeningMap } from "./map.js";
import { Manuscript } from "./manuscript.js";
import { Margin } from "./margin.js";
import { Progress } from "./progress.js";
import { Reading } from "./reading.js";
import { Saving } from "./saving.js";
import { Settling } from "./settle.js";
import { Writing, sentenceAt } from "./writing.js";

/** Milliseconds of rest before a text is read, saved, and evidence is fetched. */
const READ_AFTER = 120;
const SAVE_AFTER = 1200;
const LOOK_AFTER = 60;
const SPEAK_AFTER = 700;

const talk = talkName();
const reading = new Reading();
let opened = false;
let shown = { done: -1, fen: "" };

const manuscript = new Manuscript(byId("text"), byId("mirror"), { edited, moved: () => later("follow", follow, 0) });
/** Captions know no light marks: braces would be shown to pupils. */
const marking = !("captions" in document.body.dataset);
const margin = new Margin(byId("margin"), manuscript, {
  settle: (question) => look(question),
  stand: marking ? letStand : null,
});
const card = new EvidenceCard(only(".evidence"), { play, source: (words) => writing.source(words) });
const map = new OpeningMap(byId("chart"), { step: goToStep, gap: (gap) => goToStep(gap.step) });
const board = new Board(byId("boardplace"), marking, { move: (uci) => play([uci]), mark: drawMark });
const progress = new Progress(byId("reading"));
const files = new Files(byId("jobs"), talk);
const writing = new Writing(manuscript, reading);
const saving = new Saving(manuscript, {
  send,
  begin: (text) => reading.begin(text),
  textOf: (serial) => reading.textOf(serial),
  read: readNow,
  later: () => later("save", save, SAVE_AFTER),
  say: state,
});
const corrections = new Corrections({
  ask: (number, words, at) =>
    send({ do: "correct", number, words, fen: reading.positionAfter(reading.doneAt(at)).fen }),
  replace: (a, z, words) => manuscript.replace(a, z, words),
});
const settling = new Settling(byId("settle"), {
  answer: (first, answer) => send({ do: "ask", first, answer }),
  closed: () => manuscript.focus(),
  undo: undoAnswer,
});

/** @param {import("./from_manuscript").FromManuscript} message */
function send(message) {
  return live.send(message);
}

// -- the connection --------------------------------------------------------------------------------------

/** @type {import("./live.js").Takers<import("./to_manuscript").ToManuscript>} */
const takers = {
  hello: (message) => {
    if (!opened) {
      opened = true;
      saving.opened(message);
      manuscript.select(0);
      state(message.notes[0] ?? "saved");
      readNow();
    } else saving.onDisk(message);
  },
  disk: (message) => (message.answers ? readNow() : saving.onDisk(message)),
  peek: (message) => {
    if (readingCame(reading.peek(message))) progress.reached(message.part);
  },
  walk: (message) => {
    if (!readingCame(reading.walk(message), message.notes)) return;
    progress.done();
    corrections.read(message.serial);
  },
  findings: (message) => {
    const found = reading.findings(message);
    if (!found) return;
    showDecorations();
    margin.show(found.findings, found.questions);
  },
  map: (message) => reading.current(message.serial) && map.show(message),
  replies: (message) => {
    card.showReplies(message);
    if (message.fen === shown.fen) byId("name").textContent = message.opening;
  },
  models: (message) => card.showModels(message),
  engine: (message) => card.showEngine(message),
  spelled: (message) => spelled(message),
  corrected: (message) => corrections.corrected(message),
  quoted: (message) => showQuoted(message, (words) => writing.source(words)),
  question: (message) => settling.show(message),
  settled: () => settling.close(),
  saved: (message) => saving.wrote(message),
  conflict: (message) => saving.conflict(message),
  job: (message) => {
    files.job(message);
    // What the engine has judged, also before it was stopped, counts from now on.
    if (message.kind === "check" && message.talk === talk && message.state !== "running") readNow();
  },
  trouble: (message) => {
    saving.busy = false;
    progress.done();
    if (message.why) state(`${message.why}. ${message.todo}`);
  },
};

const live = new Live(
  talk,
  takers,
  (open) => {
    document.body.classList.toggle("away", !open);
    if (!open) {
      saving.busy = false;
      state("the desk is not answering; what you type is kept here until it does");
    }
    if (open && opened) {
      readNow();
      later("save", save, 0);
    }
  },
);

const timers = new Map();

/** Do something after a rest; asked again, the rest begins anew. */
function later(name, work, rest) {
  clearTimeout(timers.get(name));
  timers.set(name, setTimeout(work, rest));
}

function state(words) {
  byId("state").textContent = words;
}

// -- the text --------------------------------------------------------------------------------------------

function edited(edit) {
  if (!opened) return;
  reading.edited(edit);
  corrections.edited(edit);
  margin.edited((span) => reading.movedBy(span, edit));
  later("read", readNow, READ_AFTER);
  if (!saving.clean) {
    state("not saved yet");
    later("save", save, SAVE_AFTER);
  }
  later("follow", follow, 0);
}

function readNow() {
  progress.begun();
  send({ do: "text", serial: reading.begin(manuscript.text), text: manuscript.text });
}

function save() {
  saving.save();
}

// -- reading ---------------------------------------------------------------------------------------------

function readingCame(came, notes = []) {
  if (!came) return false;
  showDecorations();
  if (notes.length) state(notes[0]);
  follow();
  return true;
}

function showDecorations() {
  manuscript.decorate(reading.decorations());
  manuscript.emphasise(`s${shown.done - 1}`);
  margin.later();
}

// -- the board follows the cursor ------------------------------------------------------------------------

function follow() {
  const done = reading.doneAt(manuscript.cursor);
  const at = reading.positionAfter(done);
  manuscript.emphasise(`s${done - 1}`);
  margin.follow(at.place);
  board.show(at.fen, reading.marksAfter(done, manuscript.text), at.last);
  board.face(reading.side);
  if (at.fen === shown.fen) {
    shown.done = done;
    return;
  }
  shown = { done, fen: at.fen };
  const turn = at.fen.split(" ")[1] === "w" ? "White" : "Black";
  later("speak", () => (byId("where").textContent = `${at.title}${at.title ? ": " : ""}${turn} to move`), SPEAK_AFTER);
  byId("where").textContent ||= `${turn} to move`;
  map.mark(at.fen);
  card.begin(at.fen, at.title ? `After ${at.title}` : "The start position");
  byId("name").textContent = "";
  later("look", () => send({ do: "evidence", fen: at.fen, side: reading.side }), LOOK_AFTER);
}

function goToStep(step) {
  if (step === null || step === undefined) manuscript.goTo(reading.steps[0]?.a ?? 0);
  else if (reading.steps[step]) manuscript.goTo(reading.steps[step].z);
}

/** From move to move. */
function stepBy(by) {
  const done = reading.doneAt(manuscript.cursor);
  const next = done + by;
  if (next < 0 || next > reading.steps.length) return;
  if (next === 0) manuscript.goTo(reading.steps[0].a);
  else manuscript.goTo(Math.max(reading.steps[next - 1].z, reading.steps[next - 1].a + 1));
}

// -- writing moves, marks and sources --------------------------------------------------------------------

/** Write moves at the cursor, as the trainer writes moves; the board goes along. */
function play(ucis) {
  send({ do: "spell", fen: shown.fen, moves: ucis });
}

function spelled(message) {
  writing.moves(message);
  showDecorations();
  follow();
}

function drawMark(mark) {
  writing.mark(mark);
  follow();
}

function wipeMarks() {
  writing.wipe();
  follow();
}

function letStand(note) {
  writing.letStand(note);
  readNow();
}

/** A phrase was heard: it is written at the cursor, and read at once. */
function heard(text) {
  const { a, z } = writing.phrase(text);
  readNow();
  corrections.heard(a, z, text, reading.serial);
  follow();
}

// -- settling --------------------------------------------------------------------------------------------

function look(question) {
  manuscript.goTo(question.z, false);
  send({ do: "ask", first: question.first });
}

function nextDoubt() {
  const open = reading.questions;
  const next = open.find((q) => q.a > manuscript.cursor) ?? open[0];
  if (next) look(next);
  else state("no place is doubtful");
}

async function undoAnswer() {
  try {
    const { undone } = await post(`/answers/undo/${encodeURI(talk)}`);
    settling.close();
    state(undone ? "the last answer is taken back" : "there is no answer to take back");
    readNow();
  } catch (error) {
    state(error.message);
  }
}

// -- quotes, versions, help --------------------------------------------------------------------------------

function findQuote() {
  const text = manuscript.selected || sentenceAt(manuscript.text, manuscript.cursor);
  send({ do: "quote", words: text });
}

async function earlier() {
  const text = await chooseVersion(talk);
  if (text !== null) saving.takeText(text);
}

async function build() {
  save();
  const answer = await askBuild();
  if (answer === "course") files.buildCourse();
  else if (answer) files.build(answer === "film");
}

// -- keys and buttons --------------------------------------------------------------------------------------

const KEYS = {
  ArrowUp: () => stepBy(-1),
  ArrowDown: () => stepBy(1),
  KeyD: nextDoubt,
  KeyQ: findQuote,
  KeyR: () => byId("dictate").click(),
};

addEventListener("keydown", (event) => {
  if ((event.ctrlKey || event.metaKey) && event.code === "KeyS") {
    event.preventDefault();
    save();
  } else if (event.key === "F2") {
    event.preventDefault();
    if (manuscript.focused) board.focus();
    else manuscript.focus();
  } else if (event.altKey && !event.ctrlKey && !event.metaKey) {
    const digit = /^Digit([1-9])$/.exec(event.code);
    const work = digit ? () => card.press(Number(digit[1]) - 1) : KEYS[event.code];
    if (work) {
      event.preventDefault();
      work();
    }
  }
});

const dictation = new Dictation(byId("dictate"), { phrase: heard, state, about: () => reading.opening });
byId("dictate").addEventListener("click", () => dictation.toggle());
byId("next-doubt").addEventListener("click", nextDoubt);
byId("check").addEventListener("click", () => {
  readNow();
  send({ do: "check" });
});
byId("earlier").addEventListener("click", earlier);
byId("keys").addEventListener("click", help);
byId("wipe")?.addEventListener("click", wipeMarks);
byId("turn").addEventListener("click", () => board.turn());
byId("build").addEventListener("click", build);
if (matchMedia("(max-width: 760px)").matches) byId("chart").open = false;
for (const button of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-shape]"))) {
  button.addEventListener("click", () => {
    board.shape = button.dataset.shape ?? "";
    for (const other of document.querySelectorAll("[data-shape]")) {
      other.setAttribute("aria-pressed", String(other === button));
    }
  });
}
addEventListener("beforeunload", (event) => {
  if (opened && !saving.clean) {
    save();
    event.preventDefault();
  }
});
