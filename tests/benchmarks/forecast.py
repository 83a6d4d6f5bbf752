"""
How good the forecast is, by kind of builder: python -m tests.benchmarks.forecast [BUILDS]

For each kind of `tests/figures/simulated_builds.py`, and for each share of the plan that builds are stopped at: how
often the true day lay in the range, how often it came after it, the width of the range over the days there were to go,
and by how much the median strays (the mean of its logarithm over the true one).
"""

from __future__ import annotations

import math
import random
import sys

from buildlog.figures.forecast import NoForecast, forecast
from tests.figures.simulated_builds import HABITS, simulate

STOPS = (0.3, 0.5, 0.7)


def main(builds: int) -> None:
    """Measure so many builds of each kind."""
    every: list[tuple[float, bool]] = []
    for name, habits in HABITS.items():
        inside: list[tuple[float, bool]] = []
        late = none = 0
        width = stray = 0.0
        for number in range(builds):
            build = simulate(random.Random(f"benchmark {name} {number}"), habits)
            for share, day in build.stops(STOPS):
                found = forecast(
                    build.plan, build.statements, build.worked, as_of=day, finished=build.finished, resamples=400
                )
                if isinstance(found, NoForecast):
                    none += 1
                    continue
                to_go = (build.end - day).days
                inside.append((share, found.first <= build.end <= found.last))
                late += build.end > found.last
                width += (found.last - found.first).days / to_go
                stray += math.log((found.median - day).days / to_go)
        every += inside
        print(
            f"{name:30} {_shares(inside)}  late {late / len(inside):.2f}  width {width / len(inside):.2f}"
            f"  stray {stray / len(inside):+.2f}  none {none}",
            flush=True,
        )
    print(f"{'all':30} {_shares(every)}  of {len(every)}")


def _shares(inside: list[tuple[float, bool]]) -> str:
    parts = [f"{sum(hit for _, hit in inside) / len(inside):.2f}"]
    for stop in STOPS:
        hits = [hit for share, hit in inside if share == stop]
        parts.append(f"{stop:.0%} {sum(hits) / max(1, len(hits)):.2f}")
    return "  ".join(parts)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
