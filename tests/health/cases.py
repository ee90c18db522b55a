"""What ails an animal, treatments and visits as they are put right: for the common pages."""

from breeding.health.apart.services import keep_apart
from breeding.health.dying.lately import died_untold
from breeding.health.dying.services import ToldDeath, tell_death
from breeding.health.holds import holds_on
from breeding.health.illness.observing import observe
from breeding.health.illness.standing import open_observations, visits_to_follow
from breeding.health.illness.treating import Prescribed, treat
from breeding.health.illness.visiting import record_visit
from breeding.health.quarantine import quarantined
from breeding.program import clock
from tests import cast


def an_observation():
    on = cast.day("2026-11-03")
    return observe(cast.female(), "breathing", since=on, today=clock.today(), by=None)


def a_treatment():
    given = Prescribed("Willow drops", cast.day("2026-11-03"), prescribed_by="Dr. Alder")
    return treat(cast.female(), given, today=clock.today(), by=None)


def a_visit():
    return record_visit(
        cast.female(),
        on=cast.day("2026-11-03"),
        today=clock.today(),
        recorded_by=None,
        look_again_on=cast.day("2026-12-03"),
    )


def a_quarantine():
    since = cast.day("2026-11-03")
    rows = keep_apart([cast.female()], since=since, today=clock.today(), by=None)
    return rows[0]


def a_death():
    dead = cast.female(state="died", state_on=cast.day("2026-11-03"))
    return tell_death(dead, ToldDeath("illness"), today=clock.today(), by=None)


def is_apart(one):
    return one.animal_id in quarantined([one.animal_id], clock.today())


def is_told(one):
    return not died_untold(clock.today())


def is_open(one):
    return one in open_observations(clock.today())


def holds(one):
    return one.animal_id in holds_on([one.animal_id], clock.today())


def is_to_follow(one):
    return one in visits_to_follow(clock.today())


# By key: what makes one, its heading, what is said afterwards, and whether it counts.
CASES = (
    (
        "observation",
        an_observation,
        "Withdraw “breathes fast” of Mira since 3 November 2026",
        "“breathes fast” of Mira since 3 November 2026 is withdrawn and no longer counts.",
        is_open,
    ),
    (
        "treatment",
        a_treatment,
        "Withdraw the treatment of Mira with Willow drops since 3 November 2026",
        "The treatment of Mira with Willow drops since 3 November 2026 is withdrawn and no longer "
        "counts.",
        holds,
    ),
    (
        "visit",
        a_visit,
        "Withdraw the visit to Mira on 3 November 2026",
        "The visit to Mira on 3 November 2026 is withdrawn and no longer counts.",
        is_to_follow,
    ),
    (
        "quarantine",
        a_quarantine,
        "Withdraw the quarantine of Mira since 3 November 2026",
        "The quarantine of Mira since 3 November 2026 is withdrawn and no longer counts.",
        is_apart,
    ),
    (
        "death",
        a_death,
        "Withdraw how Mira died",
        "How Mira died is withdrawn and no longer counts.",
        is_told,
    ),
)
# By key: what is sent to change it, what stands afterwards, and what its history says.
CHANGES = {
    "observation": (
        lambda one: {"over_on": "2026-11-20", "note": "slip"},
        lambda one: (one.over_on, one.note) == (cast.day("2026-11-20"), "slip"),
        "note: from nothing to slip",
    ),
    "treatment": (
        lambda one: {"until": "2026-11-20", "hold_until": "2026-12-20", "note": "slip"},
        lambda one: (one.hold_until, one.note) == (cast.day("2026-12-20"), "slip"),
        "hold until: from nothing to 20 December 2026",
    ),
    "visit": (
        lambda one: {"found": "slip"},
        lambda one: one.found == "slip",
        "found: from nothing to slip",
    ),
    "quarantine": (
        lambda one: {"least_days": "60", "note": "slip"},
        lambda one: (one.least_days, one.note) == (60, "slip"),
        "least days: from nothing to 60",
    ),
    "death": (
        lambda one: {"findings": "slip"},
        lambda one: one.findings == "slip",
        "findings: from nothing to slip",
    ),
}
