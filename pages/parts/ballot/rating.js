// One screen of ratings, or one ranking: nothing is set beforehand, and after each change all of it is told to the
// server, so that a message lost on the way is made good by the next.

const FIRST_STEPS = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: 10, PageDown: -10 };

const make = (tag, name, text = '') => {
  const made = document.createElement(tag);
  made.className = name;
  made.textContent = text;
  return made;
};

const button = (name, text, act) => {
  const made = make('button', name, text);
  made.type = 'button';
  made.addEventListener('click', act);
  return made;
};

// What every row has: its words, its answer, and how a changed answer is shown and told.
class Row {
  constructor(row, at, screen) {
    Object.assign(this, row, { at, screen, id: `rate-${at}` });
    this.box = make('div', 'rate-row');
    this.box.setAttribute('role', 'group');
    this.box.setAttribute('aria-labelledby', this.id);
  }

  get value() { return this.screen.values[this.at]; }

  set(value, later = false) {
    this.screen.values[this.at] = value;
    this.box.classList.remove('rate-missing');
    this.show();
    this.screen.tell(later);
  }

  head() {
    const head = make('div', 'rate-head'), name = make('span', 'rate-name', this.title);
    name.id = this.id;
    const outs = make('span', 'rate-outs');
    this.outs = this.out.map(word => {
      const one = button('rate-out', word, () => this.set(word));
      outs.append(one);
      return one;
    });
    head.append(name, outs);
    this.box.append(head);
    if (this.meaning) this.box.append(make('p', 'rate-meaning', this.meaning));
  }

  showOuts() { this.outs.forEach((one, i) => one.setAttribute('aria-pressed', String(this.out[i] === this.value))); }

  ends() {
    const ends = make('div', 'rate-ends');
    ends.append(make('span', '', this.low), make('span', '', this.high));
    this.box.append(ends);
  }
}

// An unstructured line. A spin button and not a slider, because only that may say that it has no value yet.
class Line extends Row {
  build() {
    this.head();
    this.bar = make('div', 'rate-line');
    this.track = make('div', 'rate-track');
    this.mark = make('i', 'rate-mark');
    this.track.append(this.mark);
    this.bar.append(this.track);
    const said = { role: 'spinbutton', tabindex: '0', 'aria-valuemin': '0', 'aria-valuemax': '10' };
    Object.entries({ ...said, 'aria-labelledby': this.id }).forEach(([key, text]) => this.bar.setAttribute(key, text));
    this.box.append(this.bar);
    this.ends();
    this.listen();
    return this.box;
  }

  listen() {
    const seen = event => {
      const { left, width } = this.track.getBoundingClientRect();
      return (10 * Math.min(1, Math.max(0, (event.clientX - left) / width))).toFixed(1);
    };
    let held = false;
    this.bar.addEventListener('pointerdown', event => {
      held = event.isPrimary && !event.button;
      if (held) this.bar.setPointerCapture(event.pointerId);
    });
    this.bar.addEventListener('pointermove', event => held && this.draw(seen(event)));
    this.bar.addEventListener('pointerup', event => { if (held) this.set(seen(event)); held = false; });
    this.bar.addEventListener('pointercancel', () => { held = false; this.show(); });  // it was a scroll
    this.bar.addEventListener('keydown', event => this.key(event));
    this.bar.addEventListener('blur', () => this.screen.flush());
  }

  key(event) {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const to = this.reached(event.key);
    if (to === null) return;
    event.preventDefault();
    this.set(to.toFixed(1), true);
  }

  reached(key) {
    if (/^\d$/.test(key)) return Number(key);
    if (key === 'Home') return 0;
    if (key === 'End') return 10;
    const step = FIRST_STEPS[key], now = Number(this.value);
    if (!step) return null;
    if (this.value === undefined || Number.isNaN(now)) return step > 0 ? 0 : 10;
    return Math.min(10, Math.max(0, now + step / 10));
  }

  draw(value) {
    const marked = value !== undefined && !Number.isNaN(Number(value));
    this.mark.hidden = !marked;
    if (marked) this.mark.style.left = `${10 * value}%`;
    if (marked) this.bar.setAttribute('aria-valuenow', value); else this.bar.removeAttribute('aria-valuenow');
    const { unmarked, between } = this.screen.words;
    const told = between.replace('{value}', value).replace('{low}', this.low).replace('{high}', this.high);
    this.bar.setAttribute('aria-valuetext', marked ? told : value ?? unmarked);
  }

  show() { this.draw(this.value); this.showOuts(); }

  focus() { this.bar.focus({ preventScroll: true }); }
}

// A few options of which one is chosen; the arrow keys move among them, space and enter choose.
class Options extends Row {
  build() {
    this.head();
    const group = make('div', 'rate-options');
    group.style.setProperty('--columns', this.columns);
    group.setAttribute('role', 'radiogroup');
    group.setAttribute('aria-labelledby', this.id);
    this.buttons = this.options.map(word => button('rate-option', word, () => this.set(word)));
    this.buttons.forEach(one => one.setAttribute('role', 'radio'));
    group.append(...this.buttons);
    group.addEventListener('keydown', event => this.move(event));
    this.box.append(group);
    if (this.low || this.high) this.ends();
    return this.box;
  }

  move(event) {
    const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    const from = this.buttons.indexOf(document.activeElement);
    if (!step || from < 0) return;
    event.preventDefault();
    this.buttons[(from + step + this.buttons.length) % this.buttons.length].focus();
  }

  show() {
    const chosen = this.options.indexOf(this.value);
    this.buttons.forEach((one, i) => {
      one.setAttribute('aria-checked', String(i === chosen));
      one.tabIndex = i === Math.max(0, chosen) ? 0 : -1;
    });
    this.showOuts();
  }

  focus() { this.buttons[0].focus({ preventScroll: true }); }
}

// One word of a list of which all that apply are ticked; what is not ticked counts as no.
class Tick extends Row {
  build() {
    const [off, on] = this.options;
    this.box = button('rate-tick', this.title, () => this.set(this.value === on ? off : on));
    return this.box;
  }

  show() { this.box.setAttribute('aria-pressed', String(this.value === this.options[1])); }

  focus() { this.box.focus({ preventScroll: true }); }
}

// Codes put in order by tapping the best first; a placed code that is tapped again is taken back.
class Ranking extends Row {
  get placed() { return this.value ? this.value.split('>') : []; }

  build() {
    this.said = make('p', 'rate-said');
    this.said.setAttribute('role', 'status');
    this.buttons = this.options.map((code, i) => {
      const one = button('rate-place', '', () => this.place(code));
      one.append(make('b', 'rate-rank'), make('span', 'rate-code', code), make('span', 'rate-site', this.sites[i] || ''));
      return one;
    });
    const { undo } = this.screen.words;
    this.undo = button('rate-undo', undo, () => this.set(this.placed.slice(0, -1).join('>')));
    this.box.removeAttribute('aria-labelledby');
    this.box.setAttribute('aria-label', this.title);
    this.box.append(this.said, ...this.buttons, this.undo);
    return this.box;
  }

  place(code) {
    const rest = this.placed.filter(one => one !== code);
    this.set((rest.length < this.placed.length ? rest : [...rest, code]).join('>'));
  }

  show() {
    const { places, placing } = this.screen.words, count = this.placed.length;
    this.buttons.forEach((one, i) => {
      const rank = this.placed.indexOf(this.options[i]);
      one.querySelector('b').textContent = rank < 0 ? '' : places[rank];
      one.setAttribute('aria-pressed', String(rank >= 0));
    });
    this.said.textContent = placing[count];
    this.undo.disabled = count === 0;
  }

  focus() { this.buttons[0].focus({ preventScroll: true }); }
}

const CONTROLS = { line: Line, options: Options, tick: Tick, ranking: Ranking };

class Screen {
  constructor(root, data) {
    Object.assign(this, { root, words: data.words, name: data.screen, values: { ...data.values }, waiting: 0 });
    root.replaceChildren();
    let ticks = null;
    this.rows = data.rows.map((one, at) => {
      const row = new CONTROLS[one.control](one, at, this);
      if (one.control === 'tick') {
        ticks ??= this.tickList();
        ticks.append(row.build());
        if (one.meaning) ticks.after(make('p', 'rate-meaning', `${one.title}: ${one.meaning}`));
      } else root.append(row.build());
      if (one.apart) row.box.classList.add('rate-apart');
      row.show();
      return row;
    });
  }

  tickList() {
    const box = make('div', 'rate-row'), title = make('p', 'rate-name', this.words.ticks), list = make('div', 'rate-ticks');
    title.id = 'rate-ticks';
    box.setAttribute('role', 'group');
    box.setAttribute('aria-labelledby', title.id);
    box.append(title, list);
    this.root.append(box);
    return list;
  }

  // Keys repeat while they are held: their last word is told when they rest, or when the line is left.
  tell(later) {
    clearTimeout(this.waiting);
    this.waiting = 0;
    if (later) this.waiting = setTimeout(() => this.flush(), 4e2);
    else this.send({ screen: this.name, values: { ...this.values } });
  }

  flush() { if (this.waiting) this.tell(false); }

  showMissing(missing) {
    if (missing.turn === this.missed) return;
    this.missed = missing.turn;
    const rows = this.rows.filter(one => missing.rows.includes(one.at));
    rows.forEach(one => one.box.classList.add('rate-missing'));
    if (!rows.length) return;
    rows[0].focus();
    rows[0].box.scrollIntoView({ block: 'center' });
  }
}

export default function ({ parentElement, data: [data], setStateValue }) {
  let root = parentElement.querySelector('.rate');
  if (!root) parentElement.append(root = make('div', 'rate'));
  if (root.screen?.name !== data.screen) root.screen = new Screen(root, data);
  root.screen.send = state => setStateValue('answers', state);
  root.screen.showMissing(data.missing);
}
