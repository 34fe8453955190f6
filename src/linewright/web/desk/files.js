/** What is dropped on the desk, and the long jobs: hearing and building, with progress and a way to stop them. */

import { ask, make } from "./dom.js";
import { post } from "./live.js";

/** Jobs by their kinds, as they are shown to the trainer. */
const DOING = { hear: "writing down", build: "building", course: "building the course", check: "checking with the engine" };

export class Files {
  /**
   * @param {HTMLElement} place  the list of what is going on.
   * @param {string} talk  the open talk's name; "" on the list of talks.
   */
  constructor(place, talk) {
    this.place = place;
    this.talk = talk;
    this.rows = new Map();
    let depth = 0;
    addEventListener("dragenter", (event) => {
      if (!event.dataTransfer?.types.includes("Files")) return;
      depth += 1;
      document.body.classList.add("dropping");
    });
    addEventListener("dragleave", () => {
      depth = Math.max(0, depth - 1);
      if (!depth) document.body.classList.remove("dropping");
    });
    addEventListener("dragover", (event) => event.dataTransfer?.types.includes("Files") && event.preventDefault());
    addEventListener("drop", (event) => {
      depth = 0;
      document.body.classList.remove("dropping");
      if (!event.dataTransfer?.files.length) return;
      event.preventDefault();
      for (const file of event.dataTransfer.files) this.upload(file);
    });
  }

  /** Send a file to the folder; a recording is then written down, if the trainer wants that. */
  upload(file) {
    const row = this.row(`upload-${file.name}`);
    const sending = new XMLHttpRequest();
    sending.open("POST", `/upload?name=${encodeURIComponent(file.name)}`);
    sending.upload.addEventListener("progress", (event) => row.tell(event.loaded / event.total, `uploading ${file.name}`));
    row.stop = () => sending.abort();
    sending.addEventListener("abort", () => row.end(`${file.name}: stopped`));
    sending.addEventListener("error", () => row.end(`${file.name} can’t be taken in`));
    sending.addEventListener("load", async () => {
      if (sending.status !== 200) {
        row.end(sending.responseText.slice(0, 300));
        return;
      }
      const kept = JSON.parse(sending.responseText);
      row.end("", [`${kept.name} is in the folder`, kept.talk ? [`/talk/${encodeURI(kept.name)}`, "open it"] : null]);
      if (!kept.talk) await this.hear(kept.name);
    });
    sending.send(file);
    row.tell(0, `uploading ${file.name}`);
  }

  async hear(name) {
    const about = make("input", { type: "text", id: "about", placeholder: "Caro-Kann, or an ECO code" });
    const content = make(
      "div",
      {},
      make("p", {}, "It is written down as captions with the words’ times, on this machine; that takes a part of its length."),
      make("p", {}, make("label", { for: "about" }, "What is the talk about? "), about),
    );
    const answer = await ask(`Write down ${name}?`, content, [["yes", "Write it down"], ["", "Not now"]]);
    if (answer === "yes") await this.try(() => post("/hear", { recording: name, about: about.value }));
  }

  async build(film) {
    await this.try(() => post("/build", { talk: this.talk, film }));
  }

  async buildCourse() {
    const folder = this.talk.slice(0, Math.max(0, this.talk.lastIndexOf("/")));
    await this.try(() => post("/course", { folder }));
  }

  async try(work) {
    try {
      await work();
    } catch (error) {
      this.row(`trouble-${Date.now()}`).end(error.message);
    }
  }

  /** News of a job. @param {import("./to_manuscript").JobNews} news */
  job(news) {
    const row = this.row(`job-${news.job}`);
    row.stop = () => post("/stop", { job: news.job });
    const name = `${DOING[news.kind]} ${news.talk}`.trimEnd();
    if (news.state === "running") row.tell(news.part, `${name}: ${news.words}`);
    else if (news.state === "failed") row.end(`${news.why}. ${news.todo}`);
    else if (news.state === "stopped") row.end(`${name}: stopped`);
    else if (news.kind === "check") row.end(`${news.talk} is checked with the engine; ${news.words}`);
    else if (news.kind === "hear") {
      row.end("", [news.words, [`/talk/${encodeURI(news.captions)}`, `open ${news.captions}`]]);
    } else if (news.kind === "course") {
      const first = `/made/${encodeURI(news.talk && `${news.talk}/`)}course/index.html`;
      row.end("", [`the course is built: ${[news.words, ...news.notes].join("; ")}`, [first, "open it"]]);
    } else {
      const slash = news.talk.lastIndexOf("/") + 1;
      const stem = news.talk.slice(slash).replace(/\.[^.]*$/, "");
      const folder = `/made/${encodeURI(`${news.talk.slice(0, slash)}lessons/${stem}`)}`;
      row.end("", [
        `the lesson of ${stem} is built${news.fails ? `; ${news.fails} claims fail` : ""}: `,
        ...news.files.map((file) => [`${folder}/${encodeURIComponent(file)}`, file]),
        ...news.notes.map((note) => ` ${note};`),
      ]);
    }
  }

  row(key) {
    const known = this.rows.get(key);
    if (known) return known;
    const words = make("span", { role: "status" });
    const bar = make("progress", { max: 1, value: 0, "aria-label": "progress" });
    const row = { stop: () => {} };
    const stop = make("button", { type: "button", onclick: () => row.stop() }, "stop");
    const item = make("li", {}, words, bar, stop);
    row.tell = (part, said) => {
      words.textContent = said;
      bar.value = part;
    };
    row.end = (said, links = []) => {
      bar.remove();
      words.replaceChildren(
        said,
        ...links.filter(Boolean).flatMap((link) =>
          Array.isArray(link) ? [" ", make("a", { href: link[0], target: "_blank", rel: "noopener" }, link[1])] : [link],
        ),
      );
      stop.textContent = "put away";
      row.stop = () => {
        item.remove();
        this.rows.delete(key);
      };
    };
    this.place.append(item);
    this.rows.set(key, row);
    return row;
  }
}
