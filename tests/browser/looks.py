"""What tests of the look measure on a page, and which theme and size a run looks at."""

import os
import subprocess
from importlib.resources import files
from pathlib import Path

SIZES = ((1280, 800), (820, 1180), (390, 844))
FINGER, FURNACE = 44, 56  # px, what is pressed; on the pages that are used at the furnace

AXE = files("axe_playwright_python").joinpath("axe.min.js").read_text(encoding="utf-8")
ASK_AXE = "() => axe.run(document, { resultTypes: ['violations'] }).then(found => found.violations)"
GRAVE = ("serious", "critical")

# how much wider than the window a page is
WIDER = """() => Math.max(...[document.scrollingElement, document.querySelector('[data-testid=stMain]')]
  .map(one => one.scrollWidth)) - innerWidth"""

# what is pressed on a page and is lower than a finger needs; help beside a label and what is typed in stay as they are
LOW = """least => {
  const PRESSED = 'button, a[href], summary, [data-key]:not(svg *), [data-testid="stRadioOption"]';
  const APART = ['TooltipIcon', 'Header', 'SkipToContent', 'NumberInputContainer', 'MultiSelect', 'Selectbox']
    .map(one => `[data-testid="st${one}"]`).join() + ', p, li, h1, h2, h3, h4, .st-key-menu';
  const found = [];
  const walk = (root) => {
    for (const one of root.querySelectorAll('*')) {
      if (one.shadowRoot) walk(one.shadowRoot);
      if (!one.matches(PRESSED) || one.closest(APART) || !one.checkVisibility({ visibilityProperty: true })) continue;
      const height = Math.round(one.getBoundingClientRect().height);
      if (height > 1 && height < least) found.push(`${(one.innerText || one.ariaLabel || '').slice(0, 40)}: ${height}`);
    }
  };
  walk(document.querySelector('[data-testid=stMain]'));
  return found;
}"""


def everything():
    """Whether this run looks at all pages in all themes and sizes."""
    return os.environ.get("STAINBOOK_LOOK") == "all"


def turn():
    """A number that is another one for each commit, so that what a run leaves out comes with the next ones."""
    here = Path(__file__).parent
    found = subprocess.run(["git", "rev-parse", "HEAD"], cwd=here, capture_output=True, text=True, check=False)
    return int(found.stdout.strip() or "0", 16)


def graves(page):
    """What axe-core calls serious or critical, with the elements."""
    page.evaluate(AXE)
    return [
        (one["id"], [(node["html"][:120], node.get("failureSummary", "")[:200]) for node in one["nodes"][:4]])
        for one in page.evaluate(ASK_AXE)
        if one["impact"] in GRAVE
    ]
