// Four tones that differ in rhythm, so that they can be told apart without a musical ear and over a fan:
//   noted  one short         (heard, nothing to decide)
//   go     two short
//   ask    short, long
//   stop   three long, low
// Browsers allow sound only after the first touch or key.

const SHORT = 0.07, LONG = 0.28, GAP = 0.09;
const rhythms = {
    noted: {hertz: 880, beats: [SHORT]},
    go: {hertz: 988, beats: [SHORT, SHORT]},
    ask: {hertz: 587, beats: [SHORT, LONG]},
    stop: {hertz: 208, beats: [LONG, LONG, LONG]},
};

let audio = null;
let wanted = localStorage.getItem('ambershelf-sound') !== 'off';

function wake() {
    if (!wanted)
        return;
    audio = audio || new AudioContext();
    if (audio.state === 'suspended')
        audio.resume();
}

for (const type of ['pointerdown', 'keydown'])
    addEventListener(type, wake, {capture: true, passive: true});

export function tones_are_on() {
    return wanted;
}

export function switch_tones(on) {
    wanted = on;
    localStorage.setItem('ambershelf-sound', on ? 'on' : 'off');
    wake();
}

function beat(hertz, from, seconds) {
    const tone = audio.createOscillator(), loudness = audio.createGain();
    tone.type = 'triangle';
    tone.frequency.value = hertz;
    loudness.gain.setValueAtTime(0, from);
    loudness.gain.linearRampToValueAtTime(0.4, from + 0.01);
    loudness.gain.setValueAtTime(0.4, from + seconds - 0.02);
    loudness.gain.linearRampToValueAtTime(0, from + seconds);
    tone.connect(loudness).connect(audio.destination);
    tone.start(from);
    tone.stop(from + seconds);
}

export function play(name) {
    if (!wanted || !audio || audio.state !== 'running')
        return;
    const {hertz, beats} = rhythms[name];
    let at = audio.currentTime + 0.01;
    for (const seconds of beats) {
        beat(hertz, at, seconds);
        at += seconds + GAP;
    }
}

/** The tone of an answer: what the person has to do about it. */
export function tone_of(view) {
    if (view.verdict === 'stop' || view.verdict === 'ask')
        return view.verdict;
    return view.booked || view.step === 'check-out' ? 'go' : 'noted';
}
