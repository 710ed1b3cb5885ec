// Outlines over a picture, in the picture's own pixels. Handlers are properties, so a rerun replaces them.
//   draw   tap to set points, tap the first point again (or Enter) to close, Escape to begin anew, drag for a rectangle
//   tap    one tap, told as a single point
//   move   drag an outline, or one corner of it
//   remove tap an outline
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
  svg.dataset.mode = data.mode;
  if (box.round !== data.round) { box.open = []; box.round = data.round; }
  const unit = data.width / 100;
  let from = null, moved = false, held = null;

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
      const points = shape === held?.shape ? held.points : shape.points;
      line(points, true, shape.open ? 'open' : '');
      const [x, y] = points.reduce(([a, b], [c, d]) => [a + c / points.length, b + d / points.length], [0, 0]);
      const across = points.map(([px]) => px), room = Math.max(...across) - Math.min(...across);
      const size = Math.min(1.6 * unit, Math.max(0.9 * unit, room / (0.55 * shape.label.length)));
      add('text', { x, y: y + size / 3, 'font-size': size, 'text-anchor': 'middle' }, shape.label);
      if (data.mode === 'move' && !shape.fixed) {
        for (const [cx, cy] of points) add('circle', { cx, cy, r: 0.4 * unit, class: 'point' });
      }
    }
    if (rectangle) line(rectangle, true, 'open');
    else if (box.open.length) {
      line(box.open, false, 'open');
      for (const [x, y] of box.open) add('circle', { cx: x, cy: y, r: 0.45 * unit, class: 'point' });
    }
  };
  const within = ([x, y]) => [Math.min(Math.max(x, 0), data.width - 1), Math.min(Math.max(y, 0), data.height - 1)];
  const place = (event) => {
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
    return within([at.x, at.y]);
  };
  const tidy = (points) => points.map(([x, y]) => [Math.round(x * 10) / 10, Math.round(y * 10) / 10]);
  const apart = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]);
  const inside = ([x, y], points) => points.reduce((odd, [xa, ya], i) => {
    const [xb, yb] = points[(i + 1) % points.length];
    return (ya > y) !== (yb > y) && x < xa + ((y - ya) * (xb - xa)) / (yb - ya) ? !odd : odd;
  }, false);
  const shapeAt = (at) => data.shapes.filter((shape) => !shape.fixed)
    .findLast((shape) => inside(at, shape.points) || shape.points.some((point) => apart(point, at) < 1.5 * unit));
  const finish = (points) => {
    box.open = [];
    setTriggerValue('outline', tidy(points));
  };
  const close = () => { if (box.open.length >= 3) finish(box.open); };
  const corners = ([a, b], [c, d]) => [[Math.min(a, c), Math.min(b, d)], [Math.max(a, c), Math.min(b, d)],
    [Math.max(a, c), Math.max(b, d)], [Math.min(a, c), Math.max(b, d)]];
  const carried = (to) => {
    const by = [to[0] - from[0], to[1] - from[1]];
    return held.shape.points.map((point, i) =>
      held.corner < 0 || i === held.corner ? within([point[0] + by[0], point[1] + by[1]]) : point);
  };

  svg.onpointerdown = (event) => {
    from = place(event);
    moved = false;
    held = null;
    if (data.mode === 'move') {
      const shape = shapeAt(from);
      if (shape) held = { shape, points: shape.points, corner: shape.points.findIndex((p) => apart(p, from) < 1.5 * unit) };
    }
    svg.setPointerCapture(event.pointerId);
  };
  svg.onpointermove = (event) => {
    if (!from || data.most) return;
    const to = place(event);
    moved ||= apart(to, from) > (data.mode === 'move' ? 0.3 : 1.2) * unit;
    if (!moved) return;
    if (held) { held.points = carried(to); draw(); }
    else if (data.mode === 'draw' && !box.open.length) draw(corners(from, to));
  };
  svg.onpointerup = (event) => {
    const to = place(event), start = from;
    from ??= to;
    if (data.mode === 'move') {
      if (held && moved) setTriggerValue('moved', { label: held.shape.label, points: tidy(carried(to)) });
      from = null;
      return;
    }
    from = null;
    if (data.mode === 'remove') {
      const shape = shapeAt(to);
      if (shape) setTriggerValue('removed', shape.label);
      return;
    }
    if (data.mode === 'tap') { finish([to]); return; }
    if (moved && !box.open.length) { finish(corners(start, to)); return; }
    const [first] = box.open;
    if (first && box.open.length >= 3 && apart(to, first) < 1.5 * unit) { close(); return; }
    box.open.push(to);
    if (data.most && box.open.length === data.most) { finish(box.open); return; }
    draw();
  };
  svg.onpointercancel = () => { from = null; held = null; draw(); };
  svg.onkeydown = (event) => {
    if (event.key === 'Enter') close();
    if (event.key === 'Escape') { box.open = []; draw(); }
    if (event.key === 'Backspace') { box.open.pop(); draw(); }
  };
  draw();
}
