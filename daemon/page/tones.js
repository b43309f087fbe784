// The tones themselves. A browser wants a tap before it lets a page sound.

const TONE_S = 0.2;
const LOUDNESS = 0.6;
/// Each tone: when it begins, in seconds, and its pitch in hertz.
const SOUNDS = {
  high: [
    [0, 800],
    [0.3, 700],
    [0.6, 600],
    [1.4, 800],
    [1.7, 600],
  ],
  medium: [
    [0, 700],
    [0.9, 700],
  ],
  good: [
    [0, 600],
    [0.25, 800],
  ],
  low: [[0, 400]],
};
let audio = null;

export const maySound = () => audio !== null;

export function allowSound() {
  audio = new (window.AudioContext ?? window.webkitAudioContext)();
  audio.resume?.();
}

function playTone(at, hertz) {
  const tone = audio.createOscillator();
  const volume = audio.createGain();
  const t = audio.currentTime + at + 0.02;
  tone.frequency.value = hertz;
  volume.gain.setValueAtTime(0, t);
  volume.gain.linearRampToValueAtTime(LOUDNESS, t + 0.02);
  volume.gain.setValueAtTime(LOUDNESS, t + TONE_S - 0.04);
  volume.gain.linearRampToValueAtTime(0, t + TONE_S);
  tone.connect(volume).connect(audio.destination);
  tone.start(t);
  tone.stop(t + TONE_S + 0.02);
}

/// Nothing before it was allowed.
export function play(kind) {
  if (!audio || !SOUNDS[kind]) return;
  for (const [at, hertz] of SOUNDS[kind]) playTone(at, hertz);
}

/// Good news, to hear how loud this screen is.
export function tryIt() {
  if (!maySound()) allowSound();
  play("good");
}
