"""Every kind of record that an archive holds, and why the others stay at home."""

from breeding.records.archive.kinds import (
    agenda,
    animals,
    breeding,
    buyers,
    daily,
    housing,
    program,
)
from breeding.records.archive.kinds.kind import Kind

KINDS: tuple[Kind, ...] = (
    *program.KINDS,
    *animals.KINDS,
    *housing.KINDS,
    *breeding.KINDS,
    *buyers.KINDS,
    *daily.KINDS,
    *agenda.KINDS,
)
LEFT_OUT = {
    "admin.LogEntry": "the admin is there to read and writes nothing",
    "animals.Revision": "what the figures are kept under; they are reckoned anew",
    "auth.Group": "nobody is in a group; the role says what somebody may do",
    "auth.Group_permissions": "nobody is in a group",
    "auth.Permission": "made anew with every program",
    **dict.fromkeys(
        (
            "axes.AccessAttempt",
            "axes.AccessAttemptExpiration",
            "axes.AccessFailureLog",
            "axes.AccessLog",
        ),
        "who guessed at passwords lately; forgotten within the hour",
    ),
    "contenttypes.ContentType": "made anew with every program; the history names files instead",
    "finding.Built": "how the index was made; it is made anew",
    "finding.Entry": "the index of what can be found, which follows from the records",
    "program.KeptForm": "a form on its way, for the device that sent it",
    "program.Person_groups": "nobody is in a group",
    "program.Person_user_permissions": "the role says what somebody may do",
    "program.SignedIn": "who is signed in with which device; everybody signs in again",
    "program.SignInLink": "opens the program to whoever has it, and lasts a day",
    "sessions.Session": "who is signed in with which device; everybody signs in again",
}


def by_label() -> dict[str, Kind]:
    """The kinds by the label of their model."""
    return {kind.model_label: kind for kind in KINDS}
