// A countdown that is told how many milliseconds remain, and asks again at zero, when it becomes visible, and now and
// then. After a tap on "Ready" it may sound, shake the phone and keep the screen on, as far as the phone lets it.
// Its numbers of three digits are whole hundreds: it travels to every ballot, where another number could be a code.

const ASK_EVERY = 20_000;

const make = (tag, name, parent) => {
  const made = document.createElement(tag);
  made.className = name;
  parent.append(made);
  return made;
};

const told = ms => {
  const s = Math.max(0, Math.ceil(ms / 1000)), h = Math.floor(s / 3600), two = n => String(n).padStart(2, '0');
  return h ? `${h}:${two(Math.floor(s / 60) % 60)}:${two(s % 60)}` : `${Math.floor(s / 60)}:${two(s % 60)}`;
};

class Countdown {
  constructor(root) {
    this.root = root;
    this.label = make('p', 'count-label', root);
    this.clock = make('p', 'count-clock', root);
    this.clock.setAttribute('role', 'timer');
    this.ready = make('button', 'count-ready', root);
    this.ready.type = 'button';
    this.ready.addEventListener('click', () => this.arm());
    document.addEventListener('visibilitychange', this.seen = () => {
      if (document.visibilityState !== 'visible' || this.data?.calm) return;
      this.ask();
      if (this.sound) this.wake();
    });
    this.asked = performance.now();
    this.timer = setInterval(() => this.tick(), 200);
  }

  set(data, send) {
    this.send = send;
    this.data = data;
    if (this.turn !== data.turn) [this.turn, this.rung] = [data.turn, false];
    this.ends = performance.now() + data.remaining;
    this.label.textContent = data.label;
    this.ready.hidden = Boolean(this.sound) || data.calm;
    this.root.classList.toggle('count-calm', data.calm);
    this.root.hidden = Boolean(data.bare);
    this.ready.textContent = data.ready;
    this.tick();
  }

  tick() {
    if (!this.data) return;
    const left = this.ends - performance.now(), now = performance.now();
    const text = left > 0 ? told(left) : this.data.over;
    if (this.clock.textContent !== text) this.clock.textContent = text;
    this.clock.classList.toggle('count-over', left <= 0);
    if (left <= 0 && !this.rung && !this.data.bare) {
      this.rung = true;
      if (this.data.remaining > 0 && !this.data.calm) { this.ring(); this.ask(); }
    }
    if (this.data.asks && now - this.asked > ASK_EVERY) this.ask();
  }

  ask() {
    this.asked = performance.now();
    this.send?.();
  }

  arm() {
    const Sound = window.AudioContext || window.webkitAudioContext;
    this.sound = Sound ? new Sound() : true;
    this.ready.hidden = true;
    this.ring();
    this.wake();
  }

  async wake() {
    if (!window.isSecureContext || !navigator.wakeLock) return;
    try { this.lock = await navigator.wakeLock.request('screen'); } catch { /* the phone says no: nothing relies on it */ }
  }

  ring() {
    if (!this.sound) return;
    navigator.vibrate?.([300, 100, 300]);
    if (this.sound === true) return;
    const tone = this.sound.createOscillator(), gain = this.sound.createGain(), at = this.sound.currentTime;
    tone.frequency.value = 700;
    gain.gain.setValueAtTime(.2, at);
    gain.gain.exponentialRampToValueAtTime(.001, at + .8);
    tone.connect(gain).connect(this.sound.destination);
    tone.start(at);
    tone.stop(at + .8);
  }

  end() {
    clearInterval(this.timer);
    document.removeEventListener('visibilitychange', this.seen);
    this.lock?.release?.();
    this.sound?.close?.();
  }
}

export default function ({ parentElement, data: [data], setTriggerValue }) {
  let root = parentElement.querySelector('.count');
  if (!root) {
    root = make('div', 'count', parentElement);
    root.countdown = new Countdown(root);
  }
  root.countdown.set(data, () => setTriggerValue('ask', true));
  return () => { if (!root.isConnected) root.countdown.end(); };
}
