"""How long the whole-bag plan takes: 60 plots × 12 products, several seeds.

    python tests/benchmarks/bench_fertilizer.py [--plots 60] [--seeds 5] [--runners-up 2]

Prints the seconds of each and how many of them the processor worked for it, whether it was proved best, and the gap that is left.
Asked: proved, or a stated gap, in under 10 s.
"""

import argparse
import math
import random
import time

from quietacre.need.fertilizer import Plot, plan_fertilizer
from quietacre.need.grade import (
    Grade,
    parse_grade,
)
from quietacre.settings import Buying

PRICES = {
    "13-13-13": 17.5, "17-17-17": 23.0, "10-10-10": 14.0, "8-24-24": 22.0, "6-12-12": 15.0,
    "0-20-20": 18.0, "34-0-0": 19.0, "46-0-0": 24.0, "18-46-0": 27.0, "11-52-0": 28.0,
    "0-46-0": 26.0, "0-0-60": 21.0,
}  # fmt: skip


def case(seed: int, plots: int) -> tuple[list[Plot], list[Grade]]:
    """Return invented plots and the twelve grades at invented prices."""
    rng = random.Random(seed)  # noqa: S311 - invented data
    ground = [
        Plot(
            f"p{i}",
            rng.uniform(0.3, 6.0),
            {
                "n": rng.choice([0.0, 0.0, 42.0, 60.0, 90.0]),
                "p2o5": rng.choice([0.0, 24.0, 40.0, 60.0, 80.0]),
                "k2o": rng.choice([0.0, 24.0, 40.0, 60.0, 100.0]),
            },
        )
        for i in range(plots)
    ]
    grades = [
        Grade(text, *parse_grade(text), 50.0, price, rng.choice([0.0, 0.0, 120.0]))
        for text, price in PRICES.items()
    ]
    return ground, grades


def by_hand(ground: list[Plot], grades: list[Grade]) -> float:
    """Return the dollars of the plan one would script: plot by plot, need by need.

    The cheapest pound of what a plot still lacks is poured until it has enough; bags are
    rounded up at the end over all plots, less what is in the shed.
    """
    pounds = dict.fromkeys((grade.grade for grade in grades), 0.0)
    for plot in ground:
        left = {key: amount * plot.acres for key, amount in plot.need_lb_ac.items()}
        for key in sorted(left, key=lambda k: -left[k]):
            if left[key] <= 0:
                continue
            best = min(
                (grade for grade in grades if content(grade)[key] > 0),
                key=lambda grade: grade.price / content(grade)[key],
            )
            poured = left[key] / content(best)[key]
            pounds[best.grade] += poured
            for other, share in content(best).items():
                left[other] -= poured * share
    return sum(
        math.ceil(max(pounds[g.grade] - g.stock_lb, 0) / g.bag_lb) * g.price for g in grades
    )


def content(grade: Grade) -> dict[str, float]:
    """Return the share of each nutrient in a grade, by weight."""
    return {"n": grade.n, "p2o5": grade.p2o5, "k2o": grade.k2o}


def measure(seed: int, plots: int, runners_up: int) -> dict[str, object]:
    """Return seconds, the plan, and what the plan by hand costs."""
    ground, grades = case(seed, plots)
    start, start_cpu = time.perf_counter(), time.process_time()
    plan = plan_fertilizer(ground, grades, Buying(), runners_up=runners_up)
    spent, cpu = time.perf_counter() - start, time.process_time() - start_cpu
    return {"plan": plan, "wall_s": spent, "cpu_s": cpu, "by_hand": by_hand(ground, grades)}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--plots", type=int, default=60)
    parser.add_argument("--seeds", type=int, default=5)
    parser.add_argument("--runners-up", type=int, default=2)
    args = parser.parse_args()
    for seed in range(args.seeds):
        seen = measure(seed, args.plots, args.runners_up)
        plan, spent, cpu = seen["plan"], seen["wall_s"], seen["cpu_s"]
        others = ", ".join(f"${p.cost:,.0f}" for p in plan.runners_up) or "none"
        print(
            f"seed {seed}: {spent:5.2f} s ({cpu:.2f} of the processor), {plan.status}, gap {100 * plan.gap:.3f} %, "
            f"${plan.cost:,.2f}; runners-up {others}"
        )


if __name__ == "__main__":
    main()
