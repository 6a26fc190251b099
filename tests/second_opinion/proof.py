"""Whether the certificate of a plan file proves its bound.

Written from `src/planfile/format.md`. What a table of prices proves, with its scale `D`, the claim's unit `U`, demands
`d_i`, part prices `p_i` and case prices `q_j`:

    bound >= (U (sum d_i p_i + sum over "at least" q_j k_j - sum over "at most" q_j k_j) - E) / D

For: a plan that cuts all parts takes `x_s` boards of kind `s`, and no board of it is worth more than `V_s`, so
`sum d_i p_i <= sum x_s V_s`. `U V_s <= N_s + e_s`, and `sum x_s N_s` is `D` times the plan's value and `U` times the
prices of its conditions. What is left, `sum x_s e_s`, is `E` at the most, if the plan's value is below the bound claimed.
All of it is whole numbers of any size; where the program would leave 128 bits, so much is refused here too.
"""

from collections import Counter
from functools import cache
from itertools import combinations
from math import gcd

from job import ceil_div
from plan import Fault, keys, need, part_of, whole, widest_kerf


class Classes:
    """The classes of all parts of a job, with their demands, and what each board can hold."""

    def __init__(self, job):
        self.job, self.demand, self.of = job, Counter(), {}
        rows = {}
        for part in job.parts:
            if part.row:
                rows.setdefault((part.owner, part.copy, part.row), []).append(part)
            else:
                self.add([part], (part.section, part.kerf, part.overlap, part.length, part.board))
        for rails in rows.values():
            first = rails[0]
            long = sum(rail.length for rail in rails) + (len(rails) - 1) * first.kerf
            self.add(rails, (first.section, first.kerf, 0, long, first.board))

    def add(self, parts, kind):
        self.demand[kind] += 1
        for part in parts:
            self.of[part.key()] = kind

    @cache
    def portions(self, line):
        """What can be cut from one board of the line together: lists of classes, one for each portion."""
        found = {}
        for kind in self.demand:
            section, _, _, long, only = kind
            if only in (None, line.name) and self.job.suits(section, line) and self.longest(line, section) >= long:
                whole_board = self.job.ripped(section, line) is None
                found.setdefault(section if whole_board else "ripped", set()).add(kind)
        return found

    @cache
    def longest(self, line, section):
        from job import longest_run
        return longest_run(self.job, section, line, widest_kerf(self.job, section))


def worth_of_run(usable, classes, demand, price):
    """The most that a clear run holds: the best over all `K*` and `T`."""
    best = 0
    fitting = [kind for kind in classes if kind[3] <= usable and price[kind] > 0]
    for least in sorted({kind[1] for kind in classes}):
        pairs = sorted({(kind[1], kind[2]) for kind in fitting if kind[2] and kind[1] >= least})
        for size in range(len(pairs) + 1):
            for chosen in combinations(pairs, size):
                room = usable + least - sum(saving for _, saving in chosen)
                items = [(kind[3] + kind[1] - kind[2], price[kind], demand[kind]) for kind in fitting
                         if kind[1] >= least and (not kind[2] or (kind[1], kind[2]) in chosen)]
                best = knapsack(room, items, best)
    return best


def knapsack(room, items, best):
    """The most that items of (size, worth, count) within a room are worth, or `best` if that is more."""
    items = sorted((i for i in items if i[0] <= room), key=lambda i: (-i[1] / i[0], i))  # the order decides no result

    def fill(place, room, worth):
        nonlocal best
        best = max(best, worth)
        while place < len(items) and items[place][0] > room:
            place += 1
        if place == len(items):
            return
        bound, left = worth, room  # the linear bound, from the densest on; for the order above it is one if exact
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
            need(chosen and chosen == frozenset().union(*held.values()), f"{line.name} cannot hold all that is said")
            self.kinds.append((line, held, chosen))
        self.costs = [job.cost(line) for line, _, _ in self.kinds]
        need(not found["rips"], "RIPS")
        self.worth = {}

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
        return (enough and self.job.cost(other) <= self.job.cost(line)
                and any(held <= its and (name == "ripped") == (portion == "ripped") for name, its in portions.items())
                and other.length >= line.length and (not other.defects or other.defects == line.defects
                                                     and (other.length, other.width) == (line.length, line.width))
                and (portion != "ripped" or other.width >= line.width))

    def worth_of(self, kind, price, memo):
        """The most that a board of the kind is worth: what its best portion is."""
        line, portions, _ = kind
        return max(self.worth_of_portion(line, *portion, price, memo) for portion in portions.items())

    def worth_of_portion(self, line, portion, chosen, price, memo):
        by_section = {}
        for item in chosen:
            by_section.setdefault(item[0], []).append(item)

        def strip(section, near, far):
            taken = self.job.stretches(line, near, far, widest_kerf(self.job, section))
            total = 0
            for a, b in self.job.clear(line, taken):
                at = (section, b - a, chosen)
                if at not in memo:
                    memo[at] = worth_of_run(b - a, by_section[section], self.demand, price)
                total += memo[at]
            return total

        if portion != "ripped":
            return strip(portion, None, None)
        inside = line.width - self.job.rip["straightening"]
        depths = sorted({d[3] for d in line.defects if d[2] == "left"})

        @cache
        def beside(x):
            best = 0
            for section in by_section:
                wide = self.job.ripped(section, line)
                for near in [x] + [d for d in depths if d > x]:
                    if near + wide <= inside:
                        best = max(best, strip(section, near, near + wide)
                                   + beside(near + wide + self.job.rip["kerf"]))
            return best

        return beside(0)

    def check(self):
        """Every table of the tree proves at least the bound."""
        self.covers()
        proof = self.found["proof"]
        need(proof, "a claim without a proof")
        way, seen = {0: ()}, set()
        tables = 0
        for place, node in enumerate(proof):
            need(place in way, "a node that is no case of another")
            conditions = way[place]
            if set(node) == {"scale", "part_prices", "case_prices"}:
                self.table(node, conditions)
                tables += 1
                continue
            need(set(node) == {"boards", "rips", "at_most", "under", "over"}, "keys of a node")
            counted = frozenset(self.index(i, self.kinds) for i in node["boards"])
            need(not node["rips"], "RIPS")
            most = whole(node["at_most"], 0)
            for case, condition in (("under", ("most", most, counted)), ("over", ("least", most + 1, counted))):
                need(place < whole(node[case]) < len(proof) and node[case] not in way, "cases of a node")
                way[node[case]] = (*conditions, condition)
        return tables

    def table(self, node, conditions):
        scale, unit = whole(node["scale"], 1), self.unit
        price = dict(zip(self.classes, (whole(p, 0) for p in node["part_prices"])))
        cases = [whole(q, 0) for q in node["case_prices"]]
        need(len(node["part_prices"]) == len(self.classes) and len(cases) == len(conditions), "number of prices")
        memo, excess = {}, []
        for place, kind in enumerate(self.kinds):
            counting = [(c, q) for c, q in zip(conditions, cases) if place in c[2]]
            net = scale * self.costs[place] + unit * sum(q if c[0] == "most" else -q for c, q in counting)
            none = kind[0].supply == 0 or any(c[0] == "most" and c[1] == 0 for c, _ in counting)
            over = 0 if none else max(0, unit * self.worth_of(kind, price, memo) - net)
            fits(over, net)
            excess.append(over)
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
            parts, least = by_group.get((cost, limits), (frozenset(), None))
            least = min((conditions[j][1] for j in limits), default=None)
            by_group[(cost, limits)] = (parts | chosen, least)
        room = {group: min([self.parts_of(parts)] + [least] * (least is not None))
                for group, (parts, least) in by_group.items()}
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
    bound = check(job, file)
    need(told["lower_bound"] == bound, f"{told['lower_bound']} is claimed, {bound} proved")
    best = told["missing_lower_bound"] == missing and bound == value
    need(told["proved_optimal"] is best, "proved best, or not")
    need((file["not_verified"]["ended"] == "proved") == best, "why the search ended")
