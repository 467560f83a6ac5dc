"""Does somebody who knows the work and not the language write a draft that rehearses clean?"""

import re

from procedures.models import Revision
from procedures.records.texts import findings_of
from procedures.rehearsal.findings import blocks


def test_from_an_empty_draft_to_a_clean_rehearsal_without_a_word_of_the_language(shop, walk):
    # On a phone, and without scripts: what a browser can do by itself is enough.
    writer = walk(shop.senior, scripts=False).go("/write-ups/new/")
    page = writer.page
    page.fill("[name=title]", "Top-cap check")
    writer.press("Start the draft").sees("Draft of revision 1", "No error.")

    writer.click("Change the head")
    page.get_by_label("Service level").select_option(label="Air-spring service")
    page.get_by_label("True at the start").fill("fork in the stand")
    page.get_by_label("What it is for").fill("What this check is for.")
    writer.press("Save the head").sees("The head is saved.", "fork in the stand")

    writer.click(re.compile("^Add a step after.*Put on"))
    page.get_by_label("What is done").fill("Open the air chamber")
    page.get_by_label("How it is done").fill("Unscrew the top cap by a quarter turn.")
    page.get_by_text("Safety", exact=True).click()
    page.get_by_label("air chamber").check()
    writer.press("Check the step").sees("Checked, not saved.", "At this step:", "air chamber")
    page.get_by_text("Cautions before the work").click()
    writer.press("Add a caution")
    page.get_by_label("What it is about").fill("Trapped air")
    page.get_by_label("What is dangerous here").fill("A part can fly out.")
    page.get_by_label("What it can do to a person").fill("It can blind.")
    page.get_by_label("What to do so that").fill("Keep your face out of the line of the tube.")
    writer.press("Save the step").sees("is saved.", "1 error.")

    writer.click(re.compile("^Add a step after.*Put on"))
    page.get_by_label("What is done").fill("Let the air out")
    page.get_by_label("How it is done").fill("Press the valve core until the hiss stops.")
    page.get_by_text("What is true", exact=True).click()
    page.get_by_label("Must be true before").fill("fork in the stand")
    page.get_by_label("True from here on").fill("air let out")
    writer.press("Save the step").sees("is saved.", "No error.")

    draft = Revision.objects.get(writeup__name="top-cap-check")
    assert not blocks(findings_of(draft.text, name="top-cap-check"))
    assert [line for line in draft.text.split("\n") if "opens" in line] == ["opens: air chamber"]
