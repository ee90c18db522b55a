"""Answers on the day, calendars and digests; and tables that were brought in."""

from django.utils.translation import gettext_lazy as _

from breeding.records.archive.kinds.kind import Kind

KINDS = (
    Kind(
        "agenda.Answer",
        "answers",
        _("An answer to a line of the day."),
        {"key": "Which line: its kind, and what it is about."},
    ),
    Kind(
        "agenda.Feed",
        "calendars",
        _("Somebody's private calendar address. It opens only with the program's own key."),
        {
            "nonce": "What the address is made from, with the program's key.",
            "token_hash": "The hash by which the address is found.",
            "opened_at": "When it was opened.",
            "closed_at": "When it was closed.",
        },
    ),
    Kind(
        "agenda.FeedEvent",
        "calendar_events",
        _("What calendars were told, so that a change is told as a change."),
        {
            "kind": "What kind of line it is.",
            "starts_on": "The first day.",
            "summary": "What the calendar shows.",
            "words": "What the calendar explains.",
            "path": "The page it leads to.",
            "sequence": "How often its days have moved.",
            "last_modified": "When it last changed.",
            "cancelled_at": "When it was called off.",
        },
    ),
    Kind(
        "agenda.DigestChoice",
        "digest_choices",
        _("Whether, when and about what somebody wants the morning digest."),
        {
            "is_on": "Whether the digest is sent.",
            "hour": "From which hour on, by the program's clock.",
            "left_out": "The kinds of lines that this person does not want.",
        },
    ),
    Kind(
        "agenda.Mailing",
        "mailings",
        _("A digest that was sent, or was to be."),
        {
            "state": "How it went.",
            "message_id": "The mail's own identifier.",
            "attempts": "How often it was tried.",
            "next_try_at": "When it is tried next.",
            "claimed_at": "When sending began.",
            "sent_at": "When it was sent.",
            "last_error": "What the mail server said.",
        },
    ),
    Kind(
        "records.ImportDraft",
        "tables_brought_in",
        _("A table that was brought in, or waits for it, as it was handed over."),
        {
            "file_name": "The name of its file.",
            "kind": "What each of its rows is.",
            "text": "The table itself.",
            "delimiter": "What separates its values.",
            "put_before_codes": "What was put before its codes.",
            "date_order": "How its dates are read.",
            "written_at": "When it was written down. Empty: it waits.",
        },
    ),
    Kind(
        "records.ImportDraft_animals",
        "animals_brought_in",
        _("Which animals were written down from a table."),
        {"importdraft": "The table."},
    ),
)
