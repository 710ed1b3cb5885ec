// Outlines over a picture: tap to set points, tap the first point again (or press Enter) to close, Escape to begin anew,
// drag for a rectangle. Coordinates are the picture's own pixels. Handlers are properties, so a rerun replaces them.
const NS = 'http://www.w3.org/2000/svg';

export default function ({ data, parentElement, setTriggerValue }) {
  const box = parentElement.querySelector('.outlines');
  if (box.source !== data.source) {
    box.innerHTML = `<svg viewBox="-0.5 -0.5 ${data.width} ${data.height}" tabindex="0" role="application">
      <image width="${data.width}" height="${data.height}" x="-0.5" y="-0.5"/><g></g></svg>`;
    box.querySelector('image').setAttribute('href', data.source);
    box.source = data.source;
  }
  const svg = box.querySelector('svg'), layer = svg.querySelector('g');
  svg.setAttribute('aria-label', data.label);
  if (box.round !== data.round) { box.open = []; box.round = data.round; }
  const unit = data.width / 100;
  let from = null, moved = false;

  const add = (name, attributes, text) => {
    const node = document.createElementNS(NS, name);
    for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
    if (text) node.textContent = text;
    layer.append(node);
  };
  const line = (points, closed, extra) => {
    const d = 'M' + points.map((p) => p.join(' ')).join('L') + (closed ? 'Z' : '');
    add('path', { d, class: `under ${extra}` });
    add('path', { d, class: `done ${extra}` });
  };
  const draw = (rectangle) => {
    layer.replaceChildren();
    for (const shape of data.shapes) {
      line(shape.points, true, '');
      const [x, y] = shape.points.reduce(([a, b], [c, d]) => [a + c / shape.points.length, b + d / shape.points.length], [0, 0]);
      add('text', { x, y, 'font-size': 1.6 * unit, 'text-anchor': 'middle' }, shape.label);
    }
    if (rectangle) line(rectangle, true, 'open');
    else if (box.open.length) {
      line(box.open, false, 'open');
      for (const [x, y] of box.open) add('circle', { cx: x, cy: y, r: 0.45 * unit, class: 'point' });
    }
  };
  const place = (event) => {
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
    return [Math.min(Math.max(at.x, 0), data.width - 1), Math.min(Math.max(at.y, 0), data.height - 1)];
  };
  const finish = (points) => {
    box.open = [];
    setTriggerValue('outline', points.map(([x, y]) => [Math.round(x * 10) / 10, Math.round(y * 10) / 10]));
  };
  const close = () => { if (box.open.length >= 3) finish(box.open); };
  const corners = ([a, b], [c, d]) => [[Math.min(a, c), Math.min(b, d)], [Math.max(a, c), Math.min(b, d)],
    [Math.max(a, c), Math.max(b, d)], [Math.min(a, c), Math.max(b, d)]];

  svg.onpointerdown = (event) => { from = place(event); moved = false; svg.setPointerCapture(event.pointerId); };
  svg.onpointermove = (event) => {
    if (!from || data.most) return;
    const to = place(event);
    moved ||= Math.hypot(to[0] - from[0], to[1] - from[1]) > 1.2 * unit;
    if (moved && !box.open.length) draw(corners(from, to));
  };
  svg.onpointerup = (event) => {
    const to = place(event), start = from;
    from = null;
    if (moved && !box.open.length) return finish(corners(start, to));
    const [first] = box.open;
    if (first && box.open.length >= 3 && Math.hypot(to[0] - first[0], to[1] - first[1]) < 1.5 * unit) return close();
    box.open.push(to);
    if (data.most && box.open.length === data.most) return finish(box.open);
    draw();
  };
  svg.onkeydown = (event) => {
    if (event.key === 'Enter') close();
    if (event.key === 'Escape') { box.open = []; draw(); }
    if (event.key === 'Backspace') { box.open.pop(); draw(); }
  };
  draw();
}
