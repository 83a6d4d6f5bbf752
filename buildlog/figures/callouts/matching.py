"""Which callout takes which place in the margins, so that all leaders together are as short as they can be."""

from __future__ import annotations

from collections.abc import Sequence


def shortest_matching(costs: Sequence[Sequence[float]]) -> list[int]:
    """
    The column for each row that makes the sum of costs least, no column taken twice.

    Rows are added one by one, each along the cheapest chain of changes to those before it (the Hungarian method in the
    form of Jonker and Volgenant, Computing 38, 1987, pp. 325-340).

    Args:
        costs: A square table; with n rows the work grows as n³.
    """
    count = len(costs)
    infinite = float("inf")
    of_row = [0.0] * (count + 1)
    of_column = [0.0] * (count + 1)
    row_in = [count] * (count + 1)
    for row in range(count):
        row_in[count] = row
        column = count
        least = [infinite] * count
        came_from = [count] * count
        is_done = [False] * (count + 1)
        while row_in[column] != count:
            is_done[column] = True
            here = row_in[column]
            line, base = costs[here], of_row[here]
            step, following = infinite, count
            for other in range(count):
                if is_done[other]:
                    continue
                cost = line[other] - base - of_column[other]
                if cost < least[other]:
                    least[other], came_from[other] = cost, column
                if least[other] < step:
                    step, following = least[other], other
            for other in range(count):
                if is_done[other]:
                    of_row[row_in[other]] += step
                    of_column[other] -= step
                else:
                    least[other] -= step
            of_row[row] += step
            column = following
        while column != count:
            row_in[column] = row_in[came_from[column]]
            column = came_from[column]
    chosen = [0] * count
    for column in range(count):
        chosen[row_in[column]] = column
    return chosen
