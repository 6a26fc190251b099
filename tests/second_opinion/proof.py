"""Whether the certificate of a plan file proves its bounds.

Written from `src/planfile/format.md`. What a table of prices proves, with its scale `D`, the claim's unit `U`, demands
`d_i`, part prices `p_i` and case prices `q_j`:

    bound >= (U (sum d_i p_i + sum over "at least" q_j k_j - sum over "at most" q_j k_j) - E - A) / D

For: a plan takes `x_s` boards of kind `s`, and no board of it is worth more than `V_s`; so `sum d_i p_i` is
`sum x_s V_s` at most, and what the missing parts are worth. `U V_s <= N_s + e_s`, and `sum x_s N_s` is `D` times the
plan's value and `U` times the prices of its conditions. What is left, `sum x_s e_s`, is `E` at most if the plan's value
is below the bound claimed; and what the missing parts are worth more than they cost is `A` at most.
All of it is whole numbers of any size; what does not fit 128 bits is refused, as the description says.
"""

from collections import Counter
from fractions import Fraction
from functools import cache
from itertools import chain, product
from math import gcd
from typing import NamedTuple

from hold import Classes, Run, uncut, uses_of_strip, within
from job import ceil_div
from plan import keys, need, part_of, whole


def knapsack(room, items, apart):
    """The most that items within a room are worth, without any two that lie apart; each item is its size, what one is
    worth, their number and its position."""
    items = sorted((i for i in items if i[0] <= room and i[1] and i[2]), key=lambda i: Fraction(-i[1], i[0]))
    best = 0

    def fill(place, room, worth, taken):
        nonlocal best
        best = max(best, worth)
        while place < len(items) and (items[place][0] > room
                                      or any(frozenset({items[place][3], other}) in apart for other in taken)):
            place += 1
        if place == len(items):
            return
        bound, left = worth, room  # the linear bound, from the densest on
        for size, each, count, _ in items[place:]:
            if size * count >= left:
                bound += ceil_div(left * each, size)
                break
            bound, left = bound + each * count, left - size * count
        if bound <= best:
            return
        size, each, count, item = items[place]
        count = 1 if frozenset({item}) in apart else min(count, room // size)
        for n in range(count, -1, -1):
            fill(place + 1, room - n * size, worth + n * each, (*taken, item) if n and apart else taken)

    fill(0, room, 0, ())
    return best


class Condition(NamedTuple):
    """How many boards the plans of a case use: `number` at most or at least."""
    at_most: bool
    number: int
    kinds: frozenset  # that count
    rips: frozenset
    missing: bool  # whether missing parts count


class Way(NamedTuple):
    """What holds on the way to a node: conditions on boards, and pairs that lie apart or are glued."""
    conditions: tuple
    demand: tuple  # left, of each class and each glued pair
    made_of: tuple  # the classes that each of these consists of
    apart: frozenset = frozenset()  # of sets of two positions, or of one
    glued: tuple = ()  # of the two positions of each glued pair

    def lies_apart(self, position):
        return {other for pair in self.apart if position in pair for other in pair - {position} or {position}}

    def with_apart(self, pair):
        return self._replace(apart=self.apart | {frozenset(pair)})

    def together(self, pair):
        demand, alike = list(self.demand), frozenset(pair)
        for position in pair:
            demand[position] -= 1
            need(demand[position] >= 0, "more are glued than there are")
        classes = len(demand) - len(self.glued)
        last = max((classes + i for i, other in enumerate(self.glued) if other == alike), default=None)
        if last is not None and not any(map(self.lies_apart, (last, *pair))):
            demand[last] += 1
            return self._replace(demand=tuple(demand))
        others = self.lies_apart(pair[0]) | self.lies_apart(pair[1])
        return self._replace(demand=(*demand, 1), glued=(*self.glued, alike),
                             made_of=(*self.made_of, self.made_of[pair[0]] + self.made_of[pair[1]]),
                             apart=self.apart | {frozenset({len(demand), other}) for other in others})


class Prices:
    """A table's prices of parts, and what kinds of strip are worth at them."""

    def __init__(self, way, prices):
        self.apart, self.known = way.apart, {}
        self.items = [(sum(c.length + c.kerf - c.saving for c in made_of), price, demand, place, set(made_of))
                      for place, (made_of, price, demand) in enumerate(zip(way.made_of, prices, way.demand))]

    def of_kind(self, kind):
        """What a strip of the kind holds at the most."""
        if kind not in self.known:
            room, classes = kind
            self.known[kind] = knapsack(room, [item[:4] for item in self.items if item[4] <= classes], self.apart)
        return self.known[kind]


class Claim:
    """One claim of the certificate: its classes and kinds of board, looked up in the job."""

    def __init__(self, classes, by_key, found):
        keys("claim", found)
        job = self.job = classes.job
        self.all, self.found = classes, found
        self.missing, self.bound, self.unit = (whole(found[key], low) for key, low in
                                               (("missing", 0), ("bound", 0), ("unit", 1)))
        self.classes = [classes.of[part_of(by_key, part).key()] for part in found["parts"]]
        need(len(set(self.classes)) == len(self.classes), "a class stands twice in a claim")
        self.demand = classes.demand
        rails = [max(1, len(c.rails)) for c in self.classes]
        self.weight = gcd(*rails) or 1
        self.weights = [many // self.weight for many in rails]
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
        for line in self.job.boards:
            for portion, held in self.all.portions(line).items():
                held = held & set(self.classes)
                if held and line.supply != 0:
                    need(any(self.stands_for(kind, line, portion, held) for kind in self.kinds),
                         f"a claim leaves out {line.name}")

    def stands_for(self, kind, line, portion, held):
        other, portions, chosen = kind
        if other is line:
            return held <= chosen
        if not held <= frozenset().union(*portions.values()):
            return False
        enough = other.supply is None or other.supply >= sum(self.demand[k] for k in chosen)
        if not enough or self.job.cost(other) > self.job.cost(line) or (
                self.all.kept(line, held)):
            return False
        better = [way for name, its in portions.items() if held & its
                  for way in self.long_runs(other, name, held & its, line)]
        needed = self.long_runs(line, portion, held, line)
        if any(len(way) > 1 for way in needed):
            if other.defects or other.partings or line.partings:
                return False
            whole_strip = Run(line.length - 2 * self.job.trim, False)
            needed = [[(section, whole_strip) for section, _ in strips]
                      for strips in self.all.divisions(line, portion, frozenset(c.section for c in held))]
        return all(any(within(way, wider) for wider in better) for way in needed)

    def long_runs(self, line, portion, held, asking):
        """All ways to divide a board, each as those of its clear runs that hold something: (section, run)."""
        least = {section: min(c.room(asking) for c in held if c.section == section) for section, *_ in held}
        leaves = {c.section for c in held if c.spare}
        return [[(section, run._replace(open=run.open and section in leaves))
                 for section, runs in strips for run in runs if run.length >= least[section]]
                for strips in self.all.divisions(line, portion, frozenset(least))]

    @cache
    def strips_of(self, place):
        """All ways to divide and use a board of a kind, each as the kinds of its clear runs that hold something."""
        line, portions, _ = self.kinds[place]
        found = []
        for portion, chosen in portions.items():
            for strips in self.all.divisions(line, portion, frozenset(c.section for c in chosen)):
                uses = (uses_of_strip(runs, frozenset(c for c in chosen if c.section == section))
                        for section, runs in strips)
                found += [list(chain.from_iterable(pick)) for pick in product(*uses)]
        return found

    @cache
    def kept(self, place):
        """The parts for which a board of the kind may stay as it lies."""
        line, _, chosen = self.kinds[place]
        return self.all.kept(line, chosen)

    @cache
    def ways(self, place):
        """All ways to rip a board of a kind: each a sorted list of kinds of strip, none of them within another."""
        found = {tuple(sorted(pick, key=self.order)) for runs in self.strips_of(place) for pick in product(*runs)}
        counted = {way: Counter(way) for way in found}
        return [way for way in found if not any(counted[way] < other for other in counted.values())]

    def order(self, kind):
        """Any order of kinds of strip that is always the same."""
        return kind[0], sorted(self.classes.index(c) for c in kind[1])

    def excess(self, place, conditions, cases, scale, unit, cost, prices):
        """`e_s` of a kind."""
        if self.kinds[place][0].supply == 0 or any(
                c.at_most and c.number == 0 and place in c.kinds for c in conditions):
            return 0

        def over(cost, way, worth):
            net = scale * cost + unit * signed((c, q) for c, q in zip(conditions, cases) if place in c.kinds
                                               or any(self.rips[rip] == (place, way) for rip in c.rips))
            fits(net, unit * worth)
            return unit * worth - net

        kept = [over(0, (uncut(c),), prices.of_kind(uncut(c))) for c in self.kept(place)]
        if any(self.rips[rip][0] == place for c in conditions for rip in c.rips):
            cut = [over(cost, way, sum(map(prices.of_kind, way))) for way in self.ways(place)]
        else:
            cut = [over(cost, None, sum(max(map(prices.of_kind, kinds)) for kinds in runs))
                   for runs in self.strips_of(place)]
        return max([0, *kept, *cut])

    def check(self):
        """Every table of both trees proves at least what is claimed."""
        self.covers()
        need(bool(self.found["missing_proof"]) == (self.missing > 0), "a proof for nothing missing, or none")
        if self.missing:
            self.tree(self.found["missing_proof"], True)
        self.tree(self.found["proof"], False)

    def tree(self, proof, of_missing):
        need(proof, "a claim without a proof")
        way = {0: Way((), tuple(self.demand[c] for c in self.classes), tuple((c,) for c in self.classes))}
        for place, node in enumerate(proof):
            need(place in way, "a node that is no case of another")
            here = way[place]
            if "scale" in node:
                self.table(keys("table", node), here, of_missing)
                continue
            if "pair" in node:
                pair = keys("pair", node)["pair"]
                need(len(pair) == 2, "a pair that is none")
                pair = [self.index(i, here.demand) for i in pair]
                cases = {"apart": here.with_apart(pair), "together": here.together(pair)}
            else:
                counted = frozenset(self.index(i, self.kinds) for i in keys("node", node)["boards"])
                ripped = frozenset(self.index(i, self.rips) for i in node["rips"])
                most = whole(node["at_most"], 0)
                need(type(node["missing"]) is bool, "whether missing parts count")
                cases = {case: here._replace(conditions=(*here.conditions, Condition(
                    case == "under", most + (case == "over"), counted, ripped, node["missing"])))
                    for case in ("under", "over")}
            for case, then in cases.items():
                need(place < whole(node[case]) < len(proof) and node[case] not in way, "cases of a node")
                way[node[case]] = then

    def table(self, node, way, of_missing):
        """A table proves the least multiple of the step that is not below what its prices come to."""
        conditions, scale = way.conditions, whole(node["scale"], 1)
        need(max(node["part_prices"], default=0) <= 2**40, "a price out of range")
        need(max([scale, *node["case_prices"]]) <= 2**60, "a price out of range")
        price, cases = ([whole(p, 0) for p in node[key]] for key in ("part_prices", "case_prices"))
        need(len(price) == len(way.demand) and len(cases) == len(conditions), "number of prices")
        if of_missing:
            unit, aim, costs, step = 1, ceil_div(self.missing, self.weight), [0] * len(self.kinds), 1
        else:
            unit, aim, costs = self.unit, self.bound, self.costs
            step = gcd(*(cost for cost in costs if cost < aim)) or aim or 1
        prices = Prices(way, price)
        excess = [self.excess(place, conditions, cases, scale, unit, cost, prices) for place, cost in enumerate(costs)]
        most = self.most_excess(excess, conditions, costs, aim)
        over = [ceil_div(unit * p, weight) for p, weight in zip(price, self.weights)]
        net = (scale if of_missing else 0) + unit * signed((c, q) for c, q in zip(conditions, cases) if c.missing)
        most += max(0, max(over, default=0) - net) * min(
            [aim - 1 if of_missing else self.missing // self.weight]
            + [c.number for c in conditions if c.at_most and c.missing])
        total = sum(d * p for d, p in zip(way.demand, price))
        total -= signed((c, q * c.number) for c, q in zip(conditions, cases))
        fits(unit * total, most)
        proved = ceil_div(unit * total - most, scale * step) * step
        need(proved >= aim, f"a table proves {proved}, not {aim}{' missing' * of_missing}")

    def most_excess(self, excess, conditions, costs, aim):
        """`E`: kinds in groups (alike in cost, in the conditions "at most" and in whether they may stay as they lie), groups
        within all of one cost; each has a limit of its own, so taking the greatest excess first is best."""
        by_cost, by_group, group_of = {}, {}, []
        for place, (line, _, chosen) in enumerate(self.kinds):
            cost = costs[place]
            limits = frozenset(j for j, c in enumerate(conditions) if c.at_most and place in c.kinds)
            group = cost, bool(self.kept(place)), limits
            group_of.append(group)
            by_cost[cost] = (aim - 1) // cost if cost else None
            by_group[group] = by_group.get(group, frozenset()) | chosen
        room = {group: min([self.parts_of(parts), *(conditions[j].number for j in group[2])])
                for group, parts in by_group.items()}
        total = 0
        for place in sorted(range(len(excess)), key=lambda i: -excess[i]):
            line, _, chosen = self.kinds[place]
            cost, group = costs[place], group_of[place]
            budget = None if self.kept(place) else by_cost[cost]
            limits = [self.parts_of(chosen), room[group], line.supply, budget]
            count = max(0, min(limit for limit in limits if limit is not None))
            room[group] -= count
            if budget is not None:
                by_cost[cost] -= count
            total += count * excess[place]
        return total

    def parts_of(self, classes):
        return sum(self.demand[kind] for kind in classes)


def signed(numbers):
    """The sum of numbers of conditions, those of "at least" taken off."""
    return sum(q if c.at_most else -q for c, q in numbers)


def fits(*numbers):
    need(all(-2**127 <= number < 2**127 for number in numbers), "a sum that does not fit 128 bits")


def check(job, file):
    """What the certificate proves: the fewest parts that are missing, and the least value where just so many are."""
    need(set(file["certificate"]) == {"claims"}, "keys of a certificate")
    classes = Classes(job)
    by_key = {part.key(): part for part in job.parts}
    claims = [Claim(classes, by_key, found) for found in file["certificate"]["claims"]]
    claim_of = {kind: place for place, claim in enumerate(claims) for kind in claim.classes}
    need(len(claim_of) == sum(len(claim.classes) for claim in claims), "a class in two claims")
    for line in job.boards:
        for held in classes.portions(line).values():
            claims_here = {claim_of[kind] for kind in held if kind in claim_of}
            need(line.supply == 0 or len(claims_here) <= 1, f"{line.name} serves two claims")
    for claim in claims:
        claim.check()
    return sum(claim.missing for claim in claims), sum(claim.bound for claim in claims)


def verdict(job, file, value, missing):
    """What the file says of its bounds must be proved, but for what it says itself is not; and "proved best" stands
    only where both are met. Returns whether a bound rests on the word of the search."""
    told, aside = file["summary"], keys("not_verified", file["not_verified"])
    fewest, least = check(job, file)
    certified = fewest, least if fewest == missing else 0
    said = told["certified_missing_lower_bound"], told["certified_lower_bound"]
    need(said == certified, f"{said} are called certified, {certified} proved")
    bounds = whole(told["missing_lower_bound"]), whole(told["lower_bound"])
    need(all(a <= b for a, b in zip(certified, bounds)), "a bound below what is proved")
    need(all(a <= b for a, b in zip(bounds, (missing, value))), "a bound that the plan itself beats")
    best = bounds == (missing, value)
    need(told["proved_optimal"] is best, "proved best, or not")
    need(aside["ended"] in (("proved",) if best else ("work_limit", "stopped")), "why the search ended")
    return bounds != certified
