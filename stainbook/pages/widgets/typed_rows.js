// Runs again on every rerun: the fields stay as they are unless other rows, or a new round, are asked for.
const AXES = ['L*', 'a*', 'b*'];
const store = (name) => `stainbook rows ${name}`;

export default function ({ data, parentElement, setStateValue }) {
  const box = parentElement.querySelector('.typed-rows');
  for (const name of data.drop) forget(name); // stored, and nothing typed since
  if (!data.groups.length) return;
  const form = JSON.stringify([data.name, data.round, data.groups]);
  if (box.form !== form) {
    const again = box.round !== undefined && box.round !== data.round;
    build(box, data.groups);
    box.form = form;
    box.round = data.round;
    fill(box, data.values);
    const draft = again || Object.keys(data.values).length ? null : read(data.name);
    if (draft) {
      fill(box, draft);
      setStateValue('typed', typed(box));
    }
  }
  const fields = [...box.querySelectorAll('input')];
  const send = () => {
    write(data.name, typed(box));
    setStateValue('typed', typed(box));
  };
  fields.forEach((field, place) => {
    field.oninput = () => write(data.name, typed(box));
    field.onchange = send;
    field.onpaste = (event) => {
      const text = event.clipboardData?.getData('text') ?? '';
      if (spread(text, fields, place)) {
        event.preventDefault();
        send();
      }
    };
    field.onkeydown = (event) => {
      const by = { Enter: 1, ArrowDown: 3, ArrowUp: -3 }[event.key];
      if (!by) return;
      event.preventDefault();
      const last = event.key === 'Enter' ? spread(field.value, fields, place) : 0;
      const next = fields[last ? place - (place % 3) + last : place + by];
      if (last) send();
      if (next) {
        next.focus();
        next.select();
      } else field.blur();
    };
  });
  for (const row of box.querySelectorAll('.typed-row')) {
    const why = data.wrong[row.dataset.row];
    row.querySelector('.why').textContent = why ?? '';
    for (const field of row.querySelectorAll('input')) field.setAttribute('aria-invalid', String(Boolean(why)));
  }
}

function build(box, groups) {
  box.replaceChildren(
    ...groups.map((group) => {
      const section = node('section');
      section.append(node('h3', group.title));
      for (const [key, name] of group.rows) {
        const row = node('div', '', 'typed-row');
        row.dataset.row = key;
        row.append(node('span', name, 'name'));
        AXES.forEach((axis, place) => {
          const label = node('label');
          label.append(node('span', axis, 'axis'));
          const field = node('input');
          field.type = 'text';
          field.inputMode = place ? 'text' : 'decimal';
          field.autocomplete = 'off';
          field.maxLength = 40;
          field.setAttribute('aria-label', [group.title, name, axis].filter(Boolean).join(', '));
          label.append(field);
          row.append(label);
        });
        const why = node('span', '', 'why');
        why.setAttribute('role', 'status');
        row.append(why);
        section.append(row);
      }
      return section;
    }),
  );
}

function node(kind, text = '', name = '') {
  const made = document.createElement(kind);
  made.textContent = text;
  if (name) made.className = name;
  return made;
}

function typed(box) {
  const rows = {};
  for (const row of box.querySelectorAll('.typed-row'))
    rows[row.dataset.row] = [...row.querySelectorAll('input')].map((field) => field.value);
  return rows;
}

function fill(box, values) {
  for (const row of box.querySelectorAll('.typed-row')) {
    const own = values[row.dataset.row] ?? [];
    row.querySelectorAll('input').forEach((field, place) => (field.value = own[place] ?? ''));
  }
}

// Rows that were pasted, or three numbers typed into one field: the number of fields that they fill, 0 for one number.
function spread(text, fields, place) {
  const numbers = text.match(/[-+−]?\d+(?:[.,]\d+)?/g) ?? [];
  if (numbers.length < 3 || numbers.length % 3) return 0;
  const start = place - (place % 3);
  numbers.slice(0, fields.length - start).forEach((one, i) => (fields[start + i].value = one));
  return numbers.length;
}

// The browser's own copy, of this tab alone; where it keeps none nothing is lost but a reload in the middle.
function read(name) {
  try {
    return JSON.parse(sessionStorage.getItem(store(name)));
  } catch {
    return null;
  }
}

function write(name, rows) {
  try {
    sessionStorage.setItem(store(name), JSON.stringify(rows));
  } catch {
    // kept in the session of the page alone
  }
}

function forget(name) {
  try {
    sessionStorage.removeItem(store(name));
  } catch {
    // there was none
  }
}
