// What does not fit on a page: text cut off by what it stands in, outside the window, or on top of other text.
() => {
  const SKIPPED = '[data-testid="stFileUploaderDropzoneInstructions"], [data-baseweb="select"], [data-testid="stHeader"], .sr-only, script, style, title, option, svg title';
  const texts = [];
  const walk = (root) => {
    for (const node of root.childNodes) {
      if (node.nodeType === Node.TEXT_NODE && node.textContent.trim()) texts.push(node);
      else if (node.nodeType === Node.ELEMENT_NODE && !node.matches(SKIPPED)) {
        if (node.shadowRoot) walk(node.shadowRoot);
        walk(node);
      }
    }
  };
  walk(document.querySelector('[data-testid=stMainBlockContainer]'));
  const up = (element) => element.parentElement ?? element.getRootNode().host ?? null;
  const sight = (element) => {
    let [top, foot] = [-Infinity, Infinity];
    for (let one = element; one && one.dataset?.testid !== 'stMain'; one = up(one)) {
      if (['auto', 'scroll', 'hidden'].includes(getComputedStyle(one).overflowY) && one.tagName !== 'svg') {
        const box = one.getBoundingClientRect();
        if (box.height > 1) [top, foot] = [Math.max(top, box.top), Math.min(foot, box.bottom)];
      }
    }
    return [top, foot];
  };
  const seen = [];
  for (const node of texts) {
    const range = document.createRange(); // of what scrolls, only what is in sight
    range.selectNodeContents(node);
    const parent = node.parentElement;
    const [top, foot] = sight(parent);
    const rects = [...range.getClientRects()].filter(
      (one) => one.width > 1 && one.height > 1 && one.top > top - 2 && one.bottom < foot + 2,
    );
    if (!rects.length || !parent?.checkVisibility({ visibilityProperty: true, opacityProperty: true })) continue;
    if (parent.closest('details:not([open]) > :not(summary)')) continue;
    seen.push({ node, parent, rects, said: node.textContent.trim().slice(0, 60) });
  }
  const wrong = [];
  for (const { parent, rects, said } of seen) {
    const left = Math.min(...rects.map((one) => one.left));
    const right = Math.max(...rects.map((one) => one.right));
    for (let one = parent, scrolls = false; one; one = up(one)) {
      const style = getComputedStyle(one);
      if (['auto', 'scroll'].includes(style.overflowX) && one.scrollWidth > one.clientWidth + 1) scrolls = true;
      if (scrolls) break;
      const box = one.getBoundingClientRect();
      const cuts = one.tagName === 'svg' || ['hidden', 'clip'].includes(style.overflowX);
      const near = one.tagName === 'svg' ? 4 : 1.5; // px: lines of turned text are as wide as their tallest letter
      if (cuts && box.width > 1 && (left < box.left - near || right > box.right + near)) {
        wrong.push(`cut off by ${one.tagName}.${one.getAttribute('class') ?? ''}: ${said}`);
        break;
      }
      if (one.tagName === 'BODY' && (left < -1 || right > innerWidth + 1)) wrong.push(`outside the window: ${said}`);
    }
  }
  const stuck = (element) => {
    for (let one = element; one; one = up(one)) if (['sticky', 'fixed'].includes(getComputedStyle(one).position)) return true;
    return false;
  };
  const area = (a, b) =>
    Math.max(0, Math.min(a.right, b.right) - Math.max(a.left, b.left)) *
    Math.max(0, Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top));
  seen.sort((a, b) => a.rects[0].top - b.rects[0].top);
  seen.forEach((one, place) => {
    const foot = Math.max(...one.rects.map((rect) => rect.bottom));
    for (const other of seen.slice(place + 1)) {
      if (other.rects[0].top > foot) break;
      const over = Math.max(...one.rects.flatMap((a) => other.rects.map((b) => area(a, b) / Math.min(a.width * a.height, b.width * b.height))));
      if (over > 0.15 && one.parent.closest('text') !== (other.parent.closest('text') ?? document) && !one.parent.contains(other.parent) && !other.parent.contains(one.parent) && stuck(one.parent) === stuck(other.parent)) // rows pass under their heads
        wrong.push(`over each other: ${one.said} | ${other.said}`);
    }
  });
  return [...new Set(wrong)];
}
