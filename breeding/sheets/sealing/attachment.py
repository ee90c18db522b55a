"""The bytes of a sheet's PDF: its attachment taken out and put in, with nothing left unaccounted.

The typesetter writes plain numbered objects, a table of where each begins, and a trailer. A sheet
holds one attached file. `with_attachment` writes that object in one fixed way and makes the table
anew, so that a file can be taken apart and put together again byte for byte: what is not the
attachment is the *frame*, whose digest the attachment names. No byte of the file belongs to
neither.
"""

import hashlib
import re

from breeding.words.language import tell

_TAIL = re.compile(
    rb"xref\n0 (\d+)\n((?:\d{10} \d{5} [nf]\r\n)+)"
    rb"trailer\n<</Size (\d+)/Root (\d+) 0 R/Info (\d+) 0 R"
    rb"/ID\[\(([A-Za-z0-9+/=]+)\)\(([A-Za-z0-9+/=]+)\)\]>>\nstartxref\n(\d+)\n%%EOF\n?"
)
_START = re.compile(rb"startxref\n(\d{1,10})\n%%EOF\n?\Z")
_EMBEDDED = re.compile(
    rb"(\d+) 0 obj\n<</Length (\d+)/Type/EmbeddedFile(?:/Filter/FlateDecode)?"
    rb"/Subtype/application#2Fjson/Params<</Size (\d+)/ModDate\((D:\d{14}Z?)\)>>>>\nstream\n"
)
_END = b"\nendstream\nendobj\n"
_INSTANCE = re.compile(rb"(<xmpMM:InstanceID>)[A-Za-z0-9+/=]+(</xmpMM:InstanceID>)")


class NotASheet(ValueError):  # noqa: N818 - read aloud it says what is the matter
    """These bytes are no sheet as it leaves this tool; the text says what is different."""


def frame_digest(content: bytes) -> str:
    """SHA-256, in hexadecimal, of the file with nothing in its attachment.

    Raises NotASheet. Cost: linear.
    """
    return hashlib.sha256(with_attachment(content, b"")).hexdigest()


def attachment_of(content: bytes) -> bytes:
    """What is attached, if the file is to the last byte one that `with_attachment` wrote.

    Raises NotASheet. Cost: linear.
    """
    begin, end, head = _embedded(content, _offsets(content)[0])
    attached = content[begin + head.end() : end - len(_END)]
    if with_attachment(content, attached) != content:
        raise NotASheet(tell("It is put together differently from a file that this tool wrote."))
    return attached


def with_attachment(content: bytes, attached: bytes) -> bytes:
    """The same file with these bytes attached in place of what was attached before.

    Raises NotASheet when it is not laid out as the typesetter does. Cost: linear.
    """
    offsets, tail_at, tail = _offsets(content)
    begin, end, head = _embedded(content, offsets)
    written = (
        rb"%s 0 obj" % head[1]
        + b"\n<</Length %d/Type/EmbeddedFile/Subtype/application#2Fjson" % len(attached)
        + b"/Params<</Size %d/ModDate(%s)>>>>\nstream\n" % (len(attached), head[4])
        + attached
        + _END
    )
    shift = len(written) - (end - begin)
    # Each file has an id of its own beside the document's; it says nothing and would be free to
    # differ, so the two are made the same. They are equally long, so nothing moves.
    document_id, instance_id = tail[6], tail[7]
    if len(document_id) != len(instance_id):
        raise NotASheet(tell("Its two identifiers are not of one length."))
    named = rb"\g<1>" + document_id + rb"\g<2>"
    body = b"".join(
        (
            _INSTANCE.sub(named, content[:begin]),
            written,
            _INSTANCE.sub(named, content[end:tail_at]),
        )
    )
    moved = [offset + shift if offset >= end else offset for offset in offsets]
    table = b"".join(b"%010d 00000 n\r\n" % offset for offset in moved)
    return body + (
        b"xref\n0 %d\n0000000000 65535 f\r\n" % (len(moved) + 1)
        + table
        + b"trailer\n<</Size %d/Root %s 0 R/Info %s 0 R" % (len(moved) + 1, tail[4], tail[5])
        + b"/ID[(%s)(%s)]>>\nstartxref\n%d\n%%%%EOF" % (document_id, document_id, len(body))
    )


def _offsets(content: bytes) -> tuple[list[int], int, "re.Match[bytes]"]:
    """Where each object begins, in order; where the table begins; the table with its trailer."""
    if not content.startswith(b"%PDF-"):
        raise NotASheet(tell("It is no PDF file."))
    start = _START.search(content, max(0, len(content) - 64))
    tail = _TAIL.fullmatch(content, int(start[1])) if start else None
    if tail is None:
        raise NotASheet(tell("It was saved again by another program, or it is not whole."))
    offsets = [int(line[:10]) for line in tail[2].split(b"\r\n")[1:-1]]
    if not offsets or len(offsets) + 1 != int(tail[1]) or offsets != sorted(set(offsets)):
        raise NotASheet(tell("Its table of objects is not as this tool writes it."))
    for number, offset in enumerate(offsets, start=1):
        if not content.startswith(b"%d 0 obj\n" % number, offset):
            raise NotASheet(tell("Its object {number} is not where the table says.", number=number))
    if offsets[-1] >= tail.start():
        raise NotASheet(tell("Its table of objects is not as this tool writes it."))
    return offsets, tail.start(), tail


def _embedded(content: bytes, offsets: list[int]) -> tuple[int, int, "re.Match[bytes]"]:
    """Begin and end of the one object that is the attachment, and its head."""
    ends = [*offsets[1:], content.rindex(b"xref\n0 ")]
    found = [
        (begin, end, head)
        for begin, end in zip(offsets, ends, strict=True)
        if (head := _EMBEDDED.match(content[begin:end]))
    ]
    if len(found) != 1:
        raise NotASheet(
            tell("It has {number} attached files of facts in place of one.", number=len(found))
        )
    begin, end, head = found[0]
    if content[end - len(_END) : end] != _END:
        raise NotASheet(tell("What is attached to it is not as this tool writes it."))
    return begin, end, head
