"""Is a proof made and checked as the W3C's own example says?

The document, keys, hashes and proof value are those of the test vectors of Data Integrity EdDSA
Cryptosuites v1.0 (W3C, repository vc-di-eddsa, TestVectors/keyPair.json and eddsa-jcs-2022/).
"""

import base64
import gzip
import json
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.exchange.credential.proof import (
    SECRET,
    BadProof,
    hash_data,
    key_of,
    multikey,
    sign,
    signer_of,
)
from training.exchange.credential.status import FEWEST, BadList, encode, is_set

PUBLIC_KEY = "z6MkrJVnaZkeFzdQyMZu1cgjg7k1pZZ6pvBQ7XJPt4swbTQ2"
SECRET_KEY = "z3u2en7t5LR2WtQH5PfFqMqwVHBeXouLzo6haApm8XHqvjxq"
DOC_HASH = "59b7cb6251b8991add1ce0bc83107e3db9dbbab5bd2c28f687db1a03abc92f19"
DOCUMENT = {
    "@context": [
        "https://www.w3.org/ns/credentials/v2",
        "https://www.w3.org/ns/credentials/examples/v2",
    ],
    "id": "urn:uuid:58172aac-d8ba-11ed-83dd-0b3aef56cc33",
    "type": ["VerifiableCredential", "AlumniCredential"],
    "name": "Alumni Credential",
    "description": "A minimum viable example of an Alumni Credential.",
    "issuer": "https://vc.example/issuers/5678",
    "validFrom": "2023-01-01T00:00:00Z",
    "credentialSubject": {"id": "did:example:abcdefgh", "alumniOf": "The School of Examples"},
}
METHOD = f"https://vc.example/issuers/5678#{PUBLIC_KEY}"
PROOF_VALUE = (
    "z63t83Y53KfzJ5ZosfKTnqfMcKB2dmTrfjSaQjeNNjAD5srBowQfmWqeRb8rRjmeEuCBEsddF9LsVogtuTsijJKh4"
)
CREATED = datetime(2023, 2, 24, 23, 36, 38, tzinfo=UTC)


def signed():
    return sign(DOCUMENT, secret=key_of(SECRET_KEY, SECRET), method=METHOD, created=CREATED)


def test_the_example_of_the_w3c_comes_out_byte_for_byte():
    made = signed()
    assert made["proof"]["proofValue"] == PROOF_VALUE
    options = {name: value for name, value in made["proof"].items() if name != "proofValue"}
    assert hash_data(DOCUMENT, options).hex()[64:] == DOC_HASH


def test_the_example_holds_with_its_key():
    assert multikey(signer_of(signed())) == PUBLIC_KEY


def leaves(value, path=()):
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from leaves(inner, (*path, name))
    elif isinstance(value, list):
        for place, inner in enumerate(value):
            yield from leaves(inner, (*path, place))
    else:
        yield path


@pytest.mark.parametrize("path", list(leaves(signed())), ids=lambda path: ".".join(map(str, path)))
def test_any_text_that_is_changed_is_noticed(path):
    made = json.loads(json.dumps(signed()))
    part = made
    for step in path[:-1]:
        part = part[step]
    part[path[-1]] += "x"
    with pytest.raises(BadProof):
        signer_of(made)


@given(
    st.recursive(
        st.none() | st.text(max_size=9) | st.integers(),
        lambda inner: (
            st.lists(inner)
            | st.dictionaries(st.sampled_from(["proof", "type", "@context", "a"]), inner)
        ),
    )
)
def test_anything_else_proves_nothing(value):
    with pytest.raises(BadProof):
        signer_of(value if isinstance(value, dict) else {"proof": value})


@given(st.sets(st.integers(0, FEWEST * 2), max_size=20), st.integers(0, FEWEST - 1))
def test_a_list_has_the_places_that_were_set_and_no_others(places, other):
    made = encode(places)
    assert all(is_set(made, place) for place in places)
    assert is_set(made, other) is (other in places)


def test_a_list_that_unpacks_without_end_is_refused():
    bomb = "u" + base64.urlsafe_b64encode(gzip.compress(bytes(50_000_000))).decode().rstrip("=")
    with pytest.raises(BadList):
        is_set(bomb, 3)
    for text in ("", "u", "uAAAA", "zzz"):
        with pytest.raises(BadList):
            is_set(text, 3)
