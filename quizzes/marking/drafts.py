"""Which questions could be asked about a write-up, for its author to accept, edit or drop?

Each draft points at its step. Its wrong options come from the same write-up, or are false beliefs
of the trade. The same write-up gives the same drafts under the same names, so that one that was
dropped stays dropped.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from hashlib import sha256
from itertools import groupby

from procedures.writeup.demands import Kinds
from procedures.writeup.model import Step, WriteUp
from procedures.writeup.names import make_plain
from procedures.writeup.rules import Meanings, ShopRules
from quizzes.kinds.choose_all import ChooseAll
from quizzes.kinds.choose_one import ChooseOne
from quizzes.kinds.give_amount import GiveAmount
from quizzes.kinds.kind import Option, QuestionText
from quizzes.kinds.match import Match, Pair
from quizzes.kinds.put_in_order import PutInOrder
from quizzes.kinds.rehearsed import Rehearsed, fork_with, misfits
from quizzes.marking.beliefs import beliefs_about

WRONG = 3  # wrong options of a draft, where there are so many
MOST = 5  # options of a draft
SHOWN = 4  # steps of a draft to put in order
MOST_PAIRS = 5
LONGEST_NAME = 80


def drafts(name: str, writeup: WriteUp, rules: ShopRules) -> tuple[QuestionText, ...]:
    """Every draft about a write-up of this name that rehearses, in the order of its steps."""
    found = [
        *_orders(name, writeup, rules),
        *_needs(name, writeup, rules),
        *_parts(name, writeup, rules),
        *_amounts(name, writeup),
        *_cautions(name, writeup),
        *_reasons(name, writeup),
    ]
    places = {step.id: place for place, step in enumerate(writeup.steps)}
    fitting = [draft for draft in found if not misfits(draft.asked, draft.steps, writeup)]
    return tuple(sorted(fitting, key=lambda draft: (places[draft.steps[0]], draft.name)))


def _orders(name: str, writeup: WriteUp, rules: ShopRules) -> Iterator[QuestionText]:
    """Some steps that follow each other in one phase, where more than one order of them is
    wrong.
    """
    # Steps in a row, as they are worked; steps far apart have orders that nobody would try.
    for phase, members in groupby(writeup.steps, key=lambda step: step.phase):
        of_phase = tuple(members)
        fork = fork_with(writeup, of_phase[0].id)
        steps = [step for step in of_phase if _is_done(step, fork)]
        for some in (steps[at : at + SHOWN] for at in range(0, len(steps) - SHOWN + 1, SHOWN)):
            asked = PutInOrder(tuple(step.id for step in some), tuple(sorted(fork.items())))
            if misfits(asked, asked.steps, writeup):
                continue
            right, every = Rehearsed(writeup, rules, asked).count()
            # With a single wrong order the question would ask for almost nothing.
            if every - right > 1:
                stem = f"Put these steps of “{phase}” in an order that is safe and complete."
                yield _draft(
                    name,
                    "order",
                    some[0],
                    stem,
                    asked,
                    steps=asked.steps,
                    critical=any(step.critical for step in some),
                )


def _needs(name: str, writeup: WriteUp, rules: ShopRules) -> Iterator[QuestionText]:
    """What must hold before a step, among facts that come later in the same write-up."""
    key = Meanings(rules.same).key
    kinds = Kinds(rules.demands, key)
    # What was given or made further up may hold here too, and would be a right option.
    before = {key(fact) for fact in writeup.given}
    for place, step in enumerate(writeup.steps):
        if step.needs:
            demanded = {key(fact) for demand, _ in kinds.met(step) for fact in demand.needs}
            later = (fact for other in writeup.steps[place:] for fact in other.makes)
            wrong = [fact for fact in later if key(fact) not in before | demanded]
            options = _options(step.needs, wrong, key)
            if options:
                kind = ChooseOne if len(step.needs) == 1 else ChooseAll
                stem = f"What must be true before “{step.title}”?"
                yield _draft(name, "needs", step, stem, kind(options))
        before |= {key(fact) for fact in step.makes}


def _parts(name: str, writeup: WriteUp, rules: ShopRules) -> Iterator[QuestionText]:
    """Which parts are scrapped, among those that go back."""
    key = Meanings(rules.same).key
    scrapped = [(step, part) for step in writeup.steps for part in step.scraps]
    if not scrapped:
        return
    # Also of those that are not shown none may be a wrong option.
    gone = {key(part) for _, part in scrapped}
    options = _options(
        list(dict.fromkeys(part for _, part in scrapped))[:WRONG],
        [part for step in writeup.steps for part in step.fits if key(part) not in gone],
        key,
    )
    if options:
        steps = tuple(dict.fromkeys(step.id for step, part in scrapped[:WRONG]))
        stem = "Which of these parts are scrapped, and a new one fitted?"
        yield _draft(name, "scrap", scrapped[0][0], stem, ChooseAll(options), steps=steps)


def _amounts(name: str, writeup: WriteUp) -> Iterator[QuestionText]:
    """Each torque and each value to be measured, as an amount."""
    for step in writeup.steps:
        for kind, targets in (("torque", step.torques), ("measure", step.measures)):
            named = [make_plain(target.name) for target in targets]
            for place, target in enumerate(targets, start=1):
                # Two that the same words would ask for have two right answers.
                if named.count(make_plain(target.name)) > 1:
                    continue
                about = f" of the {target.name}" if target.name else ""
                stem = (
                    f"“{step.title}”: which {'torque' if kind == 'torque' else 'value'}{about} "
                    "does the write-up ask for?"
                )
                yield _draft(
                    name,
                    f"{kind}-{place}" if place > 1 else kind,
                    step,
                    stem,
                    GiveAmount(target.amount.text),
                )


def _cautions(name: str, writeup: WriteUp) -> Iterator[QuestionText]:
    """Which caution belongs to which step."""
    carrying = [
        (step, step.cautions[0])
        for step in writeup.steps
        if step.cautions and step.cautions[0].title
    ]
    # A title that stands at two steps would belong to both, also where it stands second.
    titles = [caution.title for step in writeup.steps for caution in step.cautions]
    alone = [(step, caution) for step, caution in carrying if titles.count(caution.title) == 1]
    for at in range(0, len(alone) - 1, MOST_PAIRS):
        some = alone[at : at + MOST_PAIRS]
        spare = next((step.title for step in writeup.steps if not step.cautions), "")
        if len(some) > 1 and spare:
            pairs = tuple(Pair(caution.title, step.title, caution.avoid) for step, caution in some)
            stem = "Which step does each caution stand before?"
            steps = tuple(step.id for step, _ in some)
            critical = any(step.critical for step, _ in some)
            yield _draft(
                name,
                "cautions",
                some[0][0],
                stem,
                Match(pairs, (spare,)),
                steps=steps,
                critical=critical,
            )


def _reasons(name: str, writeup: WriteUp) -> Iterator[QuestionText]:
    """Why a critical step is one, among the reasons of others and what people wrongly believe of
    it.
    """
    critical = [step for step in writeup.steps if step.critical]
    for place, step in enumerate(critical):
        believed = beliefs_about(f"{step.title} {step.critical}")[:1]
        others = [other.critical for other in (*critical[place + 1 :], *critical[:place])]
        options = _options([step.critical], [*believed, *others])
        if options:
            yield _draft(name, "why", step, f"Why is “{step.title}” critical?", ChooseOne(options))


def _options(
    right: Sequence[str], wrong: Iterable[str], key: Callable[[str], str] = make_plain
) -> tuple[Option, ...]:
    """The right options, then some wrong ones that say something else; none where two wrong ones
    cannot be found. `key` is what they are compared by.
    """
    known = {key(text) for text in right}
    others = []
    for text in wrong:
        if key(text) not in known:
            known.add(key(text))
            others.append(text)
    others = others[: min(WRONG, MOST - len(right))] if len(right) < MOST else []
    if len(others) + len(right) < WRONG or not others:
        return ()
    return tuple(Option(text, right=True) for text in right) + tuple(
        Option(text, right=False) for text in others
    )


def _is_done(step: Step, fork: dict[str, str]) -> bool:
    """Whether the step is done on a fork with these options."""
    plainly = {make_plain(name): make_plain(option) for name, option in fork.items()}
    return all(
        plainly.get(make_plain(one.variant)) in {make_plain(option) for option in one.options}
        for one in step.only_if
    )


def _draft(
    name: str,
    way: str,
    step: Step,
    stem: str,
    asked: ChooseOne | ChooseAll | PutInOrder | GiveAmount | Match,
    *,
    steps: tuple[str, ...] = (),
    critical: bool | None = None,
) -> QuestionText:
    return QuestionText(
        name,
        _name(step.id, way),
        stem,
        asked,
        steps or (step.id,),
        bool(step.critical) if critical is None else critical,
    )


def _name(step: str, way: str) -> str:
    """By id and way, not by number: one that was dropped is known again by its name."""
    whole = f"{step}-{way}"
    if len(whole) <= LONGEST_NAME:
        return whole
    # Cut at its end alone, all drafts about a step with a long id would have one name.
    told_apart = f"-{sha256(step.encode()).hexdigest()[:8]}-{way}"
    return step[: LONGEST_NAME - len(told_apart)] + told_apart
