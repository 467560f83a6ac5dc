"""Is who signed for whom told as a conclusion first, and as a matrix after it?"""

import re

import pytest

from tests.training.shop import NOW, found
from training.models import SignOff
from training.reports import signers
from training.reports.signers import Signings, signers_page
from training.standing.rings import Rings, Signed


def edge(signer, person, times=1, holds=None, founding=0):
    return Signed(signer, person, times, times if holds is None else holds, founding)


@pytest.fixture
def matrix(shop, monkeypatch):
    """The page for such edges and closed groups, of the people of the small shop."""

    def made(*edges, closed=()):
        monkeypatch.setattr(signers, "rings", lambda shop, now: Rings(edges, closed, ()))
        return signers_page(now=NOW)

    return made


def test_people_stand_down_and_signers_across_with_how_many_sign_offs(matrix, shop):
    page = matrix(edge("sol", "mika", 3, holds=2), edge("odile", "sol", 2, founding=2))
    assert page.signers == (shop.owner.name, shop.senior.name)
    rows = {row.person: row for row in page.rows}
    assert list(rows) == sorted(rows)
    assert rows[shop.mechanic.name].cells == (Signings(), Signings(times="3", void="1"))
    assert rows[shop.senior.name].cells == (Signings(times="2", first="2"), Signings(is_own=True))
    assert (page.totals, page.total) == (("2", "3"), "5")
    assert [row.total for row in rows.values()] == ["3", "2"]


def test_who_signs_for_themselves_or_each_other_and_closed_groups_are_marked(matrix):
    page = matrix(
        edge("sol", "mika"), edge("mika", "sol"), edge("odile", "odile"), closed=(("mika", "sol"),)
    )
    cells = {
        (row.person, signer): cell
        for row in page.rows
        for signer, cell in zip(page.signers, row.cells, strict=True)
        if cell.times
    }
    marks = {
        tuple(name.split()[0] for name in pair): (cell.is_own, cell.is_mutual, cell.in_ring)
        for pair, cell in cells.items()
    }
    ring, own = (False, True, True), (True, False, False)
    assert sorted(marks.values()) == [ring, ring, own]
    assert page.heading == "1 group is signed off by nobody but itself"
    assert len(page.closed) == 1
    assert " and " in page.closed[0]


def test_the_page_says_what_it_comes_to_before_the_matrix(shop, as_):
    page = as_(shop.owner).get("/signers/").text
    assert page.index("Every sign-off counts") < page.index('<table class="signings">')
    found(shop.other_senior, shop.level, shop.owner)
    body = as_(shop.owner).get("/signers/").text.partition("<tbody>")[2]
    rows = re.findall(r'<th scope="row">(.*?)</th>', body)
    assert shop.other_senior.name in rows
    assert rows[-1] == "In all"
    assert SignOff.objects.count() == int(re.findall(r"<b>(\d+)</b>", body)[-1])
