"""Which rows and columns of a sparse matrix are eliminated together, worked out once per mesh.

Eliminating a cell joins all its neighbors; cells with the same neighbors left are taken as one dense front
(Duff and Reid 1983). Fronts form a tree (Liu 1990): what a front leaves over goes into the front of its
parent. Here the graph of blocks alone counts, no numbers.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.rans.mesh import Indices

# a front is merged with its parent where fewer than this share of the larger front's entries would be zeros,
# by size of that front in cells: small dense products cost more in calls than in numbers
MERGED = ((8, 0.8), (16, 0.5), (48, 0.25), (10**9, 0.1))


class Fronts(NamedTuple):
    """Fronts of a matrix, in the order of their elimination.

    Parameters
    ----------
    order : Indices
        Old number of the cell at each place of the elimination, shape (n,).
    first : Indices
        First place of each front, and n, shape (k + 1,).
    row_start : Indices
        Where each front's rows further down stand in ``rows``, shape (k + 1,).
    rows : Indices
        Places further down that a front touches, ascending.
    into : Indices
        Place of each of ``rows`` within the parent's front: its own cells first, then its rows.
    child_start, children : Indices
        Fronts that leave something to each front, in compressed rows.
    entry_start : Indices
        Where each front's blocks of the matrix stand in the next three, shape (k + 1,).
    entry, entry_row, entry_column : Indices
        Number of the block in the matrix, its row and column within the front.
    """

    order: Indices
    first: Indices
    row_start: Indices
    rows: Indices
    into: Indices
    child_start: Indices
    children: Indices
    entry_start: Indices
    entry: Indices
    entry_row: Indices
    entry_column: Indices


def find_fronts(starts: Indices, columns: Indices, order: Indices) -> Fronts:
    """Find the fronts of a matrix with a given order of elimination.

    Parameters
    ----------
    starts, columns : Indices
        Block rows of the matrix as in compressed sparse rows, shapes (n + 1,) and (blocks,).
    order : Indices
        Old number of the cell to be eliminated first, second and so on, shape (n,).
    """
    n = len(order)
    order = order[_postorder(_tree(*_graph(starts, columns, order)))]
    graph = _graph(starts, columns, order)
    parent = _tree(*graph)
    below_start, below = _below(*graph, parent)
    first = _merged(parent, below_start)
    front_of = np.repeat(np.arange(len(first) - 1), np.diff(first)).astype(np.int32)
    last = first[1:] - 1
    counts = below_start[last + 1] - below_start[last]
    row_start = np.concatenate(([0], np.cumsum(counts))).astype(np.int32)
    rows = np.concatenate([below[below_start[j] : below_start[j + 1]] for j in last]).astype(np.int32)
    above = np.full(len(last), -1, dtype=np.int32)
    above[counts > 0] = front_of[rows[row_start[:-1][counts > 0]]]
    into = _places(first, row_start, rows, above)
    children = np.argsort(above, kind="stable").astype(np.int32)
    child_start = np.searchsorted(above[children], np.arange(len(last) + 1)).astype(np.int32)
    place = np.empty(n, dtype=np.int32)
    place[order] = np.arange(n)
    row, column = place[np.repeat(np.arange(n), np.diff(starts))], place[columns]
    owner = front_of[np.minimum(row, column)]
    entry = np.argsort(owner, kind="stable").astype(np.int32)
    entry_start = np.searchsorted(owner[entry], np.arange(len(last) + 1)).astype(np.int32)
    inside = [_within(first, row_start, rows, owner[entry], where[entry]) for where in (row, column)]
    return Fronts(order.astype(np.int32), first, row_start, rows, into, child_start, children, entry_start,
                  entry, inside[0], inside[1])  # fmt: skip


def _graph(starts: Indices, columns: Indices, order: Indices) -> tuple[Indices, Indices]:
    """Both triangles of the reordered pattern without its diagonal, in compressed rows."""
    n = len(order)
    place = np.empty(n, dtype=np.int64)
    place[order] = np.arange(n)
    row, column = place[np.repeat(np.arange(n), np.diff(starts))], place[columns]
    keys = np.unique(np.concatenate((row * n + column, column * n + row)))
    keys = keys[keys // n != keys % n]
    return np.searchsorted(keys, np.arange(n + 1) * n).astype(np.int32), (keys % n).astype(np.int32)


@kernel
def _tree(starts: Indices, columns: Indices) -> Indices:
    """Parent of each place in the tree of elimination, -1 for a root (Liu 1990, with shortened paths)."""
    n = len(starts) - 1
    parent = np.full(n, -1, np.int32)
    ancestor = np.full(n, -1, np.int32)
    for i in range(n):
        for k in range(starts[i], starts[i + 1]):
            j = columns[k]
            while j != -1 and j < i:
                nearer = ancestor[j]
                ancestor[j] = i
                if nearer == -1:
                    parent[j] = i
                j = nearer
    return parent


@kernel
def _postorder(parent: Indices) -> Indices:
    """Old place at each new one, children before parents and together."""
    n = len(parent)
    eldest, sibling = np.full(n, -1, np.int32), np.full(n, -1, np.int32)
    for j in range(n - 1, -1, -1):
        if parent[j] >= 0:
            sibling[j] = eldest[parent[j]]
            eldest[parent[j]] = j
    order, stack = np.empty(n, np.int32), np.empty(n, np.int32)
    done = 0
    for root in range(n):
        if parent[root] != -1:
            continue
        stack[0], high = root, 1
        while high > 0:
            j = stack[high - 1]
            child = eldest[j]
            if child == -1:
                order[done] = j
                done += 1
                high -= 1
            else:
                eldest[j] = sibling[child]
                stack[high] = child
                high += 1
    return order


@kernel
def _below(starts: Indices, columns: Indices, parent: Indices) -> tuple[Indices, Indices]:
    """Rows below the diagonal of the factor's columns, in compressed columns, each ascending."""
    n = len(parent)
    first_child, sibling = np.full(n, -1, np.int32), np.full(n, -1, np.int32)
    below_start = np.zeros(n + 1, np.int32)
    below = np.empty(16 * len(columns), np.int32)
    seen = np.full(n, -1, np.int32)
    count = 0
    for j in range(n):
        seen[j] = j
        begun = count
        if len(below) < count + n:
            larger = np.empty(2 * len(below) + n, np.int32)
            larger[:count] = below[:count]
            below = larger
        for k in range(starts[j], starts[j + 1]):
            i = columns[k]
            if i > j and seen[i] != j:
                seen[i] = j
                below[count] = i
                count += 1
        child = first_child[j]
        while child != -1:
            for k in range(below_start[child], below_start[child + 1]):
                i = below[k]
                if seen[i] != j:
                    seen[i] = j
                    below[count] = i
                    count += 1
            child = sibling[child]
        below[begun:count] = np.sort(below[begun:count])
        below_start[j + 1] = count
        if parent[j] >= 0:
            sibling[j] = first_child[parent[j]]
            first_child[parent[j]] = j
    return below_start, below[:count].copy()


def _merged(parent: Indices, below_start: Indices) -> Indices:
    """First place of each front, and n."""
    sizes, shares = (np.array(column) for column in zip(*MERGED, strict=True))
    return np.asarray(_merge(parent, np.diff(below_start), sizes, shares))


@kernel
def _merge(parent: Indices, below: Indices, sizes: Any, shares: Any) -> Indices:
    n = len(parent)
    first = np.empty(n + 1, np.int32)
    filled = np.empty(n)  # entries that are no zeros of the front that begins at a place of the stack
    count = 0
    for j in range(n):
        first[count] = j
        filled[count] = 1.0 + 2.0 * below[j]
        count += 1
        while count > 1 and parent[first[count - 1] - 1] == first[count - 1]:
            # the front before is the last child of this one: both as one front
            own = j + 1 - first[count - 2]
            whole = float(own) * (own + 2.0 * below[j])
            zeros = 1.0 - (filled[count - 2] + filled[count - 1]) / whole
            k = 0
            while own > sizes[k]:
                k += 1
            if zeros > shares[k] and zeros > 1e-12:
                break
            filled[count - 2] += filled[count - 1]
            count -= 1
    first[count] = n
    return first[: count + 1].copy()


@kernel
def _places(first: Indices, row_start: Indices, rows: Indices, above: Indices) -> Indices:
    into = np.empty(len(rows), np.int32)
    for k in range(len(above)):
        p = above[k]
        if p == -1:
            continue
        own = first[p + 1] - first[p]
        at = row_start[p]
        for m in range(row_start[k], row_start[k + 1]):
            if rows[m] < first[p + 1]:
                into[m] = rows[m] - first[p]
            else:
                while rows[at] != rows[m]:
                    at += 1
                into[m] = own + at - row_start[p]
    return into


@kernel
def _within(first: Indices, row_start: Indices, rows: Indices, owner: Indices, place: Indices) -> Indices:
    """Place of a row or column within the front that owns it."""
    found = np.empty(len(place), np.int32)
    for m in range(len(place)):
        p = owner[m]
        if place[m] < first[p + 1]:
            found[m] = place[m] - first[p]
        else:
            here = rows[row_start[p] : row_start[p + 1]]
            found[m] = first[p + 1] - first[p] + np.searchsorted(here, place[m])
    return found
