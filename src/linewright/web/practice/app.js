/** The practice page: what is due today, rounds and playing on, and what to do with one's progress. */

import { Asking } from "./asking.js";
import { Feedback } from "./feedback.js";
import { Scheduler } from "./fsrs.js";
import { Keep } from "./keep.js";
import { memories } from "./log.js";
import { NEW_COSTS, dailyLoad, paceOf, planDay } from "./plan.js";
import { Playing } from "./playing.js";
import { Round } from "./round.js";
import { SAY } from "./say.js";
import { $, Stand } from "./stand.js";
import { Refused, Sync } from "./sync.js";
import { printed } from "./spoken.js";

const HAND_OVER = 500;
/** Minutes more when a pupil wants to go on. */
const AHEAD = 10;
const COMING = 7;

export class App {
  constructor(data) {
    this.keep = new Keep(data.id);
    this.stand = new Stand($("board"));
    this.feedback = new Feedback(() => Boolean(this.keep.state.settings.sound));
    /** The round that is asked, or the position that is played on; null on the first view. @type {Asking | null} */
    this.asking = null;
    /** @type {Playing | null} */
    this.playing = null;
    /** A class's connection. @type {Sync | null} */
    this.sync = null;
    /** @type {import("./plan.js").Run[]} */
    this.runs = [];
    /** @type {Map<string, import("./drill").Drill>} */
    this.drills = new Map();
    /** @type {import("./plan.js").Wish[]} */
    this.wishes = [];
    this.scheduler = schedulerOf(data);
    this.use(data);
    this.listen();
    this.home();
  }

  /** Takes up lessons: from the page itself, or from the class. */
  use(data) {
    this.data = data;
    this.drills = new Map(data.drills.map((drill) => [drill.id, drill]));
    this.wishes = data.drills.filter((d) => d.task !== "play").map(({ id, reach, path }) => ({ drill: id, reach, path }));
    this.scheduler = schedulerOf(data);
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
    const rating = Number($("strength").value);
    const engine = (moves) => /** @type {Sync} */ (this.sync).ask("play", { drill: drill.id, moves, rating });
    this.playing = new Playing(drill, rating, this.stand, this.feedback, engine, (entries) => this.add(entries));
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
    if (this.playing) this.playing.left = true;
    this.playing = null;
    this.asking = null;
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
    const round = new Round(runs, this.drills, (entries) => this.add(entries));
    this.asking = new Asking(round, this.stand, this.feedback, () => this.finish(round));
    this.view("round");
    this.asking.ask();
  }

  add(entries) {
    this.keep.add(entries);
    this.sync?.soon();
  }

  finish({ right, all, answered }) {
    this.home();
    $("today").textContent = `${SAY.done(right, Math.max(all, answered))} ${$("today").textContent}`;
    $("today").focus();
  }

  // -- hands, keys, files ------------------------------------------------------------------------------------

  listen() {
    $("board").addEventListener("lw-move", (event) => {
      if (!this.moved(event.detail.uci, event.detail.san)) event.preventDefault();
    });
    const click = (id, act) => $(id).addEventListener("click", act);
    const rings = () => $("board").marks.filter((mark) => mark.shape === "ring").flatMap((mark) => mark.squares);
    click("begin", () => this.begin(this.runs));
    click("ahead", () => this.begin(this.further()));
    click("on", () => this.asking?.on());
    click("hint", () => this.asking?.hint());
    click("unknown", () => this.asking?.unknown());
    click("back", () => this.asking?.takeBack());
    click("stop", () => this.home());
    click("tap", () => this.asking?.tapped(rings()));
    click("take", () => this.takeFile());
    click("forget", () => this.forget());
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

  /** A move by hand, keys or words. @returns whether the board may play it itself. */
  moved(uci, san) {
    if (this.playing) return this.playing.moved(uci);
    return this.asking?.moved(uci, san) ?? false;
  }

  /** Squares or a move in words. */
  typed() {
    const text = $("move").value.trim();
    const asking = this.playing ? null : this.asking;
    if (!text || (!this.playing && !asking)) return;
    $("move").value = "";
    if (asking?.typedSquares(text)) return;
    const position = asking ? Linewright.Position.of(asking.drill.fen) : this.stand.board.position;
    const answer = Linewright.moveOf(position, text);
    if (!answer.move) {
      return this.feedback.say([answer.why === "ambiguous" ? SAY.ambiguous(text, answer.moves) : SAY.unread(text)]);
    }
    const uci = Linewright.uciOf(answer.move);
    if (this.moved(uci, Linewright.toSan(position, answer.move))) this.stand.board.play(uci);
  }

  /** Letters go to the field where moves are typed, wherever the focus is; Enter goes on. */
  key(event) {
    const mode = (this.playing ?? this.asking)?.mode;
    if (!mode || event.defaultPrevented || event.altKey || event.ctrlKey || event.metaKey) return;
    const inside = event.target.closest?.("input, button, select, summary, a");
    if (event.key === "Enter" && mode === "shown" && (!inside || event.target.id === "move")) {
      event.preventDefault();
      this.asking?.on();
    } else if (!inside && ["answer", "repeat", "play"].includes(mode) && /^[\p{L}0]$/u.test(event.key)) {
      if (!$("typed").hidden) $("move").focus();
    } else if (!inside && mode === "answer" && /^[1-9]$/.test(event.key)) {
      this.asking?.drill.choices.length && $("choices").children[Number(event.key) - 1]?.click();
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

  forget() {
    if (!confirm(SAY.forget)) return;
    this.keep.forget();
    this.home();
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
      if (error instanceof Refused) return this.synced("refused");
    }
    await this.sync.now();
    if (!this.asking && !this.playing) this.home();
  }

  synced(state) {
    const count = this.keep.state.unsent.length;
    $("connection").textContent = { synced: SAY.synced, waiting: SAY.offline(count), refused: SAY.no_link }[state];
  }
}

/** The model of memory with a class's weights. */
function schedulerOf({ weights, retention, longest }) {
  return new Scheduler(weights, retention, longest);
}

/** A short name for a secret that doesn't tell it: pupils who share a device keep their answers apart (FNV-1a, twice). */
function digest(text) {
  return [2166136261, 2654435769]
    .map((seed) => [...text].reduce((hash, sign) => Math.imul(hash ^ sign.charCodeAt(0), 16777619) >>> 0, seed).toString(16))
    .join("");
}

const data = JSON.parse($("data").textContent);
const token = data.served ? location.hash.slice(1) : "";
if (token) data.id = `class-${digest(token)}`;
const app = new App(data);
if (token) app.join(token);
else if (data.served) app.synced("refused");
addEventListener("hashchange", () => location.reload());
