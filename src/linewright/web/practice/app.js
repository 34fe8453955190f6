/** The practice page: today's round, answers by hand, keys or words, and what to do with one's progress. */

import { Scheduler } from "./fsrs.js";
import { Keep } from "./keep.js";
import { memories } from "./log.js";
import { NEW_COSTS, dailyLoad, paceOf, planDay } from "./plan.js";
import { squaresOf } from "./judge.js";
import { Playing } from "./playing.js";
import { Round } from "./round.js";
import { SAY } from "./say.js";
import { $, Stand } from "./stand.js";
import { Sync } from "./sync.js";
import { lineFrom, named, printed, spokenMoves } from "./telling.js";

const HAND_OVER = 500;
/** Minutes more when a pupil wants to go on. */
const AHEAD = 10;
const COMING = 7;

export class App {
  constructor(data) {
    this.keep = new Keep(data.id);
    this.stand = new Stand($("board"));
    this.round = null;
    this.mode = "rest";
    this.use(data);
    this.listen();
    this.home();
  }

  /** Takes up lessons: from the page itself, or from the class. */
  use(data) {
    this.data = data;
    this.drills = new Map(data.drills.map((drill) => [drill.id, drill]));
    this.wishes = data.drills.filter((d) => d.task !== "play").map(({ id, reach, path }) => ({ drill: id, reach, path }));
    this.scheduler = new Scheduler(data.weights, data.retention, data.longest);
    $("title").textContent = data.title;
    this.offerPlaying(data.drills.filter((drill) => drill.task === "play"));
  }

  /** Positions to play on, where a class's engine is there to play against. */
  offerPlaying(drills) {
    $("playing").hidden = !drills.length;
    $("tabiyas").replaceChildren(
      ...drills.map((drill) => {
        const item = document.createElement("li");
        const button = Object.assign(document.createElement("button"), { type: "button" });
        button.append("… ", ...printed(drill.start, drill.line).slice(-6), `– ${drill.asked}`);
        button.addEventListener("click", () => this.playOn(drill));
        item.append(button);
        return item;
      }),
    );
  }

  playOn(drill) {
    this.playing = new Playing(this, drill, Number($("strength").value));
    this.view("round");
    this.playing.begin();
  }

  get minutes() {
    return this.keep.state.settings.minutes ?? this.data.minutes;
  }

  plan(minutes) {
    const pace = paceOf(this.keep.entries);
    const known = memories(this.keep.entries, this.scheduler);
    return { runs: planDay(this.wishes, known, Date.now(), minutes, pace, this.scheduler), known, pace };
  }

  // -- the first view ----------------------------------------------------------------------------------------

  /** Minutes left of today: what was answered today counts. */
  left() {
    const today = new Date().setHours(0, 0, 0, 0);
    const spent = this.keep.entries.filter((e) => e.at >= today).reduce((sum, e) => sum + (e.took ?? 0), 0) / 60_000;
    return this.minutes - spent;
  }

  home() {
    this.playing = null;
    const left = this.left();
    const { runs, known, pace } = left > 0 ? this.plan(left) : { ...this.plan(0), runs: [] };
    const asked = runs.flatMap((run) => run.drills);
    const count = runs.reduce((sum, run) => sum + run.due.length, 0);
    const answers = asked.reduce((sum, id) => sum + (known.has(id) ? 1 : NEW_COSTS), 0);
    $("today").textContent = count ? SAY.today(count, Math.max(1, Math.round((answers * pace) / 60))) : SAY.nothing_due;
    $("begin").hidden = !count;
    this.runs = runs;
    this.progress(known, pace);
    this.kept();
    this.view("home");
  }

  progress(known, pace) {
    const asked = new Set(this.wishes.map((wish) => wish.drill));
    const mine = [...known].filter(([id]) => asked.has(id));
    const sure = mine.filter(([, memory]) => memory.state === "review").length;
    $("known").textContent = SAY.known(sure, mine.length - sure, this.wishes.length - mine.length);
    const load = dailyLoad(new Map(mine), pace, this.minutes, Date.now(), COMING, this.data.longest);
    $("load").hidden = mine.length === 0;
    $("load").replaceChildren(
      ...load.map((minutes, day) => {
        const name = SAY.days[day] ?? new Date(Date.now() + day * 86_400_000).toLocaleDateString(undefined, { weekday: "long" });
        return Object.assign(document.createElement("li"), { textContent: SAY.load(name, Math.ceil(minutes)) });
      }),
    );
  }

  kept() {
    $("kept").textContent = this.keep.works ? SAY.kept_here(this.keep.entries.length) : SAY.not_kept;
    $("minutes").value = this.minutes;
    $("sound").checked = Boolean(this.keep.state.settings.sound);
  }

  view(name) {
    for (const part of ["home", "round"]) $(part).hidden = part !== name;
    document.body.dataset.view = name;
  }

  // -- a round -----------------------------------------------------------------------------------------------

  begin(runs) {
    if (!runs.length) return;
    this.round = new Round(runs, this.drills, (entries) => this.add(entries));
    this.view("round");
    this.ask();
  }

  add(entries) {
    this.keep.add(entries);
    this.sync?.soon();
  }

  async ask() {
    const now = this.round.current;
    if (!now) return this.finish();
    const { drill } = now;
    this.drill = drill;
    this.mode = "leading";
    $("feedback").replaceChildren();
    $("line").replaceChildren(...printed(drill.start, drill.line));
    $("count").textContent = SAY.to_go(this.round.left);
    this.offer();
    const heading = now.more ? `${SAY.once_more} ${drill.asked}` : drill.asked;
    this.heading(heading);
    if (!(await this.stand.lead(drill))) return;
    this.round.asked = Date.now();
    this.open("answer");
  }

  heading(text) {
    $("asked").replaceChildren(...spokenMoves(text));
    $("asked").focus({ preventScroll: true });
  }

  /** Shows the means of answering that fit the drill. */
  offer() {
    const { drill } = this;
    const choosing = drill.choices.length > 0;
    const tapping = drill.squares.length > 0;
    $("typed").hidden = choosing;
    $("typed-label").textContent = tapping ? $("typed").dataset.squares : $("typed").dataset.moves;
    $("move").value = "";
    $("choices").hidden = !choosing;
    $("choices").replaceChildren(
      ...drill.choices.map((text, index) => {
        const button = Object.assign(document.createElement("button"), { type: "button", textContent: text });
        button.addEventListener("click", () => this.chosen(index, button));
        return button;
      }),
    );
  }

  /** @param {"answer"|"repeat"|"shown"} mode */
  open(mode) {
    this.mode = mode;
    const tapping = this.drill.squares.length > 0;
    const moving = !tapping && !this.drill.choices.length;
    const can = mode === "shown" ? "walk" : tapping ? "mark walk" : moving ? "move" : "walk";
    $("board").setAttribute("can", can);
    $("board").toggleAttribute("marking", tapping);
    $("hint").hidden = mode !== "answer" || !moving;
    $("unknown").hidden = mode !== "answer";
    $("back").hidden = !this.round.last || mode === "answer";
    $("on").hidden = mode !== "shown";
    const typing = document.activeElement === $("move");
    $("typed").hidden = mode === "shown" || this.drill.choices.length > 0;
    $("tap").hidden = mode !== "answer" || !tapping;
    const lost = document.activeElement === document.body || document.activeElement?.closest("[hidden]");
    if (mode === "shown" && (typing || lost)) $("on").focus({ preventScroll: true });
  }

  /** A move by hand, keys or words. @returns whether the board may play it itself. */
  moved(uci, san) {
    if (this.playing) return this.playing.moved(uci);
    if (this.mode === "repeat") return this.repeated(uci);
    if (this.mode !== "answer") return false;
    const found = this.round.move(uci);
    const name = named(this.drill.fen, san);
    if (found.verdict === "equal") {
      this.say([SAY.equal(name, found.why)]);
      this.stand.reset(this.drill);
      return false;
    }
    if (found.verdict === "right") {
      this.tone(true);
      this.say([SAY.right(name)], this.drill.words);
      this.open("shown");
      return true;
    }
    this.tone(false);
    this.missed(SAY.wrong(name), found, uci);
    return false;
  }

  /** A wrong answer: what punishes it, the trainer's words, the lesson's move; then it is to be played. */
  missed(first, found, uci) {
    const said = [first];
    if (found?.reply.length) {
      const line = lineFrom(this.drill.fen, uci, found.reply);
      said.push(SAY.punished(line, found.source === "talk" ? SAY.shown_in_talk : found.why));
    }
    const taught = this.drill.moves.filter((move) => move.standing === "taught");
    said.push(SAY.lesson_plays(taught.map((move) => named(this.drill.fen, move.san)).join(SAY.and)));
    this.say(said, this.drill.words);
    this.open("shown");
    this.repeat = true;
    if (uci) this.stand.show(this.drill, [uci, ...(found?.reply ?? [])]);
  }

  /** After a wrong answer the lesson's move has to be played once; it is not an answer any more. */
  repeated(uci) {
    const taught = this.drill.moves.filter((move) => move.standing === "taught");
    if (!taught.some((move) => move.uci === uci)) {
      this.stand.reset(this.drill);
      return false;
    }
    this.open("shown");
    return true;
  }

  chosen(index, button) {
    if (this.mode !== "answer") return;
    const right = this.round.choice(index);
    this.tone(right);
    this.markChoices(button);
    this.say([right ? SAY.right_choice : SAY.wrong_choice(this.drill.choices[this.drill.right])]);
    this.open("shown");
  }

  markChoices(given) {
    [...$("choices").children].forEach((button, index) => {
      button.disabled = true;
      button.className = index === this.drill.right ? "is-right" : button === given ? "is-wrong" : "";
    });
  }

  tapped(names) {
    if (this.mode !== "answer" || !names.length) return;
    const right = this.round.squares(names);
    this.tone(right);
    this.told(names, right);
  }

  told(names, right) {
    const { drill } = this;
    const wanted = drill.whole_files ? drill.squares.map((name) => `the ${name[0]}-file`) : drill.squares;
    const list = wanted.join(", ");
    this.say(right ? [SAY.right_squares(list)] : [SAY.wrong_squares(list), SAY.marks], drill.words);
    const of = (name) => (drill.whole_files ? name[0] : name);
    const fine = new Set(drill.squares.map(of));
    const shown = drill.whole_files ? drill.squares.flatMap((n) => [...Array(8).keys()].map((r) => n[0] + (r + 1))) : drill.squares;
    this.stand.reset(drill, [
      { shape: "dot", squares: shown },
      ...names.filter((name) => !fine.has(of(name))).map((name) => ({ shape: "cross", squares: [name] })),
    ].flatMap((mark) => mark.squares.map((square) => ({ shape: mark.shape, squares: [square] }))));
    this.open("shown");
  }

  unknown() {
    if (this.mode !== "answer") return;
    this.round.unknown();
    const { drill } = this;
    if (drill.squares.length) return this.told([], false);
    if (drill.choices.length) {
      this.markChoices(null);
      this.say([SAY.wrong_choice(drill.choices[drill.right])]);
      return this.open("shown");
    }
    this.missed("", null, "");
  }

  hint() {
    const move = this.drill.moves[0];
    const position = Linewright.Position.of(this.drill.fen);
    const from = move.uci.slice(0, 2);
    const man = Linewright.manWords(position.men[Linewright.squareOf(from)], Linewright.ENGLISH);
    this.round.hint();
    this.stand.reset(this.drill, [{ shape: "ring", squares: [from] }]);
    this.say([SAY.hint(man, from)]);
  }

  typed() {
    const text = $("move").value.trim();
    if (!text) return;
    $("move").value = "";
    if (this.drill.squares.length) {
      const names = squaresOf(text, this.drill.whole_files);
      return names ? this.tapped(names) : this.say([SAY.no_square(text)]);
    }
    const position = this.playing ? this.stand.board.position : Linewright.Position.of(this.drill.fen);
    const answer = Linewright.moveOf(position, text);
    if (!answer.move) {
      return this.say([answer.why === "ambiguous" ? SAY.ambiguous(text, answer.moves) : SAY.unread(text)]);
    }
    const uci = Linewright.uciOf(answer.move);
    if (this.moved(uci, Linewright.toSan(position, answer.move))) this.stand.board.play(uci);
  }

  /** On to the next one; after a wrong move first to the position again, to play the right one. */
  on() {
    if (this.mode !== "shown") return;
    if (this.repeat) {
      this.repeat = false;
      this.stand.reset(this.drill);
      const taught = this.drill.moves.filter((move) => move.standing === "taught");
      this.say([SAY.now_play(taught.map((move) => named(this.drill.fen, move.san)).join(SAY.and))]);
      return this.open("repeat");
    }
    this.round.next();
    this.ask();
  }

  takeBack() {
    if (!this.round?.takeBack()) return;
    this.repeat = false;
    this.stand.reset(this.drill);
    this.offer();
    this.say([SAY.taken_back]);
    this.open("answer");
  }

  finish() {
    const { right, all, answered } = this.round;
    this.round = null;
    this.home();
    $("today").textContent = `${SAY.done(right, Math.max(all, answered))} ${$("today").textContent}`;
    $("today").focus();
  }

  /** Says something beside the board, with the trainer's words under it. */
  say(lines, words = "") {
    const parts = lines.filter(Boolean).map((text) => {
      const line = document.createElement("p");
      line.append(...spokenMoves(text));
      return line;
    });
    if (words) parts.push(Object.assign(document.createElement("blockquote"), { textContent: words }));
    $("feedback").replaceChildren(...parts);
  }

  /** A short soft tone, where the pupil has asked for sound. */
  tone(right) {
    if (!this.keep.state.settings.sound) return;
    this.audio ??= new AudioContext();
    const [voice, volume] = [this.audio.createOscillator(), this.audio.createGain()];
    voice.frequency.value = right ? 660 : 196;
    volume.gain.setValueAtTime(0.08, this.audio.currentTime);
    volume.gain.exponentialRampToValueAtTime(0.001, this.audio.currentTime + 0.25);
    voice.connect(volume).connect(this.audio.destination);
    voice.start();
    voice.stop(this.audio.currentTime + 0.25);
  }

  // -- hands, keys, files ------------------------------------------------------------------------------------

  listen() {
    $("board").addEventListener("lw-move", (event) => {
      if (!this.moved(event.detail.uci, event.detail.san)) event.preventDefault();
    });
    const click = (id, act) => $(id).addEventListener("click", act);
    click("begin", () => this.begin(this.runs));
    click("ahead", () => this.begin(this.further()));
    click("on", () => this.on());
    click("hint", () => this.hint());
    click("unknown", () => this.unknown());
    click("back", () => this.takeBack());
    click("stop", () => this.home());
    click("tap", () => this.tapped(this.rings()));
    click("take", () => this.takeFile());
    click("forget", () => confirm(SAY.forget) && (this.keep.forget(), this.home()));
    $("bring").addEventListener("change", (event) => this.bringFile(event.target));
    $("typed").addEventListener("submit", (event) => {
      event.preventDefault();
      this.typed();
    });
    $("minutes").addEventListener("change", (event) => {
      this.keep.set({ minutes: Math.min(240, Math.max(1, Number(event.target.value) || this.data.minutes)) });
      this.home();
    });
    $("sound").addEventListener("change", (event) => this.keep.set({ sound: event.target.checked }));
    document.addEventListener("keydown", (event) => this.key(event));
  }

  rings() {
    return $("board").marks.filter((mark) => mark.shape === "ring").flatMap((mark) => mark.squares);
  }

  /** Letters go to the field where moves are typed, wherever the focus is; Enter goes on. */
  key(event) {
    if ((this.round === null && !this.playing) || event.defaultPrevented || event.altKey || event.ctrlKey || event.metaKey) return;
    const inside = event.target.closest?.("input, button, select, summary, a");
    if (event.key === "Enter" && this.mode === "shown" && (!inside || event.target.id === "move")) {
      event.preventDefault();
      this.on();
    } else if (!inside && ["answer", "repeat", "play"].includes(this.mode) && /^[\p{L}0]$/u.test(event.key)) {
      if (!$("typed").hidden) $("move").focus();
    } else if (!inside && this.mode === "answer" && /^[1-9]$/.test(event.key) && this.drill.choices.length) {
      $("choices").children[Number(event.key) - 1]?.click();
    }
  }

  /** More than today's: a few minutes more, else what is least remembered. */
  further() {
    const { runs, known } = this.plan(AHEAD);
    if (runs.length) return runs;
    const now = Date.now();
    const least = [...known]
      .filter(([id]) => this.drills.has(id))
      .sort(([, a], [, b]) => this.scheduler.remembered(a, now) - this.scheduler.remembered(b, now))
      .slice(0, AHEAD);
    return least.map(([id]) => ({ drills: [id], due: [id] }));
  }

  takeFile() {
    const file = new Blob([this.keep.file(this.data.title)], { type: "application/json" });
    const name = `practice-${this.data.slug}-${new Date().toISOString().slice(0, 10)}.json`;
    const link = Object.assign(document.createElement("a"), { href: URL.createObjectURL(file), download: name });
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), HAND_OVER);
  }

  async bringFile(field) {
    const [file] = field.files;
    field.value = "";
    if (!file) return;
    const count = this.keep.take(await file.text());
    this.home();
    $("kept").textContent = count < 0 ? SAY.no_file : `${SAY.received(count)} ${$("kept").textContent}`;
    this.sync?.soon();
  }

  // -- a class -----------------------------------------------------------------------------------------------

  /** With a pupil's link: lessons and answers of other devices come from the class, and answers go to it. */
  async join(token) {
    this.sync = new Sync(this.keep, token, (state) => this.synced(state));
    if (this.keep.state.lesson) this.use(this.keep.state.lesson);
    try {
      const lesson = await this.sync.ask("lessons");
      this.keep.state.lesson = lesson;
      this.keep.write();
      this.use(lesson);
    } catch (error) {
      if (error.constructor.name === "Refused") return this.synced("refused");
    }
    await this.sync.now();
    if (!this.round) this.home();
  }

  synced(state) {
    const count = this.keep.state.unsent.length;
    $("connection").textContent = { synced: SAY.synced, waiting: SAY.offline(count), refused: SAY.no_link }[state];
  }
}

/** A short name for a secret that doesn't tell it: pupils who share a device keep their answers apart (FNV-1a, twice). */
function digest(text) {
  return [2166136261, 2654435769]
    .map((seed) => [...text].reduce((hash, sign) => Math.imul(hash ^ sign.charCodeAt(0), 16777619) >>> 0, seed).toString(16))
    .join("");
}

const data = JSON.parse(document.getElementById("data").textContent);
const token = data.served ? location.hash.slice(1) : "";
if (token) data.id = `class-${digest(token)}`;
const app = new App(data);
if (token) app.join(token);
else if (data.served) app.synced("refused");
addEventListener("hashchange", () => location.reload());
