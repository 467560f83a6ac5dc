"""What does the proofing find in a write-up?"""

from collections.abc import Callable, Iterable, Iterator

from procedures.writeup.model import WriteUp
from procedures.writeup.proof import (
    hazards,
    language,
    lists,
    messages,
    numbers,
    panels,
    protections,
    readability,
    steps,
)
from procedures.writeup.proof.findings import ProofFinding, sort_proofed
from procedures.writeup.proof.reading import Reading, read

CHECKS: tuple[Callable[[Reading], Iterator[ProofFinding]], ...] = (
    lists.header_says_what_it_is,
    lists.words_are_explained,
    lists.tools_are_listed,
    lists.consumables_have_amounts,
    messages.messages_are_complete,
    messages.harms_are_harms,
    messages.hazards_are_named,
    messages.avoidances_are_commands,
    messages.manners_are_said,
    messages.messages_are_short,
    protections.protections_are_steps,
    panels.words_are_the_four,
    panels.words_fit_their_harm,
    panels.dangers_are_rare,
    panels.one_hazard_has_one_word,
    panels.words_stand_alone,
    panels.cautions_stand_before,
    panels.worst_stands_first,
    panels.few_before_a_step,
    hazards.dangerous_steps_are_covered,
    hazards.openings_are_told,
    hazards.safety_comes_first,
    numbers.both_units_agree,
    numbers.torques_are_whole,
    numbers.text_and_fields_agree,
    numbers.ranges_run_upward,
    numbers.pressures_are_gauge,
    steps.one_action_a_step,
    steps.steps_are_commands,
    steps.conditions_come_first,
    steps.lists_are_numbered,
    steps.phases_are_short,
    steps.steps_say_what_to_do,
    steps.results_are_stated,
    steps.references_lead_back,
    language.sentences_are_short,
    language.language_is_plain,
    language.quantities_are_numbers,
    language.somebody_does_it,
    language.notes_only_tell,
    language.articles_are_kept,
    language.pronouns_are_clear,
    readability.texts_can_be_read,
)


def proof(writeup: WriteUp, text: str) -> tuple[ProofFinding, ...]:
    """Every finding in a write-up, by line and rule; `text` is what the write-up was parsed from.
    Never raises.
    """
    reading = read(writeup, text)
    return (
        # A text too long to be parsed has no parts, and nothing can be said of it.
        sort_proofed(found for check in CHECKS for found in check(reading)) if reading.parts else ()
    )


def find_unanswered(
    found: Iterable[ProofFinding], answered: Iterable[tuple[str, str, str]]
) -> tuple[ProofFinding, ...]:
    """The findings that ask for an answer and have none; `answered` are the keys of those that
    have.
    """
    kept = frozenset(answered)
    return tuple(each for each in found if each.asks and each.key not in kept)
