/** Dictation: the microphone's sound goes to the desk, phrases come back as words. */

/** Samples a second that the recogniser takes. */
const RATE = 16000;

export class Dictation {
  /**
   * @param {HTMLButtonElement} button
   * @param {{phrase: (text: string) => void, state: (words: string) => void, about: () => string}} told
   */
  constructor(button, told) {
    this.button = button;
    this.told = told;
    this.socket = null;
    this.close = () => {};
  }

  toggle() {
    if (this.socket) this.stop();
    else this.start();
  }

  /** The model is loaded first; the microphone is only open while it is heard. */
  start() {
    const about = encodeURIComponent(this.told.about());
    const socket = new WebSocket(`${location.origin.replace(/^http/, "ws")}/dictate?about=${about}`);
    this.socket = socket;
    this.show(true);
    this.told.state("loading the speech model");
    socket.addEventListener("message", (event) => this.take(JSON.parse(event.data)));
    socket.addEventListener("close", () => {
      this.close();
      this.socket = null;
      this.show(false);
    });
  }

  /** What was said before is still heard. */
  stop() {
    this.close();
    if (this.socket.readyState === WebSocket.OPEN) this.socket.send(JSON.stringify({ do: "end" }));
    else this.socket.close();
  }

  take(message) {
    if (message.what === "ready") this.listen();
    else if (message.what === "speaking") this.button.classList.toggle("speaking", message.now);
    else if (message.what === "phrase") this.told.phrase(message.text);
    else if (message.what === "ended") this.socket.close();
    else if (message.what === "trouble") this.told.state(`${message.why}. ${message.todo}`);
  }

  async listen() {
    const { socket } = this;
    let stream = null;
    try {
      stream = await navigator.mediaDevices.getUserMedia({
        audio: { channelCount: 1, echoCancellation: true, noiseSuppression: true, autoGainControl: true },
      });
    } catch (error) {
      this.told.state(`the microphone can’t be used: ${error.message}`);
      socket.close();
      return;
    }
    const sound = new AudioContext({ sampleRate: RATE });
    this.close = () => {
      for (const track of stream.getTracks()) track.stop();
      if (sound.state !== "closed") sound.close();
    };
    await sound.audioWorklet.addModule("/static/microphone.js");
    const node = new AudioWorkletNode(sound, "microphone", { numberOfOutputs: 0 });
    node.port.onmessage = (event) => socket.readyState === WebSocket.OPEN && socket.send(event.data);
    sound.createMediaStreamSource(stream).connect(node);
    this.told.state("listening");
  }

  show(on) {
    this.button.setAttribute("aria-pressed", String(on));
    this.button.textContent = on ? "Stop dictating" : "Dictate";
    this.button.classList.remove("speaking");
  }
}
