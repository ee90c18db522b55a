"""Codes drawn: black on white, each to be scanned from a screen or from paper."""

from breeding.exchange.codes.packed import Part

QUIET = 4  # squares of white around a code, as its standard asks


def drawing(part: Part) -> str:
    """One code as SVG, error correction M: some 97 squares a side at most."""
    import segno

    made = segno.make(part.text, error="m", micro=False, boost_error=False)
    return str(made.svg_inline(border=QUIET, omitsize=True, light="#fff", dark="#000"))
