"""Signing: one form for the same facts, and no fact that can change under a signature."""

import json
from copy import deepcopy
from dataclasses import replace
from datetime import date

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from hypothesis import given
from hypothesis import strategies as st

from breeding.sheets.contents.facts import (
    AnimalOfSheet,
    Passage,
    PersonOfTree,
    SheetFacts,
    TelephoneNumber,
)
from breeding.sheets.sealing.seal import (
    Seal,
    canonical,
    document_of,
    fingerprint,
    holds,
    packed,
    read_canonical,
    sign,
    unpacked,
)

KEY = Ed25519PrivateKey.from_private_bytes(bytes(range(32)))
SIRE = PersonOfTree("sire", "M-012", "Deneb", size="38 cm", origin="born here", portrait="sire")
FACTS = SheetFacts(
    program_name="Lantern Street Rays",
    sheet_number="2026-017",
    issued_on=date(2026, 11, 25),
    issued_by="Jo",
    animal=AnimalOfSheet(code="26-03-4", name="Lyra", sex="female", treatments="not recorded"),
    sires=(SIRE, replace(SIRE, name="Altair", share="50 %", portrait_caption="drawing")),
    dam=PersonOfTree("dam", "M-007", "Vega"),
    telephone_numbers=(TelephoneNumber("Emergency", "112"),),
    scientific_names=("P. motoro",),
    cautions=(Passage("The spine", "It is barbed.", is_urgent=True),),
)


def document():
    facts = json.loads(FACTS.to_json())
    pictures = {"sire": "a" * 64, "dam": "b" * 64}
    return document_of(
        facts=facts, tree="<svg/>", pictures=pictures, file_frame="c" * 64, paper="a4", corrects=""
    )


def places(value, path=()):
    """Every place in a document where a plain value stands."""
    if isinstance(value, dict):
        for name, part in value.items():
            yield from places(part, (*path, name))
    elif isinstance(value, list):
        for number, part in enumerate(value):
            yield from places(part, (*path, number))
    else:
        yield path


def changed(value):
    if isinstance(value, bool):
        return not value
    return value + 1 if isinstance(value, int) else f"{value}0"


PLACES = list(places(document()))


def test_there_is_no_field_of_a_sheet_that_is_not_among_the_signed_ones():
    top = {path[1] for path in PLACES if path[0] == "facts"}
    assert top >= {part for part in FACTS.__dataclass_fields__ if part != "language"}
    of_animal = {path[2] for path in PLACES if path[:2] == ("facts", "animal")}
    assert of_animal == set(AnimalOfSheet.__dataclass_fields__)


@pytest.mark.parametrize("path", PLACES, ids=lambda path: ".".join(map(str, path)))
def test_a_change_of_any_one_fact_breaks_the_signature(path):
    signed = document()
    seal = sign(signed, KEY)
    assert holds(signed, seal)
    altered = deepcopy(signed)
    inner = altered
    for step in path[:-1]:
        inner = inner[step]
    inner[path[-1]] = changed(inner[path[-1]])
    assert not holds(altered, seal)


def test_a_fact_left_out_or_added_breaks_the_signature():
    signed = document()
    seal = sign(signed, KEY)
    less, more = deepcopy(signed), deepcopy(signed)
    del less["facts"]["dam"]["size"]
    more["facts"]["dam"]["prize"] = ""
    assert not holds(less, seal)
    assert not holds(more, seal)


def test_another_key_does_not_pass_for_the_one_that_signed():
    signed = document()
    other = sign(signed, Ed25519PrivateKey.from_private_bytes(bytes(32)))
    mine = sign(signed, KEY)
    assert not holds(signed, Seal(other.signature, mine.public_key))
    assert other.fingerprint != mine.fingerprint


def test_the_signature_is_the_one_of_rfc_8032():
    """Test 1 of RFC 8032, section 7.1: the public key of a published secret."""
    secret = "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60"
    public = "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a"
    key = Ed25519PrivateKey.from_private_bytes(bytes.fromhex(secret))
    assert sign(document(), key).public_key == public
    assert sign(document(), key) == sign(document(), key)


plain = st.recursive(
    st.text(st.characters(codec="utf-8")) | st.integers() | st.booleans(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(st.characters(codec="utf-8")), inner),
    max_leaves=20,
)


@given(st.dictionaries(st.text(st.characters(codec="utf-8")), plain))
def test_the_same_values_in_any_order_have_one_form_and_it_reads_back(value):
    backwards = dict(reversed(value.items()))
    assert canonical(value) == canonical(backwards)
    assert read_canonical(canonical(value)) == value


@pytest.mark.parametrize("value", [1.5, None, date(2026, 1, 1), b"x"])
def test_a_value_without_one_form_is_refused_by_name(value):
    with pytest.raises(TypeError, match="document: facts 1 is"):
        canonical({"facts": [value]})


def test_a_letter_that_utf8_cannot_write_is_refused():
    with pytest.raises(ValueError, match="UTF-8 cannot write"):
        canonical({"name": "\ud800"})


@pytest.mark.parametrize(
    "content",
    [
        b'{"a": 1}',
        b'{"b":1,"a":1}',
        b'{"a":1,"a":1}',
        b'{"a":"\\u00e9"}',
        b"[1]",
        b"\xff",
        b"[" * 9999,
    ],
)
def test_the_same_facts_written_in_another_way_are_not_the_signed_ones(content):
    with pytest.raises(ValueError, match="not in the form"):
        read_canonical(content)


def test_document_and_seal_come_back_from_the_attachment():
    signed = document()
    seal = sign(signed, KEY)
    assert unpacked(packed(signed, seal)) == (signed, seal)


@pytest.mark.parametrize("missing", ["document", "signature", "public_key"])
def test_an_attachment_that_lacks_a_part_is_refused(missing):
    parts = {"document": {}, "signature": "00", "public_key": "00"}
    del parts[missing]
    with pytest.raises(ValueError, match="not in the form"):
        unpacked(canonical(parts))


@pytest.mark.parametrize("key", ["", "zz", "00" * 31])
def test_a_broken_key_or_signature_is_no_signature(key):
    assert not holds(document(), Seal("00" * 64, key))
    assert not holds(document(), Seal(key, sign(document(), KEY).public_key))


def test_a_fingerprint_of_nothing_readable_says_so():
    assert fingerprint("not hexadecimal") == "no key"
