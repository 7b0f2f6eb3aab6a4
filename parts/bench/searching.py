"""Cases that a timing run calls: each returns (name, seconds, what it is held against)."""

from __future__ import annotations

import math
from time import perf_counter


def _best_of(times: int, call) -> float:
    best = math.inf
    for _ in range(times):
        start = perf_counter()
        call()
        best = min(best, perf_counter() - start)
    return best


def posterior_inputs(parts: int = 60, areas: int = 400, passes: int = 200):
    """A made-up search: every pass walks a little of every area. Same each time."""
    import numpy as np

    rng = np.random.default_rng(1907)
    prior = rng.dirichlet(np.full(areas + 1, 0.5), size=parts)[:, :areas]
    sweep = rng.uniform(0.2, 3.0, size=(parts, passes))
    track = rng.uniform(0.0, 5.0, size=(passes, areas))
    area = rng.uniform(200.0, 900.0, size=areas)
    return prior, sweep, track, area


def posterior_by_loop(prior, sweep, track, area) -> list[list[float]]:
    """The same sum as `searching.posterior`, one cell at a time, for comparison."""
    rows = []
    for p in range(len(prior)):
        row = []
        for a in range(len(area)):
            chance = prior[p][a]
            for s in range(len(track)):
                chance *= math.exp(-sweep[p][s] * track[s][a] / area[a])
            row.append(chance)
        row.append(1 - sum(prior[p]))
        whole = sum(row)
        rows.append([chance / whole for chance in row])
    return rows


def posterior_case() -> tuple[str, float, str]:
    """Posterior of 60 parts × 400 areas × 200 passes, against a plain loop of the same sum."""
    import numpy as np

    from parts.engineering.ground.searching import posterior

    prior, sweep, track, area = posterior_inputs()
    seconds = _best_of(5, lambda: posterior(prior, sweep, track, area))
    lists = prior.tolist(), sweep.tolist(), track.tolist(), area.tolist()
    start = perf_counter()
    plain = posterior_by_loop(*lists)
    loop = perf_counter() - start
    apart = float(np.abs(np.array(plain) - posterior(prior, sweep, track, area)).max())
    return (
        "chances after the search: 60 parts × 400 areas × 200 passes",
        seconds,
        f"{loop / seconds:.0f} × a plain loop ({loop:.2f} s); answers apart by {apart:.0e}",
    )


def simulation_case() -> tuple[str, float, str]:
    """10,000 simulations of 500 correlated cost items, against the closed form."""
    import numpy as np

    from parts.engineering.estimating.three_point import simulate

    rng = np.random.default_rng(1907)
    low = rng.uniform(10, 400, 500)
    likely = low + rng.uniform(1, 200, 500)
    high = likely + rng.uniform(1, 600, 500)
    seconds = _best_of(3, lambda: simulate(low, likely, high))
    outcome = simulate(low, likely, high)
    return (
        "cost to finish: 10,000 simulations of 500 correlated items",
        seconds,
        f"mean {outcome.mean / outcome.closed_mean - 1:+.2%}, spread "
        f"{outcome.sd / outcome.closed_sd - 1:+.2%} from the closed form",
    )
