// Runs again on every rerun: handlers are properties, so that they replace the old ones.
const STEPS = { ArrowLeft: ['left', -1], ArrowRight: ['right', 1], ArrowUp: ['up', -1], ArrowDown: ['down', 1] };

export default function ({ data, parentElement, setTriggerValue }) {
  const box = parentElement.querySelector('.stainbook');
  const focused = box.getRootNode().activeElement?.closest?.('[data-key]')?.dataset.key;
  if (box.markup !== data.markup) {
    box.innerHTML = data.markup;
    box.markup = data.markup;
  }
  if (data.label === null) return;
  box.setAttribute('role', 'radiogroup');
  box.setAttribute('aria-label', data.label);
  const items = [...box.querySelectorAll('[data-key]')];
  const find = (key) => items.find((item) => item.dataset.key === key);

  const mark = (chosen) => {
    const current = find(chosen) ?? items[0];
    for (const item of items) {
      item.setAttribute('role', 'radio');
      item.setAttribute('aria-checked', String(item.dataset.key === chosen));
      item.setAttribute('tabindex', item === current ? '0' : '-1');
    }
    const outline = find(chosen)?.getAttribute('d') ?? '';
    for (const ring of box.querySelectorAll('.ring')) ring.setAttribute('d', outline);
  };

  const choose = (item) => {
    mark(item.dataset.key);
    item.focus({ preventScroll: false });
    setTriggerValue('picked', item.dataset.key);
  };

  items.forEach((item, index) => {
    item.onclick = () => choose(item);
    item.onkeydown = (event) => {
      if (event.key === ' ' || event.key === 'Enter') {
        event.preventDefault();
        choose(item);
      }
      const step = STEPS[event.key];
      if (!step) return;
      event.preventDefault();
      const [side, by] = step;
      const next = box.querySelector('[data-left]') ? find(item.dataset[side]) : items[index + by];
      if (next) choose(next);
    };
  });

  mark(data.chosen);
  const list = box.querySelector('[data-scroll]');
  const row = list && find(data.chosen);
  if (row && !focused) list.scrollTop = row.offsetTop - list.clientHeight / 2;
  if (focused) (find(data.chosen) ?? find(focused))?.focus({ preventScroll: true });
}
