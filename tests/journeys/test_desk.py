"""Is nothing that was typed at the author's desk lost, in the browser and on the site?"""

import re

from playwright.sync_api import expect

from procedures.models import Revision, Typed


def test_what_was_typed_comes_back_and_a_finding_leads_to_its_line(shop, walk):
    writer = (
        walk(shop.other_senior, wide=True)
        .click("Write-ups")
        .press(re.compile("Start the next revision"))
    )
    page, desk = writer.page, writer.path
    text = page.locator("#id_text")
    # the numbers beside the text are set line by line in the letters of the text
    fonts = page.locator("#id_text, .mirror").evaluate_all(
        "both => both.map(each => getComputedStyle(each).font)"
    )
    assert len(fonts) == 2
    assert fonts[0] == fonts[1]
    at = text.input_value().index("needs: depressurised")
    text.evaluate("(field, at) => { field.focus(); field.setSelectionRange(at, at); }", at)
    page.keyboard.type("needs: ring greased\n")
    # The check came by itself.
    page.get_by_role("button", name=re.compile("^line .*error")).first.wait_for()
    # said to whoever does not see it
    expect(page.get_by_role("status").and_(page.locator("#found-said"))).to_contain_text("1 error")
    page.get_by_text("not saved yet").wait_for()  # and so did the keeping
    assert "needs: ring greased" in Typed.objects.get().text
    assert "needs: ring greased" not in Revision.objects.get(number=2).text

    page.get_by_role("button", name=re.compile("^line .*error")).first.press("Enter")
    assert (
        text.evaluate("field => field.value.slice(field.selectionStart, field.selectionEnd)")
        == "needs: ring greased"
    )

    # as if the site had been killed before it kept anything: the browser has its own copy
    Typed.objects.all().delete()
    writer.go(desk).sees("Text that is not saved", "This browser still has text that you typed")
    page.get_by_role("button", name="Go on with this text").press("Enter")
    assert "needs: ring greased" in text.input_value()

    page.get_by_role("button", name="Notice").press("Enter")
    assert '!!! notice "What it is about"' in text.input_value()
    writer.press("Save draft").sees("The draft is saved.")
    assert "needs: ring greased" in Revision.objects.get(number=2).text
    assert not page.get_by_text("Text that is not saved").is_visible()
    assert not Typed.objects.exists()
