"""Does a sign-off go along as a file, and does the file prove what it should and no more?

Open Badges 3.0 and VC 2.0 name the fields; the proof is held against the W3C's example in
test_credential_proof.py. The hash of the name is taken here with hashlib by itself, as the
standard's IdentityObject says: sha256 over the identifier with the salt behind it.
"""

import copy
import hashlib
import json
from datetime import datetime, timedelta

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.urls import reverse

from tests.training.shop import LONG_AGO, NOW, found, lifted, stood_down, void_asked, void_decided
from training.exchange.credential.checking import check, say_verdict, status_list
from training.exchange.credential.document import REVOCATION, SUSPENSION
from training.exchange.credential.issuing import issue, known_keys, own_key
from training.exchange.credential.proof import multikey, sign
from training.exchange.credential.verdict import verify
from training.models import SignOff

ADDRESS = "https://shop.example"


@pytest.fixture
def row(shop):
    found(shop.mechanic, shop.level, shop.owner)
    rows = SignOff.objects.select_related("person__workshop", "level", "signer")
    return rows.get(person=shop.mechanic)


def as_bytes(document):
    return json.dumps(document).encode()


def checked(document, **more):
    return check(as_bytes(document), now=more.pop("now", NOW), **more)


def test_a_sign_off_goes_along_and_holds(row):
    made = issue(row, now=NOW, address=ADDRESS)
    verdict = checked(made)
    assert (verdict.code, verdict.is_current) == ("holds", True)
    assert "signed off until" in say_verdict(verdict)
    assert made["@context"][0] == "https://www.w3.org/ns/credentials/v2"
    assert {"VerifiableCredential", "OpenBadgeCredential"} <= set(made["type"])


def test_no_name_stands_in_it_but_whoever_is_told_the_name_can_see_that_it_is_theirs(row):
    made = issue(row, now=NOW, address=ADDRESS)
    text = json.dumps(made, ensure_ascii=False)
    assert row.person.name not in text
    assert row.person.login not in text
    (identity,) = made["credentialSubject"]["identifier"]
    assert identity["identityHash"] == "sha256$" + (
        hashlib.sha256((row.person.name + identity["salt"]).encode()).hexdigest()
    )
    assert checked(made, name=row.person.name).holds
    assert checked(made, name="Somebody Else").code == "other-name"


def test_it_says_where_the_owner_gave_it_and_to_themselves(client, shop, row):
    """No name stands in it, so that nothing else would tell."""
    own = found(shop.owner, shop.level, shop.owner)
    for one, said in (
        (row, "first sign-off by the owner"),
        (own, "first sign-off by the owner, for themselves"),
    ):
        made = issue(one, now=NOW)
        assert made["evidence"][0]["name"] == checked(made).given_as == said
    file = SimpleUploadedFile("own.json", as_bytes(issue(own, now=NOW)))
    page = client.post(reverse("training:credential-check"), {"file": file, "name": ""})
    assert "Given as: first sign-off by the owner, for themselves." in page.text


def test_it_is_valid_to_the_end_of_the_last_good_day(row):
    made = issue(row, now=NOW)
    # 24 months on from 5 Jan 2026 (tests/training/shop.py, TERMS)
    until = datetime.fromisoformat(made["validUntil"])
    assert (until.date().isoformat(), until.time().isoformat()) == ("2028-01-05", "23:59:59")
    assert checked(made, now=until).holds
    assert checked(made, now=until + timedelta(seconds=1)).code == "ended"
    begins = datetime.fromisoformat(made["validFrom"])
    assert begins.date() == LONG_AGO
    assert checked(made, now=begins - timedelta(seconds=1)).code == "not-yet"


def test_the_same_sign_off_gives_the_same_file_again(row):
    assert issue(row, now=NOW) == issue(row, now=NOW + timedelta(days=3))


def test_one_letter_that_is_changed_is_told(row):
    made = issue(row, now=NOW)
    for change in ("name", "validUntil", "issuer"):
        other = copy.deepcopy(made)
        other[change] = json.loads(json.dumps(other[change]).replace("2", "3").replace("e", "a"))
        assert checked(other).code == "changed", change


def test_a_key_that_nobody_here_knows_proves_nothing(row, settings):
    made = issue(row, now=NOW)
    bare = {name: value for name, value in made.items() if name != "proof"}
    secret = hashlib.sha256(b"another shop").digest()
    private = Ed25519PrivateKey.from_private_bytes(secret)
    key = multikey(private.public_key().public_bytes_raw())
    bare["issuer"] = {**bare["issuer"], "id": f"did:key:{key}"}
    theirs = sign(bare, secret=secret, method=f"did:key:{key}#{key}", created=NOW)
    assert checked(theirs).code == "unknown-key"
    known = checked(theirs, more_keys={key: "Other Shop"})
    assert (known.code, known.is_current) == ("holds", False)
    (settings.HOME / "known-keys").write_text(f"{key} Other Shop\nnonsense\n", encoding="utf-8")
    try:
        assert checked(theirs).shop == "Other Shop"
        assert set(known_keys()) == {own_key(), key}
    finally:
        (settings.HOME / "known-keys").unlink()


def test_a_known_shop_cannot_sign_in_the_name_of_another(row):
    made = issue(row, now=NOW)
    bare = {name: value for name, value in made.items() if name != "proof"}
    secret = hashlib.sha256(b"another shop").digest()
    private = Ed25519PrivateKey.from_private_bytes(secret)
    key = multikey(private.public_key().public_bytes_raw())
    forged = sign(bare, secret=secret, method=f"did:key:{key}#{key}", created=NOW)
    assert checked(forged, more_keys={key: "Other Shop"}).code == "unknown-key"


def test_what_falls_by_a_void_is_told_here_and_by_the_list(shop, row):
    made = issue(row, now=NOW, address=ADDRESS)
    before = status_list(REVOCATION, now=NOW, address=ADDRESS)
    asked = void_asked(
        by=shop.senior, kind="signoff", person=shop.mechanic, about=shop.level.name, on=LONG_AGO
    )
    void_decided(asked, shop.owner)
    later = NOW + timedelta(hours=2)
    assert checked(made, now=later).code == "revoked"
    after = status_list(REVOCATION, now=later, address=ADDRESS)
    suspended = status_list(SUSPENSION, now=later, address=ADDRESS)
    elsewhere = {own_key(): "That Shop"}

    def told(*lists):
        data = [as_bytes(one) for one in lists]
        return verify(as_bytes(made), keys=elsewhere, now=later, lists=data)

    assert told().is_current is False
    assert told(before, suspended).holds
    assert told(after, suspended).code == "revoked"
    cut = copy.deepcopy(after)
    cut["credentialSubject"]["encodedList"] = before["credentialSubject"]["encodedList"]
    assert told(cut).code == "bad-list"
    with pytest.raises(Exception, match="does not count"):
        issue(row, now=later)


def test_a_stand_down_suspends_it_until_it_is_lifted(shop, row):
    made = issue(row, now=NOW, address=ADDRESS)
    down = stood_down(person=shop.mechanic, level=shop.level, by=shop.owner)
    assert checked(made).code == "suspended"
    lifted(standdown=down, by=shop.senior)
    assert checked(made).holds


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "unreadable"),
        (b"[]", "unreadable"),
        (b"\xff\xfe", "unreadable"),
        (b"[" * 100_000, "unreadable"),
        (b'{"type": ["a"], "type": ["b"]}', "unreadable"),
        (b" " * 200_000, "unreadable"),
        (b"{}", "no-credential"),
        (b'{"type": ["VerifiableCredential", "OpenBadgeCredential"]}', "no-proof"),
    ],
)
def test_any_other_file_is_told_what_it_is_not(shop, data, code):
    verdict = check(data, now=NOW)
    assert verdict.code == code
    assert say_verdict(verdict)


# --- pages and commands ---


def test_the_person_takes_it_along_and_anybody_checks_it(client, shop, row):
    client.force_login(shop.mechanic, backend="training.access.sign_in.ShopBackend")
    taken = client.get(reverse("training:take-along", args=[row.pk]))
    assert "attachment" in taken["Content-Disposition"]
    client.logout()
    address = reverse("training:credential-check")
    file = SimpleUploadedFile("sign-off.json", taken.content)
    page = client.post(address, {"file": file, "name": shop.mechanic.name}).content.decode()
    assert "signed off until 5 Jan 2028" in page
    assert f"It belongs to {shop.mechanic.name}." in page
    file = SimpleUploadedFile("sign-off.json", taken.content.replace(b"2028", b"2048"))
    page = client.post(address, {"file": file}).content.decode()
    assert "was changed after it was signed" in page
    found_list = client.get(reverse("training:credential-list", args=["revocation"])).json()
    assert found_list["credentialSubject"]["statusPurpose"] == "revocation"


def test_the_commands_write_and_verify(shop, row, tmp_path, capsys):
    file = tmp_path / "along.json"
    call_command("credential", shop.mechanic.login, shop.level.name, str(file))
    call_command("verify", str(file), "--format", "json", "--name", shop.mechanic.name)
    told = json.loads(capsys.readouterr().out.partition("\n")[2])
    assert (told["holds"], told["code"], told["key"]) == (True, "holds", own_key())
    with pytest.raises(CommandError, match="there already"):
        call_command("credential", shop.mechanic.login, shop.level.name, str(file))
    file.write_text(file.read_text(encoding="utf-8").replace("2028", "2038"), encoding="utf-8")
    with pytest.raises(CommandError, match="does not count"):
        call_command("verify", str(file))
    with pytest.raises(CommandError, match="no sign-off"):
        call_command("credential", shop.trainee.login, shop.level.name, str(tmp_path / "x"))
