"""Does every command and setting answer nonsense with a sentence, and never with a traceback?"""

import io

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from tests.training import shop as shops
from tests.training.places import Place

UNREACHABLE = "postgres://nobody:x@127.0.0.1:1/nothing?connect_timeout=2"

# command, words behind it («folder», «binary», «absent», «file» are made), what is said
COMMANDS = [
    ("recall", "--tool TW-2 --since garbage", "not a day"),
    ("recall", "--tool TW-2 --until 2026-02-30", "not a day"),
    ("recall", "--person nobody-here", "Nobody here has the login"),
    ("recall", "--revision nothing", "no write-up"),
    ("recall", "--revision a:b", "not the number"),
    ("may", "nothing", "nothing"),
    ("may", "air-spring --on garbage", "cannot be read"),
    ("may", "air-spring --known-at 2026", "cannot be read"),
    ("may", "--ask «binary»", "cannot be read as JSON"),
    ("may", "--ask «folder»", "cannot be read as JSON"),
    ("may", "--ask «absent»", "cannot be read as JSON"),
    ("may", "air-spring --variant =", "no option"),
    ("may", "air-spring --person «absent»", "absent"),
    ("take", "«file»", "holds something already"),
    ("take", "«file»/below", "cannot be written"),
    ("take", "«empty» --person nobody-here", "nobody with the login"),
    ("bring", "«absent»", "no such folder"),
    ("bring", "«file»", "this file is of another kind; expected a folder"),
    ("bring", "«folder»", "nothing to bring in"),
    ("book", "--since garbage", "neither the number of an entry nor a day"),
    ("book", "--since 99999999", "no entry"),
    ("book", "--export «folder»", "cannot be written"),
    ("book", "--against «binary»", "cannot be read"),
    ("book", "--against «absent»", "absent"),
    ("book", "--against «folder»", "folder"),
    ("odds", "--quiz nothing", "no quiz"),
    ("odds", "--items -1 --options 2 --pass 1", "--items must be"),
    ("advise", "«binary»", "Save it as YAML in UTF-8"),
    ("advise", "«folder»", "cannot be read"),
    ("advise", "«absent»", "cannot be read"),
    ("advise", "«file»", "not YAML"),
    ("agreement", "«binary»", "Save it as CSV in UTF-8"),
    ("agreement", "«folder»", "cannot be read"),
    ("agreement", "«file»", ""),
    ("cutscore", "«binary»", "Save it as CSV"),
    ("cutscore", "«absent»", "cannot be read"),
    ("cutscore", "«file»", ""),
    ("itemstats", "«binary»", "Save it as CSV"),
    ("itemstats", "«folder»", "cannot be read"),
    ("itemstats", "«file»", ""),
    (
        "open_shop",
        "--workshop A --login a.b --name B --password x --time-zone Nowhere/Here",
        "holds a shop already",
    ),
    ("demo", "--port 99999", "cannot be used"),
    ("serve", "--lan --bind bench", "is not an address"),
    ("serve", "--lan --name bänk.lan", "is not a name of a machine"),
    ("serve", "--port 99999", "cannot be used"),
    ("remind", "", "BENCHRIGHT_MAIL_HOST"),
]


@pytest.fixture
def places(tmp_path):
    """A folder with a text in it, a file of bytes, one that is not there, a text, and an empty
    folder.
    """
    (tmp_path / "folder").mkdir()
    (tmp_path / "folder" / "note.txt").write_text("nothing for the shop")
    (tmp_path / "binary").write_bytes(bytes(range(256)) * 4)
    (tmp_path / "file").write_text("one line of no table: [\n")
    return {
        f"«{name}»": str(tmp_path / name)
        for name in ("folder", "binary", "absent", "file", "empty")
    }


@pytest.mark.parametrize(
    ("command", "words", "said"),
    COMMANDS,
    ids=lambda value: value if isinstance(value, str) else None,
)
def test_a_command_answers_nonsense_with_a_sentence(shop, places, command, words, said):
    for place, path in places.items():
        words = words.replace(place, path)
    with pytest.raises((CommandError, SystemExit)) as refused:
        call_command(command, *words.split(), stdout=io.StringIO(), stderr=(told := io.StringIO()))
    whole = f"{refused.value}\n{told.getvalue()}"
    assert said in whole
    assert "Traceback" not in whole
    assert "Error(" not in whole


@pytest.mark.parametrize("command", ["proof", "rehearse"])
@pytest.mark.parametrize("place", ["«folder»", "«binary»", "«absent»"])
def test_a_text_that_was_not_read_is_named_and_not_counted_as_clean(places, command, place):
    out, err = io.StringIO(), io.StringIO()
    with pytest.raises(SystemExit) as left:
        call_command(command, places[place], stdout=out, stderr=err)
    assert left.value.code == 2
    assert f"{places[place]}: cannot be read" in err.getvalue()
    if command == "proof":
        assert "0" not in out.getvalue()


def test_a_text_too_long_to_be_read_is_not_proofed_clean(tmp_path):
    (tmp_path / "long.md").write_text("---\ntitle: A\n---\n" + "word " * 250_000)
    out, err = io.StringIO(), io.StringIO()
    with pytest.raises(SystemExit) as left:
        call_command("proof", str(tmp_path / "long.md"), stdout=out, stderr=err)
    assert left.value.code == 2
    assert "longer than" in err.getvalue()
    assert out.getvalue() == ""


@pytest.mark.parametrize(
    ("typed", "meant"), [("TW2", "TW-2"), ("tw 2", "TW-2"), ("TW-22", "TW-2"), ("XX-9", "")]
)
def test_recall_hints_at_the_mark_that_was_meant(shop, typed, meant):
    shops.observe(shop, shop.trainee, tools=["TW-2"])
    out = io.StringIO()
    call_command("recall", "--tool", typed, stdout=out)
    assert (
        (f"Did you mean one of these: {meant}?" in out.getvalue())
        if meant
        else ("mean" not in out.getvalue())
    )


# --- settings ---

OF_ITS_OWN = pytest.mark.any_database  # each start names its place by itself

SETTINGS = [
    ({"BENCHRIGHT_HOME": "«file»"}, "cannot be used as a folder"),
    ({"BENCHRIGHT_HOME": "«file»/below"}, "cannot be used as a folder"),
    ({"DATABASE_URL": "nonsense"}, "DATABASE_URL"),
    ({"DATABASE_URL": "gopher://a/b"}, "DATABASE_URL"),
    ({"DATABASE_URL": "postgres://u@127.0.0.1:port/b"}, "DATABASE_URL"),
    ({"DATABASE_URL": UNREACHABLE}, "The database cannot be used"),
    ({"DATABASE_URL": "sqlite:////nowhere/at/all.sqlite3"}, "The database cannot be used"),
    ({"DATABASE_URL": "sqlite:///«binary»"}, "The database cannot be used"),
    ({"BENCHRIGHT_TIME_ZONE": "Nowhere/Here"}, "no time zone"),
    ({"BENCHRIGHT_TIME_ZONE": "../etc/passwd"}, "no time zone"),
    ({"BENCHRIGHT_DEBUG": "perhaps"}, "say yes or no"),
    ({"BENCHRIGHT_BEHIND_PROXY": "-1"}, "BENCHRIGHT_BEHIND_PROXY"),
    ({"BENCHRIGHT_MAIL_PORT": "99999"}, "number of a port"),
    ({"BENCHRIGHT_MAIL_SECURITY": "perhaps"}, "starttls"),
    ({"BENCHRIGHT_ADDRESS": "http://["}, "how the site is reached"),
    ({"BENCHRIGHT_ADDRESS": "bench.example"}, "how the site is reached"),
]


def run(home, *words, **environment):
    return Place(home, more=environment).python("manage.py", *words)


@OF_ITS_OWN
@pytest.mark.parametrize(
    ("said_of_machine", "said"),
    SETTINGS,
    ids=lambda value: value if isinstance(value, str) else " ".join(value.values()),
)
def test_a_setting_that_makes_no_sense_is_told_in_a_sentence(
    tmp_path, places, said_of_machine, said
):
    for place, path in places.items():
        said_of_machine = {
            name: value.replace(place, path) for name, value in said_of_machine.items()
        }
    done = run(tmp_path / "home", "migrate", **said_of_machine)
    assert done.returncode != 0
    assert said in done.stderr
    assert "Traceback" not in done.stderr


@OF_ITS_OWN
@pytest.mark.parametrize("made", ["folder", "bytes", "short"])
def test_a_secret_that_is_none_is_told(tmp_path, made):
    secret = tmp_path / "secret"
    secret.mkdir() if made == "folder" else secret.write_bytes(
        b"\xff\xfe" if made == "bytes" else b"x"
    )
    done = run(tmp_path, "check", "--tag", "shop")
    assert "everybody signs in anew" in done.stderr
    assert "Traceback" not in done.stderr


@OF_ITS_OWN
def test_a_day_that_is_none_is_told_at_the_terminal_too(tmp_path):
    done = run(tmp_path, "recall", "--tool", "TW-2", "--since", "garbage")
    assert done.returncode == 2
    assert "not a day" in done.stderr
    assert "Traceback" not in done.stderr
