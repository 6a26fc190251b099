"""General-purpose solvers on the same jobs, beside longpoint, in one run.

    pip install ortools==9.15.6755 highspy==1.16.0
    cargo bench --bench classes -- --write DIR --every 20 shop-proportional falkenauer-u ...
    python benches/peers.py target/release/longpoint DIR [--limit SECONDS]

Each job folder under DIR is planned by longpoint (whole process, files included), by CP-SAT on an assignment model and
by HiGHS on an arc-flow model (model building and solving, without reading files or starting Python). Two threads each.
The arc-flow model is J. M. Valerio de Carvalho's (Annals of Operations Research 86, 1999, 629-659): positions are the
sums that items, taken in falling order, can reach.
"""

import argparse
import csv
import json
import subprocess
import time
import tomllib
from decimal import Decimal
from fractions import Fraction
from math import isqrt, gcd
from pathlib import Path

import highspy
from ortools.sat.python import cp_model

UNIT_NM = {"mm": 1_000_000, "in": 25_400_000}


def nanometres(text, unit):
    """A bare decimal length in whole nanometres."""
    value = Fraction(Decimal(str(text))) * UNIT_NM[unit]
    assert value.denominator == 1
    return int(value)


def read_job(folder):
    """Items (size, demand) and stocks (capacity, cost, supply), with the kerf inside the sizes."""
    job = tomllib.loads((folder / "job.toml").read_text())
    unit = job["unit"]
    kerf, trim = (nanometres(job["saw"][key], unit) for key in ("kerf", "end-trim"))
    pieces = list(csv.DictReader((folder / "pieces.csv").open()))
    if any(piece["ends"] == "miter" for piece in pieces):
        # kerf * sqrt(2), rounded up to the nanometre.
        root = isqrt(2 * kerf * kerf)
        kerf = root if root * root == 2 * kerf * kerf else root + 1
    items = {}
    for piece in pieces:
        size = nanometres(piece["length"], unit) + kerf
        items[size] = items.get(size, 0) + int(piece["quantity"])
    boards = list(csv.DictReader((folder / "boards.csv").open()))
    priced = any(board["price"] for board in boards)
    stocks = []
    for board in boards:
        length = nanometres(board["length"], unit)
        cost = int(Decimal(board["price"] or 0) * 100) if priced else length
        supply = int(board["quantity"]) if board["quantity"] else None
        stocks.append((length - 2 * trim + kerf, cost, supply))
    items = sorted(items.items(), reverse=True)
    scale = gcd(*(size for size, _ in items), *(capacity for capacity, _, _ in stocks))
    cost_scale = gcd(*(cost for _, cost, _ in stocks)) or 1
    items = [(size // scale, demand) for size, demand in items]
    stocks = [(capacity // scale, cost // cost_scale, supply) for capacity, cost, supply in stocks]
    return items, stocks, cost_scale


def longpoint(program, folder, limit):
    """Whole process."""
    start = time.perf_counter()
    run = subprocess.run(
        [program, "plan", folder / "job.toml", "--format", "json", "--time", str(limit)],
        capture_output=True, check=False)
    seconds = time.perf_counter() - start
    summary = json.loads(run.stdout)["summary"]
    return summary["value"], summary["lower_bound"], seconds


def first_fit(items, stocks):
    """How many boards of each kind a plan might use at the most, from first fit decreasing on that kind alone."""
    counts = []
    for capacity, _, supply in stocks:
        rests = []
        for size, demand in items:
            for _ in range(demand):
                if size > capacity:
                    continue
                for at, rest in enumerate(rests):
                    if size <= rest:
                        rests[at] -= size
                        break
                else:
                    rests.append(capacity - size)
        counts.append(len(rests) if supply is None else min(supply, len(rests)))
    return counts


def cp_sat_assignment(items, stocks, limit):
    """x[i, b] pieces of item i on board b, y[b] whether board b is used."""
    start = time.perf_counter()
    model = cp_model.CpModel()
    boards = [stock for stock, count in zip(stocks, first_fit(items, stocks)) for _ in range(count)]
    if len(boards) * len(items) > 2_000_000:
        return None, None, 0.0
    used = [model.new_bool_var("") for _ in boards]
    rows = [[] for _ in items]
    for b, (capacity, _, _) in enumerate(boards):
        load = []
        for i, (size, demand) in enumerate(items):
            most = min(demand, capacity // size)
            if most:
                x = model.new_int_var(0, most, "")
                rows[i].append(x)
                load.append(size * x)
        model.add(sum(load) <= capacity * used[b])
        if b and boards[b - 1] == boards[b]:
            model.add(used[b - 1] >= used[b])
    for row, (_, demand) in zip(rows, items):
        model.add(sum(row) >= demand)
    model.minimize(sum(cost * y for (_, cost, _), y in zip(boards, used)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    solver.parameters.max_time_in_seconds = max(0.01, limit - (time.perf_counter() - start))
    status = solver.solve(model)
    seconds = time.perf_counter() - start
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return (round(solver.objective_value) if found else None), round(solver.best_objective_bound), seconds


def highs_arc_flow(items, stocks, limit, most_arcs=1_500_000):
    """A flow from 0 to each stock's end over arcs of items and of waste."""
    start = time.perf_counter()
    longest = max(capacity for capacity, _, _ in stocks)
    arcs = []
    reached = {0}
    for i, (size, demand) in enumerate(items):
        seen = set()
        front = reached
        for _ in range(min(demand, longest // size)):
            new = set()
            for at in front:
                if at + size <= longest and (at, i) not in seen:
                    seen.add((at, i))
                    arcs.append((at, at + size, i))
                    new.add(at + size)
            if not new:
                break
            front = new
            if len(arcs) > most_arcs or time.perf_counter() - start > limit:
                return None, None, time.perf_counter() - start
        reached = reached | {head for _, head, _ in arcs[-len(seen):]} if seen else reached
    ends = sorted({capacity for capacity, _, _ in stocks})
    nodes = sorted(reached | set(ends))
    number = {at: n for n, at in enumerate(nodes)}
    highs = highspy.Highs()
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("threads", 2)
    infinity = highspy.kHighsInf
    n_arcs, n_waste = len(arcs), len(nodes) - 1
    n_columns = n_arcs + n_waste + len(stocks)
    # Rows: one for each node but the first (flow), then one for each item (demand).
    entries = [[] for _ in range(n_columns)]
    for a, (tail, head, i) in enumerate(arcs):
        if tail:
            entries[a].append((number[tail] - 1, -1))
        entries[a].append((number[head] - 1, 1))
        entries[a].append((n_waste + i, 1))
    for w in range(n_waste):
        if w:
            entries[n_arcs + w].append((w - 1, -1))
        entries[n_arcs + w].append((w, 1))
    for s, (capacity, _, _) in enumerate(stocks):
        entries[n_arcs + n_waste + s].append((number[capacity] - 1, -1))
    lp = highspy.HighsLp()
    lp.num_col_ = n_columns
    lp.num_row_ = n_waste + len(items)
    lp.col_cost_ = [0.0] * (n_arcs + n_waste) + [float(cost) for _, cost, _ in stocks]
    lp.col_lower_ = [0.0] * n_columns
    lp.col_upper_ = ([float(items[i][1]) for _, _, i in arcs] + [infinity] * n_waste
                     + [infinity if supply is None else float(supply) for _, _, supply in stocks])
    lp.row_lower_ = [0.0] * n_waste + [float(demand) for _, demand in items]
    lp.row_upper_ = [0.0] * n_waste + [infinity] * len(items)
    starts, index, value = [0], [], []
    for column in entries:
        for row, coefficient in column:
            index.append(row)
            value.append(float(coefficient))
        starts.append(len(index))
    lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    lp.a_matrix_.start_, lp.a_matrix_.index_, lp.a_matrix_.value_ = starts, index, value
    lp.integrality_ = [highspy.HighsVarType.kInteger] * n_columns
    highs.passModel(lp)
    highs.setOptionValue("time_limit", max(0.01, limit - (time.perf_counter() - start)))
    highs.setOptionValue("mip_rel_gap", 0.0)
    highs.run()
    info = highs.getInfo()
    seconds = time.perf_counter() - start
    feasible = info.primal_solution_status == 2
    bound = info.mip_dual_bound
    bound = round(bound) if abs(bound) < 1e15 else None
    return (round(info.objective_function_value) if feasible else None), bound, seconds


def main():
    """Runs all and prints a table in Markdown."""
    parser = argparse.ArgumentParser()
    parser.add_argument("program")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--limit", type=float, default=60.0)
    args = parser.parse_args()
    print("| job | longpoint | s | CP-SAT | s | ratio | HiGHS | s | ratio |")
    print("|---|--:|--:|--:|--:|--:|--:|--:|--:|")
    totals = {}
    for job in sorted(args.folder.glob("*/*/job.toml")):
        folder = job.parent
        items, stocks, cost_scale = read_job(folder)
        answers = [
            longpoint(args.program, folder, args.limit),
            cp_sat_assignment(items, stocks, args.limit),
            highs_arc_flow(items, stocks, args.limit),
        ]
        cells = []
        kind = totals.setdefault(folder.parent.name, [0, 0, 0, 0])
        kind[3] += 1
        for who, (value, bound, seconds) in enumerate(answers):
            scale = 1 if who == 0 else cost_scale
            proved = value is not None and value == bound
            kind[who] += proved
            shown = "none" if value is None else f"{value * scale}"
            cells.append(f"{shown}{'' if proved else ' open'} | {seconds:.3f}")
            if who:
                cells.append(f"{seconds / answers[0][2]:.0f}")
            if proved and answers[0][0] == answers[0][1]:
                assert value * scale == answers[0][0], f"{folder}: proofs disagree"
        print(f"| {folder.parent.name} {folder.name} | {' | '.join(cells)} |", flush=True)
    print()
    print("| class | jobs | longpoint proved | CP-SAT proved | HiGHS proved |")
    print("|---|--:|--:|--:|--:|")
    for name, (ours, cp_sat, highs, jobs) in totals.items():
        print(f"| {name} | {jobs} | {ours} | {cp_sat} | {highs} |")


if __name__ == "__main__":
    main()
