"""Which pieces, repeated without end, have ever made a reader of text slow?

Repeated marks that open and never close, white space before something that does not come, words that begin a longer phrase,
lists of names: the families are those of "Regular expression Denial of Service" (OWASP) and of the fuzzing corpora for
Markdown readers (nested brackets, quotes, emphasis), written down from memory.
"""

UNITS = (
    " ", "\t", "\n", " \n", "\r", "\x0b", "\u2028", "\u200b", "\u0301", "é", "a", "A", "a ", "a\n", "A b. ", "Ab ", "aA", "a-", "a'", "x" * 40 + " ",
    "0", "0 ", "1.", "1.1", "1,", "1. a\n", "1) a\n", "a) b\n", ".", ". ", "...", "!", "?", ",", ";", "; ", ":", ": ", "-", "- ", "- a\n", "  - a\n",
    "_", "_a ", "*", "**", "*a ", "**a", "`", "``", "` ", "```\n", "~~~\n", "[", "]", "[]", "[a](", "![", "![a](", "![](drawing:", "[[", "[[1 ", "[[1 mm]]",
    "(", ")", "(a", "{#", "{#a} ", "}", "#", "# ", "# a\n", "## a\n", "### a\n", "### a {#a}\n", "###### a\n", ">", "> ", ">a\n", "|", "|a|b|\n", "|-", "| - |\n",
    "!!!", "!!! danger\n", "!!! danger \"a\"\n    hazard: a\n", "    a\n", "        a\n", "hazard: a\n", "    harm: a\n", "needs: a\n", "needs: a; b; c\n", "needs: ;;\n",
    "only if: a = b | c; d = e\n", "torque: 5 N·m\n", "check: a | b\n", "key: v\n", "key: [a, b]\n", "? ", "&a ", "*a ", "- - - ", "[[[", "{a: ", "!a ", "\"", "'", "“", "”", "‘", "’",
    "&", "&amp;", "<", "<a ", "<!--", "</", "\\", "\\[", "http://a ", "a@b.c ", "danger ", "WARNING ", "WARNING: a\n", "DANGER\n", "NOTICE! ", "note: ", "Note. ", "step 1 ",
    "Step 1: a\n", "steps ", "phase 1 ", "PART 1\n", "a\n===\n", "===\n", "---\n", "• a\n", "and then ", ", then ", "if ", "If it is a, ", "when ", "before doing ", "must be ", "should ",
    "do not ", "is tightened ", "are being ", "Turn the bolt. ", "Turn the bolt and press the pin. ", "turn the ", "press the valve pin ", "charge ", "charge x", "let air ",
    "take the fork ", "clean with ", "with the ", "ring ", "snap ", "internal ", "retaining ring ", "cut a ", "seal ", "to the ", "lower leg ", "28 N·m ", "28 ± 2 N·m ",
    "28 N·m (21 ft·lbf) ", "20..30 % ", "1 to ", "to 5 ", "5 bar ", "5-", "M6x1 ", "e.g. ", "No. ", "etc. ", "approx. ", "-\n", "or ", "a or\n", "- a or\n", "about ", "fully ", "oil ", "eyes ", "can ",
)  # fmt: skip

WORKS = "---\ntitle: A fork\n---\n"
LEADS = {
    "bare": "",
    "introduction": WORKS,
    "title": "---\ntitle: ",
    "header": "---\ntitle: A\ngiven: [a, ",
    "step": f"{WORKS}## A phase\n\n### A step\n\n",
    "fields": f"{WORKS}### A step\n",
    "step's title": f"{WORKS}### ",
    "caution": f"{WORKS}### A step\n\n!!! danger \"a\"\n    hazard: ",
    "caution's title": f"{WORKS}### A step\n\n!!! danger ",
    "list": f"{WORKS}### A step\n\n- ",
    "old step": "Title\n\n1. First\n2. ",
}
