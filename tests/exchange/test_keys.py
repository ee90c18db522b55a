"""Keys that change: what counts, whatever order it is heard in, and who cannot claim what."""

import datetime
import itertools
from dataclasses import replace

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from hypothesis import given, settings
from hypothesis import strategies as st

from breeding.exchange.ancestry import Claim, Word, merged
from breeding.exchange.ancestry.claims import code_of, identity, key_of
from breeding.sheets.sealing.key_lines import NO_LINES, KeyLines
from breeding.sheets.sealing.key_said import said_of_key
from breeding.sheets.sealing.key_words import (
    MOST_BYTES,
    KeyWord,
    NotAKeyWord,
    disowned,
    lost,
    public_of,
    read_key_file,
    read_key_word,
    succeeds,
    write_key_file,
)
from breeding.sheets.sealing.seal import canonical, fingerprint, sign
from tests.exchange.world import ten_years
from tests.tries import tries

pytestmark = pytest.mark.one_database("how signed words are read and put together")

DAY = datetime.date(2026, 5, 1)
A, B, C, THIEF = (Ed25519PrivateKey.from_private_bytes(bytes([n]) * 32) for n in (11, 12, 13, 14))
KEY_A, KEY_B, KEY_C, KEY_THIEF = map(public_of, (A, B, C, THIEF))


def lines(*words: KeyWord, **more) -> KeyLines:
    return KeyLines(frozenset(words), seen=frozenset((KEY_A, KEY_B, KEY_C, KEY_THIEF)), **more)


def test_three_keys_one_after_the_other_are_one_program():
    found = lines(succeeds(A, B, DAY), succeeds(B, C, DAY))
    assert found.line(KEY_B) == (KEY_A, KEY_B, KEY_C)
    assert found.root(KEY_C) == KEY_A
    assert found.is_one(KEY_A, KEY_C)
    assert not found.is_one(KEY_A, KEY_THIEF)


def test_a_rotation_needs_the_signature_of_both_keys():
    honest = succeeds(A, B, DAY).packed
    for part in ("signature", "second_signature"):
        with pytest.raises(NotAKeyWord, match="altered, or was not signed by the keys"):
            read_key_word({**honest, part: honest["signature"][:-2] + "00"})
    said = replace(succeeds(A, B, DAY), by=KEY_THIEF).document
    alone = sign(said, THIEF, purpose=b"rayward key 1\n").signature
    with pytest.raises(NotAKeyWord, match="not signed by the keys"):
        read_key_word({"document": said, "signature": alone, "second_signature": alone})


def test_two_that_claim_one_place_both_wait_until_the_reader_was_told():
    honest, stolen = succeeds(A, B, DAY), succeeds(A, THIEF, DAY)
    both = lines(honest, stolen)
    assert both.rivals(KEY_A) == tuple(sorted((KEY_B, KEY_THIEF)))
    assert not both.is_one(KEY_A, KEY_B)
    told = lines(honest, stolen, trusted=frozenset((fingerprint(KEY_B),)))
    assert told.is_one(KEY_A, KEY_B)
    assert not told.is_one(KEY_A, KEY_THIEF)
    assert told.rivals(KEY_A) == ()


def test_two_that_give_their_place_to_one_are_not_one_program():
    """One code in each would become one animal, though they are two."""
    found = lines(succeeds(A, C, DAY), succeeds(B, C, DAY))
    assert not found.is_one(KEY_A, KEY_B)
    assert not found.is_one(KEY_A, KEY_C)


def test_a_lost_key_is_believed_only_when_it_was_told():
    word = lost(KEY_A, B, DAY)
    assert not lines(word).is_one(KEY_A, KEY_B)
    assert lines(word).claims_lost(KEY_B) == (KEY_A,)
    pair = (fingerprint(KEY_A), fingerprint(KEY_B))
    told = lines(word, told=frozenset((pair,)))
    assert told.is_one(KEY_A, KEY_B)
    assert told.claims_lost(KEY_B) == ()


def test_what_was_told_counts_for_more_than_what_a_thief_signed():
    pair = (fingerprint(KEY_A), fingerprint(KEY_B))
    found = lines(succeeds(A, THIEF, DAY), told=frozenset((pair,)))
    assert found.successor(KEY_A) == KEY_B


def test_a_key_is_disowned_by_itself_or_by_one_that_took_its_place():
    by_itself = disowned(KEY_A, A, DAY, since=DAY)
    assert lines(by_itself).disowned_from(KEY_A) == "2026-05-01"
    by_next = disowned(KEY_A, B, DAY, since=DAY)
    assert lines(by_next).disowned_from(KEY_A) == ""
    assert lines(by_next, succeeds(A, B, DAY)).disowned_from(KEY_A) == "2026-05-01"
    by_thief = disowned(KEY_B, THIEF, DAY, since=DAY)
    assert lines(by_thief, succeeds(A, B, DAY)).disowned_from(KEY_B) == ""
    by_earlier = disowned(KEY_B, A, DAY, since=DAY)
    assert lines(by_earlier, succeeds(A, B, DAY)).disowned_from(KEY_B) == ""


def test_the_earliest_day_counts_and_half_a_day_is_not_enough():
    early = disowned(KEY_A, A, DAY, since=datetime.date(2026, 2, 1))
    late = disowned(KEY_A, A, DAY, since=datetime.date(2026, 4, 1))
    found = lines(early, late)
    assert found.disowned_from(KEY_A) == "2026-02-01"
    said = [found.is_disowned(KEY_A, on) for on in ("2026-01-31", "2026-02-01", "2026", "2025", "")]
    assert said == [False, True, True, False, True]


def test_what_a_disowned_key_signed_from_the_day_on_is_left_out():
    animal = identity(KEY_A, "R1")
    good, bad = (
        Word(KEY_A, "", on, (animal,), (Claim(animal, born=born),), digest=on)
        for on, born in (("2026-01-01", "2020"), ("2026-06-01", "1999"))
    )
    assert merged([good, bad]).animals[animal].born == "1999"
    told = lines(disowned(KEY_A, A, DAY, since=DAY))
    assert merged([good, bad], keys=told).animals[animal].born == "2020"
    assert merged([good, bad], keys=told).contradictions == ()


def test_a_file_of_words_is_read_as_it_was_written():
    words = (succeeds(A, B, DAY), disowned(KEY_A, B, DAY, since=DAY), lost(KEY_C, B, DAY))
    assert set(read_key_file(write_key_file(words))) == set(words)


HONEST = succeeds(A, B, DAY).packed


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "says nothing of keys"),
        (b"[" * 50_000, "says nothing of keys"),
        (b"x" * (MOST_BYTES + 1), "too large: 101 kB; at most 100 kB"),
        (canonical({"form": "rayward keys", "words": []}), "says nothing of keys"),
        (canonical({"form": "rayward keys", "words": [HONEST] * 41}), "more of keys than 40"),
        (canonical({"form": "rayward keys", "words": ["x"]}), "not as this program writes it"),
    ],
)
def test_a_hostile_file_of_keys_is_refused_in_words(content, said):
    with pytest.raises(NotAKeyWord, match=said):
        read_key_file(content)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"says": "owns"}, "“owns” is nothing that is said of keys"),
        ({"key": "ab"}, "“ab” is no key"),
        ({"on": "2026-02-30"}, "“2026-02-30” is no day"),
        ({"by": KEY_A}, "cannot take its own place"),
        ({"on": "2026-05-02"}, "altered"),
        ({"version": 2}, "not as this program writes it"),
        ({"from": "2026-05-01"}, "not as this program writes it"),
        ({"price": 1}, "not as this program writes it"),
    ],
)
def test_a_word_that_cannot_be_is_refused_in_words(change, said):
    with pytest.raises(NotAKeyWord, match=said):
        read_key_word({**HONEST, "document": {**HONEST["document"], **change}})


def test_a_signature_for_an_ancestry_or_a_sheet_does_not_serve_for_a_key():
    word = disowned(KEY_A, A, DAY, since=DAY)
    for purpose in (b"rayward ancestry 1\n", b"rayward parentage sheet 1\n"):
        other = sign(word.document, A, purpose=purpose).signature
        with pytest.raises(NotAKeyWord, match="not signed"):
            read_key_word({"document": word.document, "signature": other})


def test_keys_in_a_circle_end():
    found = lines(succeeds(A, B, DAY), succeeds(B, A, DAY))
    assert found.is_one(KEY_A, KEY_B)
    assert set(found.line(KEY_A)) == {KEY_A, KEY_B}


@pytest.mark.parametrize(
    ("key", "on", "words", "state", "said"),
    [
        (KEY_A, "2026-05-01", (), "unknown", "anybody can make one"),
        (KEY_A, "2026-05-01", (succeeds(A, B, DAY),), "unknown", "given up on Fri 1 May 2026"),
        (KEY_A, "2026-05-02", (succeeds(A, B, DAY),), "late", "of a later day: ask the breeder"),
        (KEY_B, "2026-05-02", (succeeds(A, B, DAY),), "unknown", "both have signed that"),
        (KEY_B, "2026-05-02", (lost(KEY_A, B, DAY),), "unknown", "It cannot prove that"),
        (
            KEY_A,
            "2026-05-01",
            (succeeds(A, B, DAY), succeeds(A, THIEF, DAY)),
            "rivals",
            "none of them counts until the breeder tells you",
        ),
        (
            KEY_A,
            "2026-05-01",
            (disowned(KEY_A, A, DAY, since=DAY),),
            "disowned",
            "Do not rely on this file",
        ),
        (
            KEY_A,
            "2026-04-01",
            (disowned(KEY_A, A, DAY, since=DAY),),
            "disowned",
            "rely on it only if it came to you before Fri 1 May 2026",
        ),
    ],
)
def test_what_a_reader_sees_in_each_case(key, on, words, state, said):
    found = said_of_key(key, on, lines(*words))
    assert found.state == state
    assert said in found.words
    assert not found.is_known


def test_a_reader_who_was_told_one_key_knows_the_next():
    told = {fingerprint(KEY_A): "of Kettle House, told on Fri 1 May 2026: telephone"}
    assert said_of_key(KEY_A, "2026-05-01", NO_LINES, told=told).state == "told"
    after = said_of_key(KEY_B, "2026-06-01", lines(succeeds(A, B, DAY)), told=told)
    assert after.state == "follows"
    assert "of the same program as a key that you know" in after.words
    assert "Kettle House" in after.words


def rotated(houses, order) -> tuple[list[Word], frozenset[KeyWord], dict[str, str]]:
    """Every house changes its key once; its later words are signed, and its animals named, anew."""
    keys = {house.public: house.key for house in houses}
    later = {
        public: Ed25519PrivateKey.from_private_bytes(bytes([n + 100]) * 32)
        for n, public in enumerate(keys)
    }
    said = frozenset(succeeds(keys[old], new, DAY) for old, new in later.items())
    anew = {old: public_of(new) for old, new in later.items()}

    def named_anew(one: str) -> str:
        return identity(anew[key_of(one)], code_of(one)) if one else one

    words = []
    for house in houses:
        before, after = house.word("2025-01-01"), house.word("2026-06-01")
        claims = tuple(
            replace(
                claim,
                identity=named_anew(claim.identity),
                dam=named_anew(claim.dam),
                sires=tuple((named_anew(sire), share) for sire, share in claim.sires),
            )
            if order.random() < 0.5
            else claim
            for claim in after.claims
        )
        words += [before, replace(after, key=anew[house.public], claims=claims)]
    return words, said, anew


@settings(max_examples=tries(25), deadline=None)
@given(seed=st.integers(0, 50), order=st.randoms(use_true_random=False))
def test_animals_stay_the_same_across_rotations_in_any_order(seed, order):
    houses, truth = ten_years(seed)
    words, said, anew = rotated(houses, order)
    passed = [replace(word, keys=tuple(said)) if n % 2 else word for n, word in enumerate(words)]
    mixed = [*passed, order.choice(passed)]
    order.shuffle(mixed)
    first, second = merged(words, keys=KeyLines(said)), merged(mixed)
    assert dict(first.names) == dict(second.names)
    assert dict(first.animals) == dict(second.animals)
    assert first.contradictions == second.contradictions == ()
    everybody = [one for house in houses for one in house.here][:12]
    for one, other in itertools.combinations(everybody, 2):
        assert first.kinship(one, other) == pytest.approx(truth.kinship(one, other), abs=1e-12)
        new = identity(anew[key_of(one)], code_of(one))
        if new in first.names:
            assert first.is_one(one, new)


@settings(max_examples=tries(25), deadline=None)
@given(seed=st.integers(0, 50), order=st.randoms(use_true_random=False))
def test_a_forger_who_claims_a_rotation_changes_nothing(seed, order):
    """He says that his key stands for a house's, and disowns that one, and uses its codes."""
    houses, _ = ten_years(seed)
    words, said, _ = rotated(houses, order)
    victim = houses[0]
    one = order.choice(victim.here)
    claims = [
        lost(victim.public, THIEF, DAY),
        disowned(victim.public, THIEF, DAY, since=datetime.date(2000, 1, 1)),
    ]
    stolen = Claim(identity(KEY_THIEF, code_of(one)), sex="F", born="1999")
    forged = Word(KEY_THIEF, victim.name, "2026-11-01", (stolen.identity,), (stolen,), "forged")
    before = merged(words, keys=KeyLines(said))
    mixed = [*words, replace(forged, keys=tuple(claims))]
    order.shuffle(mixed)
    after = merged(mixed, keys=KeyLines(said))
    assert {**after.animals, stolen.identity: None} == {**before.animals, stolen.identity: None}
    assert after.names[stolen.identity] == stolen.identity
    assert not after.is_one(stolen.identity, one)
    with pytest.raises(NotAKeyWord):
        read_key_word({**succeeds(victim.key, THIEF, DAY).packed, "second_signature": "00" * 64})
