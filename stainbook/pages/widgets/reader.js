// Runs again on every rerun; what is typed meanwhile stays, and is sent until the page says that it was taken.
const NUMBER = /[-+\u2212]?\d+(?:[.,]\d+)?/g;
const KEYS = ['7', '8', '9', '4', '5', '6', '1', '2', '3', ',', '0', '\u2212'];

const make = (tag, name, text) => {
  const found = document.createElement(tag);
  if (name) found.className = name;
  if (text) found.textContent = text;
  return found;
};

export default function ({ data, parentElement, setStateValue }) {
  const box = parentElement.querySelector('.reader');
  for (const place of data.forget ?? []) { // stored, and nothing typed since
    try { sessionStorage.removeItem(place); sessionStorage.removeItem(`${place} half`); } catch { /* none was kept */ }
  }
  if (!data.rows.length) return;
  const state = (box.reader ??= { at: 0, typed: [], local: {}, jump: null });
  const recall = () => {
    try { return JSON.parse(sessionStorage.getItem(data.place) ?? '[]'); } catch { return []; }
  };
  const remember = () => {
    try { sessionStorage.setItem(data.place, JSON.stringify(state.typed)); } catch { /* a browser that keeps nothing */ }
  };
  const half = (text) => { // numbers of a row that is not whole yet
    try {
      const value = JSON.stringify({ key: data.rows[state.at]?.key, text });
      if (text.trim()) sessionStorage.setItem(`${data.place} half`, value);
      else sessionStorage.removeItem(`${data.place} half`);
    } catch { /* a browser that keeps nothing */ }
  };
  const halfTyped = () => {
    try { return JSON.parse(sessionStorage.getItem(`${data.place} half`) ?? 'null'); } catch { return null; }
  };
  const first = !box.input;
  if (state.place !== data.place) {
    state.place = data.place;
    state.typed = recall();
    state.local = Object.fromEntries(state.typed.map((one) => [one.key, one.text]));
    if (state.typed.length) setTimeout(() => setStateValue('typed', [...state.typed]), 0);
    state.at = -1;
  }
  const taken = new Set(data.done);
  state.typed = state.typed.filter((one) => !taken.has(one.id));
  for (const one of state.typed) { // what was answered is not asked again after a reload
    const meant = (data.answered ?? {})[one.id];
    if (meant) Object.assign(one, { text: meant, sure: true });
  }
  remember();
  const rows = data.rows;
  const read = (row) => Boolean(row.got || state.local[row.key]);
  for (const row of rows) if (row.got) delete state.local[row.key];
  const next = (from) => {
    for (let step = 1; step <= rows.length; step += 1) {
      const place = (from + step) % rows.length;
      if (!read(rows[place])) return place;
    }
    return Math.min(Math.max(from + 1, 0), rows.length - 1); // all read: a correction goes on to the next row too
  };
  if (state.at < 0 || state.at >= rows.length) state.at = next(-1);
  const left = first ? halfTyped() : null;
  const leftAt = left ? rows.findIndex((row) => row.key === left.key) : -1;
  if (leftAt >= 0) state.at = leftAt;
  if (data.go[0] !== state.jump) {
    const place = rows.findIndex((row) => row.key === data.go[1]);
    if (place >= 0 && data.go[0]) state.at = place;
    state.jump = data.go[0];
  }

  if (first) {
    box.head = make('div', 'head');
    box.name = make('div', 'name');
    box.note = make('div', 'note');
    box.line = make('div', 'line');
    box.input = make('input', 'numbers');
    Object.assign(box.input, { type: 'text', autocomplete: 'off', spellcheck: false, enterKeyHint: 'next' });
    box.beside = make('div', 'beside');
    box.back = make('button', 'step');
    box.skip = make('button', 'step');
    box.line.append(box.back, box.input, box.skip);
    box.head.append(box.name, box.note);
    box.axes = make('div', 'axes');
    box.axes.setAttribute('aria-hidden', 'true');
    box.axes.append(...['L*', 'a*', 'b*'].map((one) => make('span', '', one)));
    box.pad = make('div', 'pad');
    box.replaceChildren(box.head, box.axes, box.line, box.beside, box.pad);
    if (leftAt >= 0) box.input.value = left.text;
  }
  const axis = () => { // which of the three is typed now: "next" ends a number, and the field looks the same
    const text = box.input.value;
    const whole = (text.match(NUMBER) ?? []).length - (text && !/\s$/.test(text) ? 1 : 0);
    [...box.axes.children].forEach((one, place) => one.classList.toggle('now', place === Math.min(2, Math.max(0, whole))));
  };
  box.input.oninput = () => { half(box.input.value); axis(); };
  const touched = window.matchMedia('(pointer: coarse)').matches;
  box.input.inputMode = touched ? 'none' : 'text'; // the key pad below is larger than the system's

  const draw = () => {
    const row = rows[state.at];
    const left = rows.filter((one) => !read(one)).length;
    box.name.textContent = row.name;
    box.note.textContent = row.note;
    box.input.placeholder = 'L* a* b*';
    box.input.setAttribute('aria-label', data.words.field.replace('%s', row.name));
    const got = row.got || state.local[row.key] || '';
    const said = [
      row.expected ? `${data.words.expected} ${row.expected}` : '',
      got ? `${data.words.got} ${got}` : '',
      left ? data.words.left.replace('%s', left) : data.words.all,
    ];
    box.beside.replaceChildren(...said.filter(Boolean).map((one) => make('span', '', one)));
    box.back.textContent = '\u2039';
    box.skip.textContent = '\u203a';
    box.back.setAttribute('aria-label', data.words.back);
    box.skip.setAttribute('aria-label', data.words.skip);
    axis();
  };
  const walk = (by) => {
    state.at = (state.at + by + rows.length) % rows.length;
    box.input.value = '';
    draw();
    box.input.focus();
  };
  const enter = () => {
    const found = box.input.value.match(NUMBER) ?? [];
    if (!found.length) return;
    if (found.length < 3) { // an instrument that ends each number with Enter or Tab
      box.input.value = `${found.join(' ')} `;
      half(box.input.value);
      axis();
      return;
    }
    if (found.length === 3 * rows.length) state.at = 0; // all rows at once begin with the first
    for (let place = 0; place + 3 <= found.length && place < 3 * rows.length; place += 3) { // of a paste, row by row
      const row = rows[state.at];
      const text = found.slice(place, place + 3).join(' ');
      state.typed.push({ id: `${Date.now()}-${Math.random().toString(36).slice(2, 8)}`, key: row.key, text });
      state.local[row.key] = text;
      state.at = next(state.at);
    }
    remember();
    box.input.value = '';
    half('');
    draw();
    setStateValue('typed', [...state.typed]);
  };
  box.input.onkeydown = (event) => {
    const found = (box.input.value.match(NUMBER) ?? []).length;
    if (event.key === 'Enter' || (event.key === 'Tab' && !event.shiftKey && found)) {
      event.preventDefault();
      enter();
    } else if (event.key === 'ArrowUp' || event.key === 'ArrowDown') {
      event.preventDefault();
      walk(event.key === 'ArrowUp' ? -1 : 1);
    }
  };
  box.input.onpaste = (event) => {
    const text = event.clipboardData?.getData('text') ?? '';
    if (!/[\n\t]/.test(text)) return;
    event.preventDefault(); // a field of one line would glue the rows together
    box.input.value = text.replace(/\s+/g, ' ');
    enter();
  };
  box.back.onclick = () => walk(-1);
  box.skip.onclick = () => walk(1);
  if (touched) {
    const keys = KEYS.map((sign) => {
      const key = make('button', 'key', sign);
      key.onclick = () => { box.input.value += sign === '\u2212' ? '-' : sign; axis(); };
      return key;
    });
    const wipe = make('button', 'key', '\u232b');
    wipe.setAttribute('aria-label', data.words.wipe);
    wipe.onclick = () => { box.input.value = box.input.value.trimEnd().slice(0, -1); axis(); };
    const on = make('button', 'key on', data.words.next);
    on.onclick = enter;
    box.pad.replaceChildren(...keys, wipe, on);
  }
  draw();
  if (first || data.go[0]) {
    const busy = document.activeElement?.closest?.('input, textarea, [contenteditable]');
    if (!busy) box.input.focus({ preventScroll: true });
  }
}
