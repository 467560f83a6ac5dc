"""How does axe look at a page on two screens, by day and by night, and at nothing twice?

Two things would be asked again and again, with the same answer:

- Whether the letters of a text can be told from what they lie on. That follows from what both are
  drawn with, which most texts of a site share. So a text is passed over where another one that is
  drawn alike, in each of the values below, was found right, as long as it lies on its own ancestors
  and on nothing else that is painted. A text that was found wrong, or of which axe does not know,
  is asked about on every page.
- What only the elements tell, and not where they stand. On the second screen that is asked again
  where an element is shown, laid out or cut off otherwise; else only what axe measures.
"""

from axe_playwright_python.sync_playwright import Axe

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
# Only violations are gathered, which takes half the time.
RULES = {"runOnly": {"type": "tag", "values": TAGS}, "resultTypes": ["violations"]}
FORM = RULES | {"rules": {"color-contrast": {"enabled": False}}}
# The rules, beside that of contrast, whose checks in axe 4.12 ask for boxes, and for the colours of
# a link beside those of its sentence.
MEASURED = RULES | {
    "runOnly": {
        "type": "rule",
        "values": ["target-size", "scrollable-region-focusable", "link-in-text-block"],
    }
}
CONTRAST = {
    "runOnly": {"type": "rule", "values": ["color-contrast"]},
    "resultTypes": ["violations", "passes"],
    "elementRef": True,
}
LOOK = """
const LETTERS = ["color", "fontSize", "fontWeight", "textShadow", "webkitTextStroke"];
const GROUND = ["backgroundColor", "backgroundImage", "backgroundClip", "opacity", "filter",
  "mixBlendMode"];
const LAID_OUT = ["display", "position", "overflow", "clip", "clipPath"];
const BARE = "rgba(0, 0, 0, 0),none,border-box,1,none,normal";
const SHOWN = { visibilityProperty: true, opacityProperty: true };
const valuesOf = (part, names) => {
  const style = getComputedStyle(part);
  return names.map((name) => style[name]).join();
};
const faultsOf = (found) =>
  found.violations.map((f) => [f.id, f.nodes.slice(0, 3).map((node) => node.target)]);

const lookAtForms = async (all, measured) => {
  const before = window.formsBefore;
  window.formsBefore = [...document.querySelectorAll("body *")]
    .map((part) => part.checkVisibility(SHOWN) + valuesOf(part, LAID_OUT)).join("|");
  const rules = before === window.formsBefore ? measured : all;
  return faultsOf(await axe.run(document, rules));
};

window.lookAtColours = async (rules, seen) => {
  const known = new Set(seen), grounds = new Map([[null, ""]]), painted = [];
  for (const part of document.querySelectorAll("*")) {
    const own = valuesOf(part, GROUND);
    grounds.set(part, grounds.get(part.parentElement) + (own === BARE ? "" : `|${own}`));
    if (own !== BARE && part.checkVisibility(SHOWN)) {
      painted.push([part, part.getBoundingClientRect()]);
    }
  }
  const liesOnItsOwn = (text) => {
    const { left, right, top, bottom } = text.getBoundingClientRect();
    return painted.every(([part, box]) => part.contains(text)
      ? box.left <= left && right <= box.right && box.top <= top && bottom <= box.bottom
      : text.contains(part) || right <= box.left || box.right <= left || bottom <= box.top
        || box.bottom <= top);
  };
  const lookOf = (text) => valuesOf(text, LETTERS) + grounds.get(text);
  const isWritten = (part) => part.matches("input, select, textarea")
    || [...part.childNodes].some((node) => node.nodeType === 3 && node.data.trim());
  // as the link that skips to the page, until it has the focus
  const isOverTheTop = (part) => part.getBoundingClientRect().bottom + scrollY <= 0;
  const looks = new Map();
  for (const part of document.querySelectorAll("body, body *")) {
    if (!isWritten(part) || !part.checkVisibility(SHOWN) || isOverTheTop(part)) continue;
    const look = liesOnItsOwn(part) ? lookOf(part) : "";
    if (!known.has(look)) looks.set(part, look);
  }
  if (!looks.size) return [[], []];
  const found = await axe.run({ include: [...looks.keys()] }, rules);
  const right = found.passes.flatMap((rule) => rule.nodes).map((node) => looks.get(node.element));
  return [faultsOf(found), [...new Set(right)].filter(Boolean)];
};

window.lookAtPage = async (all, measured, contrast, seen) => {
  const sideways = document.documentElement.scrollWidth > innerWidth ? [["runs sideways", []]] : [];
  const forms = await lookAtForms(all, measured);
  const [colours, right] = await lookAtColours(contrast, seen);
  return [[...sideways, ...forms, ...colours], right];
};
"""
AXE = Axe().axe_script
# for each page of a browser, before its own scripts
EYES = f"{AXE}\n;{{{LOOK}}}"


def faults_of(page, rules=RULES):
    """What axe finds on a page into which it was put."""
    return page.evaluate(
        "rules => axe.run(document, rules).then(r => r.violations.map(f => [f.id, "
        "f.nodes.slice(0, 3).map(n => n.target)]))",
        rules,
    )


def faults_of_screen(page, known):
    """Whether a page runs sideways on a screen of this width, and what axe finds on it; on a second
    screen, what can differ there. For `known` see the next function.
    """
    given = [FORM, MEASURED, CONTRAST, sorted(known)]
    faults, right = page.evaluate("given => lookAtPage(...given)", given)
    known.update(right)
    return faults


def faults_of_colour(page, known):
    """The texts that are hard to tell from what they lie on; not asked about are those drawn like
    one in `known`, to which those that were found right are added.
    """
    faults, right = page.evaluate("given => lookAtColours(...given)", [CONTRAST, sorted(known)])
    known.update(right)
    return faults
