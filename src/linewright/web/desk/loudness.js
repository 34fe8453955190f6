/** The microphone's loudness, noted in the run so that a recording made elsewhere can be lined up by its sound. */

import { RATE, listen } from "./listening.js";

/** Samples in one value: a twentieth of a second. */
const PIECE = RATE / 20;
/** Values that are sent at once: two seconds. */
const BATCH = 40;

export class Loudness {
  /** @param {(levels: number[], every: number) => void} send */
  constructor(send) {
    this.send = send;
    /** @type {(() => void) | null} */
    this.stop = null;
    this.levels = [];
    this.sum = 0;
    this.count = 0;
  }

  /** Begins to note, or stops; whether it notes now. */
  async toggle() {
    if (this.stop) {
      this.stop();
      this.stop = null;
      return false;
    }
    this.stop = await listen(false, (samples) => this.take(new Int16Array(samples)));
    return true;
  }

  take(samples) {
    for (const sample of samples) {
      this.sum += (sample / 32768) ** 2;
      this.count += 1;
      if (this.count === PIECE) {
        this.levels.push(Number(Math.sqrt(this.sum / PIECE).toFixed(4)));
        [this.sum, this.count] = [0, 0];
      }
    }
    if (this.levels.length >= BATCH) {
      this.send(this.levels, PIECE / RATE);
      this.levels = [];
    }
  }
}

/** Seconds of the clap. */
const CLAP = 0.03;
let speaker = null;

/**
 * A sharp sound from this machine's loudspeaker, as if hands were clapped: recordings in the room hear it.
 * Seconds until it sounds, as far as the browser knows.
 */
export function click() {
  speaker ??= new AudioContext();
  const length = Math.round(speaker.sampleRate * CLAP);
  const noise = speaker.createBuffer(1, length, speaker.sampleRate);
  const samples = noise.getChannelData(0);
  for (let i = 0; i < length; i++) samples[i] = (Math.random() * 2 - 1) * (1 - i / length) ** 3;
  const source = speaker.createBufferSource();
  source.buffer = noise;
  source.connect(speaker.destination);
  source.start();
  return (speaker.baseLatency || 0) + (speaker.outputLatency || 0);
}
