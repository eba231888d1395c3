// A recording that goes with a message: chosen, or taken here.

import { $, show } from "./dom.js";
import { say } from "./words.js";

const rate = 24000; // samples a second of what is recorded here; a minute has 3 MB
const longest = 295; // seconds
const asTheyAre = /\.(ogg|opus|oga|wav|mp3|flac)$/i; // what every server can read

export class Take {
  constructor(composer) {
    this.composer = composer;
    $("take-open").addEventListener("click", () => $("take-file").click());
    $("take-file").addEventListener("change", () => this.choose($("take-file").files[0]));
    $("take-record").addEventListener("click", () => this.record());
    $("take-drop").addEventListener("click", () => this.drop());
    show($("take-record"), Boolean(navigator.mediaDevices?.getUserMedia && window.MediaRecorder));
  }

  /** What may be sent: {most, endings}. */
  get limits() {
    return this.composer.pane.desk.room.recording;
  }

  /** Takes a file, if it can be one. A kind that not every server reads is made into
   * WAV, if the browser can. */
  async choose(file) {
    $("take-file").value = "";
    if (!file) return;
    const wrong = this.wrongWith(file);
    if (wrong) {
      this.composer.say(wrong);
      return;
    }
    if (asTheyAre.test(file.name)) {
      this.set(file, file.name);
      return;
    }
    try {
      this.set(await asWAV(file), file.name.replace(/\.[^.]*$/, "") + ".wav");
    } catch {
      if (this.limits.endings.some((end) => file.name.toLowerCase().endsWith(end))) this.set(file, file.name);
      else this.composer.say(say("room.no-recording"));
    }
  }

  wrongWith(file) {
    const { most } = this.limits;
    if (file.size === 0) return say("room.recording-empty");
    if (file.size > most) return say("room.recording-large", { size: file.size >> 20, most: most >> 20 });
    return "";
  }

  set(blob, name) {
    Object.assign(this, { blob, name });
    $("take-name").textContent = name;
    this.composer.say("");
    this.showWhat();
    this.composer.focus();
  }

  /** Leaves the recording out, and stops one under way. */
  drop() {
    this.blob = null;
    this.dropped = true;
    this.recorder?.stop();
    $("take-keep").checked = false;
    this.showWhat();
  }

  showWhat() {
    const has = Boolean(this.blob);
    for (const id of ["take-name", "take-keep-field", "take-drop"]) show($(id), has);
    show($("take-open"), !has && !this.recorder);
    $("take-record").textContent = say(this.recorder ? "room.take-stop" : "room.take-record");
    $("take-record").dataset.say = this.recorder ? "room.take-stop" : "room.take-record";
  }

  /** Begins to record, or ends. */
  async record() {
    if (this.recorder) {
      this.recorder.stop();
      return;
    }
    let stream;
    try {
      // What makes speech clear takes away what is to be measured.
      stream = await navigator.mediaDevices.getUserMedia({ audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false } });
    } catch {
      this.composer.say(say("room.take-no-microphone"));
      return;
    }
    this.blob = null;
    this.dropped = false;
    this.recorder = new MediaRecorder(stream);
    const parts = [];
    const began = Date.now();
    const tick = setInterval(() => {
      const seconds = Math.floor((Date.now() - began) / 1000);
      this.composer.say(say("room.take-recording", { time: Math.floor(seconds / 60) + ":" + String(seconds % 60).padStart(2, "0") }));
      if (seconds >= longest) this.recorder?.stop();
    }, 500);
    this.recorder.ondataavailable = (e) => parts.push(e.data);
    this.recorder.onstop = () => {
      clearInterval(tick);
      for (const track of stream.getTracks()) track.stop();
      this.recorder = null;
      this.composer.say("");
      this.showWhat();
      if (!this.dropped) this.keepTaken(new Blob(parts));
    };
    this.recorder.start();
    this.showWhat();
  }

  async keepTaken(blob) {
    try {
      this.set(await asWAV(blob), "recording.wav");
    } catch {
      this.composer.say(say("room.recording-empty"));
    }
  }

  /** The words to send with the recording. */
  words(text) {
    return $("take-keep").checked ? (text + " " + say("called.keep")).trim() : text;
  }
}

/** Returns a sound as a WAV file of one channel with 16 bits. */
async function asWAV(blob) {
  const sound = await new OfflineAudioContext(1, 1, rate).decodeAudioData(await blob.arrayBuffer());
  const channels = Array.from({ length: sound.numberOfChannels }, (_, i) => sound.getChannelData(i));
  const data = new DataView(new ArrayBuffer(44 + 2 * sound.length));
  const text = (at, s) => [...s].forEach((c, i) => data.setUint8(at + i, c.charCodeAt(0)));
  text(0, "RIFF");
  data.setUint32(4, 36 + 2 * sound.length, true);
  text(8, "WAVEfmt ");
  [[16, 4, 16], [20, 2, 1], [22, 2, 1], [24, 4, rate], [28, 4, 2 * rate], [32, 2, 2], [34, 2, 16]].forEach(([at, bytes, v]) =>
    bytes === 4 ? data.setUint32(at, v, true) : data.setUint16(at, v, true));
  text(36, "data");
  data.setUint32(40, 2 * sound.length, true);
  for (let i = 0; i < sound.length; i++) {
    const mean = channels.reduce((sum, c) => sum + c[i], 0) / channels.length;
    data.setInt16(44 + 2 * i, Math.round(32767 * Math.max(-1, Math.min(1, mean))), true);
  }
  return new Blob([data], { type: "audio/wav" });
}
