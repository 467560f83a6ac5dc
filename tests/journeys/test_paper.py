"""Do the sheets come out of the printer as they should: the size, the pages, the words, a code that
a phone can read?
"""

import io
import re
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest
import zxingcpp
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils.text import slugify
from PIL import Image

from procedures.actions.studying import keep_fork
from procedures.actions.writeups import bring_revision
from tests.training.shop import NOW, TERMS, TODAY, observe
from training.actions.cards import make_card
from training.actions.front import set_front
from training.actions.levels import set_level
from training.models import Observation, SignOff, User
from training.records.keeping import head

POINTS = 72 / 25.4  # points of a PDF in a millimetre (ISO 32000-1, 8.3.2.3)
# ISO 216: the sides of the sheets, in mm
SIZES = {"A4": (210, 297), "A4 lying": (297, 210), "A3 lying": (420, 297)}


@pytest.fixture
def printed(request):
    """Prints a page as the browser does; with --shots the sheet is kept too."""

    def print_(walker, path):
        walker.go(path)
        data = walker.page.pdf(prefer_css_page_size=True, tagged=True)
        if folder := request.config.getoption("--shots"):
            Path(folder).mkdir(parents=True, exist_ok=True)
            (
                Path(folder) / f"print-{re.sub('[^a-zA-Z0-9]+', '-', path).strip('-')}.pdf"
            ).write_bytes(data)
        return pypdf.PdfReader(io.BytesIO(data))

    return print_


def words_of(pdf):
    return [" ".join(page.extract_text().split()) for page in pdf.pages]


def test_each_sheet_has_its_paper_and_can_be_read_by_a_screen_reader(shop, walk, printed):
    keep_fork(revision=shop.revision, person=shop.senior, chosen={"ring": "prong"})
    certificate = f"/sign-offs/{SignOff.objects.filter(person=shop.senior).first().pk}/"
    walker = walk(shop.senior, wide=True)
    for path, size in (
        ("/wall/", "A3 lying"),
        ("/wall/?paper=A4", "A4 lying"),
        ("/study/air-spring-service/print/", "A4"),
        (certificate, "A4"),
        ("/card/", "A4"),
    ):
        pdf = printed(walker, path)
        if path.startswith(("/wall/", "/card/", "/sign-offs/")):
            (words,) = words_of(pdf)  # of a small shop: nothing runs over on a sheet of its own
            assert "local rules and licensed practice" not in words  # the foot of the site
            # room for a pen
            assert ("ignature" in words) is path.startswith("/sign-offs/"), path
        for page in pdf.pages:
            assert [float(side) / POINTS for side in page.mediabox[2:]] == pytest.approx(
                SIZES[size], abs=1
            ), path
        assert pdf.trailer["/Root"]["/MarkInfo"]["/Marked"], path
        assert pdf.trailer["/Root"]["/Lang"] == "en-GB", path


# Whether the first logo that is drawn lies under nothing else, and as wide as it is high.
UNCOVERED = """() => {
  const logos = [...document.querySelectorAll(".logo")].filter(one => one.getClientRects().length)
  const box = logos[0].getBoundingClientRect()
  const shape = box.width / box.height / (logos[0].naturalWidth / logos[0].naturalHeight)
  const top = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2)
  return top === logos[0] && shape > 0.9 && shape < 1.1
}"""


def set_logo(shop, sides, name="Two Springs"):
    """The shop's name and a logo of this many pixels across and down."""
    kept = io.BytesIO()
    Image.new("RGB", sides, (20, 20, 120)).save(kept, "PNG")
    given = {"name": name, "logo": SimpleUploadedFile("logo.png", kept.getvalue())}
    set_front(**given, is_logo_removed=False, all_may_look=False, by=shop.owner, now=NOW)


def test_each_print_carries_name_and_logo_and_no_page_more(shop, walk, printed):
    """It is as long as without them, and the logo is drawn in its own form."""
    keep_fork(revision=shop.revision, person=shop.owner, chosen={"ring": "prong"})
    observe(shop, shop.trainee)
    make_card(person=shop.owner, by=shop.owner, now=NOW)
    signed, seen = SignOff.objects.first(), Observation.objects.first()
    paths = [
        *("/wall/", "/wall/?paper=A4", "/who-may/", "/card/", "/codes/"),
        *(f"/sign-offs/{signed.pk}/", f"/observations/{seen.pk}/", "/reminders/list/"),
        "/study/air-spring-service/print/",
    ]
    walker = walk(shop.owner, wide=True)
    walker.page.emulate_media(media="print")
    before = {path: len(printed(walker, path).pages) for path in paths}
    for sides, some in (((100, 800), paths), ((1600, 100), [*paths[1:4], paths[5]])):
        set_logo(shop, sides)
        for path in some:
            pdf = printed(walker, path)
            words, across = words_of(pdf), sides[0] > sides[1]
            assert len(words) == before[path], path
            assert all(words), f"an empty page: {path}"
            assert "Two Springs" in words[0], path
            drawn = [image.image.size for image in pdf.pages[0].images]
            assert ((400, 25) if across else (50, 400)) in drawn, path
            assert walker.page.evaluate(UNCOVERED), path


def heights_of(page):
    """For each piece of text of a printed page: the height of its capitals in mm (the size of its
    letters, by the capitals' share that its font tells), and where it stands from below, 0 to 1.
    """
    found = []

    def note(text, cm, tm, font, size):
        if text.strip() and font:
            about = font["/DescendantFonts"][0].get_object()["/FontDescriptor"].get_object()
            scale = abs(cm[3] * tm[3]) * size / POINTS
            high = (cm[3] * tm[5] + cm[5]) / float(page.mediabox[3])
            found.append((text.strip(), abs(float(about["/CapHeight"])) / 1000 * scale, high))

    page.extract_text(visitor_text=note)
    return found


def test_the_wall_sheet_is_read_from_three_metres_and_fills_its_paper(shop, walk, printed):
    """Ten people and seven levels on A3. MUTCD 2003, section 2A.14: an inch of letter height for
    each 40 feet of distance, so 6.25 mm for 3 m.
    """
    for number in range(5):
        User.objects.create(
            login=f"extra-{number}",
            name=f"Ada Fenn {number}",
            trade="mechanic",
            workshop=shop.workshop,
        )
    for title in (
        "Lower-leg service",
        "Travel change",
        "Damper service",
        "Rear air-can service",
        "Air and sag",
        "Intake",
    ):
        set_level(name=slugify(title), terms=replace(TERMS, title=title), now=NOW, from_day=None)
    walker = walk(shop.owner, wide=True)
    for path in ("/wall/", "/wall/?days=7"):
        (page,) = printed(walker, path).pages
        pieces = heights_of(page)
        read = [
            (text, height)
            for text, height, high in pieces
            if high < 0.85  # under what explains the blocks
            and (text in ("alone", "not yet") or text.startswith(("Lower-leg", "Sol", "Ada Fenn")))
        ]
        assert len(read) > 70
        assert [(text, height) for text, height in read if height < 3000 / 480] == []
        assert min(high for text, _, high in pieces if text.startswith("Wim")) < 0.25


def test_who_may_is_printed_as_one_table_with_words(shop, walk, printed):
    (words,) = words_of(printed(walk(shop.owner, wide=True), "/who-may/"))
    assert re.search(r"Sol Senior senior mechanic.* alone until 5 Jan 2028", words)
    assert "Tilda Trainee" in words
    assert words.count("not yet") >= 4


def test_a_long_wall_sheet_repeats_its_heads_on_every_page(shop, walk, printed):
    for number in range(70):
        User.objects.create(
            login=f"extra-{number:02}",
            name=f"Extra Person {number:02}",
            trade="mechanic",
            workshop=shop.workshop,
        )
    walker = walk(shop.owner, wide=True)
    for paper in ("A3", "A4"):
        pages = words_of(printed(walker, f"/wall/?paper={paper}"))
        assert len(pages) > 1, paper
        for words in pages[: 70 // 40 + 1]:
            assert "as of 25 Nov 2026" in words
            assert head()[1] in words.replace(" ", "")
            assert "Person Air-spring service" in words
        together = " ".join(pages)
        assert all(together.count(f"Extra Person {number:02}") == 1 for number in range(70)), paper


def test_the_write_up_to_fill_in_never_parts_a_caution_from_its_step(shop, walk, printed):
    keep_fork(revision=shop.revision, person=shop.trainee, chosen={"ring": "prong"})
    pages = words_of(printed(walk(shop.trainee, wide=True), "/study/air-spring-service/print/"))
    (page,) = [words for words in pages if "Open the chamber" in words]
    assert re.search(r"WARNING|DANGER|CAUTION|NOTICE", page)
    assert "This is revision 1." in pages[0]
    # The first message of DANGER or WARNING stands on the first page, whatever step it belongs to.
    assert "WARNING Air in the fork" in pages[0]  # whatever step it belongs to


def test_the_printed_code_is_read_and_leads_to_the_answer_of_the_moment(shop, walk):
    walker = walk(shop.senior, wide=True).go("/card/").press("Make the card")
    (code,) = zxingcpp.read_barcodes(
        Image.open(io.BytesIO(walker.page.locator("section.card").screenshot()))
    )
    assert code.text == walker.page.get_by_role("link", name="What the code shows").get_attribute(
        "href"
    )
    stranger = walk(wide=True).go(code.text.removeprefix(walker.url))
    stranger.sees("Sol Senior", "alone")
    walker.press("Withdraw the card")
    stranger.go(code.text.removeprefix(walker.url), expect=410).sees("This card is withdrawn")


def test_the_card_has_the_size_of_a_bank_card(shop, walk):
    # ISO/IEC 7810, ID-1: 85.60 mm by 53.98 mm (from memory); a CSS millimetre is 96/25.4 pixels
    walker = walk(shop.senior, wide=True).go("/card/").press("Make the card")
    box = walker.page.locator("section.card").bounding_box()
    size = (box["width"] * 25.4 / 96, box["height"] * 25.4 / 96)
    assert size == pytest.approx((85.6, 53.98), abs=0.2)
    # The longest name that a shop can have, beside a logo: nothing runs over the edge.
    set_logo(shop, (1600, 400), "Suspension Workshop of the Two Springs at the Old River Bank"[:60])
    User.objects.filter(pk=shop.senior.pk).update(name="Maximiliana Senior-Featherstone")
    walker.page.emulate_media(media="print")
    card = walker.go("/card/").page.locator("section.card")
    assert card.evaluate("card => card.scrollHeight - card.clientHeight") <= 0


def test_the_codes_for_the_bench_are_read_and_open_the_revision_in_force(shop, walk):
    """Read by a library that shares nothing with the one that drew them."""
    keep_fork(revision=shop.revision, person=shop.trainee, chosen={"ring": "prong"})
    walker = walk(shop.trainee, wide=True).go("/codes/").sees("Air-spring service", "Printed on")
    (code,) = zxingcpp.read_barcodes(
        Image.open(io.BytesIO(walker.page.locator("section.bench-code").screenshot()))
    )
    assert code.text == f"{walker.url}/bench/air-spring-service/"
    walker.go(code.text.removeprefix(walker.url)).sees("revision 1")
    bring_revision(
        writeup=shop.writeup,
        number=2,
        text=shop.revision.text,
        asks="nothing",
        released_on=TODAY,
        now=NOW,
    )
    walker.go(code.text.removeprefix(walker.url)).sees("revision 2")
