/** The desk: manuscript, board, evidence, map and margin, wired together. */

import { Board } from "./board.js";
import { settleConflict } from "./conflict.js";
import { ask, byId, make } from "./dom.js";
import { Dictation } from "./dictate.js";
import { EvidenceCard } from "./evidence.js";
import { Files } from "./files.js";
import { help } from "./help.js";
import { get, Live, post } from "./live.js";
import { OpeningMap } from "./map.js";
import { Manuscript } from "./manuscript.js";
import { Margin } from "./margin.js";
import { cleared, toggled } from "./marks.js";
import { Mending } from "./mending.js";
import { Progress } from "./progress.js";
import { Reading } from "./reading.js";
import { Settling } from "./settle.js";

/** Milliseconds of rest before a text is read, saved, and evidence is fetched. */
const READ_AFTER = 120;
const SAVE_AFTER = 1200;
const LOOK_AFTER = 60;
const SPEAK_AFTER = 700;

const talk = document.body.dataset.talk;
const reading = new Reading();
let version = "";
let savedText = null;
let opened = false;
let saving = false;
/** The trainer is settling what was changed on both sides. */
let choosing = false;
let shown = { done: -1, fen: "" };
/** The mark that is drawn by pointing, "" for moves. */
let shape = "";

const manuscript = new Manuscript(byId("text"), byId("mirror"), { edited, moved: () => later("follow", follow, 0) });
/** Captions know no light marks: braces would be shown to pupils. */
const marking = !("captions" in document.body.dataset);
const margin = new Margin(byId("margin"), manuscript, {
  settle: (question) => look(question),
  stand: marking ? letStand : null,
});
const card = new EvidenceCard(document.querySelector(".evidence"), { play, source: writeSource });
const map = new OpeningMap(byId("chart"), { step: goToStep, gap: (gap) => goToStep(gap.step) });
const board = new Board(byId("boardplace"), marking, { move: (uci) => play([uci]), mark: drawMark });
const progress = new Progress(byId("reading"));
const files = new Files(byId("jobs"), talk);
const mending = new Mending({
  ask: (number, words, at) =>
    live.send({ do: "mend", number, words, fen: reading.positionAfter(reading.doneAt(at)).fen }),
  replace: (a, z, words) => manuscript.replace(a, z, words),
});
const settling = new Settling(byId("settle"), {
  answer: (first, answer) => live.send({ do: "ask", first, answer }),
  closed: () => byId("text").focus({ preventScroll: true }),
  undo: undoAnswer,
});

// -- the connection --------------------------------------------------------------------------------------

const live = new Live(
  talk,
  {
    hello: (message) => {
      if (!opened) {
        opened = true;
        version = message.version;
        savedText = message.text;
        manuscript.load(message.text);
        manuscript.area.setSelectionRange(0, 0);
        state(message.notes[0] ?? "saved");
        readNow();
      } else onDisk(message);
    },
    disk: onDisk,
    peek: (message) => {
      if (readingCame(reading.peek(message))) progress.reached(message.part);
    },
    walk: (message) => {
      if (!readingCame(reading.walk(message), message.notes)) return;
      progress.done();
      mending.read(message.serial);
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
    mended: (message) => mending.mended(message),
    quoted: (message) => quoted(message),
    question: (message) => settling.show(message),
    settled: () => settling.close(),
    saved: (message) => {
      saving = false;
      version = message.version;
      savedText = reading.textOf(message.serial) ?? savedText;
      if (savedText === manuscript.text) state("saved");
      else later("save", save, SAVE_AFTER);
    },
    conflict: (message) => conflict(message),
    job: (message) => {
      files.job(message);
      // What the engine has judged, also before it was stopped, counts from now on.
      if (message.kind === "check" && message.talk === talk && message.state !== "running") readNow();
    },
    trouble: (message) => {
      saving = false;
      progress.done();
      if (message.why) state(`${message.why}. ${message.todo}`);
    },
  },
  (open) => {
    document.body.classList.toggle("away", !open);
    if (!open) {
      saving = false;
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
  mending.edited(edit);
  margin.edited((span) => reading.movedBy(span, edit));
  later("read", readNow, READ_AFTER);
  if (manuscript.text !== savedText) {
    state("not saved yet");
    later("save", save, SAVE_AFTER);
  }
  later("follow", follow, 0);
}

function readNow() {
  progress.begun();
  live.send({ do: "text", serial: reading.begin(manuscript.text), text: manuscript.text });
}

function save() {
  if (saving || manuscript.text === savedText) return;
  saving = live.send({ do: "save", serial: reading.begin(manuscript.text), text: manuscript.text, base: version });
  if (saving) readNow();
}

/** The file changed on the disk: shown at once when nothing here is unsaved; else both are brought together. */
function onDisk(message) {
  if (message.answers) {
    readNow();
    return;
  }
  if (message.version === version) return;
  if (manuscript.text === savedText || message.text === manuscript.text) {
    version = message.version;
    savedText = message.text;
    takeText(message.text);
    state("changed on the disk, and here");
    readNow();
  } else save();
}

/** Make the text another one, as one edit that can be undone. */
function takeText(text) {
  const now = manuscript.text;
  let head = 0;
  while (head < Math.min(now.length, text.length) && now[head] === text[head]) head += 1;
  let tail = 0;
  while (
    tail < Math.min(now.length, text.length) - head &&
    now[now.length - 1 - tail] === text[text.length - 1 - tail]
  ) {
    tail += 1;
  }
  if (now !== text) manuscript.replace(head, now.length - tail, text.slice(head, text.length - tail));
}

/** The file and the page were both changed. */
async function conflict(message) {
  saving = false;
  if (choosing) return;
  if (message.merged !== null) {
    version = message.version;
    savedText = message.theirs;
    takeText(message.merged);
    state("changed on the disk too; both changes are here now");
  } else {
    choosing = true;
    const settled = await settleConflict(message);
    choosing = false;
    if (settled === null) return;
    version = message.version;
    savedText = message.theirs;
    takeText(settled);
  }
  later("save", save, 0);
  readNow();
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
  later("look", () => live.send({ do: "evidence", fen: at.fen, side: reading.side }), LOOK_AFTER);
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
  live.send({ do: "spell", fen: shown.fen, moves: ucis, for: "write" });
}

function spelled(message) {
  const at = endOfWord(manuscript.text, manuscript.cursor);
  const before = manuscript.text.slice(0, at).trimEnd();
  const fresh = !before || /[.!?…:]["”’)]*$/.test(before) || /\n\s*$/.test(manuscript.text.slice(0, at));
  let words = message.words.join(message.notation ? " " : ", ");
  if (fresh) words = words[0].toUpperCase() + words.slice(1);
  if (fresh && message.notation) words = message.words.join(" ");
  const justMoved = reading.steps[reading.doneAt(at) - 1]?.z === before.length;
  const joint = fresh || !before ? "" : justMoved && !message.notation ? "," : "";
  const space = at === 0 || /\s$/.test(manuscript.text.slice(0, at)) ? "" : " ";
  const from = joint ? before.length : at;
  const insert = `${joint}${joint ? " " : space}${words}`;
  manuscript.replace(from, at, insert);
  const end = from + insert.length;
  manuscript.area.setSelectionRange(end, end);
  reading.played(end - words.length, end, message);
  showDecorations();
  follow();
}

function writeSource(words) {
  const at = endOfWord(manuscript.text, manuscript.cursor);
  const insert = ` (${words})`;
  manuscript.replace(at, at, insert);
  manuscript.goTo(at + insert.length);
}

function endOfWord(text, at) {
  if (at === 0 || /\s/.test(text[at - 1])) return at;
  return at + /^[^\s.,;:!?…]*/.exec(text.slice(at))[0].length;
}

function drawMark(mark) {
  const { from, to } = reading.moment(reading.doneAt(manuscript.cursor), manuscript.text);
  const change = toggled(manuscript.text, from, to, manuscript.cursor, mark);
  manuscript.replace(change.from, change.to, change.insert);
  follow();
}

/** Write behind a finding's sentence that it is meant so (see the README, {stet}). */
function letStand(note) {
  const found = /[.!?…]["”’)]*(?=\s|$)|\n|$/.exec(manuscript.text.slice(note.z - 1));
  const at = note.z - 1 + found.index + found[0].trimEnd().length;
  manuscript.replace(at, at, ` {stet: ${note.kind}}`);
  readNow();
}

function wipeMarks() {
  const { from, to } = reading.moment(reading.doneAt(manuscript.cursor), manuscript.text);
  const change = cleared(manuscript.text, from, to);
  if (change) manuscript.replace(change.from, change.to, change.insert);
  follow();
}

/** A phrase was heard: it is written at the cursor, and read at once. */
function heard(text) {
  const at = endOfWord(manuscript.text, manuscript.cursor);
  const before = manuscript.text.slice(0, at);
  const space = !before || /\s$/.test(before) ? "" : " ";
  manuscript.replace(at, at, space + text);
  const end = at + space.length + text.length;
  manuscript.area.setSelectionRange(end, end);
  manuscript.show(end);
  readNow();
  mending.heard(end - text.length, end, text, reading.serial);
  follow();
}

// -- settling --------------------------------------------------------------------------------------------

function look(question) {
  manuscript.goTo(question.z, false);
  live.send({ do: "ask", first: question.first });
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

function quoted(message) {
  const games = message.games ?? [];
  const rows = games.map((game) =>
    make(
      "li",
      {},
      make("p", {}, make("b", {}, game.heading), ` ${game.result}${game.fits ? "" : ", only near"}`),
      game.partings.length ? make("p", { class: "why" }, game.partings.join("; ")) : null,
      make("button", { type: "button", onclick: (event) => {
        event.target.closest("dialog").close("");
        writeSource(game.heading);
      } }, "write its source"),
    ),
  );
  const content = rows.length ? make("ul", {}, rows) : make("p", {}, message.trouble ?? "No game in the base fits.");
  ask("Games that may be meant", content, [["", "Close"]]);
}

function findQuote() {
  const text = manuscript.selected || sentenceAt(manuscript.text, manuscript.cursor);
  live.send({ do: "quote", words: text });
}

function sentenceAt(text, at) {
  const before = text.slice(0, at).search(/[^.!?\n]*$/);
  const after = text.slice(at).search(/[.!?\n]|$/);
  return text.slice(before, at + after + 1).trim();
}

async function earlier() {
  const kept = await get(`/versions/${encodeURI(talk)}`);
  const list = make("div", { class: "versions", role: "radiogroup", "aria-label": "Versions" });
  const shownText = make("pre", { class: "version", tabindex: "0" }, "Choose a version to read it.");
  let text = null;
  for (const [i, one] of kept.entries()) {
    const input = make("input", { type: "radio", name: "version", id: `v${i}` });
    input.addEventListener("change", async () => {
      text = (await get(`/version/${encodeURI(talk)}?version=${one.version}`)).text;
      shownText.textContent = text;
    });
    const when = new Date(one.time * 1000).toLocaleString("en", { dateStyle: "medium", timeStyle: "short" });
    list.append(make("p", {}, input, make("label", { for: `v${i}` }, ` ${when}, ${one.size} bytes, ${one.why}`)));
  }
  const answer = await ask("Earlier versions", make("div", {}, list, shownText), [["yes", "Put it back"], ["", "Close"]]);
  if (answer === "yes" && text !== null) takeText(text);
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
    if (document.activeElement === manuscript.area) board.focus();
    else manuscript.area.focus({ preventScroll: true });
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
  live.send({ do: "check" });
});
byId("earlier").addEventListener("click", earlier);
byId("keys").addEventListener("click", help);
byId("wipe")?.addEventListener("click", wipeMarks);
byId("turn").addEventListener("click", () => board.turn());
byId("build").addEventListener("click", async () => {
  save();
  const answer = await ask(
    "Build the lesson",
    make("p", {}, "Page, hand-out, PGN, key positions; for captions also corrected ones and chapters. The film takes a fraction of the talk’s length."),
    [["lesson", "Build"], ["film", "Build with film"], ["", "Not now"]],
  );
  if (answer) files.build(answer === "film");
});
if (matchMedia("(max-width: 760px)").matches) byId("chart").open = false;
for (const button of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-shape]"))) {
  button.addEventListener("click", () => {
    shape = button.dataset.shape;
    board.shape = shape;
    for (const other of document.querySelectorAll("[data-shape]")) {
      other.setAttribute("aria-pressed", String(other === button));
    }
  });
}
addEventListener("beforeunload", (event) => {
  if (opened && manuscript.text !== savedText) {
    save();
    event.preventDefault();
  }
});
