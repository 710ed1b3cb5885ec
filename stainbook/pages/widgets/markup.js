// Runs again on every rerun: handlers are properties, so that they replace the old ones.
const STEPS = { ArrowLeft: ['left', -1], ArrowRight: ['right', 1], ArrowUp: ['up', -1], ArrowDown: ['down', 1] };

export default function ({ data, parentElement, setTriggerValue }) {
  const box = parentElement.querySelector('.stainbook');
  const focused = box.getRootNode().activeElement?.closest?.('[data-key]')?.dataset.key;
  if (box.markup !== data.markup) {
    box.innerHTML = data.markup;
    box.markup = data.markup;
  }
  box.reach ??= new ResizeObserver(() => { // what scrolls at this width is reached by keys too
    for (const list of box.querySelectorAll('.table, .zones, .sheet')) {
      const scrolls = list.scrollHeight > list.clientHeight + 1 || list.scrollWidth > list.clientWidth + 1;
      if (scrolls && !list.querySelector('[data-key]')) list.tabIndex = 0;
    }
  });
  box.reach.observe(box);
  if (data.label === null) return;
  const many = Array.isArray(data.many) ? new Set(data.many) : null;
  const also = Array.isArray(data.also) ? new Set(data.also) : null; // chosen beside the one that is shown
  box.setAttribute('role', many ? 'group' : also ? 'listbox' : 'radiogroup');
  if (also) box.setAttribute('aria-multiselectable', 'true');
  box.setAttribute('aria-label', data.label);
  const items = [...box.querySelectorAll('[data-key]')];
  const find = (key) => items.find((item) => item.dataset.key === key);

  const mark = (chosen) => {
    const current = find(chosen) ?? items[0];
    const isChosen = (item) =>
      many ? many.has(item.dataset.key) : item.dataset.key === chosen || Boolean(also?.has(item.dataset.key));
    for (const item of items) {
      item.setAttribute('role', many ? 'checkbox' : also ? 'option' : 'radio');
      item.setAttribute(also ? 'aria-selected' : 'aria-checked', String(isChosen(item)));
      item.setAttribute('tabindex', item === current ? '0' : '-1');
    }
    const drawings = new Set(items.map((item) => item.closest('svg')));
    for (const drawing of drawings) {
      const inside = items.filter((item) => isChosen(item) && item.closest('svg') === drawing);
      const outline = inside.map((item) => item.getAttribute('d') ?? '').join('');
      for (const ring of drawing?.querySelectorAll('.ring') ?? []) ring.setAttribute('d', outline);
    }
  };

  let shown = data.chosen;
  const extend = (item, adds) => {
    const key = item.dataset.key;
    if (!adds) {
      also.clear();
      shown = key;
    } else if (also.has(key)) {
      also.delete(key);
    } else if (key !== shown) {
      also.add(shown);
      shown = key;
    } else if (also.size) {
      shown = [...also].pop();
      also.delete(shown);
    }
    mark(shown);
    item.focus({ preventScroll: false });
    setTriggerValue('picked', [shown, ...[...also].filter((one) => one !== shown)]);
  };

  const choose = (item, shift) => {
    if (also) return extend(item, shift || data.more);
    const key = item.dataset.key;
    if (many && !many.delete(key)) many.add(key);
    mark(key);
    item.focus({ preventScroll: false });
    setTriggerValue('picked', many ? [...many] : key);
  };

  const walkTo = (item) => {
    mark(item.dataset.key);
    item.focus({ preventScroll: false });
  };

  items.forEach((item, index) => {
    item.onclick = (event) => choose(item, event.shiftKey);
    item.onkeydown = (event) => {
      if (event.key === ' ' || event.key === 'Enter') {
        event.preventDefault();
        choose(item, event.shiftKey);
      }
      const step = STEPS[event.key];
      if (!step) return;
      event.preventDefault();
      const [side, by] = step;
      const next = box.querySelector('[data-left]') ? find(item.dataset[side]) : items[index + by];
      if (!next) return;
      if (many) walkTo(next);
      else if (also) extend(next, event.shiftKey);
      else choose(next);
    };
  });

  for (const number of box.querySelectorAll('[data-tooth]')) { // of drawings where several zones may be chosen
    const own = items.filter((item) => item.dataset.key.startsWith(`${number.dataset.tooth} `));
    number.classList.toggle('pressable', Boolean(many && own.length));
    number.onclick = !many || !own.length ? null : () => {
      const whole = own.every((item) => many.has(item.dataset.key));
      for (const item of own) many[whole ? 'delete' : 'add'](item.dataset.key);
      mark(own[0].dataset.key);
      setTriggerValue('picked', [...many]);
    };
  }

  mark(many ? (focused ?? null) : data.chosen);
  const list = box.querySelector('[data-scroll]');
  const row = list && find(data.chosen);
  if (row && !focused) list.scrollTop = row.offsetTop - list.clientHeight / 2;
  if (focused) ((many ? null : find(data.chosen)) ?? find(focused))?.focus({ preventScroll: true });
}
