"""General-purpose solvers on the same jobs, beside longpoint, in one run.

    pip install ortools==9.15.6755 highspy==1.16.0
    cargo bench --bench classes -- --write DIR --every 20 shop-proportional falkenauer-u rip-shop ...
    python benches/peers.py target/release/longpoint DIR [--limit SECONDS] [--threads N]

Each job folder under DIR is planned by longpoint (whole process, files included), by CP-SAT on an assignment model and
by HiGHS on an arc-flow model (model building and solving, without reading files or starting Python), each with
as many threads as are asked for, two by default. Who does not keep the limit is ended after one and a half times it.
The arc-flow model is J. M. Valerio de Carvalho's (Annals of Operations Research 86, 1999, 629-659): positions are the
sums that items, in falling order, can reach. Where boards are ripped there is one such network for each width of strip,
and an integer for each maximal way to rip a kind of board; the assignment model has these integers and a bin for each
strip that might be cut.
"""

import argparse
import csv
import json
import multiprocessing
import subprocess
import time
import tomllib
from collections import Counter
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import floor, isqrt, gcd
from pathlib import Path

import highspy
from ortools.sat.python import cp_model

UNIT_NM = {"mm": 1_000_000, "in": 25_400_000}


@dataclass
class Way:
    """A way to divide a board of a kind: how many strips of each (width, capacity) it gives."""

    kind: int
    strips: Counter


@dataclass
class Job:
    """Items (size, demand) of each width, kinds of board (cost, supply), and the ways to divide them.

    The kerf is inside sizes and capacities; costs are in units of `cost_scale`.
    """

    items: list
    kinds: list
    ways: list
    cost_scale: int

    @property
    def is_ripped(self):
        """Whether some board gives more than one strip."""
        return any(way.strips.total() > 1 for way in self.ways)


def nanometers(text, unit):
    """A bare decimal length in whole nanometers."""
    value = Fraction(Decimal(str(text))) * UNIT_NM[unit]
    assert value.denominator == 1
    return int(value)


def cost_of(board, unit):
    """Price of one board in minor units: each, or by the exact board foot and then rounded half up."""
    price, per, _ = (board["price"] or "0").partition("/")
    cents = Fraction(Decimal(price)) * 100
    if per:
        thickness, width, length = (
            Fraction(nanometers(board[key], unit), UNIT_NM["in"]) for key in ("thickness", "width", "length"))
        cents *= max(thickness, 1) * width * length / 144
    return floor(cents + Fraction(1, 2))


def rips(widths, room):
    """The maximal multisets of `widths`, kerfs included, that fit into `room`, as tuples of indices."""
    def fill(at, room):
        if at == len(widths):
            yield ()
            return
        for count in range(room // widths[at], -1, -1):
            for rest in fill(at + 1, room - count * widths[at]):
                yield (at,) * count + rest
    found = [(rip, room - sum(widths[at] for at in rip)) for rip in fill(0, room)]
    return [rip for rip, left in found if rip and left < min(widths)]


def read_job(folder):
    """The job of a folder, with its pieces mitered throughout or not at all."""
    job = tomllib.loads((folder / "job.toml").read_text())
    unit = job["unit"]
    kerf, trim = (nanometers(job["saw"][key], unit) for key in ("kerf", "end-trim"))
    pieces = list(csv.DictReader((folder / "pieces.csv").open()))
    if any(piece["ends"] == "miter" for piece in pieces):
        # kerf * sqrt(2), rounded up to the nanometer.
        root = isqrt(2 * kerf * kerf)
        kerf = root if root * root == 2 * kerf * kerf else root + 1
    widths = sorted({piece["width"] for piece in pieces})
    items = [Counter() for _ in widths]
    for piece in pieces:
        size = nanometers(piece["length"], unit) + kerf
        items[widths.index(piece["width"])][size] += int(piece["quantity"])
    boards = list(csv.DictReader((folder / "boards.csv").open()))
    priced = any(board["price"] for board in boards)
    kinds, ways = [], []
    for kind, board in enumerate(boards):
        length = nanometers(board["length"], unit)
        supply = int(board["quantity"]) if board["quantity"] else None
        kinds.append((cost_of(board, unit) if priced else length, supply))
        capacity = length - 2 * trim + kerf
        if "rip" not in job:
            ways += [Way(kind, Counter([(at, capacity)])) for at in range(len(widths))]
            continue
        rip = {key: nanometers(value, unit) for key, value in job["rip"].items()}
        # A board as wide as a piece would be one strip of it, unripped; no class has such boards.
        assert board["width"] not in widths
        taken = [nanometers(width, unit) + rip["planing"] + rip["kerf"] for width in widths]
        room = nanometers(board["width"], unit) - rip["straightening"] + rip["kerf"]
        ways += [Way(kind, Counter((at, capacity) for at in rip)) for rip in rips(taken, room)]
    scale = gcd(*(size for sizes in items for size in sizes),
                *(capacity for way in ways for _, capacity in way.strips))
    cost_scale = gcd(*(cost for cost, _ in kinds)) or 1
    for way in ways:
        way.strips = Counter({(at, capacity // scale): n for (at, capacity), n in way.strips.items()})
    return Job(
        [sorted(((size // scale, demand) for size, demand in sizes.items()), reverse=True) for sizes in items],
        [(cost // cost_scale, supply) for cost, supply in kinds], ways, cost_scale)


def longpoint(program, folder, limit):
    """Whole process."""
    start = time.perf_counter()
    run = subprocess.run(
        [program, "plan", folder / "job.toml", "--format", "json", "--time", str(limit)],
        capture_output=True, check=False)
    seconds = time.perf_counter() - start
    summary = json.loads(run.stdout)["summary"]
    return summary["value"], summary["lower_bound"], seconds


def first_fit(items, capacity):
    """How many strips of one capacity a plan might use at the most, from first fit decreasing on them alone."""
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
    return len(rests)


def cp_sat_assignment(job, limit, threads):
    """x[i, b] pieces of item i in bin b, a strip; for ripped boards, n[w] boards divided in way w."""
    start = time.perf_counter()
    model = cp_model.CpModel()
    strips = sorted({strip for way in job.ways for strip in way.strips})
    most = {}
    for at, capacity in strips:
        n_pieces = first_fit(job.items[at], capacity)
        supplies = [job.kinds[way.kind][1] for way in job.ways if (at, capacity) in way.strips]
        if not job.is_ripped and None not in supplies:
            n_pieces = min(n_pieces, sum(supplies))
        most[at, capacity] = n_pieces
    if sum(count * len(job.items[at]) for (at, _), count in most.items()) > 2_000_000:
        return None, None, 0.0
    rows = [[[] for _ in items] for items in job.items]
    used = {}
    for (at, capacity), count in most.items():
        used[at, capacity] = [model.new_bool_var("") for _ in range(count)]
        for b, is_used in enumerate(used[at, capacity]):
            load = []
            for i, (size, demand) in enumerate(job.items[at]):
                if size <= capacity:
                    x = model.new_int_var(0, min(demand, capacity // size), "")
                    rows[at][i].append(x)
                    load.append(size * x)
            model.add(sum(load) <= capacity * is_used)
            if b:
                model.add(used[at, capacity][b - 1] >= is_used)
    for items, of_width in zip(job.items, rows):
        for row, (_, demand) in zip(of_width, items):
            model.add(sum(row) >= demand)
    # No plan has more boards than strips.
    total = sum(most.values())
    numbers = [model.new_int_var(0, total, "") for _ in job.ways]
    for strip, bins in used.items():
        model.add(sum(way.strips[strip] * n for way, n in zip(job.ways, numbers)) >= sum(bins))
    for kind, (_, supply) in enumerate(job.kinds):
        if supply is not None:
            model.add(sum(n for way, n in zip(job.ways, numbers) if way.kind == kind) <= supply)
    model.minimize(sum(job.kinds[way.kind][0] * n for way, n in zip(job.ways, numbers)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = threads
    solver.parameters.max_time_in_seconds = max(0.01, limit - (time.perf_counter() - start))
    status = solver.solve(model)
    seconds = time.perf_counter() - start
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return (round(solver.objective_value) if found else None), round(solver.best_objective_bound), seconds


def arcs_of(items, longest, most_arcs, until):
    """Arcs (tail, head, item) of one width and the positions they reach; `None` where there are too many."""
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
            if len(arcs) > most_arcs or time.perf_counter() > until:
                return None
        reached = reached | {head for _, head, _ in arcs[-len(seen):]} if seen else reached
    return arcs, reached


def highs_arc_flow(job, limit, threads, most_arcs=1_500_000):
    """For each width a flow from 0 to the ends of the strips that the boards give, over arcs of items and of waste."""
    start = time.perf_counter()
    highs = highspy.Highs()
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("threads", threads)
    infinity = highspy.kHighsInf
    # Columns: arcs and waste of each width, then the ways. Rows: for each width its nodes but the first (flow) and its
    # items (demand), then the supplies.
    entries, upper, row_lower, row_upper = [], [], [], []
    ends = {}
    for at, items in enumerate(job.items):
        capacities = {capacity for way in job.ways for width, capacity in way.strips if width == at}
        graph = arcs_of(items, max(capacities), most_arcs - len(entries), start + limit)
        if graph is None:
            return None, None, time.perf_counter() - start
        arcs, reached = graph
        nodes = sorted(reached | capacities)
        first = len(row_lower)
        # The row of a node's flow; position 0, where all flow begins, has none.
        row_of = {position: first + n - 1 for n, position in enumerate(nodes)}
        ends |= {(at, capacity): row_of[capacity] for capacity in capacities}
        row_lower += [0.0] * (len(nodes) - 1) + [float(demand) for _, demand in items]
        row_upper += [0.0] * (len(nodes) - 1) + [infinity] * len(items)
        for tail, head, i in arcs:
            column = [(row_of[head], 1), (first + len(nodes) - 1 + i, 1)]
            entries.append([(row_of[tail], -1)] + column if tail else column)
            upper.append(float(items[i][1]))
        for tail, head in zip(nodes, nodes[1:]):
            entries.append([(row_of[tail], -1), (row_of[head], 1)] if tail else [(row_of[head], 1)])
            upper.append(infinity)
    costs = [0.0] * len(entries)
    supply_row = {}
    for kind, (_, supply) in enumerate(job.kinds):
        if supply is not None:
            supply_row[kind] = len(row_lower)
            row_lower.append(0.0)
            row_upper.append(float(supply))
    for way in job.ways:
        column = [(ends[strip], -n) for strip, n in way.strips.items()]
        if way.kind in supply_row:
            column.append((supply_row[way.kind], 1))
        entries.append(column)
        upper.append(infinity)
        costs.append(float(job.kinds[way.kind][0]))
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(entries), len(row_lower)
    lp.col_cost_, lp.col_lower_, lp.col_upper_ = costs, [0.0] * len(entries), upper
    lp.row_lower_, lp.row_upper_ = row_lower, row_upper
    starts, index, value = [0], [], []
    for column in entries:
        for row, coefficient in column:
            index.append(row)
            value.append(float(coefficient))
        starts.append(len(index))
    lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    lp.a_matrix_.start_, lp.a_matrix_.index_, lp.a_matrix_.value_ = starts, index, value
    lp.integrality_ = [highspy.HighsVarType.kInteger] * len(entries)
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


def within(limit, solve, *args):
    """What `solve` answers in a process of its own, which is ended after one and a half times the limit."""
    context = multiprocessing.get_context("fork")
    answers = context.SimpleQueue()
    child = context.Process(target=lambda: answers.put(solve(*args)))
    start = time.perf_counter()
    child.start()
    child.join(1.5 * limit)
    if child.is_alive():
        child.kill()
        child.join()
        return None, None, time.perf_counter() - start
    return answers.get()


def main():
    """Runs all and prints a table in Markdown."""
    parser = argparse.ArgumentParser()
    parser.add_argument("program")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--limit", type=float, default=60.0)
    parser.add_argument("--threads", type=int, default=2)
    args = parser.parse_args()
    print("| job | longpoint | s | CP-SAT | s | ratio | HiGHS | s | ratio |")
    print("|---|--:|--:|--:|--:|--:|--:|--:|--:|")
    totals = {}
    for job in sorted(args.folder.glob("*/*/job.toml")):
        folder = job.parent
        problem = read_job(folder)
        answers = [
            longpoint(args.program, folder, args.limit),
            within(args.limit, cp_sat_assignment, problem, args.limit, args.threads),
            within(args.limit, highs_arc_flow, problem, args.limit, args.threads),
        ]
        cells = []
        kind = totals.setdefault(folder.parent.name, [0, 0, 0, 0])
        kind[3] += 1
        for who, (value, bound, seconds) in enumerate(answers):
            scale = 1 if who == 0 else problem.cost_scale
            proved = value is not None and value == bound
            kind[who] += proved
            shown = "none" if value is None else f"{value * scale}"
            cells.append(f"{shown}{'' if proved else ' open'} | {seconds:.3f}")
            if who:
                ratio = seconds / answers[0][2]
                cells.append(f"{ratio:.{0 if ratio >= 10 else 1}f}")
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
