"""How is a finding said to a mechanic?"""

_WORDS = {
    "need-not-met": "“{about}” is needed here, but it does not hold. Put the step that makes it "
    "before this "
    "one.",
    "never-made": "“{about}” is needed, but no step makes it and it is not given. Add a step "
    "that makes it, "
    "or give it in the header.",
    "demand-not-met": "“{about}” must hold here, but it does not. The shop's rules ask for it "
    "because {detail}. "
    "Put the step that makes it before this one.",
    "demand-no-caution": "This step needs a {word} or a graver message with the words “{about}” "
    "in its title or "
    "hazard line, because {detail}.",
    "opens-unsafe": "The {about} is opened while it is not known to be safe: “{detail}” does not "
    "hold. Make "
    "it safe first.",
    "unknown-danger": "The shop's rules do not name “{about}”, so nothing says what makes it "
    "safe. Name it "
    "there under safe.",
    "part-not-on": "“{about}” is not on here, so it cannot be taken off or thrown away. Check "
    "the steps "
    "before this one.",
    "part-already-on": "“{about}” is on already, so it cannot be fitted. Take it off first, or "
    "leave this out.",
    "part-was-scrapped": "“{about}” was thrown away, so the old one cannot go back. Fit a new one.",
    "old-part-still-there": "The old “{about}” is still there. Throw it away before a new one "
    "goes on.",
    "part-left-off": "“{about}” is still off at the end. Fit it, or name it in the header under "
    "leaves off.",
    "part-not-replaced": "“{about}” was thrown away and no new one is on at the end. Fit a new "
    "one.",
    "guard-left": "“{about}” still holds at the end. End it, or name it in the header under "
    "leaves.",
    "made-twice": "“{about}” is made while it holds already. End it first, or leave this out.",
    "ends-nothing": "“{about}” is ended here, but it does not hold. Check the steps before this "
    "one.",
    "out-of-order": "This step comes after “{about}”, which has not been done here. Move one of "
    "them, or "
    "correct the name.",
    "leaves-not-met": "The header says that the work leaves “{about}” so, but at the end it is "
    "not. Correct the "
    "steps or the header.",
    "follows-not-met": "This write-up follows “{detail}”, which does not fit in “{about}”. Make "
    "the end of that "
    "one and the start of this one agree.",
    "unknown-option": "The header has no variant or option “{about}”. Correct the name, or add "
    "it to the header.",
    "step-never-applies": "No fork reaches this step. Correct its only if, or take it out.",
    "variant-changes-nothing": "No step asks for “{about}”. Take the variant out, or say which "
    "steps it changes.",
    "opens-without-caution": "This step opens the {about}, but has no DANGER or WARNING. Add one "
    "before the first "
    "sentence.",
}
NOT_THERE = (
    "This write-up follows “{about}”, which is not among the write-ups at hand. Add it or correct "
    "the name."
)
EXCLUDED = (
    "“{about}” cannot be given together with another fact of its group: by the shop's rules at "
    "most one of them holds. Take one out."
)
TOO_MANY = (
    "The options of this write-up meet in too many ways to be rehearsed. Part it into several "
    "write-ups."
)


def say(code: str, about: str, detail: str = "", word: str = "") -> str:
    """The sentence for a finding; what the shop's rules say under because stands in the middle of
    one, so without its last dot.
    """
    return _WORDS[code].format(
        about=about, detail=detail.rstrip(". ") if code.startswith("demand") else detail, word=word
    )
