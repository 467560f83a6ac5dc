"""What do the commands on odds, item statistics and agreement print, and what do they say of files
that can't be taken?
"""

import json

import pytest
from django.core.management import CommandError, call_command

from quizzes.models import Quiz
from tests.quizzes.factories import QuizFactory
from tests.quizzes.published import lsat6_text, near, numbers, row, rows, values


@pytest.fixture
def tell(capsys):
    """What a command prints, as JSON."""

    def told(*args):
        call_command(*args, "--format", "json")
        return json.loads(capsys.readouterr().out)

    return told


@pytest.fixture
def file(tmp_path):
    """A file that holds a text."""

    def written(text, name="table.csv"):
        path = tmp_path / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return str(path)

    return written


@pytest.mark.parametrize("published", rows("chance to pass"), ids=lambda one: one["quantity"])
def test_odds_of_a_described_quiz(tell, published):
    need, asked, _ = map(int, numbers(published["quantity"]))
    told = tell("odds", "--items", str(asked), "--options", "4", "--pass", str(need))
    assert told["guesser"] == near(numbers(published["value"])[2])
    assert list(told["knows"]) == [
        "0.5",
        "0.55",
        "0.6",
        "0.65",
        "0.7",
        "0.75",
        "0.8",
        "0.85",
        "0.9",
        "0.95",
    ]


def test_who_knows_some_guesses_the_rest(tell):
    told = tell("odds", "--items", "2", "--options", "2", "--pass", "2")
    assert told["guesser"] == near(1 / 4)
    assert told["knows"]["0.8"] == near(0.9**2)


def test_critical_questions_are_right_besides(tell):
    told = tell("odds", "--items", "2", "--options", "2", "--pass", "1", "--critical", "1")
    assert told["guesser"] == near(1 / 2)


@pytest.mark.parametrize(
    "args",
    [
        (),
        ("--items", "5"),
        ("--items", "0", "--options", "4", "--pass", "0"),
        ("--items", "5", "--options", "0", "--pass", "4"),
        ("--items", "5", "--options", "4", "--pass", "6"),
        ("--items", "5", "--options", "4", "--pass", "4", "--critical", "6"),
    ],
)
def test_numbers_that_make_no_quiz_are_told(args):
    with pytest.raises(CommandError, match="--items"):
        call_command("odds", *args)


def test_odds_of_a_quiz_of_the_shop(tell, quiz):
    """One option of three, some of three (two right), an order of four, and a critical amount,
    which is not guessed.
    """
    told = tell("odds", "--quiz", quiz.name, "--percent", "75")
    assert (told["questions"], told["critical"], told["percent"], told["guesser"]) == (
        "4",
        1,
        75,
        0,
    )
    assert told["knows"]["0.9"] > 0.9**4


def test_a_quiz_that_is_not_there_or_asks_nothing_is_told(db):
    with pytest.raises(CommandError, match=r"no quiz “springs”\. The shop has: none yet"):
        call_command("odds", "--quiz", "springs")
    QuizFactory(name="empty")
    with pytest.raises(CommandError, match="nothing to ask"):
        call_command("odds", "--quiz", "empty")
    with pytest.raises(CommandError, match="from 0 to 100"):
        call_command("odds", "--quiz", "empty", "--percent", "101")
    assert Quiz.objects.count() == 1


def test_item_statistics_of_the_law_school_test(tell, file):
    told = tell("itemstats", file(lsat6_text()))
    assert told["people"] == 1000
    assert told["alpha"] == near(values("alpha = KR-20", "LSAT6")[0])
    assert [item["item_rest"] for item in told["items"]] == near(values("r corrected", "LSAT6"))
    assert [item["difficulty"] for item in told["rasch"]] == near(
        values("Rasch b, conditional ML", "LSAT6"), 1e-4
    )
    assert [item["options"] for item in told["items"]] == [[]] * 5
    assert {
        "item",
        "share_right",
        "share_low",
        "share_high",
        "item_rest",
        "item_total",
        "upper_lower",
        "alpha_without",
        "options",
        "flags",
    } == set(told["items"][0])


def test_item_statistics_of_options_with_a_key(tell, file):
    answers = file("person,q,r\nTilda,A,B\nMika,B,\nSol,A,B\n")
    told = tell("itemstats", answers, "--key", file("item,key\nq,A\nr,B\n", "key.csv"))
    q, r = told["items"]
    assert q["share_right"] == near(2 / 3)
    assert [(one["option"], one["share"]) for one in q["options"]] == [
        ("A", near(2 / 3)),
        ("B", near(1 / 3)),
    ]
    assert [one["r_rest"] for one in q["options"]] == near([1, -1])
    assert r["options"][0] == {"option": "A", "share": 0, "r_rest": None}


def test_what_is_undefined_is_null_and_never_nan(tell, file, capsys):
    told = tell("itemstats", file("q,r\n1,1\n"))
    assert (told["people"], told["mean"], told["sd"], told["alpha"], told["sem"]) == (
        1,
        2,
        None,
        None,
        None,
    )
    assert [item["item_rest"] for item in told["items"]] == [None, None]
    assert [item["difficulty"] for item in told["rasch"]] == [None, None]
    assert all(item["note"] for item in told["rasch"])


def test_the_figures_in_words(file, capsys):
    call_command("itemstats", file("q,r\n1,1\n1,0\n1,0\n0,1\n"))
    assert "4 people, mean 1.250" in capsys.readouterr().out
    call_command("agreement", file("a,b\n1,1\n2,2\n1,2\n"))
    assert "kappa           0.400000" in capsys.readouterr().out
    call_command("odds", "--items", "1", "--options", "4", "--pass", "1")
    assert "guesses everything: 0.250000" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (b"\xff\xfe", "not a UTF-8 text"),
        ("", "empty"),
        ("q,q\n1,1\n", "twice"),
        ("q,r\n1\n", "Line 2"),
        ("q\nB\n", "--key"),
    ],
)
def test_a_file_that_cannot_be_taken_is_told(file, text, says):
    with pytest.raises(CommandError, match=says):
        call_command("itemstats", file(text))


def test_a_file_that_is_not_there_is_told():
    for command in ("itemstats", "agreement"):
        with pytest.raises(CommandError, match=r"nowhere\.csv: cannot be read: No such file"):
            call_command(command, "nowhere.csv")


def test_agreement_of_two(tell, file):
    published = row("kappa; SE; SE if kappa = 0", "75 1 4")
    cells = [numbers(line) for line in published["inputs"].split("/")]
    lines = [
        f"{i},{j}"
        for i, line in enumerate(cells)
        for j, many in enumerate(line)
        for _ in range(int(many))
    ]
    told = tell("agreement", file("\n".join(["Bo,Dot", *lines])))
    at, _, _, _, low, high = numbers(published["value"])
    assert told["kappa"] == near(at)
    # The published bounds are those of large samples; ours never leave the range of kappa.
    assert (told["kappa_low"], told["kappa_high"]) == near((low, high), 0.03)
    assert told["alpha_nominal"] == near(values("Gwet AC1; Krippendorff nominal alpha")[1])


def test_agreement_of_four_with_gaps(tell, file):
    published = row("Krippendorff alpha: nominal; ordinal")
    words = published["inputs"].partition("missing:")[2].split()
    told = tell(
        "agreement",
        file(
            "unit,a,b,c,d\n"
            + "\n".join(f"{n},{','.join(word.replace('-', ' '))}" for n, word in enumerate(words))
        ),
    )
    expected = [numbers(part)[0] for part in published["value"].split(";")[:3]]
    assert [told[f"alpha_{name}"] for name in ("nominal", "ordinal", "interval")] == near(expected)
    assert (told["pairable"], told["kappa"], told["kappa_low"], told["kappa_high"]) == (
        40,
        None,
        None,
        None,
    )


def test_words_have_no_order(tell, file):
    told = tell("agreement", file("a,b\nright,wrong\nright,right\nwrong,wrong\n"))
    assert told["alpha_nominal"] is not None
    assert (told["alpha_ordinal"], told["alpha_interval"]) == (None, None)


@pytest.mark.parametrize("text", ["a,b\n", "a,b\n1,\n,1\n", "a,b\n1,1\n1,1\n"])
def test_no_agreement_beyond_chance_to_tell(tell, file, text):
    told = tell("agreement", file(text))
    assert [told[name] for name in ("kappa", "kappa_low", "kappa_high", "alpha_nominal")] == [
        None
    ] * 4


def test_a_cut_score_with_its_spread(tell, file, capsys):
    """Invented ratings, for the arithmetic only (fixtures/published); method: Angoff (1971)."""
    published = row("Angoff: judge sums")
    ratings = [numbers(line) for line in published["inputs"].partition("[[")[2].split("], [")]
    *sums, cut, share, sd, se, lowest = numbers(published["value"].replace("items =", ""))
    lines = [
        "judge;q1;q2;q3;q4;q5",
        *(f"senior {place};" + ";".join(map(str, line)) for place, line in enumerate(ratings)),
    ]
    told = tell("cutscore", file("\n".join(lines)))
    assert told["sums"] == near(sums)
    assert [told[name] for name in ("cut", "share", "sd", "se", "lowest_passing")] == near(
        [cut, share, sd, se, lowest]
    )
    call_command("cutscore", file("\n".join(lines)))
    assert f"The lowest result that passes: {lowest:.0f} right" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("q1,q2\n0.5,often\n", "Line 2"),
        ("q1,q2\n0.5,1.5\n", "chance from 0 to 1"),
        ("q1,q2\n", "Each judge"),
        ("", "empty"),
    ],
)
def test_estimates_that_are_none_are_told(file, text, says):
    with pytest.raises(CommandError, match=says):
        call_command("cutscore", file(text))
