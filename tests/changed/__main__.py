"""``python -m tests.changed [CHARTS [CHANGES]]``: 10 random charts, 20 changes of each by default."""

from __future__ import annotations

import sys


def main(charts: int = 10, changes: int = 20) -> None:
    """Print how well each chart's changes were told, and the least of them."""
    from tests.changed.tally import agreement

    found = []
    for seed in range(charts):
        one = agreement(seed, changes)
        found.append(one.told)
        over = f"over {one.charts} charts, {one.lost} without rest"
        print(f"{seed:3d}: rank correlation {one.told:.3f} {over}", flush=True)
    print(f"least {min(found):.3f}, middle {sorted(found)[len(found) // 2]:.3f}")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
