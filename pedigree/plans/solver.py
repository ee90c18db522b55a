"""A cheapest choice of pairs by scipy's solvers, before it is proven."""

import numpy as np

from pedigree.plans.flow import Bools, Network
from pedigree.rows import Floats, Ints

MOST_COPIES = 4_000  # columns of an assignment; beyond it the linear programme is quicker


def solved(network: Network, number: int) -> Bools:
    """`number` of the free pairs at least cost."""
    rows, columns = network.free.shape
    if not number:
        return np.zeros((rows, columns), np.bool_)
    if _is_room_for_all(network):
        chosen = np.zeros((rows, columns), np.bool_)
        row, column = np.nonzero(network.free)
        first = np.argsort(network.cost[network.free], kind="stable")[:number]
        chosen[row[first], column[first]] = True
        return chosen
    one_each = (network.female_room <= 1).all(), (network.male_room <= 1).all()
    if one_each[0] and _copies(network.male_room, rows) <= MOST_COPIES:
        return _assigned(network.cost, network.free, network.female_room, network.male_room, number)
    if one_each[1] and _copies(network.female_room, columns) <= MOST_COPIES:
        return _assigned(
            network.cost.T, network.free.T, network.male_room, network.female_room, number
        ).T
    return _programmed(network, number)


def _is_room_for_all(network: Network) -> bool:
    of_female, of_male = network.free.sum(axis=1), network.free.sum(axis=0)
    return bool((of_female <= network.female_room).all() and (of_male <= network.male_room).all())


def _copies(room: Ints, other: int) -> int:
    return int(np.minimum(room, other).sum())


def _assigned(cost: Floats, free: Bools, row_room: Ints, column_room: Ints, number: int) -> Bools:
    """Where rows are paired once at most: an assignment to as many copies of each column.

    Rows left over go to spare columns at no cost; all else is raised to above 0, so that as many
    as possible are left over. Source: Kuhn 1955, Nav. Res. Logist. Q. 2:83-97.
    """
    from scipy.optimize import linear_sum_assignment

    rows = np.flatnonzero(row_room)
    copies = np.repeat(np.arange(len(column_room)), np.minimum(column_room, len(rows)))
    raised = cost - cost[free].min() + 1 + (cost[free].max() - cost[free].min())
    table = np.where(free, raised, np.inf)[np.ix_(rows, copies)]
    spare = np.zeros((len(rows), len(rows) - number))
    row, column = linear_sum_assignment(np.hstack([table, spare]))
    paired = column < len(copies)
    chosen = np.zeros(cost.shape, np.bool_)
    chosen[rows[row[paired]], copies[column[paired]]] = True
    return chosen


def _programmed(network: Network, number: int) -> Bools:
    """Where both may be paired several times: HiGHS, to a corner, which is whole-numbered."""
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    rows, columns = network.free.shape
    row, column = np.nonzero(network.free)
    each = np.arange(len(row))
    places = np.concatenate([row, rows + column, np.full(len(row), rows + columns)])
    table = csr_array(
        (np.ones(3 * len(row)), (places, np.tile(each, 3))), shape=(rows + columns + 1, len(row))
    )
    room = np.concatenate([network.female_room, network.male_room, [number]]).astype(np.float64)
    least = np.zeros(len(room))
    least[-1] = number
    # Brought to about 1 and 2^20: the solver's own tolerance is absolute.
    cost = network.cost[network.free]
    cost = cost / (2.0**-20 * max(1.0, float(np.abs(cost).max())))
    for whole in (0, 1):
        found = milp(
            cost,
            integrality=np.full(len(row), whole),
            bounds=Bounds(0, 1),
            constraints=LinearConstraint(table, least, room),
            options={"mip_rel_gap": 0},
        )
        if found.x is not None and np.abs(found.x - np.rint(found.x)).max() < 1e-6:
            chosen = np.zeros(network.free.shape, np.bool_)
            chosen[row, column] = found.x > 0.5
            return chosen
    raise RuntimeError(f"The solver found no plan where there is one: {found.message}")
