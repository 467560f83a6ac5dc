"""How does axe look at a page on two screens, by day and by night, and at nothing twice?

Three things would be asked again and again, with the same answer:

- Whether the letters of a text can be told from what they lie on. That follows from what both are
  drawn with, which most texts of a site share. So a text is passed over where another one that is
  drawn alike, in each of the values below, was found right, as long as it lies on its own ancestors
  and on nothing else that is painted. A text that was found wrong, or of which axe does not know,
  is asked about on every page.
- What only the elements tell, and not where they stand. On the second screen that is asked again
  where an element is shown, laid out or cut off otherwise; else only what axe measures.
- What stands beside `main`: the head of the site, its foot and its marks. The same part in the same
  width is asked about once in a browser, unless a text in it has to be asked about. What is said of
  a whole page is asked on every one.
"""

from axe_playwright_python.sync_playwright import Axe

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
# Only violations are gathered, which takes half the time.
RULES = {"runOnly": {"type": "tag", "values": TAGS}, "resultTypes": ["violations"]}
# The rules, beside that of contrast, whose checks in axe 4.12 ask for boxes, and for the colours of
# a link beside those of its sentence.
BOXES = ["target-size", "scrollable-region-focusable", "link-in-text-block"]
MEASURED = {"runOnly": {"type": "rule", "values": [*BOXES, "color-contrast"]}}
CONTRAST = {"runOnly": {"type": "rule", "values": ["color-contrast"]}}
LOOK = """
const LETTERS = ["color", "fontSize", "fontWeight", "textShadow", "webkitTextStroke"];
const GROUND = ["backgroundColor", "backgroundImage", "backgroundClip", "opacity", "filter",
  "mixBlendMode"];
const LAID_OUT = ["display", "position", "overflow", "clip", "clipPath"];
const BARE = "rgba(0, 0, 0, 0),none,border-box,1,none,normal";
const SHOWN = { visibilityProperty: true, opacityProperty: true };
// where the page stands in it, and what keeps a form from being sent by another site
const OF_ONE_PAGE = / aria-current="page"|(?<=csrfmiddlewaretoken" value=")[^"]+/g;
const valuesOf = (part, names) => {
  const style = getComputedStyle(part);
  return names.map((name) => style[name]).join();
};
// Of the texts only those are asked about that are marked so.
axe.configure({ rules: [{ id: "color-contrast", selector: "[data-asked]" }] });
axe.addReporter("faults and right texts", (rules, options, told) => told([
  rules.filter((rule) => rule.violations.length)
    .map((rule) => [rule.id, rule.violations.slice(0, 3).map(({ node }) => node.selector)]),
  rules.filter((rule) => rule.id === "color-contrast")
    .flatMap((rule) => rule.passes.map(({ node }) => node.element)),
]));

const looksToAsk = (seen) => {
  const known = new Set(seen), looks = new Map(), grounds = new Map([[null, ""]]), painted = [];
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
  for (const part of document.querySelectorAll("body, body *")) {
    if (!isWritten(part) || !part.checkVisibility(SHOWN) || isOverTheTop(part)) continue;
    const look = liesOnItsOwn(part) ? lookOf(part) : "";
    if (!known.has(look)) looks.set(part, look);
  }
  return looks;
};

const isDrawnAsBefore = () => {
  const before = window.formsBefore;
  window.formsBefore = [...document.querySelectorAll("body *")]
    .map((part) => part.checkVisibility(SHOWN) + valuesOf(part, LAID_OUT)).join("|");
  return before === window.formsBefore;
};

const wasAskedAbout = (part) => {
  const said = `${innerWidth} ${part.outerHTML.replaceAll(OF_ONE_PAGE, "")}`;
  const was = said in sessionStorage;
  sessionStorage[said] = "asked about";
  return was;
};

const ask = async (rules, looks, exclude) => {
  const texts = [...looks.keys()];
  for (const text of texts) text.dataset.asked = "";
  const asked = { ...rules, reporter: "faults and right texts" };
  const [faults, right] = await axe.run({ exclude }, asked);
  for (const text of texts) delete text.dataset.asked;
  return [faults, [...new Set(right.map((text) => looks.get(text)))].filter(Boolean)];
};

window.lookAtColours = async (contrast, seen) => {
  const looks = looksToAsk(seen);
  return looks.size ? ask(contrast, looks, []) : [[], []];
};

window.lookAtPage = async (all, measured, seen) => {
  const sideways = document.documentElement.scrollWidth > innerWidth ? [["runs sideways", []]] : [];
  const looks = looksToAsk(seen), texts = [...looks.keys()];
  const beside = [...document.querySelectorAll("body > :not(main)")].filter(wasAskedAbout)
    .filter((part) => !texts.some((text) => part.contains(text)));
  const [faults, right] = await ask(isDrawnAsBefore() ? measured : all, looks, beside);
  return [[...sideways, ...faults], right];
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
    given = [RULES, MEASURED, sorted(known)]
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
