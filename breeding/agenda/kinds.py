"""The kinds of lines in groups, as a person chooses among them for the digest; no Django."""

GROUPS: dict[str, tuple[str, tuple[str, ...]]] = {
    "separation": (
        "Separating: bite marks, refused food, bred, the last day for it",
        ("separate_now", "separate_bred", "separate_by"),
    ),
    "birth": (
        "Birth: nursery, daily watch, past her window, a scan that could tell",
        ("nursery_by", "watch_from", "overdue", "long_without_birth", "settle"),
    ),
    "young": ("Young: fresh litters, pups that can leave", ("pups_on_the_floor", "ready_to_leave")),
    "planned": ("Planned pairings whose day has come", ("planned",)),
    "buyers": (
        "Buyers: reservations that run out, pups that fit a wish",
        ("reservation", "wish"),
    ),
    "records": (
        "Records: tanks and pairings that say different things",
        ("company_apart", "company_ended", "company_unrecorded"),
    ),
    "other": ("Everything else", ()),
}
_GROUP_OF = {kind: group for group, (_, kinds) in GROUPS.items() for kind in kinds}


def group_of(kind: str) -> str:
    """The group a kind of line belongs to; one that has none is "other".

    >>> group_of("separate_now"), group_of("a_kind_of_tomorrow")
    ('separation', 'other')
    """
    return _GROUP_OF.get(kind, "other")
