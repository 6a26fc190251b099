"""Whether the certificate of a plan file proves its bound.

Written from `src/planfile/format.md`. What a table of prices proves, with its scale `D`, the claim's unit `U`, demands
`d_i`, part prices `p_i` and case prices `q_j`:

    bound >= (U (sum d_i p_i + sum over "at least" q_j k_j - sum over "at most" q_j k_j) - E) / D

For: a plan that cuts all parts takes `x_s` boards of kind `s`, and no board of it is worth more than `V_s`, so
`sum d_i p_i <= sum x_s V_s`. `U V_s <= N_s + e_s`, and `sum x_s N_s` is `D` times the plan's value and `U` times the
prices of its conditions. What is left, `sum x_s e_s`, is `E` at most if the plan's value is below the bound claimed.
All of it is whole numbers of any size; what does not fit 128 bits is refused, as the description says.
"""

from collections import Counter
from fractions import Fraction
from functools import cache
from itertools import combinations, product
from math import gcd
from typing import NamedTuple

from job import Section, ceil_div
from plan import Fault, keys, need, part_of, whole, widest_kerf


class Class(NamedTuple):
    """What makes parts alike; a row is one part, and alike to rows whose rails are alike one by one."""
    section: Section
    kerf: int
    saving: int
    length: int
    board: str | None  # the only line that it may come from
    rails: tuple  # of a row
    spare: bool  # left uncut


class Classes:
    """The classes of all parts of a job, with their demands, and what each board can hold."""

    def __init__(self, job):
        self.job, self.demand, self.of = job, Counter(), {}
        rows = {}
        for part in job.parts:
            rows.setdefault((part.owner, part.copy, part.row) if part.row else part.key(), []).append(part)
        for parts in rows.values():
            parts.sort(key=lambda part: part.row.index(part.side) if part.row else 0)
            lengths = tuple(part.length for part in parts)
            part = parts[0]
            kind = Class(part.section, part.kerf, 0 if part.row else part.overlap,
                         sum(lengths) + (len(parts) - 1) * part.kerf, part.board,
                         lengths if part.row else (), part.purpose == "spare_offcut")
            self.demand[kind] += 1
            self.of |= {part.key(): kind for part in parts}

    @cache
    def portions(self, line):
        """What can be cut from one board of the line together: lists of classes, one for each portion."""
        found = {}
        for kind in self.demand:
            section = kind.section
            if (kind.board in (None, line.name) and self.job.suits(section, line)
                    and self.longest(line, section) >= kind.length):
                whole_board = self.job.ripped(section, line) is None
                found.setdefault(section if whole_board else "ripped", set()).add(kind)
        return found

    @cache
    def longest(self, line, section):
        return self.job.longest_run(section, line, widest_kerf(self.job, section))


@cache
def kinds_of_run(usable, classes):
    """The kinds of a clear run: capacity and classes for every `K*` and `T`."""
    fitting = [c for c in classes if c.length <= usable]
    found = set()
    for least in {c.kerf for c in fitting}:
        pairs = sorted({(c.kerf, c.saving) for c in fitting if c.saving and c.kerf >= least})
        for size in range(len(pairs) + 1):
            for chosen in combinations(pairs, size):
                on_it = frozenset(c for c in fitting
                                  if c.kerf >= least and (not c.saving or (c.kerf, c.saving) in chosen))
                if on_it:
                    found.add((usable + least - sum(saving for _, saving in chosen), on_it))
    return found


def within(way, wider):
    """Whether each run of a way has one of its own in another way, of the same section and at least as long."""
    left = sorted(wider, key=lambda run: run[1])
    for section, long in sorted(way, key=lambda run: -run[1]):
        place = next((i for i in reversed(range(len(left))) if left[i][0] == section and left[i][1] >= long), None)
        if place is None:
            return False
        del left[place]
    return True


def knapsack(room, items):
    """The most that items of (size, worth, count) within a room are worth."""
    items = sorted((i for i in items if i[0] <= room and i[1]), key=lambda i: Fraction(-i[1], i[0]))
    best = 0

    def fill(place, room, worth):
        nonlocal best
        best = max(best, worth)
        while place < len(items) and items[place][0] > room:
            place += 1
        if place == len(items):
            return
        bound, left = worth, room  # the linear bound, from the densest on
        for size, each, count in items[place:]:
            if size * count >= left:
                bound += ceil_div(left * each, size)
                break
            bound, left = bound + each * count, left - size * count
        if bound <= best:
            return
        size, each, count = items[place]
        for n in range(min(count, room // size), -1, -1):
            fill(place + 1, room - n * size, worth + n * each)

    fill(0, room, 0)
    return best


class Prices:
    """Prices of parts, and what kinds of strip are worth at them."""

    def __init__(self, price, demand):
        self.price, self.demand, self.known = price, demand, {}

    def of_kind(self, kind):
        """What a strip of the kind holds at the most."""
        if kind not in self.known:
            room, classes = kind
            self.known[kind] = knapsack(
                room, [(c.length + c.kerf - c.saving, self.price[c], self.demand[c]) for c in classes])
        return self.known[kind]


class Claim:
    """One claim of the certificate: its classes and kinds of board, looked up in the job."""

    def __init__(self, classes, by_key, found):
        keys("claim", found)
        job = self.job = classes.job
        self.all, self.found = classes, found
        self.bound, self.unit = whole(found["bound"], 0), whole(found["unit"], 1)
        self.classes = [classes.of[part_of(by_key, part).key()] for part in found["parts"]]
        need(len(set(self.classes)) == len(self.classes), "a class stands twice in a claim")
        self.demand = classes.demand
        lines = {board.name: board for board in job.boards}
        self.kinds = []
        for kind in found["boards"]:
            need(set(kind) == {"name", "parts"} and kind["name"] in lines, "a kind of no board")
            line = lines[kind["name"]]
            chosen = frozenset(self.classes[self.index(i, self.classes)] for i in kind["parts"])
            held = {name: chosen & held for name, held in classes.portions(line).items() if chosen & held}
            self.kinds.append((line, held, chosen))
        self.costs = [job.cost(line) for line, _, _ in self.kinds]
        strips = []
        for strip in found["strips"]:
            need(set(strip) == {"parts", "capacity_nm"}, "keys of a kind of strip")
            strips.append((whole(strip["capacity_nm"]), frozenset(self.classes[self.index(i, self.classes)]
                                                                  for i in strip["parts"])))
        self.rips = []
        for rip in found["rips"]:
            need(set(rip) == {"board", "strips"}, "keys of a way to rip")
            way = tuple(sorted((strips[self.index(i, strips)] for i in rip["strips"]), key=self.order))
            self.rips.append((self.index(rip["board"], self.kinds), way))

    @staticmethod
    def index(place, of):
        need(type(place) is int and 0 <= place < len(of), "a position out of range")
        return place

    def covers(self):
        """Every line's every portion has a kind with all that it holds of this claim, or one that can stand in."""
        mine = set(self.classes)
        for line in self.job.boards:
            if line.supply == 0:
                continue
            for portion, held in self.all.portions(line).items():
                need(held <= mine or not held & mine, f"{line.name} serves a claim and something else")
                if held & mine:
                    need(any(self.stands_for(kind, line, portion, held) for kind in self.kinds),
                         f"a claim leaves out {line.name}")

    def stands_for(self, kind, line, portion, held):
        other, portions, chosen = kind
        if not held <= chosen:
            return False
        if other is line:
            return True
        enough = other.supply is None or other.supply >= sum(self.demand[k] for k in chosen)
        if not enough or self.job.cost(other) > self.job.cost(line):
            return False
        better = [way for name, its in portions.items() for way in self.long_runs(other, name, frozenset(held & its))]
        return all(any(within(way, wider) for wider in better)
                   for way in self.long_runs(line, portion, frozenset(held)))

    def long_runs(self, line, portion, chosen):
        """All ways to divide a board, each as those of its clear runs that hold something: (section, length)."""
        least = {section: min(c.length for c in chosen if c.section == section) for section, *_ in chosen}
        return [[(section, run) for section, runs in strips for run in runs if run >= least[section]]
                for strips in self.divisions(line, portion, chosen)]

    @cache
    def divisions(self, line, portion, chosen):
        """All ways to divide a board into strips for classes, each strip as its section and its clear runs."""
        job = self.job

        def strip(section, near):
            far = None if near is None else near + job.ripped(section, line)
            taken = job.stretches(line, near, far, widest_kerf(job, section))
            return section, tuple(b - a for a, b in job.clear(line, taken))

        if portion != "ripped":
            return {(strip(portion, None),)}
        depths = {depth for _, _, across, depth in line.defects if across == "left"}

        @cache
        def beside(x):
            found = {()}
            for section in {c.section for c in chosen}:
                wide = job.ripped(section, line)
                for near in {x} | {depth for depth in depths if depth > x}:
                    if near + wide <= line.width - job.rip["straightening"]:
                        found |= {tuple(sorted((strip(section, near), *rest), key=str))
                                  for rest in beside(near + wide + job.rip["kerf"])}
            return found

        return beside(0)

    @cache
    def strips_of(self, place):
        """All ways to divide a board of a kind, each as the kinds of its clear runs that hold something."""
        line, portions, _ = self.kinds[place]
        found = []
        for portion, chosen in portions.items():
            for strips in self.divisions(line, portion, chosen):
                kinds = (kinds_of_run(run, frozenset(c for c in chosen if c.section == section))
                         for section, runs in strips for run in runs)
                found.append([kinds_of_one for kinds_of_one in kinds if kinds_of_one])
        return found

    def worth_of(self, place, prices):
        """The most that a board of the kind is worth."""
        worth = (sum(max(map(prices.of_kind, kinds)) for kinds in runs) for runs in self.strips_of(place))
        return max(worth, default=0)

    @cache
    def ways(self, place):
        """All ways to rip a board of a kind: each a sorted list of kinds of strip, none of them within another."""
        found = {tuple(sorted(pick, key=self.order)) for runs in self.strips_of(place) for pick in product(*runs)}
        counted = {way: Counter(way) for way in found}
        return [way for way in found if not any(counted[way] < other for other in counted.values())]

    def order(self, kind):
        """Any order of kinds of strip that is always the same."""
        return kind[0], sorted(self.classes.index(c) for c in kind[1])

    def excess(self, place, conditions, cases, scale, prices):
        """`e_s` of a kind."""
        if self.kinds[place][0].supply == 0 or any(c[0] == "most" and c[1] == 0 and place in c[2] for c in conditions):
            return 0

        def over(counts, worth):
            counting = [(c, q) for c, q in zip(conditions, cases) if counts(c)]
            net = scale * self.costs[place] + self.unit * sum(q if c[0] == "most" else -q for c, q in counting)
            fits(net, self.unit * worth)
            return max(0, self.unit * worth - net)

        if not any(self.rips[rip][0] == place for c in conditions for rip in c[3]):
            return over(lambda c: place in c[2], self.worth_of(place, prices))
        return max(over(lambda c, way=way: place in c[2] or any(self.rips[rip] == (place, way) for rip in c[3]),
                        sum(map(prices.of_kind, way))) for way in self.ways(place) or [()])

    def check(self):
        """Every table of the tree proves at least the bound."""
        self.covers()
        proof = self.found["proof"]
        need(proof, "a claim without a proof")
        way = {0: ()}
        for place, node in enumerate(proof):
            need(place in way, "a node that is no case of another")
            conditions = way[place]
            if set(node) == {"scale", "part_prices", "case_prices"}:
                self.table(node, conditions)
                continue
            need(set(node) == {"boards", "rips", "at_most", "under", "over"}, "keys of a node")
            counted = frozenset(self.index(i, self.kinds) for i in node["boards"])
            ripped = frozenset(self.index(i, self.rips) for i in node["rips"])
            most = whole(node["at_most"], 0)
            for case, condition in (("under", ("most", most, counted, ripped)),
                                    ("over", ("least", most + 1, counted, ripped))):
                need(place < whole(node[case]) < len(proof) and node[case] not in way, "cases of a node")
                way[node[case]] = (*conditions, condition)

    def table(self, node, conditions):
        scale, unit = whole(node["scale"], 1), self.unit
        need(max(scale, *node["part_prices"], *node["case_prices"]) <= 2**40, "a price out of range")
        price = dict(zip(self.classes, (whole(p, 0) for p in node["part_prices"])))
        cases = [whole(q, 0) for q in node["case_prices"]]
        need(len(node["part_prices"]) == len(self.classes) and len(cases) == len(conditions), "number of prices")
        prices = Prices(price, self.demand)
        excess = [self.excess(place, conditions, cases, scale, prices) for place in range(len(self.kinds))]
        most = self.most_excess(excess, conditions)
        total = sum(self.demand[k] * price[k] for k in self.classes)
        total += sum(q * c[1] * (1 if c[0] == "least" else -1) for c, q in zip(conditions, cases))
        step = gcd(*self.costs) or 1
        fits(unit * total, most)
        proved = ceil_div(unit * total - most, scale * step) * step
        need(proved >= self.bound, f"a table proves {proved}, not {self.bound}")

    def most_excess(self, excess, conditions):
        """`E`: kinds in groups (alike in cost and in the conditions "at most"), groups within all of one cost; each
        has a limit of its own, so taking the greatest excess first is best."""
        by_cost, by_group, group_of = {}, {}, []
        for place, (line, _, chosen) in enumerate(self.kinds):
            cost = self.costs[place]
            limits = frozenset(j for j, c in enumerate(conditions) if c[0] == "most" and place in c[2])
            group_of.append((cost, limits))
            by_cost[cost] = (self.bound - 1) // cost if cost else None
            by_group[(cost, limits)] = by_group.get((cost, limits), frozenset()) | chosen
        room = {(cost, limits): min([self.parts_of(parts), *(conditions[j][1] for j in limits)])
                for (cost, limits), parts in by_group.items()}
        total = 0
        for place in sorted(range(len(excess)), key=lambda i: -excess[i]):
            line, _, chosen = self.kinds[place]
            cost, group = self.costs[place], group_of[place]
            limits = [self.parts_of(chosen), room[group], line.supply, by_cost[cost]]
            count = max(0, min(limit for limit in limits if limit is not None))
            room[group] -= count
            if by_cost[cost] is not None:
                by_cost[cost] -= count
            total += count * excess[place]
        return total

    def parts_of(self, classes):
        return sum(self.demand[kind] for kind in classes)


def fits(*numbers):
    need(all(-2**127 <= number < 2**127 for number in numbers), "a sum that does not fit 128 bits")


def check(job, file):
    """The bound that the certificate proves of plans that leave nothing missing."""
    need(set(file["certificate"]) == {"claims"}, "keys of a certificate")
    classes = Classes(job)
    by_key = {part.key(): part for part in job.parts}
    bound, used = 0, set()
    for found in file["certificate"]["claims"]:
        claim = Claim(classes, by_key, found)
        need(not used & set(claim.classes), "a class in two claims")
        used |= set(claim.classes)
        claim.check()
        bound += claim.bound
    return bound


def verdict(job, file, value, missing):
    """What the file says of its bound must be what is proved, and "proved best" only where the bound is met."""
    told = file["summary"]
    proved = check(job, file)
    bound = 0 if missing else proved  # the claims are of plans that cut all parts
    need(told["lower_bound"] == bound, f"{told['lower_bound']} is claimed, {bound} proved")
    best = told["missing_lower_bound"] == missing and bound == value
    need(told["proved_optimal"] is best, "proved best, or not")
    need((file["not_verified"]["ended"] == "proved") == best, "why the search ended")
