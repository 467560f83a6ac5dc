"""What would the published guidelines for writing items say of a question?

The guidelines are those of Haladyna, Downing and Rodriguez, "A Review of Multiple-Choice
Item-Writing Guidelines for Classroom Assessment", Applied Measurement in Education 15 (2002),
309-334, Table 1; the numbers of the guidelines are from memory. All of it is advice: a question
that it speaks of may still be a good one.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from procedures.writeup.remarks import Remark, remark
from quizzes.kinds.kind import Option, QuestionText

LONGER = 1.5  # the right option has this many times the words of the longest wrong one, and …
MORE_WORDS = 4  # … at least so many more
MOST_STEM = 60  # words
FEWEST, MOST = 3, 5  # options
SAME_START = 3  # words that all options begin with
LONG_WORD = 5  # letters; shorter words tie nothing together


@dataclass(frozen=True, slots=True)
class Advice:
    """One piece of advice: the rule's name, what there is to be said, and the question. The
    catalogue names the guideline behind a rule.
    """

    rule: str
    remark: Remark
    question: str = ""


ABOVE = re.compile(
    r"\b(all|none|both|neither|any) of (the (above|others|options)|these|them)\b|\b(a|b|c) "
    r"and (b|c|d)\b",
    re.IGNORECASE,
)
NEGATIVE = re.compile(r"\b(not|never|except|cannot|incorrect|untrue)\b|n[’']t\b", re.IGNORECASE)
OPINION = re.compile(
    r"\b(do you (think|feel|prefer)|in your (opinion|view)|would you rather)\b", re.IGNORECASE
)
ABSOLUTE = re.compile(
    r"\b(always|never|absolutely|completely|under no circumstances|in every case|impossible)\b",
    re.IGNORECASE,
)
ASKS = re.compile(
    r"\?|:\s*$|…\s*$|^[^\S\n]*+(put|match|point|give|choose|name|say|tick|mark|find|show)\b",
    re.IGNORECASE | re.MULTILINE,
)
SENTENCE = re.compile(r"(?<![^.?!:])[^.?!:]*+\?")
WORD = re.compile(r"[^\W\d_]+(?:[’'-][^\W\d_]+)*")
ARTICLE = re.compile(r"\b(an?)\s*+(?:(?:…|_++|:)\s*+)?$", re.IGNORECASE)
NUMBER = r"\d+(?:[.,]\d+)?"
SPAN = re.compile(rf"^\D*?({NUMBER})\s*(?:to|–|-|and)\s*({NUMBER})\s*(\S*)")
BELOW = re.compile(
    rf"\b(?:below|under|less than|up to|at most)\s+({NUMBER})\s*(\S*)", re.IGNORECASE
)
ABOVE_IT = re.compile(
    rf"\b(?:above|over|more than|at least|from)\s+({NUMBER})\s*(\S*)", re.IGNORECASE
)
ONE_NUMBER = re.compile(rf"^\s*(?:about |ca\. )?({NUMBER})(\D*+)$")


def advise(question: QuestionText) -> tuple[Advice, ...]:
    """All advice on a question, what concerns the stem first; empty where the guidelines have
    nothing to say.
    """
    found = list(_on_stem(question.stem))
    if options := question.asked.on_offer():
        for check in ON_OPTIONS:
            found += check(question.stem, options)
    found += [Advice(rule, said) for rule, said in question.asked.advice()]
    return tuple(replace(one, question=question.name) for one in found)


def _on_stem(stem: str) -> Iterator[Advice]:
    # Only in what is asked: “Do not open it. Why?” forbids nothing to the reader of the question.
    asked = " ".join(SENTENCE.findall(stem)) or stem
    if found := NEGATIVE.search(asked):
        yield Advice("negative-stem", remark("negative-stem", found=found[0]))
    if found := OPINION.search(stem):
        yield Advice("opinion", remark("opinion", found=found[0]))
    if not ASKS.search(stem):
        yield Advice("no-question", remark("no-question"))
    if (words := len(stem.split())) > MOST_STEM:
        yield Advice("long-stem", remark("long-stem", count=words))


def _of_the_above(_: str, options: Sequence[Option]) -> Iterator[Advice]:
    for option in options:
        if found := ABOVE.search(option.text):
            yield Advice("one-of-the-above", remark("one-of-the-above", found=found[0]))


def _longest_right(_: str, options: Sequence[Option]) -> Iterator[Advice]:
    right = [len(option.text.split()) for option in options if option.right]
    wrong = [len(option.text.split()) for option in options if not option.right]
    if (
        len(right) == 1
        and wrong
        and right[0] >= LONGER * max(wrong)
        and right[0] - max(wrong) >= MORE_WORDS
    ):
        yield Advice("long-right", remark("long-right", count=right[0], most=max(wrong)))


def _overlapping(_: str, options: Sequence[Option]) -> Iterator[Advice]:
    spans = [(option.text, span) for option in options if (span := _span(option.text)) is not None]
    for (one, (low, high, unit)), (other, (low2, high2, unit2)) in combinations(spans, 2):
        # Spans that only touch (5 to 10, 10 to 15) are usual and overlap in nothing.
        if unit == unit2 and max(low, low2) < min(high, high2):
            yield Advice("overlap", remark("overlap", one=one, other=other))


def _twice(_: str, options: Sequence[Option]) -> Iterator[Advice]:
    plain = [" ".join(WORD.findall(option.text.casefold())) or option.text for option in options]
    for place, text in enumerate(plain):
        # Options may differ in their numbers alone, which WORD leaves out.
        if text in plain[:place] and re.sub(r"\D", "", options[place].text) == re.sub(
            r"\D", "", options[plain.index(text)].text
        ):
            yield Advice("twice", remark("twice", text=options[place].text))


def _absolute(_: str, options: Sequence[Option]) -> Iterator[Advice]:
    for option in options:
        if not option.right and (found := ABSOLUTE.search(option.text)):
            yield Advice("absolute", remark("absolute", found=found[0], option=option.text))


def _echo(stem: str, options: Sequence[Option]) -> Iterator[Advice]:
    """A word of the stem in the only right option and in none of the others."""
    right = [option for option in options if option.right]
    if len(right) != 1:
        return
    elsewhere = {
        stem_of(word) for option in options if not option.right for word in _long_words(option.text)
    }
    in_stem = {stem_of(word) for word in _long_words(stem)}
    said = [word for word in _long_words(right[0].text) if stem_of(word) in in_stem - elsewhere]
    if said:
        yield Advice("echo", remark("echo", word=said[0]))


def _article(stem: str, options: Sequence[Option]) -> Iterator[Advice]:
    if not (found := ARTICLE.search(stem.strip())):
        return
    vowels = {option.text.strip()[:1].casefold() in set("aeiou") for option in options}
    if len(vowels) == 2:
        yield Advice("article", remark("article", word=found[1]))


def _out_of_order(_: str, options: Sequence[Option]) -> Iterator[Advice]:
    read = [ONE_NUMBER.match(option.text) for option in options]
    numbers = [(_number(one[1]), one[2].strip().removesuffix(".").strip()) for one in read if one]
    if len(numbers) == len(options) > 2 and len({unit for _, unit in numbers}) == 1:
        amounts = [number for number, _ in numbers]
        if amounts not in (sorted(amounts), sorted(amounts, reverse=True)):
            yield Advice("out-of-order", remark("out-of-order-amounts"))


def _same_start(_: str, options: Sequence[Option]) -> Iterator[Advice]:
    starts = [tuple(WORD.findall(option.text.casefold())[:SAME_START]) for option in options]
    if len(starts) > 1 and len(set(starts)) == 1 and len(starts[0]) == SAME_START:
        yield Advice("same-start", remark("same-start", words=" ".join(starts[0])))


def _how_many(_: str, options: Sequence[Option]) -> Iterator[Advice]:
    if len(options) < FEWEST:
        yield Advice("few-options", remark("few-options", count=len(options)))
    if len(options) > MOST:
        yield Advice("many-options", remark("many-options", count=len(options)))


Check = Callable[[str, Sequence[Option]], Iterator[Advice]]
ON_OPTIONS: tuple[Check, ...] = (
    _how_many,
    _of_the_above,
    _longest_right,
    _overlapping,
    _twice,
    _absolute,
    _echo,
    _article,
    _out_of_order,
    _same_start,
)


def _long_words(text: str) -> list[str]:
    return [word for word in WORD.findall(text) if len(word) >= LONG_WORD]


def stem_of(word: str) -> str:
    """A word without the commonest endings, so that ring and rings, seat and seated are held to be
    the same.
    """
    return re.sub(r"(ings?|ed|es|s)$", "", word.casefold())


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _span(text: str) -> tuple[float, float, str] | None:
    """The span of amounts that an option names, with its unit; None where it names none."""
    if found := SPAN.match(text):
        return _number(found[1]), _number(found[2]), found[3].rstrip(".")
    if found := BELOW.search(text):
        return float("-inf"), _number(found[1]), found[2].rstrip(".")
    if found := ABOVE_IT.search(text):
        return _number(found[1]), float("inf"), found[2].rstrip(".")
    return None
