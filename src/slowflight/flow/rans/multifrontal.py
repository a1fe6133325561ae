"""Factorizing a block sparse matrix front by front, and solving with the factors.

A front holds the rows and columns of its own cells (1) and of the cells further down that they touch (2):

    [F11 F12]   [ I             ] [F11 F12             ]
    [F21 F22] = [F21 F11^-1   I ] [    F22 - F21 F11^-1 F12 ]

F11 is inverted with exchange of rows inside; the rest of the work is products of dense matrices, which a
laptop's own library does at full speed, and the last block is what the front leaves to its parent (Duff and
Reid 1983). Numbers are kept in single precision: half the memory, twice the speed, and what is lost (under
one per cent of an answer) the iteration around it makes good (Wilkinson 1963; Carson and Higham 2018).
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.rans.fronts import Fronts


class Factors(NamedTuple):
    """Numbers of all fronts in one array, single precision.

    Parameters
    ----------
    fronts : Fronts
    block : int
        Unknowns of a cell.
    starts : array of int64
        Where each front's numbers begin, shape (k + 1,): F11^-1, then F21 F11^-1, then F12.
    numbers : array of float32
    """

    fronts: Fronts
    block: int
    starts: Any
    numbers: Any


def factorize(fronts: Fronts, blocks: Any) -> Factors:
    """Factorize.

    Parameters
    ----------
    fronts : Fronts
    blocks : array of float32
        Blocks of the matrix in the order of its pattern, shape (blocks, b, b).

    Raises
    ------
    numpy.linalg.LinAlgError
        Where a front is singular.
    """
    b = blocks.shape[1]
    own = np.diff(fronts.first).astype(np.int64) * b
    rest = np.diff(fronts.row_start).astype(np.int64) * b
    starts = np.concatenate(([0], np.cumsum(own * (own + 2 * rest))))
    numbers = np.empty(starts[-1], dtype=np.float32)
    _factorize(
        fronts, np.ascontiguousarray(blocks, dtype=np.float32), starts, numbers, _stack_size(rest, fronts)
    )
    return Factors(fronts, b, starts, numbers)


def _stack_size(rest: Any, fronts: Fronts) -> int:
    """Most numbers that wait for their parents at any time."""
    now, most = 0, 0
    squares = rest * rest
    taken = np.add.reduceat(np.append(squares[fronts.children], 0), fronts.child_start[:-1])
    taken[np.diff(fronts.child_start) == 0] = 0
    for k, square in enumerate(squares):
        # what is left is written above what the children left, before these are let go
        most = max(most, now + square)
        now += square - taken[k]
    return int(max(most, now)) + 1


@kernel
def _factorize(fronts: Fronts, blocks: Any, starts: Any, numbers: Any, stack_size: int) -> None:
    b = blocks.shape[1]
    count = len(fronts.first) - 1
    stack = np.empty(stack_size, np.float32)
    where = np.zeros(count, np.int64)  # of what each front left
    top = 0
    for k in range(count):
        own = (fronts.first[k + 1] - fronts.first[k]) * b
        rest = (fronts.row_start[k + 1] - fronts.row_start[k]) * b
        at = starts[k]
        first = np.zeros((own, own), np.float32)
        lower = np.zeros((rest, own), np.float32)
        upper = numbers[at + own * (own + rest) : starts[k + 1]].reshape(own, rest)
        upper[:] = 0.0
        left = np.zeros((rest, rest), np.float32)
        for m in range(fronts.entry_start[k], fronts.entry_start[k + 1]):
            _add(first, upper, lower, left, fronts.entry_row[m] * b, fronts.entry_column[m] * b,
                 blocks[fronts.entry[m]])  # fmt: skip
        lowest = top
        for c in range(fronts.child_start[k], fronts.child_start[k + 1]):
            child = fronts.children[c]
            begin, end = fronts.row_start[child], fronts.row_start[child + 1]
            size = (end - begin) * b
            given = stack[where[child] : where[child] + size * size].reshape(size, size)
            lowest = min(lowest, where[child])
            for i in range(begin, end):
                row = fronts.into[i] * b
                for j in range(begin, end):
                    column = fronts.into[j] * b
                    for p in range(b):
                        for q in range(b):
                            value = given[(i - begin) * b + p, (j - begin) * b + q]
                            if row < own:
                                if column < own:
                                    first[row + p, column + q] += value
                                else:
                                    upper[row + p, column - own + q] += value
                            elif column < own:
                                lower[row - own + p, column + q] += value
                            else:
                                left[row - own + p, column - own + q] += value
        inverse = np.linalg.inv(first)
        numbers[at : at + own * own].reshape(own, own)[:] = inverse
        if rest > 0:
            out = numbers[at + own * own : at + own * (own + rest)].reshape(rest, own)
            np.dot(lower, inverse, out)
            left -= np.dot(out, upper)
        where[k] = lowest
        stack[lowest : lowest + rest * rest].reshape(rest, rest)[:] = left
        top = lowest + rest * rest


@kernel
def _add(first: Any, upper: Any, lower: Any, left: Any, row: int, column: int, block: Any) -> None:
    own = len(first)
    for p in range(len(block)):
        for q in range(len(block)):
            if row < own:
                if column < own:
                    first[row + p, column + q] += block[p, q]
                else:
                    upper[row + p, column - own + q] += block[p, q]
            elif column < own:
                lower[row - own + p, column + q] += block[p, q]
            else:
                left[row - own + p, column - own + q] += block[p, q]


@kernel
def solve_with(factors: Factors, right: Any, transposed: bool) -> Any:
    """Solution to about two figures.

    Parameters
    ----------
    factors : Factors
    right : array of float32
        In the order of elimination, block by block, shape (n b,).
    transposed : bool
        With the transposed matrix instead.
    """
    fronts, b, starts, numbers = factors
    x = right.copy()
    count = len(fronts.first) - 1
    for k in range(count):
        a, z = fronts.first[k] * b, fronts.first[k + 1] * b
        own, rest, at = z - a, (fronts.row_start[k + 1] - fronts.row_start[k]) * b, starts[k]
        if transposed:
            inverse = numbers[at : at + own * own].reshape(own, own)
            x[a:z] = np.dot(inverse.T, x[a:z])
        if rest > 0:
            if transposed:
                change = np.dot(numbers[at + own * (own + rest) : starts[k + 1]].reshape(own, rest).T, x[a:z])
            else:
                change = np.dot(numbers[at + own * own : at + own * (own + rest)].reshape(rest, own), x[a:z])
            _take(x, fronts.rows, fronts.row_start[k], b, change)
    for k in range(count - 1, -1, -1):
        a, z = fronts.first[k] * b, fronts.first[k + 1] * b
        own, rest, at = z - a, (fronts.row_start[k + 1] - fronts.row_start[k]) * b, starts[k]
        if rest > 0:
            down = _gather(x, fronts.rows, fronts.row_start[k], b, rest)
            if transposed:
                x[a:z] -= np.dot(numbers[at + own * own : at + own * (own + rest)].reshape(rest, own).T, down)
            else:
                x[a:z] -= np.dot(numbers[at + own * (own + rest) : starts[k + 1]].reshape(own, rest), down)
        if not transposed:
            x[a:z] = np.dot(numbers[at : at + own * own].reshape(own, own), x[a:z])
    return x


@kernel
def _take(x: Any, rows: Any, begin: int, b: int, change: Any) -> None:
    for m in range(len(change) // b):
        to = rows[begin + m] * b
        for p in range(b):
            x[to + p] -= change[m * b + p]


@kernel
def _gather(x: Any, rows: Any, begin: int, b: int, size: int) -> Any:
    found = np.empty(size, x.dtype)
    for m in range(size // b):
        at = rows[begin + m] * b
        for p in range(b):
            found[m * b + p] = x[at + p]
    return found
