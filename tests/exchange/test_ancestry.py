"""Ancestry as data: written and read, merged in any order, forged in vain, kin across programs."""

import itertools
import json
from dataclasses import replace
from fractions import Fraction

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from breeding.exchange.ancestry import Claim, Refused, Word, merged, read_word, write_word
from breeding.exchange.ancestry.claims import code_of, identity, key_of
from breeding.exchange.ancestry.writing import PURPOSE, document_of
from breeding.exchange.kin import kin_of_two
from breeding.program.reference.fixture_files import fixture_path
from breeding.sheets.sealing.seal import canonical, packed, sign
from tests.exchange.world import ten_years
from tests.tries import tries

KEY = Ed25519PrivateKey.from_private_bytes(b"k" * 32)
PUBLIC = KEY.public_key().public_bytes_raw().hex()
OTHER = Ed25519PrivateKey.from_private_bytes(b"o" * 32)
OTHER_PUBLIC = OTHER.public_key().public_bytes_raw().hex()
HALF = Fraction(1, 2)


def own(code: str, public: str = PUBLIC) -> str:
    return identity(public, code)


def family(public: str = PUBLIC) -> tuple[Claim, ...]:
    """A dam, two possible sires, and two littermates of theirs."""
    sires = ((own("S1", public), Fraction(3, 5)), (own("S2", public), Fraction(2, 5)))
    return (
        Claim(own("D", public), sex="F", is_wild=True, species=(("Potamotrygon motoro", HALF),)),
        Claim(own("S1", public), sex="M"),
        Claim(own("S2", public), sex="M"),
        *(
            Claim(own(code, public), born="2024-05-11", sires=sires, dam=own("D", public))
            for code in ("P1", "P2")
        ),
    )


def word(claims=None, **more) -> Word:
    claims = family() if claims is None else claims
    facts = {"issuer": "Lantern Street Rays", "issued_on": "2026-11-29", **more}
    return Word(PUBLIC, about=(claims[-1].identity,), claims=tuple(claims), **facts)


def test_what_is_written_is_read_as_it_was():
    spots = (("2026-01-02", ((100, -2000, 400), (-9000, 0, 300))),)
    first = replace(family()[0], spots=spots, name="Mira", died="2026")
    given_word = word((first, *family()[1:]))
    found = read_word(write_word(given_word, KEY))
    assert replace(found, digest="") == given_word
    assert len(found.digest) == 64


def test_littermates_of_an_uncertain_sire_share_him():
    """Kinship of full sibs at 3/5 and 2/5 for one sire of the litter: always one sire, so 1/4."""
    found = merged([read_word(write_word(word(), KEY))])
    assert found.kinship(own("P1"), own("P2")) == pytest.approx(0.25)
    assert found.kinship(own("P1"), own("S1")) == pytest.approx(0.25 * 3 / 5)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_kinship_across_three_programs_is_the_truth(seed):
    houses, truth = ten_years(seed)
    found = merged([house.word("2026-01-01") for house in houses])
    everybody = [one for house in houses for one in house.here]
    for one, other in itertools.combinations(everybody, 2):
        assert found.kinship(one, other) == pytest.approx(truth.kinship(one, other), abs=1e-12)
    assert found.contradictions == ()


@settings(max_examples=tries(25), deadline=None)
@given(seed=st.integers(0, 50), order=st.randoms(use_true_random=False))
def test_words_merged_in_any_order_and_twice_give_the_same(seed, order):
    houses, _ = ten_years(seed)
    words = [house.word(on) for house in houses for on in ("2025-01-01", "2026-01-01")]
    mixed = [*words, order.choice(words)]
    order.shuffle(mixed)
    first, second = merged(words), merged(mixed)
    assert dict(first.animals) == dict(second.animals)
    assert dict(first.names) == dict(second.names)
    assert first.contradictions == second.contradictions


def test_a_word_taken_out_leaves_what_there_would_be_without_it():
    houses, _ = ten_years(4)
    words = [house.word("2026-01-01") for house in houses]
    assert merged(words[:2]) == merged(set(words) - {words[2]})


def test_a_forger_changes_nothing_of_another_programs_animals():
    houses, truth = ten_years(5)
    words = [house.word("2026-01-01") for house in houses]
    victim = max(truth.ids, key=lambda one: len(houses[0].knows.get(one, Claim(one)).parents))
    before, stolen = merged(words), own("X", OTHER_PUBLIC)
    forged = Word(
        OTHER_PUBLIC,
        "House 0",
        "2026-11-01",
        (victim,),
        (
            replace(
                before.animals[victim],
                sires=(),
                dam="",
                born="1999",
                also=(own("X", OTHER_PUBLIC),),
            ),
            Claim(own("X", OTHER_PUBLIC), also=(victim,)),
        ),
        digest="forged",
    )
    after = merged([*words, forged])
    assert after.animals[after.names[victim]].sires == before.animals[victim].sires
    assert after.names[stolen] != after.names[victim]
    for one in truth.ids[:10]:
        assert after.kinship(one, victim) == before.kinship(one, victim)
    told = {one.fact for one in after.contradictions if one.animal == after.names[victim]}
    assert "born" in told


def test_two_names_are_one_animal_when_a_reader_or_both_programs_say_so():
    mine = Claim(own("F1"), sex="F")
    theirs = Claim(own("W9", OTHER_PUBLIC), sex="F")
    alone = [word((mine,)), Word(OTHER_PUBLIC, "", "2026-01-01", (theirs.identity,), (theirs,))]
    assert not merged(alone).is_one(mine.identity, theirs.identity)
    pair = (mine.identity, theirs.identity)
    assert merged(alone, same=[pair]).is_one(*pair)
    both = [
        word((replace(mine, also=(theirs.identity,)),)),
        replace(alone[1], claims=(replace(theirs, also=(mine.identity,)),)),
    ]
    assert merged(both).is_one(*pair)
    assert not merged([both[0], alone[1]]).is_one(*pair)


def test_the_half_brother_of_her_grandmother_is_seen_before_money_changes_hands():
    """His sire is her great-grandsire: kinship 1/2 * 1/2 * 1/8 ... by hand 1/32.

    The male M: sire G. She: dam D2, whose dam is GM, whose sire is G. Path M-G-GM-D2-She: four
    steps through G, (1/2)^(4+1) = 1/32 (Wright's paths).
    """
    g = own("G")
    hers = word(
        (
            Claim(g, sex="M"),
            Claim(own("GM"), sex="F", sires=((g, Fraction(1)),)),
            Claim(own("D2"), sex="F", dam=own("GM")),
            Claim(own("She"), sex="F", dam=own("D2")),
        )
    )
    his = Word(
        OTHER_PUBLIC,
        "House Two",
        "2026-05-01",
        (own("M", OTHER_PUBLIC),),
        (Claim(g, sex="M"), Claim(own("M", OTHER_PUBLIC), sex="M", sires=((g, Fraction(1)),))),
    )
    (found,) = kin_of_two(hers, his)
    assert found.kinship == pytest.approx(1 / 32)
    assert found.shared == 1
    assert found.sentence == "Young of She and M would have F 3.13 %."


def as_signed(document, key=KEY) -> bytes:
    return packed(document, sign(document, key, purpose=PURPOSE))


def altered(**changes) -> bytes:
    return as_signed({**document_of(word()), **changes})


def test_what_is_written_is_as_the_schema_says():
    schema = json.loads(fixture_path("ancestry.schema.json").read_text())
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    spots = (("2026-01-02", ((100, -2000, 400),)),)
    full = replace(family()[0], spots=spots, name="Mira", died="2026", also=(own("X"),))
    written = json.loads(write_word(word((full, *family()[1:])), KEY))
    assert list(validator.iter_errors(written)) == []
    written["document"]["animals"][0]["price"] = 900
    assert [one.validator for one in validator.iter_errors(written)] == ["additionalProperties"]


def test_a_byte_that_is_altered_is_noticed():
    content = write_word(word(), KEY)
    with pytest.raises(Refused, match="altered"):
        read_word(content.replace(b"2024-05-11", b"2024-05-12"))


def test_a_file_signed_again_is_of_the_other_key():
    assert read_word(as_signed(document_of(word()), OTHER)).key == OTHER_PUBLIC
    signed = json.loads(write_word(word(), KEY))
    with pytest.raises(Refused, match="altered"):
        read_word(canonical({**signed, "public_key": OTHER_PUBLIC}))


def test_a_sheets_signature_does_not_serve_for_an_ancestry():
    document = document_of(word())
    with pytest.raises(Refused, match="altered"):
        read_word(packed(document, sign(document, KEY)))


LOOP = [
    {"id": own("A"), "dam": own("B")},
    {"id": own("B"), "dam": own("A")},
]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "no ancestry"),
        (b"{}", "no ancestry"),
        (b"[" * 100_000, "no ancestry"),
        (b"x" * 5_000_000, "too large: 6 MB; at most 4 MB"),
        (altered(form="other"), "no ancestry"),
        (altered(version=3), "of version 3; this program reads version 2"),
        (altered(animals=[]), "not a list of 1 to 5000"),
        (altered(animals=LOOP, about=[own("A")]), "Its ancestry cannot be"),
        (altered(animals=[{"id": own("A")}] * 2, about=[own("A")]), "twice"),
        (altered(about=[own("Z")]), "for which of its animals"),
        (altered(animals=[{"id": "R7"}], about=["R7"]), "“R7” names no animal"),
        (altered(animals=[{"id": own("A"), "sex": "X"}], about=[own("A")]), "“X” is no sex"),
        (altered(animals=[{"id": own("A"), "born": "2024-13"}], about=[own("A")]), "no day"),
        (altered(animals=[{"id": own("A"), "price": 9}], about=[own("A")]), "no ancestry has"),
        (
            altered(animals=[{"id": own("A"), "sires": [[own("B"), "1/0"]]}], about=[own("A")]),
            "no share",
        ),
    ],
)
def test_what_cannot_be_is_refused_in_words(content, said):
    with pytest.raises(Refused, match=said):
        read_word(content)


def test_an_identity_falls_into_its_key_and_its_code():
    assert (key_of(own("R7: a")), code_of(own("R7: a"))) == (PUBLIC, "R7: a")
