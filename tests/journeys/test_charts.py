"""Can every chart be read in a browser: on a desk and on a phone, by day and by night?"""

from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe

import training
from tests.journeys.eyes import RULES
from tests.quizzes.charted import CHARTS, ON_PHONE

LOOK = Path(training.__file__).parent / "site" / "static" / "benchright" / "look.css"
SMALLEST = 12  # CSS pixels: a choice of ours, no source
LEAST_WIDE = 640  # CSS pixels on a desk: the same

# For each chart: its width, how high its letters are, which words leave it, which lie on others.
MEASURED = """() => [...document.querySelectorAll(".chart > svg")]
  .filter(svg => svg.checkVisibility()).map(svg => {
  const own = svg.getBoundingClientRect(), scale = own.width / svg.viewBox.baseVal.width;
  const words = [...svg.querySelectorAll("text")];
  const boxes = words.map(word => word.getBoundingClientRect());
  const out = words.filter((word, at) => boxes[at].left < own.left - 1
    || boxes[at].top < own.top - 1 || boxes[at].right > own.right + 1
    || boxes[at].bottom > own.bottom + 1);
  // The box of a line of letters is higher than the letters: a quarter of it is air.
  const on = words.filter((_, a) => boxes.some((box, b) => a < b && boxes[a].left < box.right
    && box.left < boxes[a].right && boxes[a].top + box.height / 4 < box.bottom - box.height / 4
    && box.top + box.height / 4 < boxes[a].bottom - box.height / 4));
  return { width: own.width, out: out.map(word => word.textContent),
    letters: Math.min(...words.map(word => parseFloat(getComputedStyle(word).fontSize) * scale)),
    on: on.map(word => word.textContent) };
})"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_letters_of_every_chart_can_be_read_at_both_widths(browser, scheme):
    frames = "".join(
        f'<div class="scroll chart" tabindex="0" role="region" aria-label="{name}">{CHARTS[name]}'
        f"{ON_PHONE[name]}</div>"
        for name in CHARTS
    )
    body = f'<main><div class="sheet"><h1>Charts</h1><div class="part">{frames}</div></div></main>'
    style = LOOK.read_text(encoding="utf-8")
    context = browser.new_context(color_scheme=scheme)
    page = context.new_page()
    for width in (360, 1440):
        page.set_viewport_size({"width": width, "height": 900})
        page.set_content(
            '<!doctype html><html lang="en"><meta name="viewport" content="width=device-width">'
            f"<title>Charts</title><style>{style}</style><body>{body}"
        )
        measured = page.evaluate(MEASURED)
        assert len(measured) == len(CHARTS)
        for name, one in zip(CHARTS, measured, strict=True):
            assert one["letters"] >= SMALLEST, name
            # Large on a desk; on a phone as wide as the page, so that nothing need be scrolled.
            assert one["width"] >= LEAST_WIDE if width > 1000 else one["width"] <= width, name
            assert (one["out"], one["on"]) == ([], []), name
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert not Axe().run(page, options=RULES).response["violations"]
    context.close()
